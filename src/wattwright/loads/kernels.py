"""One step of any load: the door by which the engine asks, whatever the kind."""

import numpy as np
from numpy.typing import NDArray

from wattwright.core.kernels import kernel, lean_kernel
from wattwright.loads.air_kernels import air
from wattwright.loads.charger_kernels import charger
from wattwright.loads.cold_kernels import cold_store
from wattwright.loads.columns import (
    AIR,
    CHARGER,
    COLD_STORE,
    GREENHOUSE,
    P_RATING_W,
    P_STANDBY_W,
    PUMP,
    ROOM,
    S_CALL,
    S_ENERGY_J,
    S_RUN,
    SOIL,
    TANK,
)  # fmt: skip
from wattwright.loads.first_order_kernels import pass_time, settle
from wattwright.loads.greenhouse_kernels import greenhouse
from wattwright.loads.pump_kernels import pump
from wattwright.loads.room_kernels import room
from wattwright.loads.soil_kernels import soil
from wattwright.loads.tank_kernels import tank

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]


@kernel
def advance(kind: int, p: Floats, s: Floats, i: int, closed: bool, time_s: float, weather: Floats, use: Floats) -> float:
    """Advance load ``i`` by ``time_s`` and return the electric energy it used, J.

    ``p`` (n, PARAMS) and ``s`` (n, STATES) hold all loads; ``closed`` tells whether its feed is there; ``weather`` (WEATHER,) and
    ``use`` (USES,) are this step's.
    """
    return pass_load(kind, p, s, i, closed, time_s, weather, use)


@lean_kernel
def pass_load(
    kind: int, p: Floats, s: Floats, i: int, closed: bool, time_s: float, weather: Floats, use: Floats
) -> float:  # fmt: skip
    """Do what ``advance`` does; built into compiled callers, which ask in every sub-step."""
    used = _by_kind(kind, p, s, i, closed, time_s, weather, use)
    if closed:
        used += p[i, P_STANDBY_W] * time_s
    s[i, S_ENERGY_J] += used
    return used


@lean_kernel
def _by_kind(kind: int, p: Floats, s: Floats, i: int, closed: bool, time_s: float, weather: Floats, use: Floats) -> float:
    """Advance it as its kind does."""
    if kind == TANK:
        return tank(p, s, i, closed, time_s, weather, use)
    if kind == ROOM:
        return room(p, s, i, closed, time_s, weather, use)
    if kind == COLD_STORE:
        return cold_store(p, s, i, closed, time_s, weather, use)
    if kind == AIR:
        return air(p, s, i, closed, time_s, weather, use)
    if kind == SOIL:
        return soil(p, s, i, closed, time_s, weather, use)
    if kind == PUMP:
        return pump(p, s, i, closed, time_s, use)
    if kind == CHARGER:
        return charger(p, s, i, closed, time_s, use)
    if kind == GREENHOUSE:
        return greenhouse(p, s, i, closed, time_s, weather, use)
    return plain(p, s, i, closed, time_s)


@lean_kernel
def plain(p: Floats, s: Floats, i: int, closed: bool, time_s: float) -> float:
    """A load that runs whenever it is fed."""
    s[i, S_CALL] = 1.0
    settle(s, i, closed, 0.0, 0.0)
    pass_time(s, i, time_s)
    return float(p[i, P_RATING_W] * time_s * s[i, S_RUN])
