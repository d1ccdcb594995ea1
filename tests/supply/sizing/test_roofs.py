"""Roofs: alone or together, and the one that is worth most is taken."""

from dataclasses import replace

import numpy as np
import pytest

from tests.plan.cases import tariff
from tests.supply.sizing.sites import DAYS, asking, sun, way
from wattwright.core.clock import SiteClock
from wattwright.core.show import Show
from wattwright.supply.sizing.json_form import quote_json
from wattwright.supply.sizing.quote import quote
from wattwright.supply.sizing.roofs import Roof, layouts_of
from wattwright.tariff.bill import bill
from wattwright.tariff.usage import Usage

PAID = tariff()
PRICES = {"pv_kw": "900", "inverter_kw": "100", "battery_kwh": "900"}


def price(import_w):
    return float(bill(PAID, Usage(imported=import_w), SiteClock("UTC")).total)


def roof(name, share, most_w=3000.0):
    return Roof(name, share * most_w, most_w)


def test_every_choice_of_few_roofs_and_of_many_each_and_all():
    """Three roofs: seven choices; five: all, and each alone. Per W of modules they give the mean weighed by room."""
    few = layouts_of(tuple(roof(name, np.full(4, k)) for k, name in enumerate(("a", "b", "c"), start=1)))
    assert [tuple(name for name, _ in one.parts) for one in few] == [
        ("a", "b", "c"), ("a", "b"), ("a", "c"), ("b", "c"), ("a",), ("b",), ("c",),
    ]  # fmt: skip
    assert few[0].share == pytest.approx(np.full(4, 2.0))
    many = layouts_of(tuple(roof(str(k), np.ones(4), 1000.0 * k) for k in range(1, 6)))
    assert [len(one.parts) for one in many] == [5, 1, 1, 1, 1, 1]
    assert many[0].most_w == 15_000.0
    assert dict(many[0].parts)["5"] == pytest.approx(1.0 / 3.0)


def test_the_roof_that_looks_to_the_sun_is_taken_alone():
    """One that gives a fifth of the other's is left empty, and what lies where is told."""
    ask = asking(prices=PRICES, tariff=PAID, price=price)
    ask = replace(ask, layouts=layouts_of((roof("dark", 0.2 * sun(DAYS)), roof("sunny", sun(DAYS)))))
    made = quote(ask, way(), None)
    assert made.size.pv_w > 0.0
    assert [one.roof for one in made.laid] == ["sunny"]
    assert made.laid[0].pv_w == made.size.pv_w
    assert quote_json(made, Show("en_GB", "SI", "UTC"))["roofs"] == [{"roof": "sunny", "pv_kwp": made.size.pv_w / 1000.0}]
    worse = quote(ask.on(ask.layouts[0]), way(), None)
    assert made.today.found.bill < worse.today.found.bill or made.bought < worse.bought
