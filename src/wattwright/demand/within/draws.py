"""Days drawn at random: each interval takes one of its likely courses, and the day's maximum is that of the drawn ones."""

from dataclasses import dataclass
from enum import StrEnum
from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

from wattwright.core.series import Floats
from wattwright.demand.within.conformal import LEVELS
from wattwright.demand.within.courses import Ints
from wattwright.demand.within.lent import Lent

DRAWS = 400
"""Days drawn for each day; the 5 % and 95 % of them are known to about 1 % of their level."""
FEW_DRAWS = 100
"""The same where the widest of many suppositions is taken."""
RESOLUTION_W = 20.0
"""What a width is taken to be at least when a miss is told in widths; common practice, no source."""
_AT_ONCE = 8000
"""Intervals that are drawn together, to bound memory."""
Kind = TypeVar("Kind", np.bool_, np.float64)
_WHOLE = 0.9
"""A day counts as whole from this share of its intervals on."""


class Drawing(StrEnum):
    """How the intervals of a day are drawn: each for itself, or as likely all of them equally high in what they may be."""

    APART = "each for itself"
    OFTEN_TOGETHER = "half of the draws together"


@dataclass(frozen=True, slots=True, eq=False)
class Spans:
    """The local days that intervals lie in: index of the first interval of each, shape (d,), of intervals in order of time.

    ``start_s``: when each day begins, UTC seconds; ``whole``: whether nearly all of its intervals are there; both shape (d,).
    """

    first: Ints
    start_s: Ints
    whole: NDArray[np.bool_]
    count: int

    def __len__(self) -> int:
        """Return the number of days."""
        return len(self.first)

    def of(self, day: int) -> slice:
        """Return the intervals of one day."""
        end = int(self.first[day + 1]) if day + 1 < len(self) else self.count
        return slice(int(self.first[day]), end)

    @property
    def size(self) -> Ints:
        """Return the number of intervals of each day, shape (d,)."""
        return np.asarray(np.diff(np.append(self.first, self.count)), np.int64)

    def means(self, values: Floats) -> Floats:
        """Return the mean of each day's intervals, shape (d,) from (n,)."""
        return np.asarray(np.add.reduceat(values, self.first) / self.size)

    def each(self, of_days: NDArray[Kind]) -> NDArray[Kind]:
        """Return what is told of each day, (d,), for each of its intervals, (n,)."""
        return np.repeat(of_days, self.size)


def spans_of(starts_s: Ints, days_s: Ints, step_s: int) -> Spans:
    """Return the days that intervals starting at ``starts_s`` lie in; ``days_s``, shape (n + 1,), is where each day begins."""
    day = np.searchsorted(days_s, starts_s, side="right") - 1
    held, first, size = np.unique(day, return_index=True, return_counts=True)
    length = np.diff(days_s)[held]
    return Spans(first.astype(np.int64), days_s[held], size * step_s >= _WHOLE * length, len(starts_s))


def day_maxima(mean_w: Floats, excess_w: Floats, spans: Spans, draws: np.random.Generator, count: int = DRAWS) -> Floats:
    """Return drawn maxima of each day, W, shape (d, count): the mean of each interval and one of its excesses, shape (n, k)."""
    out = np.empty((len(spans), count))
    begin = 0
    while begin < len(spans):
        end = int(np.searchsorted(spans.first, spans.first[begin] + _AT_ONCE, side="right")) - 1
        end = max(begin + 1, min(end, len(spans)))
        rows = slice(int(spans.first[begin]), int(spans.first[end]) if end < len(spans) else spans.count)
        part = excess_w[rows]
        chosen = draws.integers(0, excess_w.shape[1], (len(part), count))
        drawn = mean_w[rows, None] + np.take_along_axis(part, chosen, axis=1)
        out[begin:end] = np.maximum.reduceat(drawn, spans.first[begin:end] - rows.start, axis=0)
        begin = end
    return out


