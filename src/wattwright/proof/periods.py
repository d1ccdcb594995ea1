"""What moved between the periods of a tariff: the energy of their hours beside what the model of before tells of them."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from wattwright.core.series import Floats
from wattwright.proof.choose import Baseline
from wattwright.proof.models.record import Grain, UseRecord
from wattwright.proof.uncertainty import student

_CLEAR = 0.9999
"""A move is told where chance makes one as large once in ten thousand times; common practice, no source."""
_FEWEST_WEEKS, _WEEK_H, _READ = 8, 168, 0.9
"""Weeks of which less was read do not count, and fewer of them tell nothing; common practice, no source."""


@dataclass(frozen=True, slots=True)
class Moved:
    """What the hours of a ``period`` took less each week than like hours before, kWh, negative where more.

    ``error_kwh`` is the standard error of that, ``least_kwh`` the least that is clear, by Student's t of the side with fewer
    weeks, and ``expected_kwh`` what a week of them would have taken.
    """

    period: str
    less_kwh: float
    error_kwh: float
    least_kwh: float
    expected_kwh: float

    @property
    def is_clear(self) -> bool:
        """Return whether chance seldom makes as much."""
        return abs(self.less_kwh) > self.least_kwh


def moved(
    found: Baseline, reporting: UseRecord, before_in: NDArray[np.uint8], after_in: NDArray[np.uint8], periods: Sequence[str]
) -> tuple[Moved, ...]:  # fmt: skip
    """Return by how much the use of each period fell; ``before_in`` and ``after_in`` are periods of hours, shape (n,) and (m,).

    What the model leaves over is summed by whole weeks, before and after, and the means of weeks are held against each other.
    Nothing where either side has fewer than eight of them. Raises ValueError where the grain is not the hour.
    """
    if not reporting.grain is found.record.grain is Grain.HOUR:
        raise ValueError("periods of a tariff need hours")
    told_kwh = found.fitted.predict(reporting)
    left_kwh = reporting.energy_kwh - told_kwh
    made = list[Moved]()
    for number, name in enumerate(periods):
        was = _weeks(found.record, np.where(before_in == number, found.residual_kwh, 0.0))
        now = _weeks(reporting, np.where(after_in == number, left_kwh, 0.0))
        if min(len(was), len(now)) < _FEWEST_WEEKS:
            return ()
        error = float(np.sqrt(was.var(ddof=1) / len(was) + now.var(ddof=1) / len(now)))
        would = float(_weeks(reporting, np.where(after_in == number, told_kwh, 0.0)).mean() + was.mean())
        least = student(_CLEAR, min(len(was), len(now)) - 1) * error
        made.append(Moved(name, float(was.mean() - now.mean()), error, least, would))
    return tuple(made)


def _weeks(record: UseRecord, of_hours: Floats) -> Floats:
    """Return sums by weeks that were read whole, shape (weeks,)."""
    _, place, count = np.unique(record.week, return_inverse=True, return_counts=True)
    return np.asarray(np.bincount(place, of_hours)[count >= _READ * _WEEK_H], np.float64)
