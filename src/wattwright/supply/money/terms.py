"""Real and nominal: money of today's worth and money of each year, and the one way between them."""

from typing import Literal

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Terms = Literal["real", "nominal"]
"""Real: amounts in money of year 0, rates over inflation. Nominal: amounts as they will be paid, rates as a bank states them."""


def nominal_rate(rate: float, inflation: float, terms: Terms) -> float:
    """Return the nominal rate a year of one given in ``terms``: (1 + real) (1 + inflation) - 1. Source: Fisher's equation."""
    return (1.0 + rate) * (1.0 + inflation) - 1.0 if terms == "real" else rate


def real_rate(rate: float, inflation: float, terms: Terms) -> float:
    """Return the real rate a year of one given in ``terms``: (1 + nominal) / (1 + inflation) - 1. Source: Fisher's equation."""
    return (1.0 + rate) / (1.0 + inflation) - 1.0 if terms == "nominal" else rate


def growth(rate: float, years: int) -> Floats:
    """Return (1 + rate) to the power of each year 0 to ``years``, shape (years + 1,)."""
    return np.asarray((1.0 + rate) ** np.arange(years + 1.0), np.float64)
