"""How long a site must be logged before the readings can answer: by the rules of this room, and by the calendar of the site."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, timedelta
from math import ceil
from typing import Final, Literal

import numpy as np
from numpy.typing import NDArray

from wattwright.core.calendar import DAY_TYPES, SEASONS, Days, DayType, Season, day_number, day_types, seasons
from wattwright.core.series import Series
from wattwright.demand.habits.groups import FEWEST_DAYS as FEWEST_ALIKE
from wattwright.demand.habits.habits import FEWEST_DAYS as FEWEST_WARM_AND_COLD
from wattwright.demand.within.conformal import FEWEST_DAYS as FEWEST_FINE
from wattwright.demand.year.against import daily_kwh
from wattwright.demand.year.bills import FEWEST_DAYS as FEWEST_OF_YEAR

Purpose = Literal["peaks", "days", "temperature", "season"]
MINUTE_S: Final = 60
HOUR_S: Final = 3600
_WEEK: Final = 7
_AHEAD: Final = 4
"""Seasons told ahead: one of each."""


@dataclass(frozen=True, slots=True)
class Need:
    """What a stretch of logging is for: the fewest days that were read, in whole weeks, and the longest interval (s)."""

    purpose: Purpose
    days: int
    interval_s: int

    @property
    def weeks(self) -> int:
        """Return the whole weeks that hold so many days."""
        return ceil(self.days / _WEEK)


NEEDS: Final = (
    Need("peaks", FEWEST_FINE, MINUTE_S),
    Need("days", FEWEST_ALIKE, HOUR_S),
    Need("temperature", FEWEST_WARM_AND_COLD, HOUR_S),
    Need("season", FEWEST_OF_YEAR, HOUR_S),
)
"""What the rooms ask of a record before they answer, each from the rule that it applies itself."""


@dataclass(frozen=True, slots=True)
class Stretch:
    """A season ahead: its days from `first` on, `until` the first day after it, and what of it lies in the record already.

    `read` counts days that were read, `wanted_days` those that must be, `holidays` the public holidays on working days in it.
    """

    season: Season
    first: date
    until: date
    read: int
    wanted_days: int
    holidays: tuple[date, ...]

    @property
    def is_wanted(self) -> bool:
        """Return whether the record lacks this season."""
        return self.read < self.wanted_days


def weeks_at_once() -> int:
    """Return the weeks of one unbroken stretch that serve every purpose within a season."""
    return max(one.weeks for one in NEEDS)


def days_of(first: date, weeks: int, holidays: frozenset[date] = frozenset()) -> dict[DayType, int]:
    """Return how many days of each type so many weeks from `first` on hold, a public holiday counted as a Sunday."""
    return _counted(day_types(_numbers(first, weeks * _WEEK), _off(holidays)))


def read_days(power: Series, days: Days) -> NDArray[np.bool_]:
    """Return for each day of a record whether its energy is known, shape (n,); `power` in W."""
    return np.isfinite(daily_kwh(power.read_only(), days))


def seasons_ahead(
    today: date, latitude_deg: float, holidays: frozenset[date] = frozenset(), read: Iterable[Season] = ()
) -> tuple[Stretch, ...]:
    """Return the season that `today` lies in and the next three, with what the record has of each.

    `read` names the season of each day that was read. The stretch of today begins today.
    """
    there = list(read)
    made: list[Stretch] = []
    first = today
    for _ in range(_AHEAD):
        numbers = _numbers(first, 100)
        kinds = seasons(numbers, latitude_deg)
        length = int(np.argmax(kinds != kinds[0]))
        until = first + timedelta(days=length)
        season = SEASONS[int(kinds[0])]
        off = tuple(sorted(day for day in holidays if first <= day < until and day.weekday() < 5))
        made.append(Stretch(season, first, until, there.count(season), FEWEST_OF_YEAR, off))
        first = until
    return tuple(made)


def _numbers(first: date, count: int) -> NDArray[np.int64]:
    return day_number(first) + np.arange(count, dtype=np.int64)


def _off(holidays: frozenset[date]) -> NDArray[np.int64]:
    return np.array([day_number(one) for one in sorted(holidays)], np.int64)


def _counted(kinds: NDArray[np.uint8]) -> dict[DayType, int]:
    return {one: int((kinds == index).sum()) for index, one in enumerate(DAY_TYPES)}
