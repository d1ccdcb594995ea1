"""The bands of one window: read where the step allows it, otherwise from what may lie inside the intervals."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from wattwright.core.calendar import days_between
from wattwright.core.clock import SiteClock
from wattwright.core.series import Floats, Series, clock_windows
from wattwright.demand.within.asked import Asked, Inside
from wattwright.demand.within.bands import Band, Bands, Rests, WindowBands, hull
from wattwright.demand.within.conformal import LEVELS, guarantee
from wattwright.demand.within.correction import farther, moved
from wattwright.demand.within.courses import Ints
from wattwright.demand.within.draws import DRAWS, FEW_DRAWS, at_levels, day_maxima, day_maxima_like, redrawn, together

_UNKNOWN = Band(float("nan"), float("nan"), float("nan"))


def read_bands(power: Series, clock: SiteClock, window_s: int) -> WindowBands:
    """Return the maxima over windows no shorter than the step: they were read, so low, middle and high are the same."""
    windows = clock_windows(power, window_s, clock)
    held = windows.full
    starts, mean = windows.starts_s[:-1][held], windows.mean[held]
    intervals = Bands(starts, mean, mean, mean)
    if not len(starts):
        return WindowBands(window_s, Rests.READ, _UNKNOWN, (), intervals, intervals)
    days_s = days_between(clock, int(starts[0]), int(starts[-1]) + 1).starts_s
    day = np.searchsorted(days_s, starts, side="right") - 1
    which, first = np.unique(day, return_index=True)
    highest = np.maximum.reduceat(mean, first)
    days = Bands(days_s[which], highest, highest, highest)
    told = _Told(days, [highest[:, None]], highest, highest, clock)
    return WindowBands(window_s, Rests.READ, told.whole(), told.months(), days, intervals)


def hidden_bands(asked: Asked, inside: Inside, window_s: int) -> WindowBands:
    """Return the maxima over windows shorter than the step, as bands."""
    rests = asked.rests(window_s)
    at = inside.at
    if not len(at):
        none = Bands(np.zeros(0, np.int64), np.zeros(0), np.zeros(0), np.zeros(0))
        return WindowBands(window_s, rests, _UNKNOWN, (), none, none)
    if rests is Rests.FINER:
        excess, by_day, drawn, share = _by_stretch(asked, inside, window_s)
    else:
        excess, by_day, drawn = _by_loads(asked, inside, window_s)
        share = 0.0
    top = _top(asked, inside, window_s)
    intervals = _bands(inside.start_s, at.mean_w + excess, at.mean_w, top)
    least, most = np.maximum.reduceat(at.mean_w, at.spans.first), np.maximum.reduceat(top, at.spans.first)
    days = _bands(at.spans.start_s, by_day, least, most)
    told = _Told(days, drawn, least, most, asked.clock)
    return WindowBands(window_s, rests, told.whole(), told.months(), days, intervals, share)


@dataclass(frozen=True, slots=True, eq=False)
class _Told:
    """Days with draws of their maxima, each (d, r), and what those cannot fall below or pass, W, shape (d,)."""

    days: Bands
    drawn: Sequence[Floats]
    least_w: Floats
    most_w: Floats
    clock: SiteClock

    def whole(self) -> Band:
        """Return the band of the highest of all days."""
        return self._of(slice(None))

    def months(self) -> tuple[tuple[int, int, Band], ...]:
        """Return the band of each month's highest day."""
        parts = self.clock.parts(self.days.start_s)
        key = parts.year.astype(np.int64) * 12 + parts.month - 1
        held, first = np.unique(key, return_index=True)
        ends = [*first[1:].tolist(), len(key)]
        return tuple(
            (int(one) // 12, int(one) % 12 + 1, self._of(slice(int(begin), int(end))))
            for one, begin, end in zip(held, first, ends, strict=True)
        )

    def _of(self, days: slice) -> Band:
        told = hull([np.quantile(one[days].max(axis=0), LEVELS)[:, None] for one in self.drawn])
        # The days may lie high or low together, which days drawn each for itself never do: the highest of them may be as high as
        # any, and as low as where all lie low.
        told[2] = np.maximum(told[2], self.days.high_w[days].max())
        told[0] = np.minimum(told[0], self.days.low_w[days].max())
        least, most = self.least_w[days].max(), self.most_w[days].max()
        return _bands(self.days.start_s[:1], told, least, most).at(0)


def _drawn(asked: Asked, inside: Inside, excess_w: Floats) -> Floats:
    """Return drawn maxima of each day, shape (d, r), from the excesses that each interval may have, shape (n, k), W."""
    draws = asked.streams.stream(f"days {inside.step_s}")
    return day_maxima(inside.at.mean_w, excess_w, inside.at.spans, draws, FEW_DRAWS)


def _by_loads(asked: Asked, inside: Inside, window_s: int) -> tuple[Floats, Floats, list[Floats]]:
    """Return quantiles of each interval's excess (3, n) and of each day's maximum (3, d), W, and draws of the days.

    They are the widest of all views by loads alone. Whether the intervals of a day are high together or each for itself is not
    known either, so both are drawn.
    """
    excesses = [view.excess_w(window_s) for view in inside.supposed]
    drawn = [_drawn(asked, inside, one) for one in excesses]
    drawn += [together(inside.at.mean_w, one, inside.at.spans) for one in excesses]
    intervals, days = ([np.quantile(one, LEVELS, axis=1) for one in part] for part in (excesses, drawn))
    return hull(intervals), hull(days), drawn


def _by_stretch(asked: Asked, inside: Inside, window_s: int) -> tuple[Floats, Floats, list[Floats], float]:
    seen, at = inside.calibrated, inside.at
    assert seen is not None  # the window rests on the finer stretch
    lent = seen.lent(window_s, at)
    excess, of_day = lent.band(), seen.own.day[seen.view.like]
    days, every = np.empty((3, len(at.spans))), [np.empty((len(at.spans), DRAWS)) for _ in range(2)]
    for group in seen.groups:
        correction, rows, which = seen.correction(group, at, window_s, asked.streams), at.spans.each(group.days), group.days
        told = moved(excess[:, rows], correction, seen.known[rows])
        excess[:, rows] = farther(told, excess[:, rows], at.spans.each(group.farther)[rows])
        drawn = day_maxima_like(at.mean_w, lent, of_day, at.spans, asked.streams.stream(f"days {inside.step_s}"), group.how)[
            which
        ]
        levels = group.levels(correction)
        told, plain = (at_levels(drawn, np.array(one), correction.usual_w).T for one in (levels, LEVELS))
        days[:, which] = farther(told, plain, group.farther[which])
        chance = asked.streams.stream(f"ranks {inside.step_s} {window_s}")
        every[0][which], every[1][which] = drawn, redrawn(drawn, group.ranks(correction), chance, correction.usual_w)
    share = guarantee(int(seen.own_spans.whole.sum()))
    if not seen.far.any():
        return excess, days, every, share
    # What the stretch never saw may be as loads alone would have it, too.
    touched = np.add.reduceat(seen.far.astype(np.int64), inside.at.spans.first) > 0
    for view in inside.supposed:
        merged = seen.view.with_rows(seen.far, view).excess_w(window_s)
        redone = _drawn(asked, inside, merged)
        excess[:, seen.far] = hull([excess[:, seen.far], np.quantile(merged[seen.far], LEVELS, axis=1)])
        days[:, touched] = hull([days[:, touched], np.quantile(redone[touched], LEVELS, axis=1)])
        every.append(redone)
    return excess, days, every, share


def _top(asked: Asked, inside: Inside, window_s: int) -> Floats:
    """Return what the highest window of each interval cannot pass, W, shape (n,).

    All energy of an interval in one window, where nothing is given back; and the survey's ceiling, as long as no reading lies
    above it.
    """
    mean = inside.at.mean_w
    top = np.full(len(mean), np.inf) if (mean < 0).any() else mean * (inside.step_s / window_s)
    ceiling = asked.ceiling_w
    return np.minimum(top, ceiling) if mean.max() <= ceiling else top


def _bands(start_s: Ints, told_w: Floats, least_w: Floats, most_w: Floats) -> Bands:
    low, middle, high = np.maximum(np.minimum(told_w, most_w), least_w)
    return Bands(start_s, low, np.clip(middle, low, high), high)
