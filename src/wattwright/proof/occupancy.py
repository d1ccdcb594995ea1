"""Whether a site is used otherwise after the measures: what it draws at the least, and how many of its days are empty."""

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from wattwright.core.clock import DAY_S, SiteClock
from wattwright.core.findings import Finding
from wattwright.core.series import Floats, Series
from wattwright.proof import kinds
from wattwright.proof.choose import Baseline
from wattwright.proof.models.record import UseRecord

Ints = NDArray[np.int64]
_EMPTY, _MORE_EMPTY = 0.6, 0.05
_OTHER, _OTHER_W, _SURE = 0.15, 20.0, 4.0
_OF_MEDIAN = 1.2533 * 1.4826
"""The standard error of a median by the median distance from it, for normal scatter: root of half of pi, over 0.6745."""
_NEAR_D, _YEAR_D, _FEWEST_LIKE, _WEEK, _FEWEST_WEEKS = 15, 364, 3, 7, 2
"""Days of the baseline count as like ones within so many days of the same week of the year; common practice, no source."""
_HOUR_S, _READ = 3600, 0.9
_LOWEST = 10.0
"""Of a day the lowest tenth of its readings tells what is always on; common practice, no source."""


def other_use(before_w: Series, after_w: Series, found: Baseline, reporting: UseRecord, clock: SiteClock) -> tuple[Finding, ...]:
    """Return whether base load or empty days are clearly others after than before, of powers in W and days of the model.

    Only days of ``reporting`` count, each beside like days before.
    """
    told = []
    kept = clock.local_s(reporting.starts_s) // DAY_S
    both = _like(_least(before_w, clock), _least(after_w, clock).of(kept))
    weeks = len(both) / _WEEK
    if weeks >= _FEWEST_WEEKS:
        was_w = float(np.median(both[:, 0]))
        off_w = both[:, 1] - both[:, 0]
        more_w = float(np.median(off_w))
        # Days of a week are too alike to count alone.
        error_w = _OF_MEDIAN * float(np.median(np.abs(off_w - more_w))) / np.sqrt(weeks)
        if abs(more_w) > max(_OTHER * was_w, _OTHER_W, _SURE * error_w):
            told.append(kinds.OCCUPANCY.at("record", before=was_w, after=was_w + more_w))
    shares = [float((one.energy_kwh < _EMPTY * found.fitted.predict(one)).mean()) for one in (found.record, reporting)]
    if shares[1] - shares[0] > _MORE_EMPTY:
        told.append(kinds.EMPTY_DAYS.at("record", before=shares[0], after=shares[1]))
    return tuple(told)


@dataclass(frozen=True, slots=True, eq=False)
class _Least:
    """The lowest tenth of the readings of each local day that has enough of them: days since 1970, and W, shape (days,)."""

    day: Ints
    power_w: Floats

    def of(self, days: Ints) -> "_Least":
        """Return those of some days."""
        there = np.isin(self.day, days)
        return _Least(self.day[there], self.power_w[there])


def _least(power: Series, clock: SiteClock) -> _Least:
    if power.step_s > _HOUR_S:
        return _Least(np.zeros(0, np.int64), np.zeros(0))
    days, begins = np.unique(clock.local_s(power.times_s) // DAY_S, return_index=True)
    parts = [one[~np.isnan(one)] for one in np.split(power.values, begins[1:])]
    enough = np.array([len(one) >= _READ * DAY_S / power.step_s for one in parts], bool)
    lowest = np.array([np.percentile(one, _LOWEST) for one, is_enough in zip(parts, enough, strict=True) if is_enough])
    return _Least(days[enough], lowest)


def _like(before: _Least, after: _Least) -> Floats:
    """Return the median of like days before, and each day after that has some, W, shape (days, 2).

    Like are working days or weekends of the same weeks of the year, since a site in winter is not held against a year.
    """
    found = list[tuple[float, float]]()
    for day, power_w in zip(after.day.tolist(), after.power_w.tolist(), strict=True):
        apart = np.abs(day - before.day) % _YEAR_D
        near = (np.minimum(apart, _YEAR_D - apart) <= _NEAR_D) & (_is_weekend(before.day) == _is_weekend(day))
        if near.sum() >= _FEWEST_LIKE:
            found.append((float(np.median(before.power_w[near])), power_w))
    return np.array(found).reshape(-1, 2)


def _is_weekend(day: Any) -> Any:
    # The first day of 1970 was a Thursday.
    return (day + 3) % _WEEK >= 5
