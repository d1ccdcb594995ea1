"""Suppositions about what lies inside each interval of a record, each as courses of which any is as likely as the next."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from wattwright.core.seeds import Streams
from wattwright.core.series import Floats
from wattwright.demand.within.conformal import LEVELS, rank_levels, tail_correction
from wattwright.demand.within.courses import Courses, Ints, invented_courses
from wattwright.demand.within.draws import RESOLUTION_W, Spans, day_maxima_like, ranks_of
from wattwright.demand.within.lent import Lent
from wattwright.demand.within.likeness import (
    features,
    fewest_others,
    nearest,
    nearest_both,
    nearest_of_other_days,
    own_features,
    scale_of,
)
from wattwright.demand.within.listed import Listed

SUPPOSED = tuple((longer, use) for use in (0.15, 0.4, 0.9) for longer in (0.5, 2.0))
"""How much longer than usual loads stay on, and how likely one is in use: what nobody knows, so the bands cover them all."""
COURSES = 900
"""Stretches invented for each supposition."""
LIKE = 25
"""How many invented courses stand for one interval."""
_SAME_W = 1e-6
"""Means of a day added up in another order differ by less."""
_MOST_LIKE, _FEWEST_LIKE, _ONE_OF = 40, 10, 12
"""How many courses of a finer stretch stand for one interval, twice over: one in twelve, 10 to 40; common practice, no source."""


@dataclass(frozen=True, slots=True, eq=False)
class At:
    """The intervals that are asked about: mean, neighbours and second of the local day, each shape (n,), W and s."""

    mean_w: Floats
    before_w: Floats
    after_w: Floats
    of_day_s: Floats
    spans: Spans

    def __len__(self) -> int:
        """Return the number of intervals."""
        return len(self.mean_w)


@dataclass(frozen=True, slots=True, eq=False)
class View:
    """For each interval the courses it may have had: ``like``, shape (n, k), indices into ``courses``."""

    courses: Courses
    like: Ints

    def excess_w(self, window_s: int) -> Floats:
        """Return how far the highest window may lie above each mean, W, shape (n, k)."""
        return self.courses.excess_w(window_s)[self.like]

    def with_rows(self, rows: NDArray[np.bool_], other: "View") -> "View":
        """Return this view with the intervals ``rows`` seen as in ``other``."""
        width = self.like.shape[1]
        like = self.like.copy()
        # Each view may know another number of courses for an interval; all of them are kept in turn.
        like[rows] = np.resize(other.like[rows].T, (width, int(rows.sum()))).T + len(self.courses)
        return View(self.courses.joined(other.courses), like)


def supposed_views(loads: Sequence[Listed], base_w: float, step_s: int, at: At, streams: Streams, count: int) -> list[View]:
    """Return what may lie inside the intervals by loads alone, one view for each supposition about their use."""
    views = []
    for longer, use in SUPPOSED:
        draws = streams.stream(f"courses {step_s} {longer} {use}")
        courses = invented_courses(loads, base_w, step_s, draws, longer=longer, use=use, count=count)
        scale, none = scale_of(courses), np.full(len(at), np.nan)
        points = features(at.mean_w, at.before_w, at.after_w, none, scale)
        views.append(View(courses, nearest(own_features(courses, scale), points, LIKE)[0]))
    return views


@dataclass(frozen=True, slots=True)
class Correction:
    """By how many widths the low and the high bound move outwards, and the ranks that the truth took on days left out."""

    low: float
    high: float
    ranks: Floats

    @property
    def levels(self) -> tuple[float, float, float]:
        """Return the levels of a day's draws that make its band: low, middle, high."""
        low, high = rank_levels(self.ranks)
        return low, LEVELS[1], high

    @property
    def levels_unlike(self) -> tuple[float, float, float]:
        """Return the same for a day unlike those left out, which cannot say that its band may be narrower than its draws."""
        low, middle, high = self.levels
        return min(low, LEVELS[0]), middle, max(high, LEVELS[2])


