"""The minutes of the demo year on the site's own clock, daylight saving included."""

from dataclasses import dataclass
from datetime import date
from functools import cache

import numpy as np
from numpy.typing import ArrayLike, NDArray

from wattwright.core.calendar import day_number, day_seconds
from wattwright.core.clock import SiteClock
from wattwright.demo.place import YEAR, ZONE

DAY_MINUTES = 1440
BLOCK_MINUTES = 15
"""Steps in which slow driving quantities (outside air, a room's surroundings) are held constant."""


@dataclass(frozen=True, slots=True)
class DemoYear:
    """The clock of the year; arrays over minutes have shape (n,), arrays over local days have shape (days,)."""

    start_s: NDArray[np.int64]
    """Start of each minute, seconds UTC."""
    offset_min: NDArray[np.int64]
    """Local clock less UTC, minutes."""
    day: NDArray[np.int64]
    """Local day of the year, 0 for 1 January."""
    minute: NDArray[np.int64]
    """Minute of the local day as the clock shows it, 0 to 1439."""
    weekday: NDArray[np.int64]
    """Weekday of each local day, 0 for Monday."""
    month: NDArray[np.int64]
    """Month of each local day, 1 to 12."""

    @property
    def minutes(self) -> int:
        """Return the number of minutes in the year."""
        return len(self.start_s)

    @property
    def days(self) -> int:
        """Return the number of local days in the year."""
        return len(self.weekday)

    def position(self, day: ArrayLike, minute: ArrayLike) -> NDArray[np.float64]:
        """Return where a local clock time lies, in minutes since the start of the year (fractions kept).

        `minute` may run past 1439 into the next day. A time that comes twice means its first pass; a time that is
        skipped means the instant the clock would have reached without the change.
        """
        clock = np.asarray(day, dtype=np.float64) * DAY_MINUTES + np.asarray(minute, dtype=np.float64)
        whole = np.floor(clock)
        local_s = day_seconds(date(YEAR, 1, 1)) + 60 * whole.astype(np.int64)
        found_s = SiteClock(ZONE).resolve(local_s).first_s
        return np.asarray((found_s - self.start_s[0]) / 60.0 + (clock - whole))

    def blocks(self, values: NDArray[np.float64]) -> NDArray[np.float64]:
        """Return the means over quarter hours of a minute series (n,) as (n / 15,)."""
        return np.asarray(values.reshape(-1, BLOCK_MINUTES).mean(axis=1))


@cache
def demo_year() -> DemoYear:
    """Return the clock of the demo year in the site's zone; the arrays are read-only."""
    clock = SiteClock(ZONE)
    first = date(YEAR, 1, 1)
    days = (date(YEAR + 1, 1, 1) - first).days
    midnights_s = clock.midnights_s(first, days)
    start_s = np.arange(midnights_s[0], midnights_s[-1], 60, dtype=np.int64)
    parts, by_day = clock.parts(start_s), clock.parts(midnights_s[:-1])
    year = DemoYear(
        start_s=start_s,
        offset_min=clock.offsets_s(start_s) // 60,
        day=parts.day_number - day_number(first),
        minute=parts.minute,
        weekday=by_day.weekday,
        month=by_day.month,
    )
    for array in (year.start_s, year.offset_min, year.day, year.minute, year.weekday, year.month):
        array.setflags(write=False)
    return year
