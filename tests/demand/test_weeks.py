"""How long to log: the rules by which readings are judged, and the calendar of the site."""

import calendar
from datetime import date

import numpy as np
import pytest

from wattwright.core.calendar import DayType, Season, days_between
from wattwright.core.clock import SiteClock
from wattwright.core.series import of_values
from wattwright.demand.weeks import NEEDS, days_of, read_days, seasons_ahead, weeks_at_once


def test_needs_are_the_rules_of_the_room() -> None:
    """A new value lies between the extremes of n in (n - 1) / (n + 1) of cases (order statistics): 0.9 takes 19 days, 3 weeks."""
    days = {one.purpose: one.days for one in NEEDS}
    assert days["peaks"] == min(n for n in range(1, 100) if 10 * (n - 1) >= 9 * (n + 1))
    assert {one.purpose: one.weeks for one in NEEDS}["peaks"] == 3
    assert all(one.days <= 7 * one.weeks < one.days + 7 for one in NEEDS)
    assert weeks_at_once() == max(one.weeks for one in NEEDS)
    assert min(one.interval_s for one in NEEDS) == 60


def test_types_of_days_by_the_calendar() -> None:
    """Weekdays by Python's own calendar; a public holiday on a weekday is counted with the Sundays."""
    first = date(2025, 12, 15)
    got = days_of(first, 2, frozenset({date(2025, 12, 25), date(2025, 12, 27)}))
    weekdays = [calendar.weekday(2025, 12, 15 + i) for i in range(14)]
    assert got[DayType.WORKING_DAY] == sum(one < 5 for one in weekdays) - 1
    assert got[DayType.SATURDAY] == 2 - 1  # the 27th is a Saturday
    assert sum(got.values()) == 14


@pytest.mark.parametrize(("latitude", "named"), [(45.0, Season.WINTER), (-33.0, Season.SUMMER)])
def test_seasons_ahead(latitude: float, named: Season) -> None:
    """Quarters from December, March, June and September on (WMO's meteorological seasons), turned round in the south."""
    ahead = seasons_ahead(date(2027, 12, 5), latitude, frozenset({date(2028, 1, 6), date(2028, 1, 8)}), [named] * 14)
    assert ahead[0].season is named
    edges = [date(2027, 12, 5), date(2028, 3, 1), date(2028, 6, 1), date(2028, 9, 1), date(2028, 12, 1)]
    assert [one.first for one in ahead] == edges[:-1]
    assert [one.until for one in ahead] == edges[1:]
    assert [one.is_wanted for one in ahead] == [False, True, True, True]
    assert ahead[0].holidays == (date(2028, 1, 6),)  # the 8th is a Saturday
    assert len({one.season for one in ahead}) == 4


def test_one_day_less_is_wanted() -> None:
    """Thirteen days of a season are too few, fourteen enough."""
    assert seasons_ahead(date(2025, 1, 1), 45.0, read=[Season.WINTER] * 13)[0].is_wanted


def test_days_that_were_read() -> None:
    """A day of which most is missing does not count."""
    clock = SiteClock("UTC")
    values = np.full(72, 500.0)
    values[24:46] = np.nan
    days = days_between(clock, 0, 72 * 3600)
    assert read_days(of_values(0, 3600, values), days).tolist() == [True, False, True]