@dataclass(frozen=True, slots=True, eq=False)
class Calibrated:
    """A finer stretch as a view of a record: what each interval is like, which are unlike all of it, which it holds itself."""

    view: View
    far: NDArray[np.bool_]
    known: NDArray[np.bool_]
    own: Courses
    own_spans: Spans
    out: Ints

    @property
    def weight(self) -> Floats:
        """Return how often the record has an interval like each of the stretch, (n,), so that what it has most of counts most."""
        asked = self.view.like[~self.known]
        return np.bincount(asked.ravel(), minlength=len(self.own)).astype(np.float64) if len(asked) else np.ones(len(self.own))

    def lent(self, window_s: int, at: At) -> Lent:
        """Return what the courses lend to the record's intervals for windows of ``window_s`` seconds."""
        like = self.view.like
        apart = np.where(self.known[:, None], 0.0, at.mean_w[:, None] - self.own.mean_w[like])
        return Lent(self.view.excess_w(window_s), apart)

    def unlike_days(self, at: At) -> NDArray[np.bool_]:
        """Return which days of the record have a mean below or above that of every whole day of the stretch, shape (d,)."""
        own, asked = self.own_spans.means(self.own.mean_w)[self.own_spans.whole], at.spans.means(at.mean_w)
        return np.asarray((asked < own.min(initial=np.inf) - _SAME_W) | (asked > own.max(initial=-np.inf) + _SAME_W))

    def correction(self, window_s: int, streams: Streams) -> Correction:
        """Return how bands of ``window_s`` seconds must be moved, found by leaving out each day of the stretch in turn."""
        excess, weight, mean = self.own.excess_w(window_s), self.weight, self.own.mean_w
        seen = Lent(excess[self.out], mean[:, None] - mean[self.out])
        low, _, high = seen.band()
        width = high - low + RESOLUTION_W
        below = tail_correction((low - excess) / width, self.own.day, weight)
        above = tail_correction((excess - high) / width, self.own.day, weight)
        draws = streams.stream(f"days left out {window_s}")
        drawn = day_maxima_like(mean, seen, self.own.day[self.out], self.own_spans, draws)
        truth = np.maximum.reduceat(mean + excess, self.own_spans.first)
        return Correction(below, above, ranks_of(truth, drawn)[self.own_spans.whole])


def calibrated(courses: Courses, spans: Spans, at: At, start_s: Ints) -> Calibrated:
    """Return the record's intervals as seen from a finer stretch of ``courses``, whose days are ``spans``.

    An interval that the stretch itself covers has its own course for certain. One is far when it lies further from the courses
    than any of those does from the ones of other days.
    """
    scale = scale_of(courses)
    points = own_features(courses, scale)
    count = max(1, min(int(np.clip(len(courses) // _ONE_OF, _FEWEST_LIKE, _MOST_LIKE)), fewest_others(courses.day)))
    out, reach = nearest_of_other_days(points, courses.day, count)
    like, distance = nearest_both(points, features(at.mean_w, at.before_w, at.after_w, at.of_day_s, scale), count)
    place = np.clip(np.searchsorted(courses.start_s, start_s), 0, len(courses) - 1)
    same = courses.start_s[place] == start_s
    close = np.abs(courses.mean_w[place] - at.mean_w) <= RESOLUTION_W + 0.02 * np.abs(at.mean_w)
    known = same & close
    like[known] = place[known, None]
    far = (distance > reach.max()) & ~known
    return Calibrated(View(courses, like), far, known, courses, spans, out)


def moved(quantiles_w: Floats, correction: Correction, still: NDArray[np.bool_]) -> Floats:
    """Return bands of excess (3, n) moved by a correction, except where ``still``; no bound below nought."""
    width = np.where(still, 0.0, quantiles_w[2] - quantiles_w[0] + RESOLUTION_W)
    low = np.maximum(quantiles_w[0] - correction.low * width, 0.0)
    high = np.maximum(quantiles_w[2] + correction.high * width, low)
    return np.stack([low, np.clip(quantiles_w[1], low, high), high])
