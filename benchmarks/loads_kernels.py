"""The loop of a year around one load, compiled as the engine's is."""

import numpy as np
from numpy.typing import NDArray

from wattwright.core.kernels import kernel
from wattwright.loads.kernels import advance

Floats = NDArray[np.float64]


@kernel
def every_step(kind: int, p: Floats, s: Floats, weather: Floats, use: Floats, step_s: float) -> float:
    """Advance load 0 through all steps, always fed; return the energy it used, J."""
    used = 0.0
    for k in range(len(weather)):
        used += advance(kind, p, s, 0, True, step_s, weather[k], use[k])
    return used
