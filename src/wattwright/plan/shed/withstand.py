"""How long a supply withstands an overload: stepwise as data sheets state it, by I2t, or as standards demand of breakers.

All of them give a time for a ratio to the rating: inf up to the rating, 0 for what is not withstood at all. An overload uses up
the share time / withstand, and at 1 the supply trips, as in the engine.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal, Protocol

import numpy as np
from numpy.typing import ArrayLike, NDArray

from wattwright.simulate.supply_kernels import SAME

Floats = NDArray[np.float64]
_SMALL_A = 63.0
"""Up to this rating the conventional time of breakers is an hour, above it two (IEC 60898-1, from memory)."""
_HOUR_S = 3600.0
_INSTANT_S = 0.1
_UNTRIPPED = {"B": 3.0, "C": 5.0, "D": 10.0}


class Withstand(Protocol):
    """How long overloads are borne."""

    def time_s(self, ratios: ArrayLike) -> Floats:
        """Return for how long each of ``ratios`` to the rating is borne, s: inf up to the rating, 0 where it is not at all."""


@dataclass(frozen=True, slots=True)
class Stepwise:
    """Pairs (r, t): up to r times the rating is borne for t seconds; beyond the last nothing is."""

    points: tuple[tuple[float, float], ...]

    def time_s(self, ratios: ArrayLike) -> Floats:
        """Return what ``Withstand.time_s`` says."""
        ratio = np.asarray(ratios, np.float64)
        upto = np.array([1.0, *(one for one, _ in self.points)]) + SAME
        times = np.array([np.inf, *(time for _, time in self.points), 0.0])
        return np.asarray(times[np.searchsorted(upto, ratio, side="left")])


@dataclass(frozen=True, slots=True)
class Thermal:
    """A heat that is borne: above ``from_ratio`` times the rating for I2t / I^2, at ``instant_ratio`` and beyond not at all.

    ``i2t_a2s`` is the least that melts or trips, of the data sheet. Adiabatic: it counts no cooling, so times come out short.
    """

    rating_a: float
    i2t_a2s: float
    from_ratio: float = 1.0
    instant_ratio: float = np.inf

    def time_s(self, ratios: ArrayLike) -> Floats:
        """Return what ``Withstand.time_s`` says."""
        ratio = np.asarray(ratios, np.float64)
        borne = self.i2t_a2s / (np.maximum(ratio, self.from_ratio) * self.rating_a) ** 2
        below = ratio <= max(self.from_ratio, 1.0) + SAME
        return np.asarray(np.where(below, np.inf, np.where(ratio >= self.instant_ratio, 0.0, borne)))


def breaker(letter: Literal["B", "C", "D"], rating_a: float) -> Stepwise:
    """Return what a miniature circuit breaker must bear by its standard, and no more: real ones bear longer.

    1.13 times for the conventional time, 2.55 times for a second, and the least that trips at once, 3, 5 or 10 times, for 0.1 s.
    Source: IEC 60898-1; 2.55 times and two hours above 63 A from memory.
    """
    conventional_s = _HOUR_S if rating_a <= _SMALL_A else 2.0 * _HOUR_S
    return Stepwise(((1.13, conventional_s), (2.55, 1.0), (_UNTRIPPED[letter], _INSTANT_S)))


def trips_by_s(rating_a: float) -> Sequence[tuple[float, float]]:
    """Return pairs (r, t): a breaker must have tripped by t seconds at r times its rating.

    Source: IEC 60898-1: 1.45 times within the conventional time; 2.55 times within 60 s, above 32 A within 120 s (from memory).
    """
    conventional_s = _HOUR_S if rating_a <= _SMALL_A else 2.0 * _HOUR_S
    return ((1.45, conventional_s), (2.55, 60.0 if rating_a <= 32.0 else 120.0))
