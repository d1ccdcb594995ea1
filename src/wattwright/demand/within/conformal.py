"""Conformal correction: bands are moved until they hold as often as they say on days left out.

Sources: Romano, Patterson, Candes 2019 (conformalised quantile regression); Chernozhukov, Wuethrich, Zhu 2021 (distributional
conformal prediction, by ranks); Vovk 2015 (cross-conformal); Tibshirani, Barber, Candes, Ramdas 2019 (weights where what is asked
is spread unlike what is known). Forms from memory. The guarantee holds for days that are exchangeable with those of the finer
stretch: a day like any of them, not one of another season.
"""

import numpy as np

from wattwright.core.series import Floats
from wattwright.demand.within.courses import Ints

NOMINAL = 0.90
TAIL = (1 - NOMINAL) / 2
LEVELS = (TAIL, 0.5, 1 - TAIL)


def tail_correction(beyond: Floats, day: Ints, weight: Floats) -> float:
    """Return by how much a bound must move so that ``beyond`` (how far the truth lay outside, in widths) exceeds it in 5 %.

    All have shape (n,); ``weight`` is how much each interval counts. The level is raised by half a standard error of the share
    missed, by the scatter between days (cluster sampling) and no less than that of independent intervals: a few days show only
    some of what the next ones bring.
    """
    plain = weighted_quantile(beyond, weight, 1 - TAIL)
    missed = (beyond > plain).astype(np.float64)
    _, which = np.unique(day, return_inverse=True)
    of_day = np.bincount(which, weight)
    share = np.bincount(which, weight * missed) / np.maximum(of_day, 1e-12)
    count = of_day / of_day.sum()
    between = float((count**2 * (share - count @ share) ** 2).sum())
    alone = TAIL * (1 - TAIL) * float((weight**2).sum() / weight.sum() ** 2)
    return weighted_quantile(beyond, weight, min(1.0, 1 - TAIL + 0.5 * np.sqrt(max(between, alone))))


def weighted_quantile(values: Floats, weight: Floats, level: float) -> float:
    """Return the smallest of ``values`` that with all below it carries the share ``level`` of the ``weight``; shapes (n,)."""
    order = np.argsort(values, kind="stable")
    carried = np.cumsum(weight[order])
    place = int(np.searchsorted(carried, level * carried[-1] * (1 - 1e-12)))
    return float(values[order][min(place, len(values) - 1)])


def rank_levels(ranks: Floats) -> tuple[float, float]:
    """Return the two levels between which the rank of a new day's truth falls with the nominal chance, from ``ranks`` so far.

    Between the lowest and the highest of n a new one falls in (n - 1) / (n + 1): with too few days for the nominal share the
    levels are those, and never narrower than the plain ones. They lie below 0 or above 1 where a truth lay beyond all draws.
    """
    count = len(ranks)
    if not count:
        return LEVELS[0], LEVELS[2]
    held = np.sort(ranks)
    low, high = TAIL * (count + 1) - 1, (1 - TAIL) * (count + 1) - 1
    first = float(np.interp(low, np.arange(count), held))
    last = float(np.interp(high, np.arange(count), held))
    if guarantee(count) < NOMINAL:
        first, last = min(first, LEVELS[0]), max(last, LEVELS[2])
    return first, last


def guarantee(days: int) -> float:
    """Return the share in which the bands of a new, exchangeable day hold, by its calibration on ``days`` days."""
    return min(NOMINAL, (days - 1) / (days + 1)) if days else 0.0


FEWEST_DAYS = next(days for days in range(1, 1000) if guarantee(days) >= NOMINAL)
"""With fewer days of finer readings the bands of a new day cannot be promised as often as they say."""
