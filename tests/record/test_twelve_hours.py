"""A clock of twice twelve hours: as languages and programs write it, and in the names of columns."""

from datetime import UTC, datetime, timedelta

import pytest

from tests.record.writing import Write
from wattwright.record.read import read_record
from wattwright.record.readers.dates import read_clock

FIRST = datetime(2025, 5, 5, tzinfo=UTC)
STARTS = [FIRST + timedelta(minutes=30 * n) for n in range(96)]
SECONDS = [int(one.timestamp()) for one in STARTS]


def twelve(at: datetime, halves: tuple[str, str]) -> str:
    """The time of day with the half of the day it lies in; midnight and noon are twelve."""
    return f"{at.hour % 12 or 12}:{at.minute:02d}{halves[at.hour >= 12]}"


@pytest.mark.parametrize(
    "halves",
    [
        (" AM", " PM"), ("am", "pm"), (" a.m.", " p.m."), ("\u202fAM", "\u202fPM"), ("\u00a0a.\u00a0m.", "\u00a0p.\u00a0m."),
        (" πμ", " μμ"), (" π.μ.", " μ.μ."), (" \u03a0\u039c", " \u039c\u039c"), (" π\u00b5", " \u00b5\u00b5"),
    ],
)  # fmt: skip
def test_halves_of_the_day_as_they_are_written(write: Write, halves: tuple[str, str]) -> None:
    """English and Greek, with points or blanks that do not break, and with the micro sign for the letter."""
    rows = [f"{one:%d/%m/%Y} {twelve(one, halves)};{0.5 + i % 3}" for i, one in enumerate(STARTS)]
    series = read_record(write("\n".join(["Time;kW", *rows]) + "\n"), "UTC").channels[0].series
    assert series.times_s.tolist() == SECONDS
    assert series.values.tolist() == [1000 * (0.5 + i % 3) for i in range(len(STARTS))]


@pytest.mark.parametrize("last", [("", ""), (" - 2:00 AM", " - 2:00 PM")])
@pytest.mark.parametrize("minutes", [60, 30])
def test_columns_named_by_twelve_hours(write: Write, minutes: int, last: tuple[str, str]) -> None:
    """A row for each day, whose columns are called 12 AM, 1 AM and so on, with or without minutes or the other end."""
    times = [FIRST + timedelta(minutes=minutes * n) for n in range(1440 // minutes)]
    names = [twelve(one, (" AM" + last[0], " PM" + last[1])) for one in times]
    names = [one.replace(":00", "", 1) for one in names] if minutes == 60 else names
    days = [f"2025-05-0{5 + d}," + ",".join(f"{1 + (i + d) % 4}" for i in range(len(names))) for d in range(3)]
    series = read_record(write("\n".join(["Power kW", "Date," + ",".join(names), *days]) + "\n"), "UTC").channels[0].series
    assert (series.start_s, series.step_s, len(series)) == (SECONDS[0], 60 * minutes, 3 * len(names))
    assert series.values.tolist() == [1000 * (1 + (i + d) % 4) for d in range(3) for i in range(len(names))]


@pytest.mark.parametrize("name", ["13 PM", "12:75 AM", "0 MM", "AM"])
def test_no_time_of_day(write: Write, name: str) -> None:
    """Thirteen in the afternoon, 75 minutes and letters alone are no time of day."""
    assert read_clock(name) is None


@pytest.mark.parametrize(
    ("text", "seconds"), [("10:00 UTC+3", 10800), ("10:00 GMT+03:00", 10800), ("10:00 UTC-530", -19800), ("10:00 UTC", 0)]
)
def test_offset_behind_utc(text: str, seconds: int) -> None:
    """UTC+3 behind a time is its offset; without one it is none."""
    found = read_clock(text)
    assert found is not None
    assert found.offset_s == seconds
