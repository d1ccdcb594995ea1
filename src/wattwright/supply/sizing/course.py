"""The course that sizes are held against: what the site takes, what a watt of PV gives, and when the grid is there."""

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from wattwright.core.seeds import Streams

Floats = NDArray[np.float64]
STEP_S = 900
"""Steps of the screen: the window of most demand charges."""
_WEEK_S = 7 * 86_400
_KWH_J = 3.6e6


@dataclass(frozen=True, slots=True, eq=False)
class Course:
    """n steps of ``step_s`` from ``start_s`` (UTC): ``site_w``, ``pv_share`` (W per W of modules) and ``grid`` (1 or 0), (n,)."""

    start_s: int
    step_s: int
    site_w: Floats
    pv_share: Floats
    grid: Floats

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


def course_of(start_s: int, minute_s: float, site_w: Floats, pv_share: Floats, step_s: int = STEP_S) -> Course:
    """Return the means of courses of ``minute_s`` over whole steps of ``step_s``; what is left at the end is left out."""
    each = round(step_s / minute_s)
    whole = len(site_w) // each * each
    taken, given = (np.ascontiguousarray(one[:whole].reshape(-1, each).mean(axis=1)) for one in (site_w, pv_share))
    return Course(start_s, step_s, taken, given, np.ones(whole // each))


def energy_of_outage_kwh(course: Course, outage_s: float, off_w: Floats) -> float:
    """Return the most that the site takes in any outage of so long, kWh, by steps: what a reserve must hold without any sun.

    ``off_w`` (n,) is what is held off without the grid.
    """
    width = _width(course, outage_s)
    sums = np.cumsum(np.concatenate(([0.0], course.site_w - off_w)))
    return float((sums[width:] - sums[:-width]).max()) * course.step_s / _KWH_J


def with_outages(course: Course, outage_s: float, seed: int) -> Course:
    """Return a course with an outage in each week, at an hour drawn by chance, and one at the worst: where least is left.

    The worst is where what the site takes less what half of its own energy in PV would give is highest.
    """
    width = _width(course, outage_s)
    grid, chance = np.ones(len(course)), Streams(seed).stream("supply.outages")
    week = _WEEK_S // course.step_s
    for begins in range(0, len(course), week):
        most = min(week, len(course) - begins) - width
        at = begins + int(chance.integers(0, max(most, 0) + 1))
        grid[at : at + width] = 0.0
    given = course.pv_share.sum()
    lacks = course.site_w - course.pv_share * (0.5 * course.site_w.sum() / given if given > 0.0 else 0.0)
    sums = np.cumsum(np.concatenate(([0.0], lacks)))
    worst = int(np.argmax(sums[width:] - sums[:-width]))
    grid[worst : worst + width] = 0.0
    return course.without(grid)


def _width(course: Course, outage_s: float) -> int:
    return min(max(1, int(np.ceil(outage_s / course.step_s))), len(course))


def longest_outage_s(course: Course) -> float:
    """Return the length of the longest time without the grid, s."""
    edges = np.flatnonzero(np.diff(np.concatenate(([1.0], course.grid, [1.0]))))
    return float(np.max(edges[1::2] - edges[::2], initial=0)) * course.step_s
