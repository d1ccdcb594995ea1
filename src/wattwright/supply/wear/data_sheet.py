"""Ageing by a data sheet: cycles by depth with Miner's sum, and a life at rest that warmth shortens.

Both run in proportion to time, and the one that is over first decides: cycles do not shorten the life at rest. That is how
data sheets are read in the trade (common practice, no source); a model that adds the two tells shorter lives.
"""

from math import log

import numpy as np

from wattwright.supply.wear.course import Course
from wattwright.supply.wear.cycles import Cycles, Floats
from wattwright.supply.wear.spec import DepthPoints, Wear

_ZERO_K = 273.15
_AT_K, _WARM_K = 298.15, 308.15


def cycles_until_worn(points: DepthPoints, depth_share: Floats) -> Floats:
    """Return how many cycles of each depth wear a battery out, shape as ``depth_share``; all depths above nought.

    A power law between neighbouring points, those at the ends continued. From a single point the energy that passes through until
    the end is taken as the same at every depth: careful for shallower cycles, common practice, no source.
    """
    depths, counts = (np.log([one[k] for one in points]) for k in (0, 1))
    x = np.log(depth_share)
    if len(points) == 1:
        return np.asarray(np.exp(counts[0] + depths[0] - x), np.float64)
    slopes = np.diff(counts) / np.diff(depths)
    piece = np.clip(np.searchsorted(depths, x) - 1, 0, len(slopes) - 1)
    return np.asarray(np.exp(counts[piece] + slopes[piece] * (x - depths[piece])), np.float64)


def miner(points: DepthPoints, cycles: Cycles) -> float:
    """Return the share of a battery's life that the cycles use up: count over number until worn, added up (Miner's rule)."""
    moved = cycles.depth_share > 0.0
    return float((cycles.counts[moved] / cycles_until_worn(points, cycles.depth_share[moved])).sum())


def warmth(cell_c: Floats, warm_factor: float) -> Floats:
    """Return how many times faster ageing at rest runs than at 25 degC, by Arrhenius' law; ``warm_factor`` is that at 35 degC."""
    per_k = log(warm_factor) / (1.0 / _AT_K - 1.0 / _WARM_K)
    return np.asarray(np.exp(per_k * (1.0 / _AT_K - 1.0 / (_ZERO_K + np.asarray(cell_c)))), np.float64)


def yearly_wear(spec: Wear, course: Course, cycles: Cycles) -> tuple[float, float]:
    """Return which share of its life a battery loses in a year of such a course: to cycles, and at rest."""
    rest = float(warmth(course.cells_c, spec.warmth_factor).mean()) / spec.rest_years
    return miner(spec.depth_points, cycles) / course.years, rest
