"""A greenhouse: sun through the cover, vents that open by themselves, electric heating against frost, and simple moisture.

    C dT/dt = (UA + c q) (T_out - T) + (1 - evaporated) A_sun I + P,     m dW/dt = evaporation + q (W_out - W)

q is the air that leaks plus what the vents let through; they open in proportion to how far the air is over their temperature,
followed once in each step. A share of the sun evaporates water from the plants instead of warming the air. Water beyond
saturation condenses on the cover; its heat is left out. Source: the balances are textbook; shares are common practice, no
source.

S_VALUE is the air in degC, S_UNMET its degree-seconds outside the wanted band, S_STORED_J the heat kept; use[0] is further
evaporation in kg/s, as after watering.
"""

from math import exp

import numpy as np
from numpy.typing import NDArray

from wattwright.core.kernels import lean_kernel
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
    W_HUMIDITY_RATIO,
    W_SUN_W_M2,
)  # fmt: skip
from wattwright.loads.first_order_kernels import area, outside, stretch
from wattwright.loads.moist_air_kernels import SEA_LEVEL_PA, humidity_ratio, relative_humidity

Floats = NDArray[np.float64]

P_HEAT_J_K, P_UA_W_K, P_BEGIN_C, P_CEASE_C, P_SUN_M2, P_EVAPORATED = (P_OWN + k for k in range(6))
"""Heat held; loss of the cover; where the heater begins and ceases; area times what the cover lets through; sun's share."""
P_AIR_KG, P_LEAK_KG_S, P_VENT_KG_S, P_VENT_C, P_VENT_SPAN_K, P_LOW_C, P_HIGH_C = (P_OWN + k for k in range(6, 13))
"""Dry air; air that leaks; air through open vents; where they begin to open and over how many kelvin; wanted band."""
S_AIR_C, S_RATIO, S_RELATIVE, S_VENT, S_LOST_J, S_GAINED_J = (S_OWN + k for k in range(6))
"""Air; humidity ratio; relative humidity in per cent; how far the vents are open; heat lost and gained so far."""
S_EVAPORATED_KG, S_VENTED_KG, S_CONDENSED_KG = (S_OWN + k for k in range(6, 9))
U_EVAPORATION_KG_S = 0
AIR_J_KG_K = 1006.0
"""Heat of dry air."""
EVAPORATION_J_KG = 2.45e6
"""Heat of evaporating water at 20 degC: FAO Irrigation and Drainage Paper 56, equation 20's constant."""


@lean_kernel
def greenhouse(p: Floats, s: Floats, i: int, closed: bool, time_s: float, weather: Floats, use: Floats) -> float:
    """Advance greenhouse ``i`` by ``time_s`` and return the electric energy its heater used, J."""
    outdoors, sun_w, rating = weather[W_AIR_C], p[i, P_SUN_M2] * weather[W_SUN_W_M2], p[i, P_RATING_W]
    s[i, S_VENT] = min(max((s[i, S_AIR_C] - p[i, P_VENT_C]) / p[i, P_VENT_SPAN_K], 0.0), 1.0)
    moved = p[i, P_LEAK_KG_S] + s[i, S_VENT] * p[i, P_VENT_KG_S]
    ua, gains = p[i, P_UA_W_K] + AIR_J_KG_K * moved, (1.0 - p[i, P_EVAPORATED]) * sun_w
    tau, rest = p[i, P_HEAT_J_K] / ua, outdoors + gains / ua
    left, used = time_s, 0.0
    while left > 0.0:
        stay, now, end, _, share = stretch(
            s, i, S_AIR_C, closed, left, (rest, rest + rating / ua), (tau, tau), (p[i, P_BEGIN_C], p[i, P_CEASE_C]),
            (p[i, P_MIN_ON_S], p[i, P_MIN_OFF_S]),
        )  # fmt: skip
        s[i, S_LOST_J] += ua * (area(now, end, tau, stay, share) - outdoors * stay)
        s[i, S_UNMET] += outside(now, s[i, S_AIR_C], end, tau, stay, share, p[i, P_LOW_C], p[i, P_HIGH_C])
        used += rating * stay * s[i, S_RUN]
        left -= stay
    s[i, S_GAINED_J] += gains * time_s + used
    s[i, S_VALUE] = s[i, S_AIR_C]
    s[i, S_STORED_J] = s[i, S_GAINED_J] - s[i, S_LOST_J]
    evaporates = p[i, P_EVAPORATED] * sun_w / EVAPORATION_J_KG + use[U_EVAPORATION_KG_S]
    _moisten(p, s, i, time_s, evaporates, moved, weather[W_HUMIDITY_RATIO])
    return used


@lean_kernel
def _moisten(p: Floats, s: Floats, i: int, time_s: float, evaporates: float, moved: float, outdoors: float) -> None:
    """Let water evaporate, be carried off by air, and condense beyond saturation."""
    now, mass = s[i, S_RATIO], p[i, P_AIR_KG]
    end, tau = outdoors + evaporates / moved, mass / moved
    then = end + (now - end) * exp(-time_s / tau)
    s[i, S_EVAPORATED_KG] += evaporates * time_s
    s[i, S_VENTED_KG] += evaporates * time_s - mass * (then - now)
    full = humidity_ratio(s[i, S_AIR_C], 1.0, SEA_LEVEL_PA)
    s[i, S_CONDENSED_KG] += mass * max(0.0, then - full)
    s[i, S_RATIO] = min(then, full)
    s[i, S_RELATIVE] = 100.0 * relative_humidity(s[i, S_AIR_C], s[i, S_RATIO], SEA_LEVEL_PA)
