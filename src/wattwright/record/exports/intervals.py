"""The intervals of an export: the record's own, longer ones of a fixed step, or the days of the site's calendar."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from wattwright.core.clock import DAY_S, SiteClock
from wattwright.core.errors import UsageError
from wattwright.core.quality import Quality
from wattwright.core.series import Series, clock_windows

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Codes = NDArray[np.uint8]
Over = Callable[[Floats], "np.floating[Any]"]
"""What makes one number of those of several intervals: their mean, or the highest or lowest of such."""


@dataclass(frozen=True, slots=True, eq=False)
class Intervals:
    """Where intervals begin (shape (n,), UTC seconds) and how long each lasts (shape (n,), s); ``step_s`` is the usual length."""

    starts_s: Ints
    lengths_s: Ints
    step_s: int
    days: bool = False

    def __len__(self) -> int:
        """Return the number of intervals."""
        return len(self.starts_s)


def longer(series: Series, step_s: int, clock: SiteClock, over: Over = np.mean) -> tuple[Intervals, Floats, Codes]:
    """Return intervals of ``step_s`` that begin at multiples of it on the site's clock, and means and quality over each.

    An interval without all its readings is missing. One whose readings differ in quality is MIXED. Raises UsageError where the
    step is no multiple of the series', lasts several days, or no whole interval lies in it.
    """
    if step_s == series.step_s:
        return _fixed(series.start_s, step_s, len(series)), series.values, series.quality
    if step_s > DAY_S:
        raise UsageError('Nothing shows on which day a step of several days begins. Name "1 d" or less.')
    if step_s < series.step_s or step_s % series.step_s:
        raise UsageError(
            f"The readings have a step of {series.step_s:,} s, and {step_s:,} s is no multiple of it. Name one that is."
        )
    first = int(clock.window_starts_s(np.array([series.start_s]), step_s)[0])
    if (series.start_s - first) % series.step_s:
        first = series.start_s
    each, head = step_s // series.step_s, (series.start_s - first) // series.step_s
    count = -(-(head + len(series)) // each)
    edges = np.arange(count + 1) * each - head
    return _over(series, _fixed(first, step_s, count), edges, over)


def by_day(series: Series, clock: SiteClock, over: Over = np.mean) -> tuple[Intervals, Floats, Codes]:
    """Return the days of the site's calendar, of 23 and 25 hours where its clock changes, and the means and quality over each.

    Missing and MIXED are those of `longer`. Raises UsageError where a day does not begin with an interval of the series, or
    none is whole.
    """
    starts = clock_windows(series, DAY_S, clock).starts_s
    edges, off = np.divmod(starts - series.start_s, series.step_s)
    if off.any():
        raise UsageError(
            f"Intervals of {series.step_s:,} s do not begin at midnight on every day of the site. Name a step below a day."
        )
    return _over(series, Intervals(starts[:-1], np.diff(starts), DAY_S, days=True), edges, over)


def _fixed(start_s: int, step_s: int, count: int) -> Intervals:
    return Intervals(start_s + step_s * np.arange(count, dtype=np.int64), np.full(count, step_s, np.int64), step_s)


def _over(series: Series, intervals: Intervals, edges: Ints, over: Over) -> tuple[Intervals, Floats, Codes]:
    """Return means and quality between the indices ``edges`` (n + 1,), which may lie before and behind the series."""
    means, quality = np.full(len(intervals), np.nan), np.full(len(intervals), np.uint8(Quality.MISSING))
    for at, (low, high) in enumerate(zip(edges[:-1].tolist(), edges[1:].tolist(), strict=True)):
        if low < 0 or high > len(series):
            continue
        mean = float(over(series.values[low:high]))
        if mean == mean:
            codes = series.quality[low:high]
            means[at], quality[at] = mean, codes[0] if (codes == codes[0]).all() else Quality.MIXED
    if np.isnan(means).all():
        raise UsageError(f"No interval of {intervals.step_s:,} s has all its readings. Name a shorter step.")
    return intervals, means, quality
