"""Suppositions about what lies inside each interval of a record, each as courses of which any is as likely as the next."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from wattwright.core.seeds import Streams
from wattwright.core.series import Floats
from wattwright.demand.within.correction import Correction, LeftOut, correct, each_in_turn, half_by_half, tails
from wattwright.demand.within.courses import Courses, Ints, invented_courses
from wattwright.demand.within.draws import RESOLUTION_W, Drawing, Spans
from wattwright.demand.within.lent import Lent
from wattwright.demand.within.likeness import (
    features,
    fewest_others,
    nearest,
    nearest_both,
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


@dataclass(frozen=True, slots=True, eq=False)
class Group:
    """Days of a record, shape (d,), that are held against the same days left out of the stretch.

    ``is_unlike``: they use less, or more, than every day of the stretch. ``farther``: how many times as far each day lies
    from the middle of the stretch as the days left out lie from the middle of those they were told from, at least 1, (d,).
    ``by_halves``: the days left out were told from days unlike themselves.
    """

    days: NDArray[np.bool_]
    left: LeftOut
    is_unlike: bool
    farther: Floats
    by_halves: bool = False

    @property
    def how(self) -> Drawing:
        """Return how they are drawn: what is off for a season is off all day, and what runs longer runs longer all day.

        All hours of such a day may therefore lie low together in what courses of their mean may hold: those of less energy since
        something is off, those of more since their mean tells of longer running, which the stretch knew only of more at once.
        """
        return Drawing.OFTEN_TOGETHER if self.is_unlike else Drawing.APART

    def levels(self, correction: Correction) -> tuple[float, float, float]:
        """Return the levels of a day's draws that make its band; without halves to learn from the wider of both ways."""
        if not self.is_unlike:
            return correction.levels
        told, alike = correction.levels_unlike, correction.levels
        return told if self.by_halves else (min(told[0], alike[0]), told[1], max(told[2], alike[2]))

    def ranks(self, correction: Correction) -> Floats:
        """Return the ranks that a day's truth may take among its draws, one as likely as another."""
        return correction.ranks_unlike if self.is_unlike and self.by_halves else correction.ranks


@dataclass(frozen=True, slots=True, eq=False)
class Calibrated:
    """A finer stretch as a view of a record: what each interval is like, which are unlike all of it, which it holds itself.

    ``out``: each of its days left out in turn.
    """

    view: View
    far: NDArray[np.bool_]
    known: NDArray[np.bool_]
    own: Courses
    own_spans: Spans
    groups: tuple[Group, ...]
    out: LeftOut

    def weight(self, rows: NDArray[np.bool_]) -> Floats:
        """Return how often intervals ``rows`` of the record, (m,), are like each of the stretch, (n,): what it has most of."""
        asked = self.view.like[rows & ~self.known]
        return np.bincount(asked.ravel(), minlength=len(self.own)).astype(np.float64) if len(asked) else np.ones(len(self.own))

    def lent(self, window_s: int, at: At) -> Lent:
        """Return what the courses lend to the record's intervals for windows of ``window_s`` seconds."""
        like = self.view.like
        apart = np.where(self.known[:, None], 0.0, at.mean_w[:, None] - self.own.mean_w[like])
        return Lent(self.view.excess_w(window_s), apart)

    def correction(self, group: Group, at: At, window_s: int, streams: Streams) -> Correction:
        """Return how bands of ``window_s`` seconds must be moved for a group of days."""
        weight, draws = self.weight(at.spans.each(group.days)), streams.stream(f"days left out {window_s}")
        told = correct(self.own, self.own_spans, group.left, weight, window_s, draws, group.how)
        if not group.is_unlike:
            return told
        # Another season leaves less in an hour than courses like it hold: the low bound is that of days left out in turn too.
        # What is unlike all that was left out narrows neither bound.
        low, _ = tails(self.own, self.own_spans, self.out, weight, window_s)
        return replace(told, low=max(told.low, low, 0.0), high=max(told.high, 0.0))

    @property
    def unlike_days(self) -> NDArray[np.bool_]:
        """Return which days of the record have a mean below or above that of every whole day of the stretch, shape (d,)."""
        return np.asarray(np.any([one.days & one.is_unlike for one in self.groups], axis=0))


def calibrated(courses: Courses, spans: Spans, at: At, start_s: Ints) -> Calibrated:
    """Return the record's intervals as seen from a finer stretch of ``courses``, whose days are ``spans``.

    An interval that the stretch itself covers has its own course for certain. One is far when it lies further from the courses
    than any of those does from the ones of other days.
    """
    scale = scale_of(courses)
    points = own_features(courses, scale)
    count = max(1, min(_some_of(len(courses)), fewest_others(courses.day)))
    out, reach = each_in_turn(points, courses, spans, count)
    like, distance = nearest_both(points, features(at.mean_w, at.before_w, at.after_w, at.of_day_s, scale), count)
    place = np.clip(np.searchsorted(courses.start_s, start_s), 0, len(courses) - 1)
    same = courses.start_s[place] == start_s
    close = np.abs(courses.mean_w[place] - at.mean_w) <= RESOLUTION_W + 0.02 * np.abs(at.mean_w)
    known = same & close
    like[known] = place[known, None]
    far = (distance > reach.max()) & ~known
    return Calibrated(View(courses, like), far, known, courses, spans, tuple(_groups(points, courses, spans, at, out)), out)


def _groups(points: Floats, own: Courses, spans: Spans, at: At, out: LeftOut) -> Iterator[Group]:
    """Yield the days of a record like those of the stretch, those that use less than any of them, and those that use more."""
    own_w, asked_w = spans.means(own.mean_w), at.spans.means(at.mean_w)
    whole_w = own_w[spans.whole]
    below = asked_w < whole_w.min(initial=np.inf) - _SAME_W
    above = ~below & (asked_w > whole_w.max(initial=-np.inf) + _SAME_W)
    if not (below | above).all():
        yield Group(~(below | above), out, False, np.ones(len(asked_w)))
    for days, sign in ((below, 1.0), (above, -1.0)):
        if days.any():
            halves = half_by_half(points, own, spans, sign * own_w, _some_of)
            yield Group(days, halves or out, True, _farther(own_w, asked_w, spans.whole, halves), halves is not None)


def _farther(own_w: Floats, asked_w: Floats, whole: NDArray[np.bool_], halves: LeftOut | None) -> Floats:
    """Return how many times as far each day of a record lies from the middle of a stretch as halves of that lie apart, (d,)."""
    if halves is None:
        return np.ones(len(asked_w))
    tell = whole & ~halves.days
    usual = np.abs(own_w[halves.days] - np.median(own_w[tell])).mean()
    far = np.abs(asked_w - np.median(own_w[whole])) / max(float(usual), _SAME_W)
    return np.asarray(np.maximum(far, 1.0))


def _some_of(courses: int) -> int:
    """Return how many of so many courses stand for one interval."""
    return int(np.clip(courses // _ONE_OF, _FEWEST_LIKE, _MOST_LIKE))
