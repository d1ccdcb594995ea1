"""Gaps filled by named rules: a straight line across short ones, the average of like days for long ones.

Sources: the interval rules that market operators publish for revenue metering. Point-to-point across a gap of up to an hour
and like days of the weeks around a longer one (Ontario training text, rev. July 2012); at most three like days (California
VEE standards, rev. 2.0; from memory). Like days are taken on both sides of the gap here, since the whole record is at hand.
Nothing is filled at the ends of a record. Each estimate keeps what was read, its method and a band.
"""

from dataclasses import dataclass, replace
from datetime import date
from enum import StrEnum

import numpy as np
from numpy.typing import NDArray

from wattwright.core.calendar import days_between
from wattwright.core.clock import DAY_S, SiteClock
from wattwright.core.quality import Quality
from wattwright.core.series import Floats, Series

LINE_UP_TO_S = 3600
"""The longest gap bridged by a straight line."""
LIKE_DAYS = 3
"""How many like days are looked for before the gap, and as many after it."""
WITHIN_DAYS = 45
"""How far from the gap a like day may lie."""
BAND_SHARE = 0.90
"""The share of gaps whose true energy the stated band is meant to hold."""
_TRIALS = 120


class Method(StrEnum):
    """The rule by which a gap was filled."""

    LINE = "a straight line between its neighbours"
    LIKE_DAYS = "the average of like days"
    REGISTER = "the average of like days, scaled to the register"


@dataclass(frozen=True, slots=True)
class Filled:
    """One filled gap [start, end) in UTC seconds: its rule, its energy in kWh with a band, and how many trials gave the band.

    ``low_kwh`` and ``high_kwh`` are NaN where too few like stretches could be tried.
    """

    start_s: int
    end_s: int
    intervals: int
    method: Method
    energy_kwh: float
    low_kwh: float
    high_kwh: float
    trials: int


@dataclass(frozen=True, slots=True, eq=False)
class Repaired:
    """A series with its gaps filled where a rule allows it, the gaps filled, and those left as they are (start, end)."""

    series: Series
    filled: tuple[Filled, ...]
    left: tuple[tuple[int, int], ...]

    @property
    def energy_kwh(self) -> float:
        """Return the energy the estimates add, in kWh."""
        return sum(one.energy_kwh for one in self.filled)


class LikeDays:
    """Which days are alike, on the site's calendar, and what a stretch read at the same clock time on each of them."""

    __slots__ = ("_day", "_kind", "_lag", "_series")

    def __init__(self, series: Series, clock: SiteClock, holidays: frozenset[date]) -> None:
        """Take a power in W; a holiday counts as a Sunday."""
        days = days_between(clock, series.start_s, series.end_s, holidays)
        self._series = series
        self._day = days.index_of(series.times_s)
        self._kind = days.day_type
        # From one day to another at the same clock time: the days' beginnings differ by 23, 24 or 25 hours.
        self._lag = days.starts_s[:-1]

    def nearest(self, index: int, side: int, holes: NDArray[np.bool_], length: int) -> list[int]:
        """Return the first intervals of up to three like stretches before (-1) or after (+1), nearest first."""
        own = int(self._day[index])
        found: list[int] = []
        for step in range(1, WITHIN_DAYS + 1):
            start = self.shifted(index, side * step)
            if start is None or not 0 <= own + side * step < len(self._kind):
                continue
            alike = self._kind[own] == self._kind[own + side * step]
            if alike and start + length <= len(self._series) and not holes[start : start + length].any():
                found.append(start)
            if len(found) == LIKE_DAYS:
                break
        return found

    def shifted(self, index: int, days: int) -> int | None:
        """Return the interval at the same clock time ``days`` later, or None beyond the record."""
        own = int(self._day[index])
        if not 0 <= own + days < len(self._lag):
            return None
        moved = index + int(self._lag[own + days] - self._lag[own]) // self._series.step_s
        return moved if 0 <= moved < len(self._series) else None


