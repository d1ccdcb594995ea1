"""Ageing after Xu et al. 2018: stress of each cycle and of time, added up, behind a first quick loss.

B. Xu, A. Oudalov, A. Ulbig, G. Andersson, D. Kirschen, Modeling of lithium-ion battery degradation for cell life assessment, IEEE
Transactions on Smart Grid 9 (2018) 1131: constants of its lithium manganese oxide cell, as three copies of them have it.
"""

from math import exp, log1p
from typing import Final

import numpy as np

from wattwright.supply.wear.course import YEAR_S, Course
from wattwright.supply.wear.cycles import Cycles, Floats

_FILM: Final = 5.75e-2
_FILM_RATE: Final = 121.0
_DEPTH: Final = (1.40e5, -0.501, -1.23e5)
_CHARGE: Final = 1.04
_WARM: Final = 6.93e-2
_TIME_PER_S: Final = 4.14e-10
_AT_SHARE, _AT_C, _ZERO_K = 0.5, 25.0, 273.15


def depth_stress(depth_share: Floats) -> Floats:
    """Return the stress of a cycle by its depth, shape as given; depths above nought."""
    by, power, less = _DEPTH
    return np.asarray(1.0 / (by * np.asarray(depth_share) ** power + less), np.float64)


def charge_stress(mean_share: Floats) -> Floats:
    """Return the stress of a mean charge, 1 at a half, shape as given."""
    return np.asarray(np.exp(_CHARGE * (np.asarray(mean_share) - _AT_SHARE)), np.float64)


def warm_stress(cell_c: Floats) -> Floats:
    """Return the stress of warmth, 1 at 25 degC, shape as given."""
    above_k = np.asarray(cell_c) - _AT_C
    return np.asarray(np.exp(_WARM * above_k * (_ZERO_K + _AT_C) / (_ZERO_K + np.asarray(cell_c))), np.float64)


def yearly_stress(course: Course, cycles: Cycles) -> tuple[float, float]:
    """Return the stress that a year of such a course adds: by cycles, and by time."""
    moved = cycles.depth_share > 0.0
    warm = warm_stress(_mean_c(course.cells_c, cycles))
    each = cycles.counts[moved] * depth_stress(cycles.depth_share[moved]) * (charge_stress(cycles.mean_share) * warm)[moved]
    time = charge_stress(course.charge_share.mean()) * warm_stress(course.cells_c.mean())
    return float(each.sum()) / course.years, _TIME_PER_S * YEAR_S * float(time)


def lost_share(stress: Floats) -> Floats:
    """Return the share of its capacity that a battery has lost under so much stress, shape as given."""
    return np.asarray(1.0 - _FILM * np.exp(-_FILM_RATE * np.asarray(stress)) - (1.0 - _FILM) * np.exp(-np.asarray(stress)))


def stress_until(lost: float) -> float:
    """Return the stress under which the share ``lost`` of the capacity, over 0 and under 1, is gone."""
    from scipy.optimize import brentq

    def over(stress: float) -> float:
        return 1.0 - _FILM * exp(-_FILM_RATE * stress) - (1.0 - _FILM) * exp(-stress) - lost

    # The first quick part only adds to the loss: under the slower part alone it would take longest.
    return float(brentq(over, 0.0, -log1p(-lost), xtol=1e-15))


def _mean_c(cells_c: Floats, cycles: Cycles) -> Floats:
    """Return the mean temperature of the cells in the course of each cycle's half, shape (m,)."""
    run = np.concatenate(([0.0], np.cumsum(cells_c)))
    return np.asarray((run[cycles.last + 1] - run[cycles.first]) / (cycles.last + 1 - cycles.first), np.float64)
