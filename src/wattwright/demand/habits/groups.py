"""Days that are like one another, in as many groups as come out again when some of the days are left out."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from wattwright.core.seeds import Streams
from wattwright.core.series import Floats
from wattwright.demand.profiles import DayTable

_MOST = 6
_TRIES, _SHARE = 20, 0.8
STABLE = 0.8
"""Agreement (adjusted Rand index) from which on a number of groups counts as stable; common practice, no source."""
_SMALLEST, _ALIKE_DAYS = 0.03, 3
"""A group of fewer days than this share, or than three, is no type but odd days."""
_HOURLY = 24
"""Bins of a day of hours; in longer ones a lost hour is no bin of its own."""
FEWEST_DAYS = 14
"""With fewer whole days all of them are one group."""
_FEWEST_BINS = 4
"""A day of fewer stretches has no course to be like another's."""


@dataclass(frozen=True, slots=True, eq=False)
class DayGroups:
    """Groups of like days: which one each day is in, shape (days,), -1 where too little was read, the largest group first.

    ``course_w`` has shape (groups, bins): the mean course of each; ``agreement`` the mean adjusted Rand index by number of
    groups from two on: how alike the groups are when a fifth of the days is left out.
    """

    of_day: NDArray[np.int8]
    course_w: Floats
    agreement: tuple[float, ...]

    def __len__(self) -> int:
        """Return the number of groups."""
        return len(self.course_w)

    def days_in(self, group: int) -> int:
        """Return how many days are in a group."""
        return int((self.of_day == group).sum())

    @property
    def daily_kwh(self) -> Floats:
        """Return the energy of the mean day of each group, shape (groups,)."""
        energy: Floats = self.course_w.mean(axis=1) * 24 / 1000
        return energy


def like_days(table: DayTable, seed: int = 0) -> DayGroups:
    """Return the days of ``table`` in groups by their course (Ward's method on hours of the local day).

    The number of groups is the largest, up to six, that comes out again from four fifths of the days drawn twenty times: mean
    adjusted Rand index of 0.8 or more (Hubert and Arabie 1985), no group under 3 % or three of the days; else all days are one.
    """
    table = _with_lost_hour(table)
    whole = np.flatnonzero(~np.isnan(table.power_w).any(axis=1))
    of_day = np.full(len(table.power_w), -1, np.int8)
    if len(whole) < FEWEST_DAYS or table.power_w.shape[1] < _FEWEST_BINS:
        of_day[whole] = 0
        course = table.power_w[whole].mean(axis=0)[None] if len(whole) else np.zeros((0, table.power_w.shape[1]))
        return DayGroups(of_day, course, ())
    courses = table.power_w[whole]
    labels = _labels(courses)
    draws = Streams(seed).stream("like days")
    taken = [np.sort(draws.choice(len(whole), int(_SHARE * len(whole)), replace=False)) for _ in range(_TRIES)]
    partial = [_labels(courses[one]) for one in taken]
    agreement = tuple(
        float(np.mean([alike(labels[k][one], part[k]) for one, part in zip(taken, partial, strict=True)]))
        for k in range(_MOST - 1)
    )
    smallest = max(_SMALLEST * len(whole), _ALIKE_DAYS)
    stable = [k for k, value in enumerate(agreement) if value >= STABLE and _smallest(labels[k]) >= smallest]
    chosen = labels[stable[-1]] if stable else np.zeros(len(whole), np.int64)
    order = np.argsort(-np.bincount(chosen), kind="stable")
    renamed = np.argsort(order)[chosen]
    of_day[whole] = renamed
    course = np.stack([courses[renamed == one].mean(axis=0) for one in range(len(order))])
    return DayGroups(of_day, course, agreement)


def _with_lost_hour(table: DayTable) -> DayTable:
    """Return the days with a single missing bin drawn straight between its neighbours: the day that loses an hour has one."""
    power, bins = table.power_w.copy(), np.arange(table.power_w.shape[1])
    for day in np.flatnonzero(np.isnan(power).sum(axis=1) == 1) if len(bins) >= _HOURLY else ():
        read = ~np.isnan(power[day])
        power[day] = np.interp(bins, bins[read], power[day][read])
    return DayTable(table.bin_s, power)


def _labels(courses: Floats) -> list[NDArray[np.int64]]:
    """Return the groups of each day for two up to six of them, counted from nought."""
    from scipy.cluster.hierarchy import fcluster, linkage

    tree = linkage(courses, "ward")
    return [fcluster(tree, k, "maxclust").astype(np.int64) - 1 for k in range(2, _MOST + 1)]


def _smallest(labels: NDArray[np.int64]) -> int:
    return int(np.bincount(labels).min())


def alike(one: NDArray[np.int64], other: NDArray[np.int64]) -> float:
    """Return the adjusted Rand index of two groupings of the same days: 1 where they are the same, about 0 by chance."""
    table = np.zeros((one.max() + 1, other.max() + 1))
    np.add.at(table, (one, other), 1)

    def pairs(counts: Floats) -> float:
        return float((counts * (counts - 1) / 2).sum())

    both, rows, columns, total = pairs(table), pairs(table.sum(axis=1)), pairs(table.sum(axis=0)), pairs(np.array([len(one)]))
    expected = rows * columns / total
    most = (rows + columns) / 2
    return 1.0 if most == expected else (both - expected) / (most - expected)
