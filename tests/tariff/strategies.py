"""Random tariffs and readings for the property tests."""

from datetime import UTC, date, datetime, timedelta
from decimal import Decimal
from zoneinfo import ZoneInfo

import numpy as np
from hypothesis import strategies as st

from wattwright.core.series import of_values
from wattwright.tariff.schema import TariffSpec
from wattwright.tariff.tariff import joined
from wattwright.tariff.usage import Usage

ZONE = "Europe/Athens"
PERIODS = ("peak", "low", "rest")
DAYS = ("Monday", "Wednesday", "Saturday", "Sunday", "working days", "weekend", "holiday")


def start_second(text: str) -> int:
    """UTC second of wall-clock digits in Athens."""
    return int(datetime.fromisoformat(text).replace(tzinfo=ZoneInfo(ZONE)).astimezone(UTC).timestamp())


def decimals(low: int, high: int, places: int):
    """Decimal strings between two bounds in steps of the last place."""
    return st.integers(low * 10**places, high * 10**places).map(lambda n: str(Decimal(n).scaleb(-places)))


prices = decimals(0, 1, 4)
hours = st.integers(0, 23).map(lambda hour: f"{hour:02d}:00")


@st.composite
def windows(draw):
    """Up to four windows over two named periods; ends differ from starts."""
    found = []
    for _ in range(draw(st.integers(0, 4))):
        low, high = draw(hours), draw(hours)
        window = {"period": draw(st.sampled_from(PERIODS[:2])), "days": draw(st.lists(st.sampled_from(DAYS), max_size=3))}
        if draw(st.booleans()):
            window["seasons"] = ["cold"]
        found.append({**window, "from": low, "to": high if high != low else "24:00"})
    return found


@st.composite
def energy(draw, names):
    """One to three energy charges, each pricing every period once."""
    found = [{"label": "Energy", "prices": {name: draw(prices) for name in names}}]
    if draw(st.booleans()):
        ends = sorted(draw(st.sets(st.integers(1, 900), min_size=1, max_size=3)))
        blocks = [{"upto_kwh": str(end), "price": draw(prices)} for end in ends] + [{"price": draw(prices)}]
        found.append({"label": "Grid", "blocks": blocks, "blocks_per": draw(st.sampled_from(("month", "day")))})
        if found[-1]["blocks_per"] == "month" and draw(st.booleans()):
            found[-1] |= draw(st.sampled_from(({"part_month": "whole"}, {"block_days": 30})))
    if draw(st.booleans()):
        found.append({"label": "Source", "price": draw(prices)})
    return found


@st.composite
def demand(draw, names):
    """A demand charge with any of its rules."""
    found = {"label": "Demand", "price": draw(decimals(0, 9, 2)), "window": draw(st.sampled_from(("15 min", "30 min", "60 min")))}
    found["align"] = draw(st.sampled_from(("clock", "rolling")))
    found["periods"] = draw(st.sampled_from(((), names[:1], names)))
    found["part_month"] = draw(st.sampled_from(("by days", "whole")))
    if draw(st.booleans()):
        found["ratchet"] = {"share": "0.8", "months": draw(st.integers(1, 11))}
    if draw(st.booleans()):
        found["minimum"] = draw(decimals(0, 5, 1))
    if draw(st.booleans()):
        found |= {"quantity": "kVA", "assumed_power_factor": "0.9"}
    return found


@st.composite
def exports(draw, days: bool):
    """A rule for export; netting over bills only where no block is per day."""
    found = {"label": "Export", "price": draw(prices), "netting": draw(st.sampled_from(("none", "each interval")))}
    if not days and draw(st.booleans()):
        found |= {"netting": "each bill", "surplus": draw(st.sampled_from(("paid", "carried", "lost")))}
        found["at_settlement"] = draw(st.sampled_from(("paid", "lost")))
        if found["surplus"] == "carried" and draw(st.booleans()):
            found["settlement_month"] = draw(st.integers(1, 12))
    return found


@st.composite
def written(draw, **fixed):
    """One version of a tariff as a person might write it, as plain data."""
    own = draw(windows())
    names = (*dict.fromkeys(window["period"] for window in own), "rest")
    charges = draw(energy(names))
    days = any(one.get("blocks_per") == "day" for one in charges)
    return {
        "id": "one",
        "name": "One",
        "currency": "EUR",
        "rest": "rest",
        "window": own,
        "season": [{"name": "cold", "ranges": [{"from": "10-15", "to": "03-31"}]}],
        "holidays": {"country": "GR"},
        "energy": charges,
        "fixed": [{"label": "Standing", "price": draw(prices), "per": draw(st.sampled_from(("day", "month", "year", "bill")))}],
        "demand": [draw(demand(names))] if draw(st.booleans()) else [],
        "export": draw(exports(days)) if draw(st.booleans()) else None,
        "levy": draw(levies()),
        "billing": {"start_day": draw(st.sampled_from((1, 1, 15)))},
        **fixed,
    }


@st.composite
def levies(draw):
    """None, a levy per kWh, and value added tax on all or on some lines."""
    found = [{"label": "Levy", "price": draw(prices)}] if draw(st.booleans()) else []
    if draw(st.booleans()):
        found.append({"label": "VAT", "percent": draw(decimals(0, 25, 1)), "of": draw(st.sampled_from(([], ["Energy"])))})
    return found


def tariffs(**fixed):
    """Tariffs of one version."""
    return written(**fixed).map(of_data)


def of_data(data):
    """The tariff of plain data."""
    return joined([TariffSpec.model_validate(data)])[0]


@st.composite
def usages(draw, least: float = -3000.0, missing: bool = True):
    """A day to ten weeks of readings round a change of the clock, at 15, 30 or 60 minutes, some missing."""
    first = draw(st.sampled_from((date(2025, 3, 20), date(2025, 10, 10), date(2025, 12, 28), date(2025, 5, 3))))
    step_s = draw(st.sampled_from((900, 1800, 3600)))
    last = first + timedelta(days=draw(st.integers(1, 70)))
    start_s, count = start_second(str(first)), (start_second(str(last)) - start_second(str(first))) // step_s
    random = np.random.default_rng(draw(st.integers(0, 2**32 - 1)))
    values = np.round(random.uniform(least, 9000.0, count), 1)
    if missing:
        values[random.random(len(values)) < draw(st.sampled_from((0.0, 0.02)))] = np.nan
    exported = of_values(start_s, step_s, np.maximum(0.0, random.uniform(-4000.0, 4000.0, len(values))))
    return Usage(of_values(start_s, step_s, values), exported if draw(st.booleans()) and least < 0 else None)
