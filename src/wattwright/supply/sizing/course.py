"""The course that sizes are held against: what the site takes, what a watt of PV gives, and when the grid is there."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from wattwright.core.seeds import Streams

Floats = NDArray[np.float64]
STEP_S = 900
"""Steps of the screen: the window of most demand charges."""
_WEEK_S = 7 * 86_400
APART_S = 86_400
"""Twice as long as the grid takes to fill an empty reserve."""
_KWH_J = 3.6e6


@dataclass(frozen=True, slots=True, eq=False)
class Course:
    """n steps of ``step_s`` from ``start_s`` (UTC): ``site_w``, ``pv_share`` (W per W of modules), ``grid`` (1 or 0), (n,).

    ``beside_w`` (n,) is what PV that is there already gives beside the grid.
    """

    start_s: int
    step_s: int
    site_w: Floats
    pv_share: Floats
    grid: Floats
    beside_w: Floats

    def __len__(self) -> int:
        """Return the number of steps."""
        return len(self.site_w)

    @property
    def hours(self) -> float:
        """Return its length in hours."""
        return len(self) * self.step_s / 3600.0

    @property
    def islanded_kwh(self) -> float:
        """Return what the site wants while there is no grid, kWh."""
        return float(((1.0 - self.grid) * self.site_w).sum()) * self.step_s / _KWH_J

    def without(self, grid: Floats) -> "Course":
        """Return it with another course of the grid, (n,)."""
        return replace(self, grid=grid)


def course_of(
    start_s: int, minute_s: float, site_w: Floats, pv_share: Floats, beside_w: Floats, step_s: int = STEP_S
) -> Course:  # fmt: skip
    """Return the means of courses of ``minute_s`` over whole steps of ``step_s``; what is left at the end is left out."""
    each = round(step_s / minute_s)
    whole = len(site_w) // each * each
    taken, given, beside = (
        np.ascontiguousarray(one[:whole].reshape(-1, each).mean(axis=1)) for one in (site_w, pv_share, beside_w)
    )
    return Course(start_s, step_s, taken, given, np.ones(whole // each), beside)


def energy_of_outage_kwh(course: Course, outage_s: float, off_w: Floats) -> float:
    """Return the most that the site takes in any outage of so long, kWh, by steps: what a reserve must hold without any sun.

    ``off_w`` (n,) is what is held off without the grid.
    """
    width = _width(course, outage_s)
    sums = np.cumsum(np.concatenate(([0.0], course.site_w - off_w)))
    return float((sums[width:] - sums[:-width]).max()) * course.step_s / _KWH_J


def with_outages(
    course: Course, outage_s: float, seed: int, wants: Sequence[Floats] = (), roofs: Sequence[tuple[Floats, float]] = ()
) -> Course:  # fmt: skip
    """Return a course with an outage in each week, at an hour drawn by chance, and those that leave least.

    The worst are those in which what is wanted, less what no PV, half and all of it give, is highest: by each of ``wants``, (n,)
    each, else what the site takes, and for each of ``roofs``, what a watt of PV gives there, (n,), and the most W of it. Who is
    judged by the worst hours of others alone looks better than he is. Outages lie at least APART_S apart, so that each is met
    with a battery filled again: where one would not, the worst that does stands in for it. Longer ones than a week come as often
    as that leaves room.
    """
    width, apart = _width(course, outage_s), APART_S // course.step_s
    grid, chance = np.ones(len(course)), Streams(seed).stream("supply.outages")
    placed = set[int]()
    for share in (0.0, 0.5, 1.0):
        for given, most_w in roofs if share else ((course.pv_share, 0.0),):
            for wanted_w in wants or (course.site_w,):
                sums = np.cumsum(np.concatenate(([0.0], wanted_w - share * most_w * given)))
                _place_worst(grid, placed, sums[width:] - sums[:-width], width, apart)
    every = max(_WEEK_S // course.step_s, width + apart)
    for begins in range(0, len(course) - width + 1, every):
        most = min(every, len(course) - begins) - width
        at = begins + int(chance.integers(0, most + 1))
        if _free(grid, width, apart)[at]:
            grid[at : at + width] = 0.0
    return course.without(grid)


def missed_share(course: Course, outage_s: float, wanted_w: Floats) -> float:
    """Return by what share the outages of a course take less at most than any of their length would, by ``wanted_w`` (n,)."""
    width = _width(course, outage_s)
    sums, gone = (np.cumsum(np.concatenate(([0.0], one))) for one in (wanted_w, 1.0 - course.grid))
    taken, is_tried = sums[width:] - sums[:-width], gone[width:] - gone[:-width] == width
    most = float(taken.max())
    return 1.0 - float(taken[is_tried].max(initial=0.0)) / most if most > 0.0 else 0.0


def _place_worst(grid: Floats, placed: set[int], taken: Floats, width: int, apart: int) -> None:
    """Take the grid away where most is ``taken`` by start, unless that is ``placed``; else where most is of what is left free."""
    if int(np.argmax(taken)) in placed:
        return
    free = _free(grid, width, apart)
    if free.any():
        at = int(np.argmax(np.where(free, taken, -np.inf)))
        grid[at : at + width] = 0.0
        placed.add(at)


def _free(grid: Floats, width: int, apart: int) -> NDArray[np.bool_]:
    """Return whether an outage of ``width`` steps could begin at each start without coming near another."""
    gone = np.cumsum(np.concatenate(([0.0], 1.0 - grid)))
    starts = np.arange(len(grid) - width + 1)
    return np.asarray(gone[np.minimum(starts + width + apart, len(grid))] == gone[np.maximum(starts - apart, 0)])


def _width(course: Course, outage_s: float) -> int:
    return min(max(1, int(np.ceil(outage_s / course.step_s))), len(course))


def longest_outage_s(course: Course) -> float:
    """Return the length of the longest time without the grid, s."""
    edges = np.flatnonzero(np.diff(np.concatenate(([1.0], course.grid, [1.0]))))
    return float(np.max(edges[1::2] - edges[::2], initial=0)) * course.step_s
