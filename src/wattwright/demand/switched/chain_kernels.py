"""A load that is on or off behind a site's power: forward and backward through all intervals."""

import numpy as np
from numpy.typing import NDArray

from wattwright.core.kernels import kernel

Floats = NDArray[np.float64]
HALF = 0.5
"""Share of switchings that fall inside an interval, so that it shows a part of the step; the others fall at its edge."""


@kernel
def forward(clean: Floats, split: Floats, rise: Floats, fall: Floats) -> tuple[Floats, Floats]:
    """Return (n, 2) the chance of off and on in each interval given all before it, and (n,) that of each new reading.

    ``clean`` (n, 4): density of the move from the interval before into this one, off-off, off-on, on-off, on-on.
    ``split`` (n, 4): of the move from the last but one, the interval between them showing a part of it.
    ``rise``, ``fall`` (n,): chance to switch on and off into each interval.
    """
    n = len(clean)
    state, scale = np.zeros((n, 2)), np.ones(n)
    state[0, 0], state[0, 1] = 0.5, 0.5
    for t in range(1, n):
        off, on = state[t - 1, 0], state[t - 1, 1]
        to_off = off * (1.0 - rise[t]) * clean[t, 0] + on * fall[t] * (1.0 - HALF) * clean[t, 2]
        to_on = on * (1.0 - fall[t]) * clean[t, 3] + off * rise[t] * (1.0 - HALF) * clean[t, 1]
        if t > 1:
            # What lay two intervals back was scaled before the reading between them came.
            off, on = state[t - 2, 0] * HALF / scale[t - 1], state[t - 2, 1] * HALF / scale[t - 1]
            to_off += off * (1.0 - rise[t]) * split[t, 0] + on * fall[t] * split[t, 2]
            to_on += on * (1.0 - fall[t]) * split[t, 3] + off * rise[t] * split[t, 1]
        total = to_off + to_on
        if total < 1e-300:
            total, to_off, to_on = 1e-300, state[t - 1, 0] * 1e-300, state[t - 1, 1] * 1e-300
        scale[t] = total
        state[t, 0], state[t, 1] = to_off / total, to_on / total
    return state, scale


@kernel
def backward(state: Floats, scale: Floats, clean: Floats, split: Floats, rise: Floats, fall: Floats) -> Floats:
    """Return (n, 3): the chance of being on in each interval, of switching on in it, of switching off in it, given all readings.

    ``state`` and ``scale`` are what :func:`forward` made of the same densities.
    """
    n = len(clean)
    told = np.zeros((n, 3))
    told[n - 1, 0] = state[n - 1, 1]
    off1, on1, off2, on2 = 1.0, 1.0, 0.0, 0.0
    for t in range(n - 2, -1, -1):
        once = 1.0 / scale[t + 1]
        up = on1 * rise[t + 1] * (1.0 - HALF) * clean[t + 1, 1] * once
        down = off1 * fall[t + 1] * (1.0 - HALF) * clean[t + 1, 2] * once
        off, on = off1 * (1.0 - rise[t + 1]) * clean[t + 1, 0] * once, on1 * (1.0 - fall[t + 1]) * clean[t + 1, 3] * once
        if t + 2 < n:
            twice = HALF * once / scale[t + 2]
            up_split, down_split = on2 * rise[t + 2] * split[t + 2, 1] * twice, off2 * fall[t + 2] * split[t + 2, 2] * twice
            stays = on2 * (1.0 - fall[t + 2]) * split[t + 2, 3] * twice
            off += off2 * (1.0 - rise[t + 2]) * split[t + 2, 0] * twice
            on += stays
            told[t + 1, 0] += state[t, 1] * stays + 0.5 * (state[t, 0] * up_split + state[t, 1] * down_split)
            up += up_split
            down += down_split
        off += up
        on += down
        told[t + 1, 1] += state[t, 0] * up
        told[t + 1, 2] += state[t, 1] * down
        told[t, 0] += state[t, 1] * on
        off2, on2, off1, on1 = off1, on1, off, on
    return told
