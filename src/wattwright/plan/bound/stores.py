"""Stores in a linear programme: a body that drifts, filled and emptied, never worse off than by the engine's own equation.

x is what a body holds beyond a reference that it never falls below, a the share of it that is left after a step, b what its
surroundings put in. Whatever happens when within a step,

    x(next) <= a x + b + filled - a drawn,     mean of x <= c x + d + filled

since what is filled in decays, and what is drawn early would have decayed too. Temperatures of what is cooled are taken the other
way round, so that cold is filled in.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True, eq=False)
class Drift:
    """How n steps of k parts pass for a body: ``left`` (a), ``put`` (b), and of its mean ``mean_left`` (c), ``mean_put`` (d).

    ``low`` is the sum of what its surroundings put in, with nothing lost of it: no value within a step rises above x by more.
    """

    left: Floats
    put: Floats
    mean_left: Floats
    mean_put: Floats
    low: Floats


def drift(tau_s: Floats, ends: Floats, part_s: float) -> Drift:
    """Return how a body passes steps in which it drifts to ``ends`` (n, k), none below nought, with ``tau_s`` (n, k)."""
    n, k = ends.shape
    gone = -np.expm1(-part_s / tau_s)
    mean_gone = 1.0 - gone * tau_s / part_s
    left, put, mean_left, mean_put = np.ones(n), np.zeros(n), np.zeros(n), np.zeros(n)
    for part in range(k):
        # Over a part the mean of a drift from x to its end is x + (end - x) mean_gone.
        mean_left += left * (1.0 - mean_gone[:, part]) / k
        mean_put += (put + (ends[:, part] - put) * mean_gone[:, part]) / k
        put = put + (ends[:, part] - put) * gone[:, part]
        left = left * (1.0 - gone[:, part])
    return Drift(left, put, mean_left, mean_put, np.sum(ends * gone, axis=1))


def ceiling(start: float, highest_filled: float, passing: Drift) -> Floats:
    """Return the most a body can hold at the ends of n steps, (n + 1,), filled no higher than ``highest_filled``.

    Above that it is only its surroundings that fill it further.
    """
    found = np.empty(len(passing.left) + 1)
    found[0] = max(start, highest_filled)
    for step in range(len(passing.left)):
        # What is filled within a step stands no higher than highest_filled, and drifts from there at the most by the step's own.
        found[step + 1] = max(highest_filled + passing.low[step], passing.left[step] * found[step] + passing.put[step])
    return found
