"""Loads that a clock switches at the edge of an interval, found in long steps by their edges instead of their level.

Heating that glides leaves such a load no level of its own. But its edges come at the same time of day, by the same power, day
after day, and nothing that glides does that.
"""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
_EVEN, _MATCH = 0.2, 0.1
"""The middle half of the days' steps lies within so much of the level, and the step down is the step up within so much: common
practice, no source. On invented sites what people switch by habit stayed far outside."""
_FEWEST_DAYS = 14
_MOST = 3


@dataclass(frozen=True, slots=True, eq=False)
class Clocked:
    """A load of ``level_w`` and the chance that it was on in each interval, (n,)."""

    level_w: float
    chance: Floats


@dataclass(frozen=True, slots=True)
class _Edge:
    """The step at one time of day, W: its middle over the days and the width of their middle half."""

    slot: int
    middle_w: float
    width_w: float


def clocked_loads(power_w: Floats, step_s: int, hour: Ints, least_w: float) -> tuple[Clocked, ...]:
    """Return the loads that go on and off at the same times of day by the same power (W, shape (n,), NaN in gaps).

    ``hour`` (n,) is the hour of the local day; no level below ``least_w`` is taken.
    """
    each = max(1, 3600 // step_s)
    slot = hour * each + np.arange(len(hour)) % each
    step = np.diff(power_w, prepend=np.nan)
    found = []
    for rise, fall in _pairs(list(_edges(step, slot)), least_w):
        level = 0.5 * (rise.middle_w - fall.middle_w)
        found.append(Clocked(level, _chance(step, slot, rise, fall)))
        if len(found) == _MOST:
            break
    return tuple(found)


def _edges(step: Floats, slot: Ints) -> Iterator[_Edge]:
    for one in np.unique(slot):
        seen = step[(slot == one) & ~np.isnan(step)]
        if len(seen) >= _FEWEST_DAYS:
            low, middle, high = np.quantile(seen, (0.25, 0.5, 0.75))
            yield _Edge(int(one), float(middle), float(high - low))


def _pairs(edges: list[_Edge], least_w: float) -> Iterator[tuple[_Edge, _Edge]]:
    """Yield a rise and a fall that match, the largest first, each edge once."""
    even = [one for one in edges if abs(one.middle_w) > least_w and one.width_w < _EVEN * abs(one.middle_w)]
    falls = [one for one in even if one.middle_w < 0.0]
    for rise in sorted((one for one in even if one.middle_w > 0.0), key=lambda one: -one.middle_w):
        near = [one for one in falls if abs(rise.middle_w + one.middle_w) < _MATCH * rise.middle_w]
        if near:
            fall = min(near, key=lambda one: abs(rise.middle_w + one.middle_w))
            falls.remove(fall)
            yield rise, fall


def _chance(step: Floats, slot: Ints, rise: _Edge, fall: _Edge) -> Floats:
    """Return the chance that it was on in each interval, (n,): between the two edges, on the days that show them.

    Steps about their middle are taken for Laplace's, whose middle half is 2 ln 2 scales wide.
    """
    begins, ends = np.flatnonzero(slot == rise.slot), np.flatnonzero(slot == fall.slot)
    chance = np.zeros(len(step))
    for first in begins:
        after = ends[ends > first]
        last = int(after[0]) if len(after) else len(step)
        likely = _for(step[first], rise) + (_for(step[last], fall) if len(after) else 0.0)
        chance[first:last] = 1.0 / (1.0 + np.exp(-likely))
    return chance


def _for(step_w: float, edge: _Edge) -> float:
    """Return how much a step speaks for the load having switched, in natural logarithms; nought where it was not read."""
    scale = max(edge.width_w / (2 * np.log(2.0)), 1e-3 * abs(edge.middle_w))
    return 0.0 if np.isnan(step_w) else float(np.clip((abs(step_w) - abs(step_w - edge.middle_w)) / scale, -50.0, 50.0))
