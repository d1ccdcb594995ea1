"""A cold room or freezer: a body that warms by its walls, its door and its goods, a compressor, and defrosting by time.

    C dT/dt = (UA + U_door share) (T_room - T) + fan + goods + defrost - COP P
    COP = share T_e / (T_c - T_e)  (kelvin),   T_c = outdoor air at the condenser + its difference, never below its least

so the compressor gives less cold the warmer it is outdoors. Every so many hours the compressor rests and the coil is warmed
until its ice is melted, or the longest time is over; then it drips. The defrosting clock stands while there is no feed. The
probe that stands for the goods follows the air with a time constant of its own. Source: the share of the ideal (Carnot)
machine and the coast-down of a first-order body are textbook; times of defrosting are common practice.

S_VALUE is the probe in degC, S_UNMET the probe's degree-seconds over its limit, S_STORED_J the cold kept (heat taken less
heat come in); use[0] the share of the time the door is open, use[1] the heat of goods and people in W.
"""

import numpy as np
from numpy.typing import NDArray

from wattwright.core.kernels import kernel, lean_kernel
from wattwright.loads.columns import (
    P_MIN_OFF_S,
    P_MIN_ON_S,
    P_OWN,
    P_RATING_W,
    S_OWN,
    S_RUN,
    S_STORED_J,
    S_UNMET,
    S_VALUE,
    W_AIR_C,
)  # fmt: skip
from wattwright.loads.curve_kernels import followed, over, value
from wattwright.loads.first_order_kernels import INSTANT_S, area, stretch

Floats = NDArray[np.float64]

P_HEAT_J_K, P_UA_W_K, P_BEGIN_C, P_CEASE_C, P_ROOM_C, P_CONDENSER_C = (P_OWN + k for k in range(6))
"""Heat held; loss; where the thermostat begins and ceases; air about the store and at the condenser (NaN: outdoors)."""
P_CARNOT, P_EVAPORATING_C, P_CONDENSING_K, P_CONDENSING_LEAST_C, P_DOOR_W_K, P_FAN_W = (P_OWN + k for k in range(6, 12))
"""Share of the ideal machine; evaporating temperature; condensing above the air, and at least; loss of an open door; fan."""
P_PROBE_S, P_LIMIT_C, P_EVERY_S, P_DEFROST_W, P_DEFROST_S, P_DRIP_S, P_INSIDE = (P_OWN + k for k in range(12, 19))
"""Probe's time constant and limit; cooling between defrosts (inf: none), defrost heater and time, drip, share kept inside."""
S_AIR_C, S_PROBE_C, S_PHASE, S_PHASE_LEFT_S, S_CAME_J, S_TAKEN_J, S_DEFROSTS = (S_OWN + k for k in range(7))
"""Air; probe; phase and how long it still lasts; heat come in and taken out so far; defrosts begun."""
COOLS, MELTS, DRIPS = 0.0, 1.0, 2.0
U_DOOR, U_GOODS_W = 0, 1
_KELVIN = 273.15


@kernel
def cooling_performance(carnot: float, evaporating_c: float, condensing_c: float) -> float:
    """Return the coefficient of performance of a machine that reaches ``carnot`` of the ideal one."""
    return carnot * (evaporating_c + _KELVIN) / max(condensing_c - evaporating_c, 1.0)


@lean_kernel
def cold_store(p: Floats, s: Floats, i: int, closed: bool, time_s: float, weather: Floats, use: Floats) -> float:
    """Advance cold store ``i`` by ``time_s`` and return the electric energy it used, J."""
    room = weather[W_AIR_C] if np.isnan(p[i, P_ROOM_C]) else p[i, P_ROOM_C]
    blown = weather[W_AIR_C] if np.isnan(p[i, P_CONDENSER_C]) else p[i, P_CONDENSER_C]
    condensing = max(blown + p[i, P_CONDENSING_K], p[i, P_CONDENSING_LEAST_C])
    cold_w = cooling_performance(p[i, P_CARNOT], p[i, P_EVAPORATING_C], condensing) * p[i, P_RATING_W]
    ua = p[i, P_UA_W_K] + p[i, P_DOOR_W_K] * use[U_DOOR]
    tau = p[i, P_HEAT_J_K] / ua
    left, used = time_s, 0.0
    while left > 0.0:
        fan_w, melting_w = _beside(p, s, i, closed)
        inside_w = use[U_GOODS_W] + fan_w + melting_w * p[i, P_INSIDE]
        rest = room + inside_w / ua
        cools = closed and s[i, S_PHASE] == COOLS
        stay, now, end, _, share = stretch(
            s, i, S_AIR_C, cools, min(left, s[i, S_PHASE_LEFT_S]) if closed else left, (rest, rest - cold_w / ua), (tau, tau),
            (p[i, P_BEGIN_C], p[i, P_CEASE_C]), (p[i, P_MIN_ON_S], p[i, P_MIN_OFF_S]),
        )  # fmt: skip
        runs = s[i, S_RUN]
        probe = followed(s[i, S_PROBE_C], now, end, tau, p[i, P_PROBE_S])
        s[i, S_UNMET] += over(probe, stay, p[i, P_LIMIT_C])
        s[i, S_PROBE_C] = value(probe, stay)
        s[i, S_CAME_J] += ua * (room * stay - area(now, end, tau, stay, share)) + inside_w * stay
        s[i, S_TAKEN_J] += cold_w * stay * runs
        used += (p[i, P_RATING_W] * runs + fan_w + melting_w) * stay
        left -= stay
        if closed:
            _pass_phase(p, s, i, stay)
    s[i, S_VALUE] = s[i, S_PROBE_C]
    s[i, S_STORED_J] = s[i, S_TAKEN_J] - s[i, S_CAME_J]
    return used


@lean_kernel
def _beside(p: Floats, s: Floats, i: int, closed: bool) -> tuple[float, float]:
    """Return what fan and defrost heater draw beside the compressor, W; without a heater the fan melts the ice."""
    phase, heater = s[i, S_PHASE], p[i, P_DEFROST_W]
    if not closed or phase == DRIPS:
        return 0.0, 0.0
    return (0.0, heater) if phase == MELTS and heater > 0.0 else (p[i, P_FAN_W], 0.0)


@lean_kernel
def _pass_phase(p: Floats, s: Floats, i: int, time_s: float) -> None:
    """Let time pass for the defrosting clock, and go on to the next phase when one is over."""
    s[i, S_PHASE_LEFT_S] -= time_s
    if s[i, S_PHASE_LEFT_S] > INSTANT_S:
        return
    if s[i, S_PHASE] == COOLS:
        s[i, S_PHASE], s[i, S_PHASE_LEFT_S] = MELTS, p[i, P_DEFROST_S]
        s[i, S_DEFROSTS] += 1.0
    elif s[i, S_PHASE] == MELTS and p[i, P_DRIP_S] > 0.0:
        s[i, S_PHASE], s[i, S_PHASE_LEFT_S] = DRIPS, p[i, P_DRIP_S]
    else:
        s[i, S_PHASE], s[i, S_PHASE_LEFT_S] = COOLS, p[i, P_EVERY_S]
