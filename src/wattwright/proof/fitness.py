"""How well a model agrees with what was measured, and how many readings that amounts to.

CV(RMSE) and NMBE divide by n - p, as ASHRAE Guideline 14 has it (from memory). A residual is what was measured less what was
predicted, so a positive NMBE says that the model tells too little; documents differ in that sign.
"""

from dataclasses import dataclass

import numpy as np

from wattwright.core.series import Floats

_ALIKE_AT_MOST = 0.99
"""A correlation of one would leave no reading at all; at this there is one in two hundred."""


@dataclass(frozen=True, slots=True)
class Fitness:
    """Agreement of a model of ``parameters`` with ``count`` readings.

    ``rmse`` in the unit of the readings; ``cv_rmse`` and ``nmbe`` as shares of their mean; ``r2`` as a share; ``alike`` is the
    first autocorrelation of the residuals; ``effective`` how many independent readings say as much.
    """

    count: int
    parameters: int
    rmse: float
    cv_rmse: float
    nmbe: float
    r2: float
    alike: float
    effective: float

    @property
    def free(self) -> float:
        """Return the degrees of freedom that are left of the independent readings, 1 at least."""
        return max(self.effective - self.parameters, 1.0)


def fitness(measured: Floats, predicted: Floats, parameters: int) -> Fitness:
    """Return how ``predicted`` agrees with ``measured``, both of shape (n,) in one unit, in the order of time.

    Raises ValueError where the shapes differ, or no reading is left over beside the parameters.
    """
    count = len(measured)
    if measured.shape != predicted.shape or count <= parameters:
        raise ValueError("a fit needs as many predictions as readings, and more readings than parameters")
    residual = measured - predicted
    mean, squares = float(measured.mean()), float(residual @ residual)
    spread = float(((measured - mean) ** 2).sum())
    rmse = float(np.sqrt(squares / (count - parameters)))
    alike = first_autocorrelation(residual)
    return Fitness(
        count,
        parameters,
        rmse,
        rmse / mean if mean else float("nan"),
        float(residual.sum()) / ((count - parameters) * mean) if mean else float("nan"),
        1 - squares / spread if spread > 0 else 0.0,
        alike,
        effective_count(count, alike),
    )


def first_autocorrelation(residual: Floats) -> float:
    """Return the correlation of residuals, shape (n,), with those one reading later, about their mean; 0 where there is none."""
    about = residual - residual.mean()
    square = float(about @ about)
    return float(about[1:] @ about[:-1]) / square if square > 0 else 0.0


def autocorrelations(residual: Floats, lags: int) -> Floats:
    """Return the correlations of residuals, shape (n,), with those one to ``lags`` readings later, shape (lags,); 0 where none.

    Each sum is over that of all squares, so that none passes one: Box and Jenkins, from memory.
    """
    about = residual - residual.mean()
    square = float(about @ about)
    if square <= 0:
        return np.zeros(lags)
    return np.array([float(about[lag:] @ about[:-lag]) / square for lag in range(1, lags + 1)])


def effective_count(count: int, alike: float) -> float:
    """Return n' = n (1 - r) / (1 + r): how many independent readings say as much as ``count`` that are alike by r.

    Readings that turn about (r below nought) count no more than independent ones. Source: Reddy and Claridge 2000, from memory.
    """
    share = min(max(alike, 0.0), _ALIKE_AT_MOST)
    return count * (1 - share) / (1 + share)
