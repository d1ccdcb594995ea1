"""Whole local days of a power, and its mean by day type and hour of the day."""

from collections.abc import Sequence
from typing import Final

import numpy as np
from numpy.typing import NDArray

from wattwright.core.clock import DAY_S, SiteClock
from wattwright.core.series import Series, over_windows

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
HOURS: Final = 24
_SATURDAY = 5


def whole_days(power: Series, clock: SiteClock, without: Sequence[tuple[float, float]] = ()) -> Ints:
    """Return (begin, end) of each local day that is read throughout, UTC seconds, shape (d, 2).

    Days that a stretch of ``without`` (begin, end; UTC seconds) touches are left out.
    """
    first = clock.day_of(power.start_s)
    midnights = clock.midnights_s(first, (power.end_s - power.start_s) // DAY_S + 2)
    days = np.column_stack([midnights[:-1], midnights[1:]])
    kept = over_windows(power, days.ravel()).full[::2] & (days[:, 0] >= power.start_s) & (days[:, 1] <= power.end_s)
    for begin, end in without:
        kept &= (days[:, 0] >= end) | (days[:, 1] <= begin)
    return np.asarray(days[kept])


def day_means(power: Series, days: Ints) -> Floats:
    """Return the mean of each of ``days`` (d, 2), shape (d,)."""
    return over_windows(power, days.ravel()).mean[::2] if len(days) else np.zeros(0)


def hours_of(times_s: Ints, clock: SiteClock) -> tuple[Ints, Ints]:
    """Return the day type (0 on weekdays, 1 at weekends) and the hour of the day of each time, shape (n,) each."""
    parts = clock.parts(times_s)
    return (parts.weekday >= _SATURDAY).astype(np.int64), parts.minute // 60


def by_hour(power: Series, clock: SiteClock, days: Ints) -> Floats:
    """Return the mean by day type and hour, shape (2, 24), over ``days`` (d, 2); nought where there is no such day."""
    total, count = np.zeros((2, HOURS)), np.zeros((2, HOURS))
    inside = np.zeros(len(power), np.bool_)
    for begin, end in days:
        inside |= (power.times_s >= begin) & (power.times_s < end)
    types, hours = hours_of(power.times_s[inside], clock)
    np.add.at(total, (types, hours), power.values[inside])
    np.add.at(count, (types, hours), 1.0)
    return total / np.maximum(count, 1.0)
