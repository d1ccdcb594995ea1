"""A generator as a way to carry the site: alone, beside a battery, or not at all, each offered with its cost."""

from dataclasses import replace

import numpy as np
import pytest

from tests.supply.sizing.sites import asking, way
from wattwright.core.show import Show
from wattwright.simulate.supply import Generator
from wattwright.supply.sizing.costing import Costing
from wattwright.supply.sizing.json_form import quote_json
from wattwright.supply.sizing.options import money_line, option_lines
from wattwright.supply.sizing.quote import GENERATOR_ALONE, quote
from wattwright.supply.sizing.roofs import no_pv
from wattwright.supply.sizing.seek import HIDDEN_TOO_MUCH, STARTS_LATE, TOO_WEAK, seeker
from wattwright.supply.sizing.sizes import NOTHING, one_of
from wattwright.supply.sizing.spec import MoneySpec, Prices
from wattwright.supply.sizing.table import carrier_rows, size_rows, worth_line, worth_rows

PRICES = {"fixed": "300", "pv_kw": "900", "inverter_kw": "200", "battery_kwh": "300", "fuel_kwh": "0.01"}
FOSSIL = Generator.model_validate({"rating": "8 kW", "delay": "15 s"})
BACKUP, ALONE = "carries the site in outages", "stand-alone"
SHOW = Show("en_GB", "SI", "UTC")


def asked(purpose=BACKUP, generator=FOSSIL, hidden_va=0.0, prices=PRICES, **spec):
    """A question about the small site with a generator; two hours of outage where it has a grid."""
    outage_s = 2 * 3600.0 if purpose == BACKUP else None
    return replace(asking(purpose, prices=prices, outage_s=outage_s, steps=6, **spec), generator=generator, hidden_va=hidden_va)


def codes(made):
    return {one.code for one in made.findings}


def test_a_generator_alone_carries_all_but_its_own_start():
    """Without a grid it gives what the site takes, less the first 15 s of it: worked out by hand from the first minute."""
    site = seeker(asked(ALONE), way())
    found = site.ask(NOTHING)
    started_kwh = site.free_w[0] * 15.0 / 3.6e6
    assert found.trips == 0
    assert found.unserved_kwh == pytest.approx(started_kwh, rel=1e-9)
    assert found.balance.generator == pytest.approx(site.free_w.sum() / 60_000.0 - started_kwh, rel=1e-3)
    assert site.generator_holds()


@pytest.mark.parametrize("purpose", [BACKUP, ALONE])
def test_three_ways_are_offered_and_the_cheapest_that_does_it_is_quoted(purpose):
    """Generator alone, battery and generator, battery without it; with cheap fuel nothing else need be bought."""
    made = quote(asked(purpose), way(), None)
    assert [one.name for one in made.carriers] == [GENERATOR_ALONE, "battery and generator", "battery without it"]
    alone, both, battery = made.carriers
    assert alone.reached
    assert both.point.found.size.battery_wh > 0.0
    assert battery.point.found.balance.generator == 0.0
    assert made.by_generator
    assert made.size.is_nothing
    assert made.bought == 0.0
    assert made.supply.generator == FOSSIL
    assert "supply.generator-gap" in codes(made)
    assert worth_line(made, SHOW).endswith("the generator carries the site alone.")
    rows = carrier_rows(made, SHOW)
    assert {len(one) for one in rows} == {4}
    assert "why not" not in {one[0] for one in rows}
    assert size_rows(made, {}, SHOW)
    assert [one["way"] for one in quote_json(made, SHOW)["carriers"]] == [one.name for one in made.carriers]


def test_a_generator_that_is_bought_is_paid_for():
    """By hand: 8 kW at 400 a kW, once in 15 years, so twice in 20, and nothing is counted as left."""
    prices = Prices.model_validate({**PRICES, "generator_kw": "400"})
    costing = Costing(prices, MoneySpec.model_validate({}), "EUR", generator_w=8000.0)
    assert costing.bought(one_of(NOTHING))[0] == pytest.approx(3200.0)
    assert costing.owned(one_of(NOTHING))[0] == pytest.approx(3200.0 * (1.0 + 1.03**-15))
    made = quote(replace(asked(), costing=costing), way(), None)
    alone, both, battery = made.carriers
    assert alone.point.bought == pytest.approx(3200.0)
    assert both.point.bought > 3200.0
    assert battery.point.bought == pytest.approx(
        Costing(prices, MoneySpec.model_validate({}), "EUR").bought(one_of(battery.point.found.size))[0]
    )
    assert made.bought == pytest.approx(sum(float(one.cost) for one in made.parts))


