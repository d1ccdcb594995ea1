"""Paid bills: read from a file, and the record held against them."""

from datetime import date
from math import sqrt

import numpy as np
import pytest
from hypothesis import given, strategies as st

from wattwright.core.calendar import days_between
from wattwright.core.clock import SiteClock
from wattwright.core.errors import JobError
from wattwright.demand.year.bills import Bill, beside, fit_to_compare, judged, mistake_of, read_bills

CLOCK = SiteClock("Europe/Athens")
EDGES = CLOCK.midnights_s(date(2025, 1, 1), 365)
DAYS = days_between(CLOCK, int(EDGES[0]), int(EDGES[-1]))


def bill(first, until, kwh):
    """A bill in 2025, by month and day."""
    return Bill(first=date(2025, *first), until=date(2025, *until), paid_wh=f"{kwh} kWh")


def told(bills, energy):
    """What bills say of a year of days, kWh."""
    fit, within = fit_to_compare(beside(bills, DAYS, energy))
    ratio, findings = judged(fit, within, DAYS, sum(one.measured_kwh for one in fit))
    return ratio, [one.code for one in findings]


def test_a_file_of_bills(tmp_path):
    """Bills are read in the order of their days; a day is one that is no longer counted where the bill ends."""
    path = tmp_path / "bills.toml"
    path.write_text(
        '[[bills]]\nfrom = 2025-03-01\nuntil = 2025-04-01\nenergy = "310 kWh"\n'
        '[[bills]]\nfrom = 2025-01-01\nuntil = 2025-03-01\nenergy = "590 kWh"\n'
    )
    first, later = read_bills(path)
    assert (first.days, later.days) == (59, 31)
    assert (first.daily_kwh, later.daily_kwh) == pytest.approx((10.0, 10.0))


@pytest.mark.parametrize(
    ("text", "wanted"),
    [
        ('[[bills]]\nfrom = 2025-03-01\nuntil = 2025-03-01\nenergy = "1 kWh"\n', "a day after the first"),
        ("[[bills]]\nfrom = 2025-03-01\nuntil = 2025-04-01\nenergy = 310\n", "text with a number and its unit"),
        ("[[bills]]\nfrom = 2025-03-01\nuntil = 2025-04-01\n", '"energy"'),
        ("bills = []\n", "at least 1"),
    ],
)
def test_bills_with_faults(tmp_path, text, wanted):
    """Each fault is told with what was expected."""
    (tmp_path / "bills.toml").write_text(text)
    with pytest.raises(JobError) as refused:
        read_bills(tmp_path / "bills.toml")
    assert wanted in str(refused.value)


def test_a_bill_beside_the_record():
    """Days of a bill that were not read count on neither side: 20 of 31 days of a bill of 310 kWh are 200 kWh of it."""
    energy = np.full(365, 10.5)
    energy[20:31] = np.nan
    (one,) = beside([bill((1, 1), (2, 1), 310)], DAYS, energy)
    assert (one.days, one.measured_kwh, one.billed_kwh) == pytest.approx((20, 210.0, 200.0))
    assert one.ratio == pytest.approx(1.05)


@pytest.mark.parametrize("outside", [((2024, 6, 1), (2024, 7, 1)), ((2026, 6, 1), (2026, 7, 1))])
def test_bills_of_other_days(outside):
    """A bill from before or after the record, and one of too few days, cannot be held against it; nor can one of nothing."""
    first, until = (date(*one) for one in outside)
    far = Bill(first=first, until=until, paid_wh="300 kWh")
    energy = np.full(365, 10.0)
    assert told([far], energy)[1] == ["demand.bills-of-other-days"]
    assert told([bill((1, 1), (1, 14), 130)], energy)[1] == ["demand.bills-of-other-days"]
    (nothing,) = beside([bill((1, 1), (2, 1), 0)], DAYS, energy)
    assert np.isnan(nothing.ratio)
    assert told([bill((1, 1), (2, 1), 0)], energy)[1] == ["demand.bills-of-other-days"]


@pytest.mark.parametrize(
    ("ratio", "named"),
    [
        (2.0, "2"), (1.9, "2"), (0.5, "1/2"), (0.34, "1/3"), (3.1, "3"), (0.66, "2/3"),
        (sqrt(3), "the square root of 3"), (1 / sqrt(3), "1 over the square root of 3"), (-1.0, "a negative number"),
        (1.4, None), (0.8, None), (0.0, None), (10.0, None),
    ],
)  # fmt: skip
def test_mistakes_by_their_ratio(ratio, named):
    """Each usual mistake is told by the ratio it makes; a ratio near none of them is not explained."""
    found = mistake_of(ratio)
    assert (found.named if found else None) == named


@given(st.sampled_from([2.0, 0.5, 1 / 3, 2 / 3, 3.0, sqrt(3), 1 / sqrt(3)]), st.floats(-0.03, 0.03))
def test_a_planted_mistake_is_named(factor, noise):
    """A wrong ratio planted in a record that otherwise is within 3 % of its bills is told as what stops."""
    ratio, found = told([bill((1, 1), (12, 31), 3640)], np.full(365, 10.0 * factor * (1 + noise)))
    assert ratio == pytest.approx(factor * (1 + noise))
    assert found == ["demand.bills-suggest"]


def test_agreement_and_what_nothing_explains():
    """Within 7 % they agree; half as much again is told as not explained; turned clamps are named."""
    year = [bill((1, 1), (12, 31), 3640)]
    assert told(year, np.full(365, 10.5))[1] == ["demand.bills-agree"]
    assert told(year, np.full(365, 14.0))[1] == ["demand.bills-differ"]
    assert told(year, np.full(365, -10.0))[1] == ["demand.bills-suggest"]


def test_a_record_behind_the_sun():
    """A record of all that is used beside bills less what the sun gave: the ratio is high in the light half, and told."""
    energy = np.full(365, 10.0)
    bills = [bill((1, 1), (2, 1), 300), bill((5, 1), (6, 1), 220), bill((7, 1), (8, 1), 200), bill((11, 1), (12, 1), 295)]
    assert "demand.bills-sun" in told(bills, energy)[1]
    assert "demand.bills-sun" not in told([bill((1, 1), (2, 1), 300), bill((7, 1), (8, 1), 310)], energy)[1]


def test_a_bill_that_runs_on_is_held_against_it_only_roughly():
    """Of a bill of four months one was read: its mean day may differ, so it counts only where no bill was read whole."""
    energy = np.full(365, np.nan)
    energy[:59] = 30.0
    january, long = bill((1, 1), (2, 1), 930), bill((2, 1), (6, 1), 120 * 25)
    assert told([january, long], energy) == (pytest.approx(1.0), ["demand.bills-agree"])
    assert told([long], energy) == (pytest.approx(1.2), ["demand.bills-agree", "demand.bills-roughly"])
    assert told([bill((2, 1), (6, 1), 120 * 15)], energy)[1] == ["demand.bills-may-suggest", "demand.bills-roughly"]
    assert told([bill((2, 1), (6, 1), 120 * 21)], energy)[1] == ["demand.bills-differ", "demand.bills-roughly"]
