"""What holds for every bill: sums, splitting, more never costs less; comparison; the bill as plain data."""

from dataclasses import replace
from datetime import date
from decimal import Decimal

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings, strategies as st

from tests.tariff.strategies import ZONE, of_data, tariffs, usages, written
from wattwright.core.clock import SiteClock
from wattwright.core.errors import TariffError
from wattwright.core.findings import kinds
from wattwright.core.frozen import pack, unpack
from wattwright.core.money import Money
from wattwright.core.show import Show
from wattwright.tariff.bill import Bill, bill, bill_of_totals
from wattwright.tariff.compare import average_energy_price, average_price, bill_json, compare, comparison_json
from wattwright.tariff.lines import Group, in_units
from wattwright.tariff.usage import Totals, Usage

D = Decimal
CLOCK = SiteClock(ZONE)
SLOW = settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.too_slow])
ROUNDINGS = st.fixed_dictionaries(
    {"when": st.sampled_from(("each line", "each bill", "never")), "rule": st.sampled_from(("half up", "half even"))}
)


@SLOW
@given(written(), ROUNDINGS, usages())
def test_everything_adds_up(data, rounding, usage) -> None:
    """Lines add up to each month and to the total, months to the total, exactly; quantity times rate is the amount."""
    one = bill(of_data({**data, "rounding": rounding}), usage, CLOCK)
    assert one.total == sum(line.amount for line in one.lines) == sum(month.amount for month in one.by_month)
    for month in one.by_month:
        assert month.amount == sum(line.amount for line in one.lines if line.month == month.month)
        assert rounding["when"] == "never" or month.amount == month.amount.quantize(D("0.01"))
    for line in one.lines:
        exact = line.quantity * line.rate
        assert line.amount == (in_units(exact, D("0.01"), rounding["rule"]) if rounding["when"] == "each line" else exact)


@SLOW
@given(tariffs(export=None), usages())
def test_energy_lines_are_all_the_energy(tariff, usage) -> None:
    """Each energy charge bills the whole energy once: its lines add up to the month's kWh and to the readings."""
    one = bill(tariff, usage, CLOCK)
    for label in {entry.label for entry in tariff.versions[0].energy}:
        for month in one.by_month:
            lines = [line.quantity for line in one.lines if (line.name, line.month) == (label, month.month)]
            assert sum(lines) == month.energy_kwh
    read = np.nansum(np.maximum(usage.imported.values, 0.0)) * usage.imported.step_s / 3.6e6
    # Each of at most three periods a day of ten weeks is rounded by at most half a watt-hour.
    assert abs(float(one.energy_kwh) - read) <= 71 * 3 * 0.0005 + 1e-6


def linear(data):
    """The same tariff without what is not in proportion: demand, blocks, netting over bills, roundings."""
    energy = [entry for entry in data["energy"] if "blocks" not in entry]
    export = data["export"] and {**data["export"], "netting": "each interval", "surplus": "paid"}
    fixed = [{**entry, "per": "day"} for entry in data["fixed"]]
    rounding = {"when": "never"}
    billing = {**data["billing"], "energy_decimals": 6}
    return of_data(
        {**data, "energy": energy, "export": export, "fixed": fixed, "demand": [], "rounding": rounding, "billing": billing}
    )


@SLOW
@given(written(), usages(), st.integers(1, 1000))
def test_parts_make_the_whole(data, usage, at) -> None:
    """A record cut in two anywhere costs the same as whole, before rounding, under a tariff that is linear."""
    tariff = linear(data)
    count = len(usage.imported)
    cut_s = usage.start_s + usage.imported.step_s * (1 + at % (count - 1))
    halves = [
        Usage(usage.imported.part(low, high), usage.exported and usage.exported.part(low, high))
        for low, high in ((usage.start_s, cut_s), (cut_s, usage.end_s))
    ]
    whole, one, two = (bill(tariff, part, CLOCK).total for part in (usage, *halves))
    # A cut day is counted to four decimals twice at up to 1 a day; two more roundings of kWh per period and month.
    assert abs(whole - one - two) <= D("0.0003")


@SLOW
@given(tariffs(export=None), usages(least=0.0, missing=False), st.floats(0.0, 2.0), st.integers(0, 2**31))
def test_more_energy_never_costs_less(tariff, usage, more, seed) -> None:
    """With prices of nought or more, readings that are nowhere lower never cost less."""
    added = np.random.default_rng(seed).uniform(0.0, more * 1000.0, len(usage.imported))
    greater = Usage(replace(usage.imported, values=usage.imported.values + added))
    assert bill(tariff, greater, CLOCK).total >= bill(tariff, usage, CLOCK).total


@SLOW
@given(tariffs(demand=[]), usages())
def test_nothing_used_costs_only_what_is_fixed(tariff, usage) -> None:
    """All readings nought: no energy, no export, only fixed lines and the levies on them."""
    nothing = Usage(replace(usage.imported, values=np.zeros(len(usage.imported))))
    one = bill(tariff, nothing, CLOCK)
    assert one.energy_kwh == one.export_kwh == 0
    assert all(line.amount == 0 for line in one.lines if line.group not in (Group.FIXED, Group.LEVY))


@SLOW
@given(tariffs(), usages())
def test_bill_survives_storage(tariff, usage) -> None:
    """A bill written to bytes and read back is the same."""
    one = bill(tariff, usage, CLOCK)
    assert unpack(pack(one), Bill) == one