@pytest.mark.parametrize(
    ("generator", "hidden_va", "spec", "why"),
    [
        (FOSSIL, 0.0, {"bears": "5 s"}, STARTS_LATE),
        (FOSSIL, 9000.0, {}, HIDDEN_TOO_MUCH),
        (FOSSIL, 5500.0, {}, HIDDEN_TOO_MUCH),
        (Generator.model_validate({"rating": "2 kW"}), 0.0, {}, TOO_WEAK),
        (Generator.model_validate({"rating": "2 kW"}), 500.0, {}, TOO_WEAK),
    ],
)
def test_a_generator_that_cannot_do_it_alone_is_not_quoted_alone(generator, hidden_va, spec, why):
    """It starts later than the loads bear, what may hide is beyond it, or it is too weak: that is told, and another quoted."""
    made = quote(asked(BACKUP, generator, hidden_va, **spec), way(), None)
    assert not made.carriers[0].reached
    assert ("why not", why, "", "") in carrier_rows(made, SHOW)
    assert [one["why_not"] for one in quote_json(made, SHOW)["carriers"]] == [why, None, None]
    assert not made.size.is_nothing
    assert "supply.generator-gap" not in codes(made)
    assert not any(one.found.size.is_nothing and one.least == 0.0 for one in made.today.front)


def test_a_generator_that_holds_only_while_the_plan_works_is_no_way():
    """Control is not protection: at 2.8 kW the plan keeps tank and pump off, today's switching trips it."""
    weak = Generator.model_validate({"rating": "2.8 kW"})
    plan = way(("tank", "pump"))
    assert seeker(asked(generator=weak), plan).generator_holds()
    assert not seeker(asked(generator=weak), way()).generator_holds()
    made = quote(asked(generator=weak), way(), plan)
    assert not made.carriers[0].reached
    assert made.carriers[0].why_not == f"with today's switching {TOO_WEAK}"
    assert not made.size.is_nothing


def test_without_a_generator_nobody_asks_why_it_fails():
    """It neither holds nor fails."""
    site = seeker(asking(ALONE), way())
    assert (site.generator_holds(), site._holds_beside(0.0), site.fails_alone()) == (False, False, "")


def test_without_sun_and_grid_a_battery_alone_is_no_way():
    """Nothing would fill it: only the two ways with the generator are offered."""
    ask = asked(ALONE)
    made = quote(ask.on(no_pv(len(ask.gone))), way(), None)
    assert [one.name for one in made.carriers] == [GENERATOR_ALONE, "battery and generator"]
    assert np.isfinite(made.bought)


def test_without_a_generator_no_ways_are_told_apart():
    """The sizes themselves are the answer then, and beside the grid no generator is asked."""
    assert quote(asking(BACKUP, outage_s=3600.0, steps=4), way(), None).carriers == ()
    assert quote(replace(asking(steps=4), generator=FOSSIL), way(), None).carriers == ()


def test_a_site_without_a_grid_is_told_what_it_costs_and_what_a_kwh_does():
    """By hand: what is bought, and the fuel of the week carried to a year and over 20 years at 3 %; no bill is spoken of."""
    prices = {**PRICES, "fuel_kwh": "0.30", "generator_kw": "400", "currency": "EUR"}
    spread = {"cost": {"low": "80 %", "likely": "100 %", "high": "130 %"}}
    ask = asked("stand-alone", prices=prices, money=MoneySpec.model_validate({"spread": spread}))
    made = quote(replace(ask, costing=replace(ask.costing, generator_w=FOSSIL.rating_w)), way(), None)
    life, balance = made.life, made.quoted.balance
    assert made.worth is None
    assert life.capital == pytest.approx(made.bought, abs=0.05)
    a_year = 8760.0 / (7 * 24)
    assert life.served_kwh == pytest.approx(balance.site * a_year)
    factor = sum(1.03**-n for n in range(1, 21))
    assert life.fuel == pytest.approx(0.30 * balance.generator * a_year * factor, abs=0.1)
    assert life.energy_cost == pytest.approx(life.present / (life.served_kwh * factor))
    told = quote_json(made, SHOW)["money"]
    assert (told["of"], told["present"], told["energy_cost"]) == (
        "cost over the years", round(life.present, 2), round(life.energy_cost, 5),
    )  # fmt: skip
    assert told["bands"]["low"] < told["present"] < told["bands"]["high"]
    rows = dict(worth_rows(made, SHOW))
    assert SHOW.fixed(life.present, 0) in rows["cost over the years"]
    assert SHOW.fixed(life.energy_cost, 3) in rows["cost of a kWh served"]
    assert "EUR in nine of ten draws" in rows["how sure"]
    assert money_line(made, SHOW).startswith(f"Over 20 years it costs {SHOW.fixed(life.present, 0)} EUR in money of today")
    assert not any("bills" in words for _, words in option_lines(made, made.today, SHOW))
    assert "supply.no-tariff" not in codes(made)
    plain = quote(asked("stand-alone", prices=prices), way(), None)
    assert (plain.risk, quote_json(plain, SHOW)["money"]["bands"]) == (None, None)


def test_a_site_that_nothing_serves_costs_no_kwh():
    """With a battery that cannot be filled and no generator nothing is served, so no cost of a kWh is told."""
    none = asking("stand-alone", prices={**PRICES, "currency": "EUR"}, steps=2, battery_most="1 Wh", inverters=["1 VA"])
    made = quote(none.on(no_pv(len(none.gone))), way(), None)
    assert made.quoted.balance.site == 0.0
    assert (made.life, made.told_now, quote_json(made, SHOW)["money"]) == (None, None, None)
