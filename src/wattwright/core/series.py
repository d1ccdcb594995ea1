"""A series: values on a fixed step of UTC seconds, each with its quality and the raw reading it came from."""

from dataclasses import dataclass, replace
from math import gcd

import numpy as np
from numpy.typing import NDArray

from wattwright.core.clock import SiteClock
from wattwright.core.quality import Quality, is_estimated

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True, eq=False)
class Series:
    """Means over [start, start + step) intervals that follow one another without a hole.

    ``values`` has shape (n,) and is NaN where there is no reading; ``quality`` has shape (n,), codes of
    core.quality; ``raw`` has shape (n,): the number as it stood in the file, in the file's own unit, NaN where none stood.
    """

    start_s: int
    step_s: int
    values: Floats
    quality: NDArray[np.uint8]
    raw: Floats

    def __post_init__(self) -> None:
        """Check that the shapes agree and the step is positive; raises ValueError."""
        if self.step_s <= 0 or self.values.ndim != 1:
            raise ValueError("a series needs a positive step and one dimension")
        if not self.values.shape == self.quality.shape == self.raw.shape:
            raise ValueError("values, quality and raw readings must have the same length")

    def __len__(self) -> int:
        """Return the number of intervals."""
        return len(self.values)

    @property
    def end_s(self) -> int:
        """Return the end of the last interval in UTC seconds."""
        return self.start_s + self.step_s * len(self)

    @property
    def times_s(self) -> NDArray[np.int64]:
        """Return the start of each interval in UTC seconds, shape (n,)."""
        return self.start_s + self.step_s * np.arange(len(self), dtype=np.int64)

    @property
    def present(self) -> NDArray[np.bool_]:
        """Return which intervals have a value, shape (n,)."""
        return ~np.isnan(self.values)

    @property
    def estimated(self) -> NDArray[np.bool_]:
        """Return which values were filled in rather than read, shape (n,)."""
        return is_estimated(self.quality)

    def part(self, start_s: int, end_s: int) -> "Series":
        """Return the intervals that lie wholly within [start_s, end_s), in UTC seconds."""
        low = min(max(0, -((self.start_s - start_s) // self.step_s)), len(self))
        high = max(low, min(len(self), (end_s - self.start_s) // self.step_s))
        cut = slice(low, high)
        return replace(
            self,
            start_s=self.start_s + low * self.step_s,
            values=self.values[cut],
            quality=self.quality[cut],
            raw=self.raw[cut],
        )


def of_values(start_s: int, step_s: int, values: Floats, raw: Floats | None = None) -> Series:
    """Return a series of plain readings: NaN becomes missing, the rest valid; ``raw`` defaults to the values."""
    quality = np.where(np.isnan(values), np.uint8(Quality.MISSING), np.uint8(Quality.VALID)).astype(np.uint8)
    return Series(start_s, step_s, values, quality, values if raw is None else raw)


@dataclass(frozen=True, slots=True, eq=False)
class Windows:
    """A series summed over windows that follow one another.

    ``starts_s`` shape (n + 1,): where each window begins and the last one ends; ``mean`` shape (n,): the mean over the part of
    the window that has readings, NaN where none has; ``covered_s`` shape (n,): the seconds that have readings.
    """

    starts_s: NDArray[np.int64]
    mean: Floats
    covered_s: Floats

    def __len__(self) -> int:
        """Return the number of windows."""
        return len(self.mean)

    @property
    def integral(self) -> Floats:
        """Return mean times covered seconds (watt-seconds for a power), 0 where nothing was read; shape (n,)."""
        return np.where(self.covered_s > 0, np.nan_to_num(self.mean) * self.covered_s, 0.0)

    @property
    def full(self) -> NDArray[np.bool_]:
        """Return which windows have readings throughout, shape (n,)."""
        return self.covered_s >= np.diff(self.starts_s) - 1e-6


def over_windows(series: Series, starts_s: NDArray[np.int64]) -> Windows:
    """Return ``series`` summed over the windows between ``starts_s`` (shape (n + 1,), increasing, UTC seconds).

    An interval cut by a window's edge gives each side its share by time. The integral over the common span is kept.
    """
    edges = np.asarray(starts_s, np.int64)
    held = np.where(series.present, series.values, 0.0)
    position = np.clip((edges - series.start_s) / series.step_s, 0, len(series))
    if np.array_equal(position, np.rint(position)):
        index = position.astype(np.int64)
        total = _sum_between(held, index) * series.step_s
        covered = _sum_between(series.present.astype(np.float64), index) * series.step_s
    else:
        total = _integral_between(held, position) * series.step_s
        covered = _integral_between(series.present.astype(np.float64), position) * series.step_s
    with np.errstate(invalid="ignore"):
        mean = np.where(covered > 0, total / np.where(covered > 0, covered, 1.0), np.nan)
    return Windows(edges, mean, covered)


def clock_windows(series: Series, window_s: int, clock: SiteClock) -> Windows:
    """Return ``series`` over windows that begin at whole multiples of ``window_s`` on the site's clock."""
    if len(series) == 0:
        return Windows(np.array([series.start_s], np.int64), np.zeros(0), np.zeros(0))
    if window_s <= series.step_s:
        edges = np.append(series.times_s, series.end_s)
        return over_windows(series, edges)
    first = int(clock.window_starts_s(np.array([series.start_s]), window_s)[0])
    # Twice the window: the last one may be longer by a change of the clock, such as a day of 25 hours.
    grid = np.arange(first, series.end_s + 2 * window_s, gcd(window_s, 900), dtype=np.int64)
    starts = np.unique(clock.window_starts_s(grid, window_s))
    last = int(np.searchsorted(starts, series.end_s, side="left"))
    return over_windows(series, starts[: last + 1])


def coarser(series: Series, step_s: int, clock: SiteClock) -> Series:
    """Return ``series`` averaged onto steps of ``step_s`` that begin on the site's clock; an unfilled one is missing.

    A series has one step throughout, so after a change of the clock the steps stay where they were in UTC. Raises ValueError
    for a step shorter than that of ``series``.
    """
    if step_s < series.step_s:
        raise ValueError("a series can only be brought to a longer step")
    if step_s == series.step_s or len(series) == 0:
        return replace(series, step_s=step_s)
    first = int(clock.window_starts_s(np.array([series.start_s]), step_s)[0])
    windows = over_windows(series, np.arange(first, series.end_s + step_s, step_s, dtype=np.int64))
    return of_values(first, step_s, np.where(windows.full, windows.mean, np.nan))


def _sum_between(values: Floats, index: NDArray[np.int64]) -> Floats:
    if len(index) < 2:
        return np.zeros(0)
    padded = np.append(values, 0.0)
    sums = np.add.reduceat(padded, np.minimum(index[:-1], len(values)))
    # reduceat sums to the next index or to the end; cut the last one at its own end, and empty windows are nought.
    sums[-1] = padded[index[-2] : index[-1]].sum()
    return np.where(np.diff(index) == 0, 0.0, sums)


def _integral_between(values: Floats, position: Floats) -> Floats:
    running = np.concatenate([[0.0], np.cumsum(values)])
    return np.diff(np.interp(position, np.arange(len(running), dtype=np.float64), running))
