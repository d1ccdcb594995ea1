"""How sure a saving is: the formulas of ASHRAE Guideline 14, as Reddy and Claridge 2000 and Sun and Baltazar 2013 have them."""

from math import sqrt
from typing import Final

from wattwright.proof.fitness import Fitness
from wattwright.proof.models.record import Grain

SIMPLE_FACTOR = 1.26
_POLYNOMIALS: Final = {Grain.DAY: (-0.00024, 0.03535, 1.00286), Grain.MONTH: (-0.00022, 0.03306, 0.94054)}


def student(confidence: float, free: float) -> float:
    """Return Student's two-sided t for a ``confidence`` (0 to 1) and degrees of freedom."""
    from scipy.stats import t

    return float(t.ppf((1 + confidence) / 2, free))


def months_factor(grain: Grain, months: float) -> float:
    """Return what stands in the place of 1.26 for a reporting period of so many ``months``; 1.26 itself for hours.

    a M^2 + b M + c: Sun and Baltazar, in Guideline 14-2014; from memory.
    """
    if grain not in _POLYNOMIALS:
        return SIMPLE_FACTOR
    square, linear, constant = _POLYNOMIALS[grain]
    return square * months**2 + linear * months + constant


def baseline_uncertainty(fit: Fitness, reporting: int, t: float, factor: float = SIMPLE_FACTOR) -> float:
    """Return the half width of the interval of what would have been used, as a share of it.

    t factor CV sqrt((n / n') (1 + 2 / n') / m) for ``reporting`` readings m; n' is n where the residuals are independent.
    Divided by the saving as a share of the same it is the fractional uncertainty of the saving. Source: Reddy and Claridge
    2000, from memory.
    """
    return t * factor * fit.cv_rmse * sqrt(fit.count / fit.effective * (1 + 2 / fit.effective) / reporting)
