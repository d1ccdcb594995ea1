"""Conformal correction: bands are moved until they hold as often as they say on days left out.

Sources: Romano, Patterson, Candes 2019 (conformalised quantile regression); Chernozhukov, Wuethrich, Zhu 2021 (distributional
conformal prediction, by ranks); Vovk 2015 (cross-conformal). Forms from memory. The guarantee holds for days that are
exchangeable with those of the finer stretch: a day like any of them, not one of another season.
"""

import numpy as np

from wattwright.core.series import Floats
from wattwright.demand.within.courses import Ints

NOMINAL = 0.90
TAIL = (1 - NOMINAL) / 2
LEVELS = (TAIL, 0.5, 1 - TAIL)


def tail_correction(beyond: Floats, day: Ints) -> float:
    """Return by how much a bound must move so that ``beyond`` (how far the truth lay outside, in widths) exceeds it in 5 %.

    The level is raised by half a standard error of a share, for the number of independent intervals that the scatter between
    days leaves (design effect of cluster sampling): a few days show only some of what the next ones bring.
    """
    plain = float(np.quantile(beyond, 1 - TAIL))
    missed = (beyond > plain).astype(np.float64)
    _, which, size = np.unique(day, return_inverse=True, return_counts=True)
    by_day = np.bincount(which, missed) / size
    each = float(size.mean())
    between = float(by_day.var()) * each / (TAIL * (1 - TAIL))
    independent = len(beyond) / min(max(between, 1.0), each)
    raised = 1 - TAIL + 0.5 * np.sqrt(TAIL * (1 - TAIL) / independent)
    return float(np.quantile(beyond, min(1.0, raised)))


def rank_levels(ranks: Floats) -> tuple[float, float]:
    """Return the two levels between which the rank of a new day's truth falls with the nominal chance, from ``ranks`` so far.

    With fewer than 39 days there is no such level within them: the lowest and the highest are taken, which hold a new one in
    (n - 1) / (n + 1). The levels are never narrower than the plain ones.
    """
    count = len(ranks)
    if not count:
        return LEVELS[0], LEVELS[2]
    held = np.sort(ranks)
    low, high = TAIL * (count + 1) - 1, (1 - TAIL) * (count + 1) - 1
    first = float(np.interp(low, np.arange(count), held))
    last = float(np.interp(high, np.arange(count), held))
    return min(first, LEVELS[0]), max(last, LEVELS[2])


def guarantee(days: int) -> float:
    """Return the share in which the bands of a new, exchangeable day hold, by its calibration on ``days`` days."""
    return min(NOMINAL, (days - 1) / (days + 1)) if days else 0.0
