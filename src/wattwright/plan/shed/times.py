"""Random times in closed form: one of several shifts, by chance, plus spreads that are even and independent of one another."""

from dataclasses import dataclass
from itertools import chain, combinations
from math import factorial, prod

import numpy as np
from numpy.typing import ArrayLike, NDArray

from wattwright.core.errors import OwnFault

Floats = NDArray[np.float64]
LEAST_SHARE = 1e-10
"""Chains of lost telegrams less likely than this count as never arriving."""
_EXACT = 1e-9


@dataclass(frozen=True, slots=True, eq=False)
class Times:
    """A random time: ``shifts_s`` (m,) with ``weights`` (m,), plus even spreads from nought over each of ``widths_s``.

    What the weights lack of 1 is the share that never comes.
    """

    shifts_s: Floats
    weights: Floats
    widths_s: tuple[float, ...] = ()

    @property
    def never_share(self) -> float:
        """Return the share that never comes."""
        return max(0.0, 1.0 - float(self.weights.sum()))

    @property
    def least_s(self) -> float:
        """Return the shortest it can take, s; inf where it never comes."""
        return float(np.min(self.shifts_s, initial=np.inf))

    def by(self, times_s: ArrayLike) -> Floats:
        """Return the share that has come by each of ``times_s``; what comes at that very instant counts."""
        at = np.asarray(times_s, np.float64)
        return np.asarray(spread_by(at[..., None] - self.shifts_s, self.widths_s) @ self.weights)

    def quantile_s(self, share: float) -> float:
        """Return by when ``share`` of them have come, s; inf where no more than that ever do."""
        if not share <= 1.0 - self.never_share:
            return np.inf
        low, high = self.least_s, float(self.shifts_s.max()) + sum(self.widths_s)
        for _ in range(80):
            middle = 0.5 * (low + high)
            low, high = (low, middle) if float(self.by(middle)) >= share else (middle, high)
        return high

    def later(self, time_s: float) -> "Times":
        """Return the same so much later."""
        return Times(self.shifts_s + time_s, self.weights, self.widths_s)


def at_once(time_s: float = 0.0) -> Times:
    """Return a time that is certain."""
    return Times(np.array([time_s]), np.ones(1))


def repeats(lost_share: float) -> Floats:
    """Return the chances (m,) that 0, 1, 2... telegrams are lost before one arrives: (1 - q) q^n.

    Raises OwnFault for what is no share.
    """
    if not 0.0 <= lost_share <= 1.0:
        raise OwnFault(f"a share of {lost_share} of telegrams cannot be lost")
    if lost_share == 1.0:
        return np.zeros(0)
    most = 0 if lost_share == 0.0 else int(np.ceil(np.log(LEAST_SHARE) / np.log(lost_share)))
    return np.asarray((1.0 - lost_share) * lost_share ** np.arange(most + 1))


def spread_by(times_s: Floats, widths_s: tuple[float, ...]) -> Floats:
    """Return the share of a sum of even spreads from nought over ``widths_s`` that is no more than each of ``times_s``.

    With n widths w: F(x) = sum over subsets S of (-1)^|S| max(0, x - sum of S)^n / (n! prod w). Where widths are so unlike that
    this would lose digits, the narrowest counts with its whole width, which never makes a time shorter. Source: the sum of
    uniform variables, Feller, An Introduction to Probability Theory, vol. 2, I.9, from memory.
    """
    widths = sorted((width for width in widths_s if width > 0.0), reverse=True)
    late = 0.0
    while len(widths) > 1 and not _keeps_digits(widths):
        late += widths.pop()
    x, n = times_s - late, len(widths)
    if n == 0:
        return np.asarray(x >= 0.0, np.float64)
    subsets = chain.from_iterable(combinations(widths, size) for size in range(n + 1))
    total = sum(((-1.0) ** len(one) * np.maximum(0.0, x - sum(one)) ** n for one in subsets), np.zeros_like(x))
    inside = np.clip(total / (factorial(n) * prod(widths)), 0.0, 1.0)
    return np.asarray(np.where(x >= sum(widths), 1.0, inside))


def _keeps_digits(widths: list[float]) -> bool:
    n = len(widths)
    return bool(2**n * np.finfo(float).eps * sum(widths) ** n < _EXACT * factorial(n) * prod(widths))
