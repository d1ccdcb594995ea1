"""One step of any load: the door by which the engine asks, whatever the kind."""

import numpy as np
from numpy.typing import NDArray

from wattwright.core.kernels import kernel
from wattwright.loads.columns import P_RATING_W, P_STANDBY_W, S_CALL, S_ENERGY_J, S_RUN, TANK
from wattwright.loads.first_order_kernels import pass_time, settle
from wattwright.loads.tank_kernels import tank

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]


@kernel
def advance(kind: int, p: Floats, s: Floats, i: int, closed: bool, time_s: float, weather: Floats, use: Floats) -> float:
    """Advance load ``i`` by ``time_s`` and return the electric energy it used, J.

    ``p`` (n, PARAMS) and ``s`` (n, STATES) hold all loads; ``closed`` tells whether its feed is there; ``weather`` (WEATHER,) and
    ``use`` (USES,) are this step's.
    """
    used = tank(p, s, i, closed, time_s, weather, use) if kind == TANK else plain(p, s, i, closed, time_s)
    if closed:
        used += p[i, P_STANDBY_W] * time_s
    s[i, S_ENERGY_J] += used
    return used


@kernel
def plain(p: Floats, s: Floats, i: int, closed: bool, time_s: float) -> float:
    """A load that runs whenever it is fed."""
    s[i, S_CALL] = 1.0
    settle(s, i, closed, 0.0, 0.0)
    pass_time(s, i, time_s)
    return float(p[i, P_RATING_W] * time_s * s[i, S_RUN])
