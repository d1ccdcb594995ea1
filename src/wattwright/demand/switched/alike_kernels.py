"""A load beside appliances of like size: forward and backward through all intervals.

One of them is on, or none is: off, the load, or an appliance of one of several sizes about the load's own, whose step up and step
down are alike. So two steps that agree with each other better than with the load are told as another's.
"""

import numpy as np
from numpy.typing import NDArray

from wattwright.core.kernels import kernel, lean_kernel
from wattwright.demand.switched.chain_kernels import HALF

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
_NONE = 1e-9
"""A chance of any appliance below this is taken for nought, so that quiet stretches cost no more than without them."""


@kernel
def forward_alike(
    clean: Floats, split: Floats, rise: Floats, fall: Floats, up: Floats, down: Floats, at: Ints, begin: Floats, end: float
) -> tuple[Floats, Floats]:
    """Return (n, 2 + k) the chance of off, on and each appliance in each interval given all before it, and (n,) of each reading.

    ``clean``, ``split``, ``rise`` and ``fall`` as for the load alone. ``up``, ``down`` (m, 2, k): density of the move into an
    appliance and out of it, from the interval before and from the last but one, row ``at`` (n,) for each interval, -1 where no
    step is like theirs; ``begin`` (n,): chance that one of them starts, ``end``: that one which is on stops.
    """
    n, k = len(clean), up.shape[2]
    state, scale = np.zeros((n, 2 + k)), np.ones(n)
    state[0, 0], state[0, 1] = 0.5, 0.5
    for t in range(1, n):
        free = 1.0 - rise[t] - begin[t]
        off, on = state[t - 1, 0], state[t - 1, 1]
        to_off = off * free * clean[t, 0] + on * fall[t] * (1.0 - HALF) * clean[t, 2]
        to_on = on * (1.0 - fall[t]) * clean[t, 3] + off * rise[t] * (1.0 - HALF) * clean[t, 1]
        far_off = 0.0
        if t > 1:
            far_off, on = state[t - 2, 0] * HALF / scale[t - 1], state[t - 2, 1] * HALF / scale[t - 1]
            to_off += far_off * free * split[t, 0] + on * fall[t] * split[t, 2]
            to_on += on * (1.0 - fall[t]) * split[t, 3] + far_off * rise[t] * split[t, 1]
        total, others = to_off + to_on, 0.0
        row = at[t]
        if row >= 0 or state[t - 1, 0] + state[t - 1, 1] < 1.0:
            for j in range(k):
                was = state[t - 1, 2 + j]
                into = was * (1.0 - end) * clean[t, 3]
                far = state[t - 2, 2 + j] * HALF / scale[t - 1] if t > 1 else 0.0
                into += far * (1.0 - end) * split[t, 3]
                if row >= 0:
                    into += begin[t] / k * (off * (1.0 - HALF) * up[row, 0, j] + far_off * up[row, 1, j])
                    to_off += end * (was * (1.0 - HALF) * down[row, 0, j] + far * down[row, 1, j])
                state[t, 2 + j] = into
                others += into
        total = to_off + to_on + others
        if total < 1e-300:
            scale[t] = 1e-300
            state[t] = state[t - 1]
            continue
        scale[t] = total
        state[t, 0], state[t, 1] = to_off / total, to_on / total
        if others < _NONE * total:
            state[t, 2:] = 0.0
        else:
            state[t, 2:] /= total
    return state, scale


