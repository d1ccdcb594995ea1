"""A load that is off, on for half or on throughout each of a row of long intervals: forward and backward through all of them."""

import numpy as np
from numpy.typing import NDArray

from wattwright.core.kernels import kernel

Floats = NDArray[np.float64]


@kernel
def between_all(seen: Floats, moves: Floats) -> tuple[Floats, Floats]:
    """Return (n, k) the chance of each of k states in each interval given all readings, and (k, k) how often each move was made.

    ``seen`` (n, k): how likely the reading is in each state; ``moves`` (k, k): chance of each move from one interval to the next.
    """
    n, k = seen.shape
    before = _forward(seen, moves)
    chance, made = before.copy(), np.zeros((k, k))
    pair, after = np.zeros((k, k)), np.ones(k)
    for t in range(n - 2, -1, -1):
        total = 0.0
        for i in range(k):
            for j in range(k):
                pair[i, j] = before[t, i] * moves[i, j] * seen[t + 1, j] * after[j]
                total += pair[i, j]
        pair /= total
        made += pair
        # What comes behind, on a scale that neither grows nor shrinks.
        for i in range(k):
            chance[t, i] = pair[i].sum()
            after[i] = chance[t, i] / before[t, i] if before[t, i] > 0.0 else 0.0
    return chance, made


@kernel
def _forward(seen: Floats, moves: Floats) -> Floats:
    """Return (n, k) the chance of each state in each interval given it and all before."""
    n, k = seen.shape
    before = np.zeros((n, k))
    before[0] = seen[0] / seen[0].sum()
    for t in range(1, n):
        for j in range(k):
            came = 0.0
            for i in range(k):
                came += before[t - 1, i] * moves[i, j]
            before[t, j] = came * seen[t, j]
        before[t] /= before[t].sum()
    return before