def day_maxima_like(
    mean_w: Floats, lent: Lent, of_day: Ints, spans: Spans, draws: np.random.Generator, how: Drawing, count: int = DRAWS
) -> Floats:
    """Return drawn maxima of each day, W, shape (d, count), each draw taking its courses from one day of the finer stretch.

    ``of_day`` (n, k): the number of the day that each course of ``lent`` was read on. What happens once a month is then drawn
    once in a month of days, however many intervals it is like. An interval that is like none of that day's takes any. How much
    of a difference of means goes into the peak, all to nothing, is drawn for a whole day at a time: drawn for each interval, the
    highest of many would be the one that errs most.
    """
    held, number = np.unique(of_day, return_inverse=True)
    number = number.reshape(of_day.shape)
    order = np.argsort(number, axis=1, kind="stable")
    excess, apart = (np.take_along_axis(one, order, axis=1) for one in (lent.excess_w, lent.apart_w))
    many = np.zeros((len(mean_w), len(held)), np.int64)
    np.add.at(many, (np.arange(len(mean_w))[:, None], number), 1)
    first = np.cumsum(many, axis=1) - many
    out = np.empty((len(spans), count))
    for day in range(len(spans)):
        rows = spans.of(day)
        from_day, stays = draws.integers(0, len(held), count), draws.random(count)
        some, begins = many[rows, from_day], first[rows, from_day]
        begins, some = np.where(some > 0, begins, 0), np.where(some > 0, some, excess.shape[1])
        chosen = begins + (draws.random(some.shape) * some).astype(np.int64)
        told = np.take_along_axis(excess[rows], chosen, axis=1) - stays * np.take_along_axis(apart[rows], chosen, axis=1)
        out[day] = (mean_w[rows, None] + np.maximum(told, 0.0)).max(axis=0)
    if how is Drawing.OFTEN_TOGETHER:
        every = together(mean_w, lent.excess_w, spans)
        half = count // 2
        out[:, :half] = every[:, (np.arange(half) + 0.5).astype(np.int64) * every.shape[1] // half]
    return out


def together(mean_w: Floats, excess_w: Floats, spans: Spans) -> Floats:
    """Return each day's maximum where all its intervals are equally high at once, by level, W, shape (d, k) from (n, k)."""
    drawn: Floats = np.maximum.reduceat(mean_w[:, None] + np.sort(excess_w, axis=1), spans.first, axis=0)
    return drawn


def ranks_of(truth_w: Floats, drawn_w: Floats, usual_w: float = 0.0) -> Floats:
    """Return the share of each day's draws that lie at or below its truth, shape (d,).

    Beyond all draws it goes on by how far the truth lies from the nearest, in widths of the draws: below 0 and above 1. A width
    counts as ``usual_w`` at least: one day whose draws happen to be nearly alike says nothing of how far others may be off.
    """
    share = (drawn_w <= truth_w[:, None] + 1e-9).mean(axis=1)
    low, high = drawn_w.min(axis=1), drawn_w.max(axis=1)
    beyond = (np.maximum(truth_w - high, 0.0) - np.maximum(low - truth_w, 0.0)) / np.maximum(_width(drawn_w), usual_w)
    return np.asarray(share + beyond)


def at_levels(drawn_w: Floats, level: Floats, usual_w: float = 0.0) -> Floats:
    """Return what each day's draws (d, r) are at levels as :func:`ranks_of` tells them, shape (d, n) from (d, n) or (n,), W.

    A day whose draws are all alike is known, and nothing lies beyond them.
    """
    ordered = np.sort(drawn_w, axis=1)
    level = np.broadcast_to(level, (len(drawn_w), np.shape(level)[-1]))
    place = np.clip(level, 0.0, 1.0) * (ordered.shape[1] - 1)
    below = place.astype(np.int64)
    above = np.minimum(below + 1, ordered.shape[1] - 1)
    low, high = np.take_along_axis(ordered, below, axis=1), np.take_along_axis(ordered, above, axis=1)
    width = np.where(ordered[:, -1] > ordered[:, 0], np.maximum(_width(drawn_w), usual_w), 0.0)
    beyond = (level - np.clip(level, 0.0, 1.0)) * width[:, None]
    return np.asarray(low + (place - below) * (high - low) + beyond)


def _width(drawn_w: Floats) -> Floats:
    """Return the width of the middle nine tenths of each day's draws, and the least a width is taken to be, W, shape (d,)."""
    low, high = np.quantile(drawn_w, (LEVELS[0], LEVELS[2]), axis=1)
    return np.asarray(high - low + RESOLUTION_W)


def usual_width(drawn_w: Floats) -> float:
    """Return the middle of the widths of days' draws (d, r), W; nought of no day."""
    return float(np.median(_width(drawn_w))) if len(drawn_w) else 0.0


def redrawn(drawn_w: Floats, ranks: Floats, draws: np.random.Generator, usual_w: float = 0.0) -> Floats:
    """Return draws whose ranks within their day are spread as those of days left out were, shape as ``drawn_w``.

    A rank is taken from ``ranks`` at random and moved by up to half the distance between neighbours among so many.
    """
    if not len(ranks):
        return drawn_w
    level = draws.choice(ranks, drawn_w.shape) + (draws.random(drawn_w.shape) - 0.5) / (len(ranks) + 1)
    return at_levels(drawn_w, level, usual_w)
