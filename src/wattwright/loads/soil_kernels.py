"""A zone that is irrigated: the water in its root zone after FAO Irrigation and Drainage Paper 56, chapter 8.

    dDr/dt = Ks Kc ET0 - (rain less what runs off) - irrigation + deep percolation,     0 <= Dr <= TAW
    Ks = (TAW - Dr) / ((1 - p) TAW) beyond RAW = p TAW, else 1;     p = p_table + 0.04 (5 - ETc), 0.1 to 0.8  (eq. 84, table 22)

As in the paper, Ks and p are found once a day, from the depletion at its beginning and the ETc of the day before; within the
day everything is linear and solved from bend to bend. A day is 24 h from the start. Rain faster than the soil takes it runs
off. With a sensor the pump runs between two depletions, without one whenever it is fed.

S_VALUE is the depletion Dr in mm, S_UNMET the evapotranspiration lost to drought in mm, S_STORED_J what it takes to pump the
water that the soil holds beyond the start; use[0] is the crop coefficient of the step (0: that of the parameters).
"""

import numpy as np
from numpy.typing import NDArray

from wattwright.core.kernels import kernel, lean_kernel
from wattwright.loads.columns import (
    P_MIN_OFF_S,
    P_MIN_ON_S,
    P_OWN,
    P_RATING_W,
    S_CALL,
    S_OWN,
    S_RUN,
    S_STORED_J,
    S_UNMET,
    S_VALUE,
    W_ET0_MM_S,
    W_RAIN_MM_S,
)  # fmt: skip
from wattwright.loads.first_order_kernels import INSTANT_S, obey, pass_time, passes, settle

Floats = NDArray[np.float64]

P_TAW_MM, P_DEPLETABLE, P_CROP, P_ADJUSTED, P_IRRIGATION_MM_S, P_INFILTRATION_MM_S = (P_OWN + k for k in range(6))
"""Total available water; share p of the table; crop coefficient; 1 where p follows ETc; net irrigation; what the soil takes."""
P_SENSOR, P_BEGIN_MM, P_CEASE_MM, P_J_PER_MM = (P_OWN + k for k in range(6, 10))
"""1 with a sensor of its own; depletions at which it begins and ceases to call; electric energy of one millimetre."""
S_DEPLETION_MM, S_STRESS, S_DAY_LEFT_S, S_DAY_MM = (S_OWN + k for k in range(4))
"""Depletion; Ks of the day; what is left of the day; ETc of the day so far."""
S_USED_MM, S_SOAKED_MM, S_RAN_OFF_MM, S_IRRIGATED_MM, S_DEEP_MM = (S_OWN + k for k in range(4, 9))
"""So far: evapotranspiration, rain soaked in, rain run off, net irrigation, deep percolation."""
U_CROP = 0
_DAY_S = 86_400.0


@kernel
def depletable(table: float, etc_mm_day: float) -> float:
    """Return the share p of the available water that is used before a crop suffers, at a day's ETc."""
    return min(max(table + 0.04 * (5.0 - etc_mm_day), 0.1), 0.8)


@kernel
def stress(depletion_mm: float, taw_mm: float, share: float) -> float:
    """Return Ks, what is left of the evapotranspiration of a crop at a depletion."""
    if depletion_mm <= share * taw_mm:
        return 1.0
    return max(0.0, (taw_mm - depletion_mm) / ((1.0 - share) * taw_mm))


@lean_kernel
def soil(p: Floats, s: Floats, i: int, closed: bool, time_s: float, weather: Floats, use: Floats) -> float:
    """Advance zone ``i`` by ``time_s`` and return the electric energy its pump used, J."""
    crop = use[U_CROP] if use[U_CROP] > 0.0 else p[i, P_CROP]
    wants, rain = crop * weather[W_ET0_MM_S], weather[W_RAIN_MM_S]
    soaks = min(rain, p[i, P_INFILTRATION_MM_S])
    left, used = time_s, 0.0
    while left > 0.0:
        if s[i, S_DAY_LEFT_S] <= INSTANT_S:
            _begin_day(p, s, i)
        stay = min(left, s[i, S_DAY_LEFT_S])
        if p[i, P_SENSOR] > 0.0:
            obey(s, i, s[i, S_DEPLETION_MM], (p[i, P_BEGIN_MM], p[i, P_CEASE_MM]))
        else:
            s[i, S_CALL] = 1.0
        stay = min(stay, settle(s, i, closed, p[i, P_MIN_ON_S], p[i, P_MIN_OFF_S]))
        put = p[i, P_IRRIGATION_MM_S] * s[i, S_RUN]
        stay = _wet_and_dry(p, s, i, stay, wants, soaks, put)
        s[i, S_RAN_OFF_MM] += (rain - soaks) * stay
        used += p[i, P_RATING_W] * s[i, S_RUN] * stay
        pass_time(s, i, stay)
        left -= stay
    s[i, S_VALUE] = s[i, S_DEPLETION_MM]
    gained = s[i, S_SOAKED_MM] + s[i, S_IRRIGATED_MM] - s[i, S_USED_MM] - s[i, S_DEEP_MM]
    s[i, S_STORED_J] = gained * p[i, P_J_PER_MM]
    return used


@lean_kernel
def _begin_day(p: Floats, s: Floats, i: int) -> None:
    """Find Ks from the depletion, with p at the ETc of the day that is over."""
    share = p[i, P_DEPLETABLE]
    if p[i, P_ADJUSTED] > 0.0:
        share = depletable(share, s[i, S_DAY_MM])
    s[i, S_STRESS] = stress(s[i, S_DEPLETION_MM], p[i, P_TAW_MM], share)
    s[i, S_DAY_LEFT_S], s[i, S_DAY_MM] = _DAY_S, 0.0


@lean_kernel
def _wet_and_dry(p: Floats, s: Floats, i: int, stay: float, wants: float, soaks: float, put: float) -> float:
    """Let the depletion go on straight as far as its next bend; return how long that was, s."""
    now, taw = s[i, S_DEPLETION_MM], p[i, P_TAW_MM]
    dries, deep = wants * s[i, S_STRESS], 0.0
    if now >= taw:
        # What is not there cannot evaporate.
        dries = min(dries, soaks + put)
    if now <= 0.0:
        deep = max(0.0, soaks + put - dries)
    slope = dries + deep - soaks - put
    then = now + slope * stay
    for bend in (0.0, taw, p[i, P_CEASE_MM] if s[i, S_CALL] > 0.0 else p[i, P_BEGIN_MM]):
        if passes(now, then, bend):
            stay, then = min(stay, (bend - now) / slope), bend
    s[i, S_DEPLETION_MM] = then
    s[i, S_USED_MM] += dries * stay
    s[i, S_DEEP_MM] += deep * stay
    s[i, S_SOAKED_MM] += soaks * stay
    s[i, S_IRRIGATED_MM] += put * stay
    s[i, S_UNMET] += (wants - dries) * stay
    s[i, S_DAY_MM] += wants * stay
    s[i, S_DAY_LEFT_S] -= stay
    return stay
