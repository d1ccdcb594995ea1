"""The calendar of a site: local days with their true length, day types, seasons and public holidays."""

from dataclasses import dataclass
from datetime import date, timedelta
from enum import StrEnum
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from wattwright.core.clock import DAY_S, SiteClock

_EPOCH = date(1970, 1, 1)


class DayType(StrEnum):
    """The kind of day, as in load research; a public holiday counts as a Sunday."""

    WORKING_DAY = "working day"
    SATURDAY = "Saturday"
    SUNDAY = "Sunday or holiday"


class Season(StrEnum):
    """The meteorological quarters, named for the site's hemisphere."""

    WINTER = "winter"
    SPRING = "spring"
    SUMMER = "summer"
    AUTUMN = "autumn"


DAY_TYPES = tuple(DayType)
SEASONS = tuple(Season)


@dataclass(frozen=True, slots=True)
class Days:
    """A run of local days.

    ``first`` is the first local date; ``starts_s`` has shape (n + 1,): the UTC second at which each day begins and at which
    the last one ends; ``day_type`` and ``season`` are indices into DAY_TYPES and SEASONS, shape (n,).
    """

    first: date
    starts_s: NDArray[np.int64]
    day_type: NDArray[np.uint8]
    season: NDArray[np.uint8]

    def __len__(self) -> int:
        """Return the number of days."""
        return len(self.day_type)

    @property
    def lengths_s(self) -> NDArray[np.int64]:
        """Return each day's true length in seconds: 82,800 or 90,000 where the clock changes."""
        return np.diff(self.starts_s)

    def date(self, index: int) -> date:
        """Return the local date of day ``index``."""
        return self.first + timedelta(days=int(index))

    def index_of(self, times_s: NDArray[np.int64]) -> NDArray[np.int64]:
        """Return the day each time falls in (-1 before the first, n after the last); shape as ``times_s``."""
        return np.searchsorted(self.starts_s, times_s, side="right") - 1


def days_between(
    clock: SiteClock, start_s: int, end_s: int, holidays: frozenset[date] = frozenset(), latitude_deg: float = 45.0
) -> Days:
    """Return the local days that touch [start_s, end_s), end in UTC seconds and later than the start.

    ``latitude_deg`` south of the equator turns the seasons round. Raises ValueError when the end is not after the start.
    """
    if end_s <= start_s:
        raise ValueError("the end must lie after the start")
    first, last = clock.day_of(start_s), clock.day_of(end_s - 1)
    count = (last - first).days + 1
    numbers = (first - _EPOCH).days + np.arange(count, dtype=np.int64)
    off = np.array([(day - _EPOCH).days for day in sorted(holidays)], np.int64)
    return Days(
        first=first,
        starts_s=clock.midnights_s(first, count),
        day_type=day_types(numbers, off),
        season=seasons(numbers, latitude_deg),
    )


def day_types(day_numbers: NDArray[np.int64], holiday_numbers: NDArray[np.int64]) -> NDArray[np.uint8]:
    """Return the day type (index into DAY_TYPES) of each day, both arguments in days since 1970-01-01."""
    weekday = (day_numbers + 3) % 7
    kind = np.where(weekday == 6, 2, np.where(weekday == 5, 1, 0))
    return np.where(np.isin(day_numbers, holiday_numbers), 2, kind).astype(np.uint8)


def seasons(day_numbers: NDArray[np.int64], latitude_deg: float = 45.0) -> NDArray[np.uint8]:
    """Return the meteorological season (index into SEASONS) of each day since 1970-01-01 at a latitude in degrees."""
    month = day_numbers.astype("datetime64[D]").astype("datetime64[M]").astype(np.int64) % 12
    quarter = (month + 1) // 3 % 4
    return ((quarter + (2 if latitude_deg < 0 else 0)) % 4).astype(np.uint8)


@lru_cache(maxsize=64)
def public_holidays(country: str, subdivision: str | None, first_year: int, last_year: int) -> frozenset[date]:
    """Return the public holidays of a country (ISO 3166-1 alpha-2) by the ``holidays`` package, both years included.

    An empty country gives none. Raises InputError for a country or subdivision the package does not know.
    """
    if not country:
        return frozenset()
    import holidays

    from wattwright.core.errors import InputError, Place

    try:
        found = holidays.country_holidays(country, subdiv=subdivision, years=range(first_year, last_year + 1))
    except NotImplementedError as error:  # what the holidays package raises for a country it does not know
        raise InputError.one(
            "calendar.country",
            Place(field="holidays"),
            found=f'"{country}{"-" + subdivision if subdivision else ""}"',
            wanted="a country by its two letters, and one of its subdivisions, that the holidays package knows",
            next_step="Write for example GR, or CA-ON, or leave it empty and list the days yourself.",
        ) from error
    return frozenset(found)


def day_number(day: date) -> int:
    """Return the days from 1970-01-01 to ``day``."""
    return (day - _EPOCH).days


def day_seconds(day: date) -> int:
    """Return the local seconds at which ``day`` begins."""
    return day_number(day) * DAY_S