@lean_kernel
def _through(
    t: int,
    state: Floats,
    told: Floats,
    likes: tuple[Floats, Floats, Floats],
    steps: tuple[Floats, Floats],
    rows: tuple[int, int],
    ways: tuple[float, float, float, float, float, float],
) -> float:
    """Go back through the appliances into interval ``t``; return how likely all that follows is if one starts there.

    ``likes``: how likely what follows is with each of them on after the next interval, after the one behind it and, to be
    written, after this one; ``rows`` of ``steps`` up and down into the two; ``ways``: what goes with leaving and beginning by
    either, and with staying by either.
    """
    like1, like2, like = likes
    up, down = steps
    near, far = rows
    once_off, once_in, twice_off, twice_in, stays, passes = ways
    begins = 0.0
    for j in range(len(like)):
        over = like2[j] * passes
        told[t + 1, 3] += state[t, 2 + j] * over
        like[j] = like1[j] * stays + over
        if near >= 0:
            like[j] += once_off * down[near, 0, j]
            begins += like1[j] * once_in * up[near, 0, j]
        if far >= 0:
            late, soon = twice_off * down[far, 1, j], like2[j] * twice_in * up[far, 1, j]
            told[t + 1, 3] += 0.5 * (state[t, 2 + j] * late + state[t, 0] * soon)
            like[j] += late
            begins += soon
        told[t, 3] += state[t, 2 + j] * like[j]
    return begins


@kernel
def backward_alike(
    state: Floats, scale: Floats, clean: Floats, split: Floats, rise: Floats, fall: Floats,
    up: Floats, down: Floats, at: Ints, begin: Floats, end: float,
) -> Floats:  # fmt: skip
    """Return (n, 5): the chance that the load is on, switches on, off, that an appliance is on, and that one starts.

    Given all readings; ``state`` and ``scale`` are what :func:`forward_alike` made of the same densities.
    """
    n, k = len(clean), up.shape[2]
    told = np.zeros((n, 5))
    told[n - 1, 0], told[n - 1, 3] = state[n - 1, 1], state[n - 1, 2:].sum()
    off1, on1, off2, on2 = 1.0, 1.0, 0.0, 0.0
    like1, like2, like = np.ones(k), np.zeros(k), np.zeros(k)
    for t in range(n - 2, -1, -1):
        free = 1.0 - rise[t + 1] - begin[t + 1]
        once, twice = 1.0 / scale[t + 1], 0.0
        rises = on1 * rise[t + 1] * (1.0 - HALF) * clean[t + 1, 1] * once
        falls = off1 * fall[t + 1] * (1.0 - HALF) * clean[t + 1, 2] * once
        off, on = off1 * free * clean[t + 1, 0] * once, on1 * (1.0 - fall[t + 1]) * clean[t + 1, 3] * once
        if t + 2 < n:
            twice = HALF * once / scale[t + 2]
            free = 1.0 - rise[t + 2] - begin[t + 2]
            late_rise, late_fall = on2 * rise[t + 2] * split[t + 2, 1] * twice, off2 * fall[t + 2] * split[t + 2, 2] * twice
            stays = on2 * (1.0 - fall[t + 2]) * split[t + 2, 3] * twice
            off += off2 * free * split[t + 2, 0] * twice
            on += stays
            told[t + 1, 0] += state[t, 1] * stays + 0.5 * (state[t, 0] * late_rise + state[t, 1] * late_fall)
            rises += late_rise
            falls += late_fall
        near, far = at[t + 1], at[t + 2] if t + 2 < n else -1
        begins = 0.0
        if near >= 0 or far >= 0 or state[t, 0] + state[t, 1] < 1.0:
            once_off, once_in = off1 * end * (1.0 - HALF) * once, begin[t + 1] / k * (1.0 - HALF) * once
            twice_off, twice_in = off2 * end * twice, begin[t + 2] / k * twice if far >= 0 else 0.0
            stay = (1.0 - end) * clean[t + 1, 3] * once
            over = (1.0 - end) * split[t + 2, 3] * twice if t + 2 < n else 0.0
            ways = (once_off, once_in, twice_off, twice_in, stay, over)
            begins = _through(t, state, told, (like1, like2, like), (up, down), (near, far), ways)
        else:
            like[:] = 0.0
        off += rises + begins
        on += falls
        told[t + 1, 1] += state[t, 0] * rises
        told[t + 1, 2] += state[t, 1] * falls
        told[t + 1, 4] += state[t, 0] * begins
        told[t, 0] += state[t, 1] * on
        off2, on2, off1, on1 = off1, on1, off, on
        like2, like1, like = like1, like, like2
    return told
