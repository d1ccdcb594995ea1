"""Loads that are off, on for half or throughout each of a row of long intervals: forward and backward through all of them."""

import numpy as np
from numpy.typing import NDArray

from wattwright.core.kernels import kernel

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]


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


@kernel
def beside_rest(level: Ints, weight: Floats, goes: Floats, moves: Floats, hour: Ints) -> tuple[Floats, Floats, Floats, float]:
    """Return what is known of the states of loads beside a rest that goes from level to level.

    ``level`` (n, k): number of the rest's level in each of k states; ``weight`` (n, k): what else speaks for each state;
    ``goes`` (r, r): density of the rest's going from one level to another; ``moves`` (24, k, k): chance of each move into an
    interval of that ``hour`` (n,). Returned: (n, k) the chance of each state given all readings, (24, k, k) how often each move
    was made, (r, r) how often the rest went so, and the log likelihood.
    """
    before, came, likely = _came(level, weight, goes, moves, hour)
    n, k = level.shape
    chance, made, gone = before.copy(), np.zeros(moves.shape), np.zeros(goes.shape)
    for t in range(n - 2, -1, -1):
        at = hour[t + 1]
        for i in range(k):
            stays = 0.0
            for j in range(k):
                if came[t + 1, j] > 0.0:
                    step = goes[level[t, i], level[t + 1, j]] * moves[at, i, j] / came[t + 1, j]
                    pair = before[t, i] * step * chance[t + 1, j]
                    made[at, i, j] += pair
                    gone[level[t, i], level[t + 1, j]] += pair
                    stays += pair
            chance[t, i] = stays
    return chance, made, gone, likely


@kernel
def _came(level: Ints, weight: Floats, goes: Floats, moves: Floats, hour: Ints) -> tuple[Floats, Floats, float]:
    """Return (n, k) the chance of each state given it and all before, (n, k) that of the way there alone, the log likelihood."""
    n, k = level.shape
    before, came, likely = np.zeros((n, k)), np.zeros((n, k)), 0.0
    before[0] = weight[0] / weight[0].sum()
    for t in range(1, n):
        total = 0.0
        for j in range(k):
            for i in range(k):
                came[t, j] += before[t - 1, i] * moves[hour[t], i, j] * goes[level[t - 1, i], level[t, j]]
            before[t, j] = came[t, j] * weight[t, j]
            total += before[t, j]
        before[t] /= total
        likely += np.log(total)
    return before, came, likely
