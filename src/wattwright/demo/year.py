"""The minutes of the demo year on the site's own clock, daylight saving included."""

from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from functools import cache
from zoneinfo import ZoneInfo

import numpy as np
from numpy.typing import ArrayLike, NDArray

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
        skipped means the same time after the clock went forward.
        """
        clock = np.asarray(day, dtype=np.float64) * DAY_MINUTES + np.asarray(minute, dtype=np.float64)
        summer_gain = int(self.offset_min.max() - self.offset_min[0])
        if_summer = clock - summer_gain
        nearest = np.clip(np.floor(if_summer).astype(np.int64), 0, self.minutes - 1)
        return np.where(self.offset_min[nearest] > self.offset_min[0], if_summer, clock)

    def blocks(self, values: NDArray[np.float64]) -> NDArray[np.float64]:
        """Return the means over quarter hours of a minute series (n,) as (n / 15,)."""
        return np.asarray(values.reshape(-1, BLOCK_MINUTES).mean(axis=1))


@cache
def demo_year() -> DemoYear:
    """Return the clock of the demo year in the site's zone; the arrays are read-only."""
    zone = ZoneInfo(ZONE)
    first = datetime(YEAR, 1, 1, tzinfo=zone).astimezone(UTC)
    last = datetime(YEAR + 1, 1, 1, tzinfo=zone).astimezone(UTC)
    hours = int((last - first) / timedelta(hours=1))
    # Every change of this zone's clock in the year falls on a full hour, so hourly look-ups are exact.
    offsets = [_offset_min(first + timedelta(hours=hour), zone) for hour in range(hours)]
    offset_min = np.repeat(np.array(offsets, dtype=np.int64), 60)
    clock = np.arange(hours * 60, dtype=np.int64) + offset_min - offset_min[0]
    dates = [date(YEAR, 1, 1) + timedelta(days=day) for day in range(int(clock[-1]) // DAY_MINUTES + 1)]
    year = DemoYear(
        start_s=int(first.timestamp()) + 60 * np.arange(hours * 60, dtype=np.int64),
        offset_min=offset_min,
        day=clock // DAY_MINUTES,
        minute=clock % DAY_MINUTES,
        weekday=np.array([day.weekday() for day in dates], dtype=np.int64),
        month=np.array([day.month for day in dates], dtype=np.int64),
    )
    for array in (year.start_s, year.offset_min, year.day, year.minute, year.weekday, year.month):
        array.setflags(write=False)
    return year


def _offset_min(instant: datetime, zone: ZoneInfo) -> int:
    offset = instant.astimezone(zone).utcoffset() or timedelta(0)
    return int(offset / timedelta(minutes=1))