def repair(
    series: Series, clock: SiteClock, holidays: frozenset[date] = frozenset(), register_kwh: "dict[int, float] | None" = None
) -> Repaired:
    """Return a power in W with its gaps filled by the rules of this module.

    ``register_kwh`` gives, for a gap by its start in UTC seconds, the energy a register showed for it; like days are then scaled
    to it. Gaps at the ends, and those without like days, are left.
    """
    values, quality = series.values.copy(), series.quality.copy()
    holes = ~series.present
    alike = LikeDays(series, clock, holidays)
    filled: list[Filled] = []
    left: list[tuple[int, int]] = []
    for first, last in _runs(holes):
        ends = series.start_s + series.step_s * first, series.start_s + series.step_s * last
        known = (register_kwh or {}).get(ends[0])
        made = _estimate(series.values, holes, first, last, series.step_s, alike, known)
        if made is None:
            left.append(ends)
            continue
        method, estimate = made
        values[first:last] = estimate
        quality[first:last] = np.uint8(Quality.ESTIMATED_LINEAR if method is Method.LINE else Quality.ESTIMATED_REFERENCE_DAY)
        energy = float(estimate.sum()) * series.step_s / 3.6e6
        low, high, trials = (energy, energy, 0) if known is not None else _band(series, holes, first, last, alike, energy)
        # Where nothing ever ran backwards, the energy of a gap cannot be less than nought.
        low = max(low, 0.0) if float(np.nanmin(series.values)) >= 0 else low
        filled.append(Filled(*ends, last - first, method, energy, low, high, trials))
    return Repaired(replace(series, values=values, quality=quality), tuple(filled), tuple(left))


def _runs(holes: NDArray[np.bool_]) -> list[tuple[int, int]]:
    """Return the runs of holes as (first, one past the last)."""
    edges = np.flatnonzero(np.diff(np.concatenate([[False], holes, [False]]).astype(np.int8)))
    return [(int(a), int(b)) for a, b in edges.reshape(-1, 2)]


def _estimate(
    values: Floats, holes: NDArray[np.bool_], first: int, last: int, step_s: int, alike: LikeDays, known_kwh: float | None = None
) -> tuple[Method, Floats] | None:
    """Return the rule and the estimate for intervals [first, last), or None where no rule applies."""
    if first == 0 or last == len(values):
        return None
    length = last - first
    if known_kwh is None and length * step_s <= LINE_UP_TO_S:
        share = np.arange(1, length + 1) / (length + 1)
        return Method.LINE, values[first - 1] + share * (values[last] - values[first - 1])
    starts = alike.nearest(first, -1, holes, length) + alike.nearest(first, 1, holes, length)
    if not starts:
        return None
    mean: Floats = np.mean([values[start : start + length] for start in starts], axis=0)
    if known_kwh is None:
        return Method.LIKE_DAYS, mean
    total = float(mean.sum()) * step_s / 3.6e6
    scaled = mean * (known_kwh / total) if total else np.full(length, known_kwh * 3.6e6 / (length * step_s))
    return Method.REGISTER, scaled


def _band(
    series: Series, holes: NDArray[np.bool_], first: int, last: int, alike: LikeDays, energy_kwh: float
) -> tuple[float, float, int]:
    """Return the band of the gap's energy, from the errors of the same rule on stretches that were read.

    The same length at the same clock time on the days around is cut out and filled; if those errors and the gap's are
    exchangeable, the ranks used hold the truth in BAND_SHARE of the cases (split conformal prediction).
    """
    errors: list[float] = []
    length = last - first
    for step in range(1, len(series) * series.step_s // DAY_S + 1):
        for side in (-1, 1):
            error = _trial(series, holes, alike.shifted(first, side * step), length, alike)
            errors += [] if error is None else [error]
        if len(errors) >= _TRIALS:
            break
    count = len(errors)
    rank = (1 - BAND_SHARE) / 2 * (count + 1)
    if rank < 1:
        return float("nan"), float("nan"), count
    ordered = np.sort(errors)
    low, high = np.interp([rank - 1, count - rank], np.arange(count), ordered)
    return energy_kwh + float(low), energy_kwh + float(high), count


def _trial(series: Series, holes: NDArray[np.bool_], start: int | None, length: int, alike: LikeDays) -> float | None:
    """Return true less estimated energy in kWh for a stretch that was read, or None where it cannot be tried."""
    if start is None or start < 1 or start + length >= len(series) or holes[start - 1 : start + length + 1].any():
        return None
    marked = holes.copy()
    marked[start : start + length] = True
    made = _estimate(series.values, marked, start, start + length, series.step_s, alike)
    if made is None:
        return None
    return float((series.values[start : start + length] - made[1]).sum()) * series.step_s / 3.6e6