FLAT = '[[tariff.energy]]\nlabel = "Energy"\nprice = "0.20"\n'
STANDING = '[[tariff.fixed]]\nlabel = "Standing"\nprice = "0.42"\nper = "day"\n'


def test_missing_readings_are_said(tariff, athens, steady) -> None:
    """Three hours without a reading cost nothing, are counted with their month, and keep the month from being complete."""
    usage = steady("2025-01-01", "2025-02-01")
    usage.imported.values[10:13] = np.nan
    one = bill(tariff(FLAT), usage, athens)
    assert (one.energy_kwh, one.missing_s, one.by_month[0].missing_s) == (D(741), 10_800, 10_800)
    assert [finding.says(Show()) for finding in one.findings] == [
        "Readings are missing for 3\N{NARROW NO-BREAK SPACE}h (2025-01); nothing was charged for that time."
    ]


def test_averages(tariff, athens, steady) -> None:
    """1 kW over January at 0.20 and 0.42 a day: (148.80 + 13.02) / 744 = 0.2175; energy alone 0.20; None without energy."""
    one = bill(tariff(FLAT + STANDING), steady("2025-01-01", "2025-02-01"), athens)
    assert average_price(one) == D("0.217500")
    assert average_energy_price(one) == D("0.200000")
    assert one.money == Money(D("161.82"), "EUR")
    none = bill(tariff(FLAT), steady("2025-01-01", "2025-02-01", 0.0), athens)
    assert average_price(none) is None
    assert none.lines == ()


def test_comparison(tariff, athens, steady) -> None:
    """1 kW over January: 148.80 at 0.20; 161.82 with 0.42 a day; 74.40 at 0.10. The third is cheapest, by 74.40."""
    three = [tariff(FLAT), tariff(FLAT + STANDING), tariff(FLAT.replace("0.20", "0.10"))]
    found = compare(three, steady("2025-01-01", "2025-02-01"), athens)
    assert [(one.total, one.difference) for one in found.tariffs] == [
        (D("148.80"), D(0)),
        (D("161.82"), D("13.02")),
        (D("74.40"), D("-74.40")),
    ]
    data = comparison_json(found, Show())
    assert [one["difference"] for one in data["compared"]] == ["0.00", "13.02", "-74.40"]
    assert data["total"] == "148.80"
    assert (found.cheapest, found.currency, found.tariffs[2].id) == (2, "EUR", "one")


def test_comparison_needs_one_currency(tariff, athens, steady) -> None:
    """Dollars and euros are not compared, and nothing is no comparison."""
    dollars = replace(tariff(FLAT), currency="USD")
    with pytest.raises(TariffError, match="EUR, USD"):
        compare([tariff(FLAT), dollars], steady("2025-01-01", "2025-01-02"), athens)
    with pytest.raises(TariffError, match="no tariff"):
        compare([], steady("2025-01-01", "2025-01-02"), athens)


def test_bill_as_plain_data(tariff, athens, steady) -> None:
    """Money and quantities are decimal strings in plain digits, labels are sentences, months and findings are there."""
    text = FLAT + STANDING + '[[tariff.demand]]\nlabel = "Demand"\nprice = "2.85"\n'
    data = bill_json(bill(tariff(text), steady("2025-06-01", "2025-06-16", 2000.0, 900), athens))
    assert (data["currency"], data["total"], data["energy_kwh"]) == ("EUR", "153.15", "720")  # 6.30 + 144.00 + 2.85
    assert data["lines"][0] == {
        "label": "Standing",
        "group": "fixed",
        "period": "",
        "month": "2025-06",
        "quantity": "15",
        "unit": "day",
        "rate": "0.42",
        "amount": "6.30",
        "basis": "a",
        "source": "",
    }
    assert [line["amount"] for line in data["lines"]] == ["6.30", "144.00", "2.85"]
    assert data["by_month"] == [
        {"month": "2025-06", "days": "15", "energy_kwh": "720", "amount": "153.15", "missing_s": 0.0, "whole": False}
    ]
    assert data["demands"] == [{"label": "Demand", "month": "2025-06", "unit": "kW", "measured": "2", "billed": "2"}]
    assert data["findings"][0]["code"] == "tariff.part-month"


def test_rounding_has_a_line_of_its_own(tariff) -> None:
    """Rounded on the bill only, the difference stands on the bill under its own name."""
    one = bill_of_totals(tariff('rounding = { when = "each bill" }\n' + FLAT), Totals(date(2025, 1, 1), {"all": D("0.123")}))
    assert [(line["label"], line["amount"]) for line in bill_json(one)["lines"]] == [
        ("Energy", "0.02460"),
        ("Rounding", "-0.00460"),
    ]
    assert one.total == D("0.02")


def test_every_kind_of_finding_can_be_said() -> None:
    """Each kind of finding of this room has its three sentences and a severity."""
    mine = [kind for kind in kinds() if kind.code.startswith("tariff.")]
    data = {"missing": 1.0, "months": "m", "month": "m", "days": 1.0, "length": 30, "label": "l", "step": 60, "window": 900.0}
    data |= {"lacking": 1, "assumed": "0.9", "energy": 1.0}
    data_months = {**data, "months": 11}
    assert len(mine) == 9
    for kind in mine:
        finding = kind.at("here", **(data_months if kind.code == "tariff.ratchet-history" else data))
        assert finding.says(Show()).endswith(".")
        assert finding.why(Show()).endswith(".")
        assert finding.do(Show()).endswith(".")
