"""A room heated or cooled by one unit with a thermostat: a first-order body, or air and mass, between the switchings.

    C dT/dt = UA (T_out - T) + gains + A_sun I + COP P (heating) or - COP P (cooling)

UA takes the shell and the air that leaks through it, A_sun is glass times what it lets through times how it stands to the
sun. The unit gives its rating times its coefficient of performance, which follows the outdoor temperature in a straight line
(1 for plain electric heat). Source: EN ISO 52016-1 and ISO 13790 reduced to one node, from memory; the cycle in closed form.

S_VALUE is the room's temperature in degC, S_UNMET the degree-seconds outside the wanted band, S_STORED_J heat (cold, where it
cools), use[0] the heat of people and appliances in W.
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
    S_RUN_S,
    S_STORED_J,
    S_UNMET,
    S_VALUE,
    W_AIR_C,
    W_SUN_W_M2,
)  # fmt: skip
from wattwright.loads.curve_kernels import integral, over, under
from wattwright.loads.first_order_kernels import area, outside, stretch
from wattwright.loads.heavy_room_kernels import stretch_pair

Floats = NDArray[np.float64]

P_HEAT_J_K, P_UA_W_K, P_BEGIN_C, P_CEASE_C, P_SUN_M2, P_SIGN = (P_OWN + k for k in range(6))
"""Heat the room holds; loss; where the thermostat begins and ceases to call; sunlit area; 1 heats, -1 cools."""
P_COP, P_COP_PER_K, P_COP_AT_C, P_COP_LEAST, P_LOW_C, P_HIGH_C = (P_OWN + k for k in range(6, 12))
"""Coefficient of performance, its change with the outdoor temperature, at what temperature it holds, its least; wanted band."""
P_MASS_J_K, P_EXCHANGE_W_K = P_OWN + 12, P_OWN + 13
"""Heat that walls and floors hold (0: one node for all), and what passes between them and the air."""
S_AIR_C, S_LOST_J, S_GAINED_J, S_GIVEN_J, S_MASS_C = (S_OWN + k for k in range(5))
"""Temperature; heat lost through the shell, gained from use and sun, and given by the unit (below nought: taken) so far; mass."""
U_GAINS_W = 0


@kernel
def performance(cop: float, per_k: float, at_c: float, least: float, outdoors_c: float) -> float:
    """Return a coefficient of performance that follows the outdoor temperature in a straight line."""
    return max(least, cop + per_k * (outdoors_c - at_c))


@lean_kernel
def room(p: Floats, s: Floats, i: int, closed: bool, time_s: float, weather: Floats, use: Floats) -> float:
    """Advance room ``i`` by ``time_s`` and return the electric energy it used, J."""
    outdoors, rating = weather[W_AIR_C], p[i, P_RATING_W]
    sun = p[i, P_SUN_M2] * weather[W_SUN_W_M2]
    cop = performance(p[i, P_COP], p[i, P_COP_PER_K], p[i, P_COP_AT_C], p[i, P_COP_LEAST], outdoors)
    given = p[i, P_SIGN] * cop * rating
    before = s[i, S_RUN_S]
    if p[i, P_MASS_J_K] > 0.0:
        _heavy(p, s, i, closed, time_s, outdoors, use[U_GAINS_W], sun, given)
    else:
        _light(p, s, i, closed, time_s, outdoors, use[U_GAINS_W] + sun, given)
    ran = s[i, S_RUN_S] - before
    s[i, S_GAINED_J] += (use[U_GAINS_W] + sun) * time_s
    s[i, S_GIVEN_J] += given * ran
    s[i, S_VALUE] = s[i, S_AIR_C]
    s[i, S_STORED_J] = p[i, P_SIGN] * (s[i, S_GIVEN_J] + s[i, S_GAINED_J] - s[i, S_LOST_J])
    return float(rating * ran)


@lean_kernel
def _light(p: Floats, s: Floats, i: int, closed: bool, time_s: float, outdoors: float, gains: float, given: float) -> None:
    """Advance a room of one node."""
    ua = p[i, P_UA_W_K]
    tau, rest = p[i, P_HEAT_J_K] / ua, outdoors + gains / ua
    left = time_s
    while left > 0.0:
        stay, now, end, _, share = stretch(
            s, i, S_AIR_C, closed, left, (rest, rest + given / ua), (tau, tau), (p[i, P_BEGIN_C], p[i, P_CEASE_C]),
            (p[i, P_MIN_ON_S], p[i, P_MIN_OFF_S]),
        )  # fmt: skip
        s[i, S_LOST_J] += ua * (area(now, end, tau, stay, share) - outdoors * stay)
        s[i, S_UNMET] += outside(now, s[i, S_AIR_C], end, tau, stay, share, p[i, P_LOW_C], p[i, P_HIGH_C])
        left -= stay


@lean_kernel
def _heavy(
    p: Floats, s: Floats, i: int, closed: bool, time_s: float, outdoors: float, gains: float, sun: float, given: float
) -> None:
    """Advance a room of two nodes."""
    ua, exchange = p[i, P_UA_W_K], p[i, P_EXCHANGE_W_K]
    rest = outdoors + (gains + sun) / ua
    left = time_s
    while left > 0.0:
        stay, curve = stretch_pair(
            p, s, i, (S_AIR_C, S_MASS_C), closed, left, (p[i, P_BEGIN_C], p[i, P_CEASE_C]), (rest, rest + sun / exchange),
            given / ua, (p[i, P_HEAT_J_K], p[i, P_MASS_J_K], ua, exchange),
        )  # fmt: skip
        s[i, S_LOST_J] += ua * (integral(curve, stay) - outdoors * stay)
        s[i, S_UNMET] += over(curve, stay, p[i, P_HIGH_C]) + under(curve, stay, p[i, P_LOW_C])
        left -= stay
