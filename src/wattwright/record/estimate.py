"""Gaps filled by named rules: a straight line across short ones, the average of like days for long ones.

Sources: the interval rules that market operators publish for revenue metering. Point-to-point across a gap of up to an hour
and like days of the weeks around a longer one (Ontario training text, rev. July 2012); at most three like days (California
VEE standards, rev. 2.0; from memory). Like days are taken on both sides of the gap here, since the whole record is at hand.
Nothing is filled at the ends of a record. Each estimate keeps what was read, its method and a band.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from enum import StrEnum
from types import MappingProxyType

import numpy as np
from numpy.typing import NDArray

from wattwright.core.calendar import days_between
from wattwright.core.clock import DAY_S, SiteClock
from wattwright.core.quality import Quality
from wattwright.core.series import Floats, Series
from wattwright.record.bands import Trials, band_of, band_of_all, runs_of_spans, within_spans
from wattwright.record.registered import Fitted, Known, fit

LINE_UP_TO_S = 3600
"""The longest gap bridged by a straight line."""
LIKE_DAYS = 3
"""How many like days are looked for before the gap, and as many after it."""
WITHIN_DAYS = 45
"""How far from the gap a like day may lie."""
_TRIALS = 120


class Method(StrEnum):
    """The rule by which a gap was filled."""

    LINE = "a straight line between its neighbours"
    LIKE_DAYS = "the average of like days"
    REGISTER = "the register's own rise, in the shape of like days"


RULES: Mapping[str, Method] = MappingProxyType(
    {"straight line": Method.LINE, "like days": Method.LIKE_DAYS, "register": Method.REGISTER}
)
"""The rules by the names a person writes."""


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
    """A series with its gaps filled where a rule allows it, the gaps filled, and those left as they are (start, end).

    ``band_kwh`` is the band of all that was filled together; None where too few like stretches could be tried.
    """

    series: Series
    filled: tuple[Filled, ...]
    left: tuple[tuple[int, int], ...]
    band_kwh: tuple[float, float] | None = None

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
    series: Series, clock: SiteClock, holidays: frozenset[date] = frozenset(), known: Sequence[Known] = (),
    without: frozenset[Method] = frozenset(),
) -> Repaired:  # fmt: skip
    """Return a power in W with its gaps filled by the rules of this module.

    ``known`` are spans over which a register shows the total: what is estimated within one is scaled until it agrees. Gaps at the
    ends, long ones with neither like days nor a register, and those of a rule that is to be done ``without`` are left.
    """
    holes = ~series.present
    alike = LikeDays(series, clock, holidays)
    values = series.values.copy()
    gaps: list[tuple[int, int, Method]] = []
    left: list[tuple[int, int]] = []
    for first, last in _runs(holes):
        made = _estimate(series.values, holes, first, last, series.step_s, alike) or _evenly(series, first, last, known)
        if made is None:
            left.append((series.start_s + series.step_s * first, series.start_s + series.step_s * last))
            continue
        values[first:last] = made[1]
        gaps.append((first, last, made[0]))
    fitted = fit(values, holes, series.start_s, series.step_s, known)
    # What only a register could have filled, and it did not come out, stays a gap; other gaps then share no span with it. So does
    # what a rule filled that was refused.
    while bare := [gap for gap in gaps if _is_bare(gap, fitted, without)]:
        for first, last, _ in bare:
            values[first:last] = np.nan
            left.append((series.start_s + series.step_s * first, series.start_s + series.step_s * last))
        gaps = [gap for gap in gaps if gap not in bare]
        fitted = fit(values, holes, series.start_s, series.step_s, known)
    return _repaired(series, fitted, gaps, sorted(left), alike)


def _is_bare(gap: tuple[int, int, Method], fitted: Fitted, without: frozenset[Method]) -> bool:
    """Return whether a gap [first, last) stays one: no register settles it though it was to, or its rule was refused."""
    first, last, method = gap
    by_register = bool(fitted.settled[first:last].all())
    return (method is Method.REGISTER and not by_register) or (Method.REGISTER if by_register else method) in without


def _repaired(
    series: Series, fitted: Fitted, gaps: list[tuple[int, int, Method]], left: list[tuple[int, int]], alike: LikeDays
) -> Repaired:
    """Return the series with the gaps [first, last) filled, each with its method and band, and the band of them all."""
    holes = ~series.present
    quality = series.quality.copy()
    filled: list[Filled] = []
    open_: list[Trials] = []
    for first, last, method in gaps:
        known = bool(fitted.settled[first:last].all())
        line = method is Method.LINE and not known
        quality[first:last] = np.uint8(Quality.ESTIMATED_LINEAR if line else Quality.ESTIMATED_REFERENCE_DAY)
        energy = float(fitted.values[first:last].sum()) * series.step_s / 3.6e6
        trials = {} if known else _trials(series, holes, first, last, alike)
        if known:
            low, high = within_spans(fitted, holes, first, last, energy, series.step_s / 3.6e6)
        else:
            low, high = band_of(list(trials.values()), energy)
            open_.append(Trials(first, last, trials))
        # Where nothing ever ran backwards, the energy of a gap cannot be less than nought.
        low = max(low, 0.0) if float(np.nanmin(series.values)) >= 0 else low
        ends = series.start_s + series.step_s * first, series.start_s + series.step_s * last
        filled.append(Filled(*ends, last - first, Method.REGISTER if known else method, energy, low, high, len(trials)))
    total = sum(one.energy_kwh for one in filled)
    slack = sum(count for _, _, count in runs_of_spans(fitted.spans))
    band = band_of_all(open_, total, slack)
    if band is not None and float(np.nanmin(series.values, initial=0.0)) >= 0:
        band = max(band[0], 0.0), band[1]
    return Repaired(replace(series, values=fitted.values, quality=quality), tuple(filled), tuple(left), band)


def _evenly(series: Series, first: int, last: int, known: Sequence[Known]) -> tuple[Method, Floats] | None:
    """Return a flat shape for a gap within the record that a register spans, so that its total at least is kept."""
    start, end = series.start_s + series.step_s * first, series.start_s + series.step_s * last
    spans = [one for one in known if one.start_s < end and one.end_s > start]
    if first == 0 or last == len(series) or not spans or spans[0].start_s > start or spans[-1].end_s < end:
        return None
    return Method.REGISTER, np.ones(last - first)


def _runs(holes: NDArray[np.bool_]) -> list[tuple[int, int]]:
    """Return the runs of holes as (first, one past the last)."""
    edges = np.flatnonzero(np.diff(np.concatenate([[False], holes, [False]]).astype(np.int8)))
    return [(int(a), int(b)) for a, b in edges.reshape(-1, 2)]


def _estimate(
    values: Floats, holes: NDArray[np.bool_], first: int, last: int, step_s: int, alike: LikeDays
) -> tuple[Method, Floats] | None:
    """Return the rule and the estimate for intervals [first, last), or None where no rule applies."""
    if first == 0 or last == len(values):
        return None
    length = last - first
    if length * step_s <= LINE_UP_TO_S:
        share = np.arange(1, length + 1) / (length + 1)
        return Method.LINE, values[first - 1] + share * (values[last] - values[first - 1])
    starts = alike.nearest(first, -1, holes, length) + alike.nearest(first, 1, holes, length)
    if not starts:
        return None
    return Method.LIKE_DAYS, np.mean([values[start : start + length] for start in starts], axis=0)


def _trials(series: Series, holes: NDArray[np.bool_], first: int, last: int, alike: LikeDays) -> dict[int, float]:
    """Return true less estimated energy in kWh of the same rule on stretches that were read, by how many days they lie off.

    The same length at the same clock time on the days around is cut out and filled.
    """
    errors: dict[int, float] = {}
    length = last - first
    for step in range(1, len(series) * series.step_s // DAY_S + 1):
        for days in (-step, step):
            error = _trial(series, holes, alike.shifted(first, days), length, alike)
            if error is not None:
                errors[days] = error
        if len(errors) >= _TRIALS:
            break
    return errors


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
