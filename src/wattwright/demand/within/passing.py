"""How often and for how long a limit is passed inside intervals whose mean alone was read."""

from collections.abc import Sequence

import numpy as np

from wattwright.core.series import Floats
from wattwright.demand.within.bands import Passing
from wattwright.demand.within.conformal import LEVELS
from wattwright.demand.within.courses import SLOT_S
from wattwright.demand.within.draws import DRAWS
from wattwright.demand.within.views import At, View

_AT_ONCE = 500


def passing(views: Sequence[View], at: At, limit_w: float, draws: np.random.Generator) -> Passing:
    """Return how a limit in W is passed in the intervals ``at``, over minutes, as drawn from each view; the widest of them."""
    told = [np.quantile(_drawn(view, at, limit_w, draws), LEVELS, axis=1) for view in views]
    stacked = np.stack(told)
    low, middle, high = stacked[:, 0].min(axis=0), stacked[:, 1].mean(axis=0), stacked[:, 2].max(axis=0)
    minutes, times, longest = ((float(low[k]), float(middle[k]), float(high[k])) for k in range(3))
    return Passing(limit_w, minutes, times, longest)


def passed(power_w: Floats, limit_w: float, slot_s: int) -> Passing:
    """Return how readings of ``slot_s`` seconds, W, shape (n,), pass a limit: nothing is hidden then."""
    minutes, times, longest = (float(one[0]) for one in _counted(power_w[None, :] > limit_w, slot_s))
    return Passing(limit_w, (minutes,) * 3, (times,) * 3, (longest,) * 3)


def _drawn(view: View, at: At, limit_w: float, draws: np.random.Generator) -> Floats:
    """Return minutes, times and the longest time over the limit in each draw, shape (3, DRAWS)."""
    own = view.courses.mean_w
    may = np.flatnonzero((at.mean_w[:, None] + view.excess_w(view.courses.slot_s) > limit_w).any(axis=1))
    total = np.zeros((3, DRAWS))
    for begin in range(0, len(may), _AT_ONCE):
        rows = may[begin : begin + _AT_ONCE]
        like = view.like[rows]
        power = view.courses.power_w[like] - own[like][..., None] + at.mean_w[rows, None, None]
        counted = _counted(power > limit_w, view.courses.slot_s)
        chosen = draws.integers(0, like.shape[1], (len(rows), DRAWS))
        minutes, times, longest = (np.take_along_axis(one, chosen, axis=1) for one in counted)
        total[0] += minutes.sum(axis=0)
        total[1] += times.sum(axis=0)
        total[2] = np.maximum(total[2], longest.max(axis=0))
    return total


def _counted(over: np.ndarray, slot_s: int = SLOT_S) -> tuple[Floats, Floats, Floats]:
    """Return minutes, number of runs and the longest run in minutes where ``over``, shape (..., slots), is true."""
    each = slot_s / 60
    run = np.zeros(over.shape[:-1])
    longest = np.zeros(over.shape[:-1])
    for slot in range(over.shape[-1]):
        run = np.where(over[..., slot], run + 1, 0.0)
        longest = np.maximum(longest, run)
    begun = (over[..., 1:] & ~over[..., :-1]).sum(axis=-1) + over[..., 0]
    return over.sum(axis=-1) * each, begun.astype(np.float64), longest * each
