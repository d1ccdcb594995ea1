"""What a record says of a number, with its error, and how closely a simulation follows a record.

Means are such as a few odd values do not move, or of days of which neighbours are alike.
"""

from dataclasses import dataclass
from math import sqrt

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
_TRIMMED = 0.1
"""Share left out at each end of a robust mean."""
_ALIKE = 0.9


@dataclass(frozen=True, slots=True)
class Estimate:
    """A mean with its standard error and the degrees of freedom that error was found with."""

    value: float
    error: float
    freedom: float


def robust_mean(values: Floats) -> Estimate:
    """Return the mean of independent ``values``, shape (n,) with n of 3 or more, a tenth left out at each end.

    Its error is that of the winsorised values. Source: Yuen, Biometrika 61 (1974), from memory.
    """
    ordered = np.sort(values)
    many, cut = len(ordered), int(_TRIMMED * len(ordered))
    kept = ordered[cut : many - cut]
    pulled = np.clip(ordered, kept[0], kept[-1])
    error = sqrt((many - 1) * float(pulled.var(ddof=1)) / (len(kept) * (len(kept) - 1)))
    return Estimate(float(kept.mean()), error, len(kept) - 1.0)


def serial_mean(values: Floats) -> Estimate:
    """Return the mean of ``values`` that follow one another, shape (n,) with n of 3 or more.

    Its error counts neighbours that are alike: (1 + r) / (1 - r) times the variance of independent ones, r the correlation of
    neighbours, corrected by (1 + 3 r) / n for its lean towards nought. Source: first-order autoregression, textbook; the
    correction after Kendall and Marriott (1954), from memory.
    """
    many = len(values)
    about = values - values.mean()
    spread = float(about @ about)
    if spread == 0.0:
        return Estimate(float(values.mean()), 0.0, many - 1.0)
    seen = float(about[1:] @ about[:-1]) / spread
    alike = float(np.clip(seen + (1.0 + 3.0 * seen) / many, 0.0, _ALIKE))
    worth = many * (1.0 - alike) / (1.0 + alike)
    return Estimate(float(values.mean()), sqrt(spread / (many - 1) / worth), max(worth - 1.0, 1.0))


@dataclass(frozen=True, slots=True)
class Goodness:
    """How closely a simulation follows a record: CV(RMSE), NMBE and the share of the energy explained, each a share of 1.

    NMBE is positive where the simulation gives too little. The share explained is 1 less the sum of absolute differences over
    the energy.
    """

    cv_rmse: float
    nmbe: float
    explained_share: float


def goodness(recorded: Floats, simulated: Floats, fitted: int) -> Goodness:
    """Return how closely ``simulated`` follows ``recorded``, shape (n,) each, with ``fitted`` parameters; NaN are left out.

    Source: ASHRAE Guideline 14, from memory: sqrt(sum (y - s)^2 / (n - p)) / mean and sum (y - s) / ((n - p) mean).
    """
    both = ~(np.isnan(recorded) | np.isnan(simulated))
    real, made = recorded[both], simulated[both]
    free = len(real) - fitted
    mean = float(real.mean()) if len(real) else 0.0
    if free < 1 or mean <= 0.0:
        return Goodness(float("nan"), float("nan"), float("nan"))
    off = real - made
    explained = 1.0 - float(np.abs(off).sum()) / float(real.sum())
    return Goodness(sqrt(float(off @ off) / free) / mean, float(off.sum()) / free / mean, explained)
