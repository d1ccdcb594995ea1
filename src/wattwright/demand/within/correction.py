"""How bands by a finer stretch must be moved, found by leaving out days of the stretch and telling them from others.

A day that uses less than all days of the stretch (or more) is like none that was left out: heating that fades with the season
is off for longer, so that less lies together in an hour than ever in the stretch. It is therefore held against days that were
told from others as unlike them: the half of the stretch that used less, told from the half that used more, or the reverse.
What is promised rests on that: that the peak goes on to depend on the energy of the day as it does within the stretch.
"""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from wattwright.core.series import Floats
from wattwright.demand.within.conformal import LEVELS, rank_levels, tail_correction
from wattwright.demand.within.courses import Courses, Ints
from wattwright.demand.within.draws import RESOLUTION_W, Drawing, Spans, day_maxima_like, ranks_of, usual_width
from wattwright.demand.within.lent import Lent
from wattwright.demand.within.likeness import nearest_of_days

Bools = NDArray[np.bool_]
_FEWEST_DAYS = 7
"""Days in either half of a stretch, so that one half can be told from the other: a week; common practice, no source."""


@dataclass(frozen=True, slots=True)
class Correction:
    """By how many widths the low and the high bound move outwards, and the ranks that the truth took on days left out.

    ``usual_w``: the usual width of such a day's draws, in which ranks beyond the draws are told at least, W.
    """

    low: float
    high: float
    ranks: Floats
    usual_w: float = 0.0

    @property
    def levels(self) -> tuple[float, float, float]:
        """Return the levels of a day's draws that make its band: low, middle, high."""
        low, high = rank_levels(self.ranks)
        return low, LEVELS[1], high

    @property
    def ranks_unlike(self) -> Floats:
        """Return the ranks for a day unlike those left out: the spread of its own draws counts as as many days again.

        The half of a stretch left out is short, and its highest rank alone would be the level. A choice of our own, tried on
        invented sites: no share is promised for such days.
        """
        count = len(self.ranks)
        return np.concatenate([self.ranks, (np.arange(count) + 0.5) / max(count, 1)])

    @property
    def levels_unlike(self) -> tuple[float, float, float]:
        """Return the levels for a day unlike those left out."""
        low, high = rank_levels(self.ranks_unlike)
        return low, LEVELS[1], high


@dataclass(frozen=True, slots=True, eq=False)
class LeftOut:
    """Days of a stretch told from others of it: which, shape (d,), and the courses like each interval, shape (n, k).

    Rows of intervals that were not told stand for nothing.
    """

    days: Bools
    like: Ints


def each_in_turn(points: Floats, own: Courses, spans: Spans, count: int) -> tuple[LeftOut, Floats]:
    """Return every day told from all others but those around it, and how far the last like course of each lies, (n,)."""
    every = np.ones(len(spans), np.bool_)
    like, far = nearest_of_days(points, own.day, count, every, every)
    return LeftOut(every, like), far


def half_by_half(points: Floats, own: Courses, spans: Spans, day_w: Floats, count: Callable[[int], int]) -> LeftOut | None:
    """Return the half of the days with the smallest ``day_w``, shape (d,), told from the other half, W.

    None where the stretch has too few whole days. ``count`` tells how many of so many courses stand for one interval.
    """
    middle = float(np.median(day_w[spans.whole])) if spans.whole.any() else 0.0
    tell, told = spans.whole & (day_w > middle), spans.whole & (day_w <= middle)
    if tell.sum() < _FEWEST_DAYS:
        return None
    like, _ = nearest_of_days(points, own.day, count(int(spans.each(tell).sum())), tell, told)
    return LeftOut(told, like)


def correct(
    own: Courses, spans: Spans, left: LeftOut, weight: Floats, window_s: int, draws: np.random.Generator, how: Drawing
) -> Correction:
    """Return how bands of ``window_s`` seconds must be moved so that they hold on the days that were left out.

    ``weight`` (n,) says how much each interval of the stretch counts.
    """
    seen = _lent(own, left, window_s)
    low, high = tails(own, spans, left, weight, window_s)
    drawn = day_maxima_like(own.mean_w, seen, own.day[left.like], spans, draws, how)
    truth = np.maximum.reduceat(own.mean_w + own.excess_w(window_s), spans.first)
    held = spans.whole & left.days
    usual = usual_width(drawn[held])
    return Correction(low, high, ranks_of(truth[held], drawn[held], usual), usual)


def tails(own: Courses, spans: Spans, left: LeftOut, weight: Floats, window_s: int) -> tuple[float, float]:
    """Return by how many widths the low and the high bound of intervals must move outwards to hold on the days left out."""
    told = spans.each(left.days)
    weight = np.where(told, weight, 0.0)
    if not weight.any():
        weight = told.astype(np.float64)
    excess = own.excess_w(window_s)
    low, _, high = _lent(own, left, window_s).band()
    width = high - low + RESOLUTION_W
    below = tail_correction(((low - excess) / width)[told], own.day[told], weight[told])
    above = tail_correction(((excess - high) / width)[told], own.day[told], weight[told])
    return below, above


def _lent(own: Courses, left: LeftOut, window_s: int) -> Lent:
    """Return what the other days' courses lend to those of the days left out."""
    mean = own.mean_w
    return Lent(own.excess_w(window_s)[left.like], mean[:, None] - mean[left.like])


def moved(quantiles_w: Floats, correction: Correction, still: Bools) -> Floats:
    """Return bands of excess (3, n) moved by a correction, except where ``still``; no bound below nought."""
    width = np.where(still, 0.0, quantiles_w[2] - quantiles_w[0] + RESOLUTION_W)
    low = np.maximum(quantiles_w[0] - correction.low * width, 0.0)
    high = np.maximum(quantiles_w[2] + correction.high * width, low)
    return np.stack([low, np.clip(quantiles_w[1], low, high), high])


def farther(told_w: Floats, plain_w: Floats, times: Floats) -> Floats:
    """Return bands whose bounds lie ``times`` as far outside the plain ones as they were told to, (3, m) from (3, m), (m,).

    What a band must be moved by is learnt on days that lie so far from those they were told from; a day several times as far
    off errs in proportion, as a straight line wrongly drawn does. What was moved inwards stays.
    """
    low = told_w[0] - np.maximum(plain_w[0] - told_w[0], 0.0) * (times - 1)
    high = told_w[2] + np.maximum(told_w[2] - plain_w[2], 0.0) * (times - 1)
    return np.stack([low, told_w[1], high])
