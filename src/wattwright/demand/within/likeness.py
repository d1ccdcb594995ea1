"""Which known courses an interval is most like: near in its own mean, in those beside it and in the hour of the day."""

import numpy as np
from numpy.typing import NDArray

from wattwright.core.clock import DAY_S
from wattwright.core.series import Floats
from wattwright.demand.within.courses import Courses, Ints

_HOUR_WEIGHT = 0.3
"""What half a day of difference weighs, in standard deviations of the root of the mean; common practice, no source."""
_POWERS = 3
"""The first columns of a point: its own mean and those on either side."""


def features(mean_w: Floats, before_w: Floats, after_w: Floats, of_day_s: Floats, scale: float) -> Floats:
    """Return the point at which each interval stands, shape (n, 5), or (n, 3) where it has no hour of the day.

    Powers go in by their signed root: sums of switched loads spread with the root of their mean. ``scale`` is the standard
    deviation of that root over the known courses.
    """
    rooted = [np.sign(one) * np.sqrt(np.abs(one)) / scale for one in (mean_w, before_w, after_w)]
    if not np.isnan(of_day_s).any():
        turn = 2 * np.pi * of_day_s / DAY_S
        rooted += [_HOUR_WEIGHT * np.sin(turn), _HOUR_WEIGHT * np.cos(turn)]
    return np.column_stack(rooted)


def scale_of(courses: Courses) -> float:
    """Return the standard deviation of the root of the courses' means, at least a ten-thousandth of their root."""
    rooted = np.sqrt(np.abs(courses.mean_w))
    return max(float(rooted.std()), 1e-4 * float(rooted.max(initial=0.0)), 1e-9)


def own_features(courses: Courses, scale: float) -> Floats:
    """Return the points at which the courses themselves stand."""
    return features(courses.mean_w, courses.before_w, courses.after_w, courses.of_day_s, scale)


def nearest(known: Floats, at: Floats, count: int) -> tuple[Ints, Floats]:
    """Return the ``count`` nearest of ``known`` to each point of ``at``, and how far the last of them is: (n, count), (n,)."""
    from scipy.spatial import cKDTree

    count = min(count, len(known))
    far, index = cKDTree(known).query(at, count)
    return index.reshape(len(at), count).astype(np.int64), far.reshape(len(at), count)[:, -1]


def nearest_both(known: Floats, at: Floats, count: int) -> tuple[Ints, Floats]:
    """Return courses like each point of ``at``, ``count`` by powers alone and ``count`` by the hour too: (n, 2 count), (n,).

    The distance is that of the last by powers. Either alone misses days of another kind; together they scored best on the
    open minute record.
    """
    by_power, far = nearest(known[:, :_POWERS], at[:, :_POWERS], count)
    by_hour, _ = nearest(known, at, count)
    return np.concatenate([by_power, by_hour], axis=1), far


def apart(day: Ints) -> Ints:
    """Return for each interval how many days of the stretch lie before its own, shape (n,): days are counted where they are."""
    return np.asarray(np.unique(day, return_inverse=True)[1], np.int64)


def left_out(days: int) -> int:
    """Return how many days on either side of a day are left out with it: two, fewer of a short stretch.

    Weather and habits last for some days, and few days of a record lie next to those of the stretch; common practice, no source.
    """
    return min(2, days // 14)


def nearest_of_days(
    known: Floats, day: Ints, count: int, tell: NDArray[np.bool_], told: NDArray[np.bool_]
) -> tuple[Ints, Floats]:
    """Return the same for the known courses of the days ``told``, shape (d,), among those of the days that ``tell``.

    None of its own day and those around it stands for an interval. Rows of other days are nought.
    """
    index, far = np.zeros((len(known), 2 * count), np.int64), np.zeros(len(known))
    place = apart(day)
    around = left_out(len(told))
    for one in np.flatnonzero(told):
        here, others = np.flatnonzero(place == one), np.flatnonzero((np.abs(place - one) > around) & tell[place])
        found, far[here] = nearest_both(known[others], known[here], count)
        index[here] = others[found]
    return index, far


def fewest_others(day: Ints) -> int:
    """Return how many courses are left at least when a day is left out with those around it."""
    place = apart(day)
    size = np.bincount(place)
    before = np.concatenate([[0], np.cumsum(size)])
    around = left_out(len(size))
    at = np.arange(len(size))
    out = before[np.minimum(at + around + 1, len(size))] - before[np.maximum(at - around, 0)]
    return int(len(day) - out.max())
