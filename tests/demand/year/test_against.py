"""A record held against paid bills, in any order and with days that stand in two of them."""

from datetime import date

import numpy as np
import pytest

from tests.demand.hand import second
from wattwright.core.calendar import days_between
from wattwright.core.clock import SiteClock
from wattwright.core.series import of_values
from wattwright.demand.year.against import against
from wattwright.demand.year.bills import Bill

CLOCK = SiteClock("Europe/Athens")
START_S = second("2025-01-06 00:00")


def bill(first, until, kwh):
    """A bill of January 2025, by its days."""
    return Bill(first=date(2025, 1, first), until=date(2025, 1, until), paid_wh=f"{kwh} kWh")


def held(*bills, power_w=1000.0):
    """Twenty days of one power against bills."""
    power = of_values(START_S, 3600, np.full(20 * 24, power_w))
    return against(bills, power, days_between(CLOCK, START_S, START_S + 20 * 86_400))


def codes(given):
    """The codes of the findings."""
    return [one.code for one in given.findings]


def test_record_over_bills():
    """Twenty days of 24 kWh against 16 days of 20 kWh and 4 of 40: 480 over 480."""
    told = held(bill(6, 22, 320), bill(22, 26, 160))
    assert (told.ratio, told.days, told.agree) == (pytest.approx(384 / 320), 16, False)
    assert told.both_kwh == pytest.approx((384.0, 320.0))
    assert held(bill(6, 22, 400)).agree
    assert [one.days for one in told.held] == [16, 4]


def test_days_in_two_bills():
    """Bills that share a day are told, whatever their order; the day of the reading that ends one begins the next."""
    assert "demand.bills-overlap" not in codes(held(bill(6, 20, 336), bill(20, 26, 144)))
    for bills in ((bill(6, 21, 336), bill(20, 26, 144)), (bill(20, 26, 144), bill(6, 21, 336))):
        told = held(*bills)
        (found,) = [one for one in told.findings if one.code == "demand.bills-overlap"]
        assert (found.data["first"], found.data["count"]) == ("2025-01-20", 1)


def test_bills_of_other_days_speak_against_nothing():
    """Where no bill can be compared the ratio is not known, and the record is not said to differ."""
    told = held(Bill(first=date(2024, 1, 1), until=date(2024, 2, 1), paid_wh="500 kWh"))
    assert told.ratio != told.ratio
    assert told.agree
    assert codes(told) == ["demand.bills-of-other-days"]
