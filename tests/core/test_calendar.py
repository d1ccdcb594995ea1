"""Local days, day types, seasons and holidays against Python's datetime, published dates and the holidays package."""

from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

import holidays
import numpy as np
import pytest
from hypothesis import given, strategies as st

from wattwright.core.calendar import (
    DAY_TYPES,
    SEASONS,
    DayType,
    Season,
    day_number,
    day_seconds,
    day_types,
    days_between,
    public_holidays,
    seasons,
)
from wattwright.core.clock import SiteClock
from wattwright.core.errors import InputError


def utc(text: str, zone: str) -> int:
    return int(datetime.fromisoformat(text).replace(tzinfo=ZoneInfo(zone)).timestamp())


def test_days_of_a_year_have_their_true_lengths():
    """In Athens 2025 has one day of 23 hours (30 March), one of 25 (26 October) and 363 of 24; together 8,760 hours."""
    days = days_between(SiteClock("Europe/Athens"), utc("2025-01-01", "Europe/Athens"), utc("2026-01-01", "Europe/Athens"))
    hours = days.lengths_s // 3600
    assert len(days) == 365
    assert [days.date(i) for i in np.flatnonzero(hours == 23)] == [date(2025, 3, 30)]
    assert [days.date(i) for i in np.flatnonzero(hours == 25)] == [date(2025, 10, 26)]
    assert hours.sum() == 8760


@given(st.sampled_from(["Europe/Athens", "America/Santiago", "Australia/Lord_Howe", "Asia/Kathmandu"]), st.data())
def test_each_instant_lies_in_its_local_date(zone, data):
    """The day an instant falls in carries the date zoneinfo shows; before and after the run it is -1 and n."""
    start = data.draw(st.integers(0, 2_000_000_000))
    end = start + data.draw(st.integers(1, 20 * 86_400))
    days = days_between(SiteClock(zone), start, end)
    at = data.draw(st.integers(start, end - 1))
    assert days.date(int(days.index_of(np.array([at]))[0])) == datetime.fromtimestamp(at, ZoneInfo(zone)).date()
    outside = days.index_of(np.array([days.starts_s[0] - 1, days.starts_s[-1]]))
    assert outside.tolist() == [-1, len(days)]


def test_day_that_ends_at_midnight_is_the_last():
    """A record that ends at midnight does not touch the next day."""
    days = days_between(SiteClock("UTC"), utc("2025-01-01", "UTC"), utc("2025-01-02", "UTC"))
    assert len(days) == 1
    assert len(days_between(SiteClock("UTC"), utc("2025-01-01", "UTC"), utc("2025-01-02 00:00:01", "UTC"))) == 2


def test_run_without_length_is_refused():
    """There are no days between an instant and itself."""
    with pytest.raises(ValueError, match="after the start"):
        days_between(SiteClock("UTC"), 5, 5)


@given(st.dates(date(1930, 1, 1), date(2100, 1, 1)), st.booleans())
def test_day_type_follows_weekday_and_holiday(day, is_holiday):
    """Monday to Friday are working days, and a holiday on any weekday counts as a Sunday."""
    off = np.array([day_number(day)] if is_holiday else [], np.int64)
    found = DAY_TYPES[day_types(np.array([day_number(day)]), off)[0]]
    plain = {5: DayType.SATURDAY, 6: DayType.SUNDAY}.get(day.weekday(), DayType.WORKING_DAY)
    assert found is (DayType.SUNDAY if is_holiday else plain)


@pytest.mark.parametrize(
    ("month", "north", "south"),
    [(month, *pair) for months, pair in {
        (12, 1, 2): (Season.WINTER, Season.SUMMER),
        (3, 4, 5): (Season.SPRING, Season.AUTUMN),
        (6, 7, 8): (Season.SUMMER, Season.WINTER),
        (9, 10, 11): (Season.AUTUMN, Season.SPRING),
    }.items() for month in months],
)  # fmt: skip
def test_seasons_are_the_meteorological_quarters(month, north, south):
    """WMO's quarters: December to February is winter in the north and summer in the south, and so on, to the month's ends."""
    for day in (date(2024, month, 1), (date(2024 + month // 12, month % 12 + 1, 1) - timedelta(days=1))):
        numbers = np.array([day_number(day)])
        assert SEASONS[seasons(numbers, 37.0)[0]] is north
        assert SEASONS[seasons(numbers, -37.0)[0]] is south


@pytest.mark.parametrize(
    ("country", "subdivision", "day", "off"),
    [
        ("GR", None, date(2025, 4, 18), True),  # Orthodox Good Friday; Easter 2025 fell on 20 April in both churches
        ("GR", None, date(2025, 4, 21), True),  # Easter Monday
        ("GR", None, date(2025, 3, 25), True),  # Independence Day
        ("FR", None, date(2007, 7, 14), True),
        ("CA", "ON", date(2012, 2, 20), True),  # Family Day in Ontario: third Monday of February
        ("CA", "QC", date(2012, 2, 20), False),  # which Quebec does not keep
        ("GB", "SCT", date(2025, 1, 2), True),  # Scotland keeps the second of January
        ("GR", None, date(2025, 4, 22), False),
    ],
)
def test_known_holidays(country, subdivision, day, off):
    """Published holidays are there, by subdivision, and plain days are not."""
    assert (day in public_holidays(country, subdivision, day.year, day.year)) is off


def test_holidays_are_those_of_the_package_over_all_years_asked():
    """Both years are included, and nothing but the package's dates comes back."""
    found = public_holidays("CA", "ON", 2011, 2012)
    assert found == frozenset(holidays.country_holidays("CA", subdiv="ON", years=[2011, 2012]))
    assert {day.year for day in found} == {2011, 2012}


def test_no_country_has_no_holidays():
    """Where no country is given every weekday is a working day."""
    assert public_holidays("", None, 2025, 2025) == frozenset()


@pytest.mark.parametrize(("country", "subdivision", "shown"), [("XX", None, '"XX"'), ("CA", "ZZ", '"CA-ZZ"')])
def test_unknown_country_is_refused(country, subdivision, shown):
    """A country or subdivision nobody keeps is an error that shows it."""
    with pytest.raises(InputError) as refused:
        public_holidays(country, subdivision, 2025, 2025)
    assert refused.value.faults[0].found == shown


@given(st.dates(date(1900, 1, 1), date(2100, 1, 1)))
def test_day_number_and_seconds_count_from_1970(day):
    """Days and seconds of a date's midnight, against datetime in UTC."""
    seconds = int(datetime(day.year, day.month, day.day, tzinfo=UTC).timestamp())
    assert day_seconds(day) == seconds
    assert day_number(day) == seconds // 86_400
