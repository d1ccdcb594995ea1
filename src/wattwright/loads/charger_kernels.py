"""A charger that is to have put an energy into a battery before it is unplugged.

    dE/dt = - efficiency P,     P = rating (E > E_taper),  rating E / E_taper,  never below the least power

E is what the battery still wants; near its end the power falls in proportion to it, as at the constant voltage of the last
part of a charge, then stays at the least power until E is nought. Solved in closed form from part to part. Source: charging
at constant current, then at constant voltage, textbook; shares are common practice.

S_VALUE is E in kWh, S_UNMET what was missing at departures in kWh, S_STORED_J what the battery holds beyond the start; use[0]
is 1 while it is plugged in, use[1] the energy newly wanted at an arrival in Wh, counted once when use[0] turns from 0 to 1.
"""

from math import expm1, log

import numpy as np
from numpy.typing import NDArray

from wattwright.core.kernels import lean_kernel
from wattwright.loads.columns import P_OWN, P_RATING_W, S_CALL, S_OWN, S_RUN, S_STORED_J, S_UNMET, S_VALUE
from wattwright.loads.first_order_kernels import pass_time, settle

Floats = NDArray[np.float64]

P_EFFICIENCY, P_TAPER_J, P_LEAST_W = (P_OWN + k for k in range(3))
"""Energy into the battery over energy drawn; E below which the power falls; least power."""
S_WANTED_J, S_PLUGGED, S_DELIVERED_J = (S_OWN + k for k in range(3))
"""E; 1 while plugged in; energy put into the battery so far."""
U_PLUGGED, U_NEWLY_WH = 0, 1
_WH, _KWH = 3600.0, 3.6e6


@lean_kernel
def charger(p: Floats, s: Floats, i: int, closed: bool, time_s: float, use: Floats) -> float:
    """Advance charger ``i`` by ``time_s`` and return the electric energy it used, J."""
    plugged = use[U_PLUGGED] > 0.0
    if plugged and s[i, S_PLUGGED] == 0.0:
        s[i, S_WANTED_J] += use[U_NEWLY_WH] * _WH
    elif not plugged and s[i, S_PLUGGED] > 0.0:
        s[i, S_UNMET] += s[i, S_WANTED_J] / _KWH
        s[i, S_WANTED_J] = 0.0
    s[i, S_PLUGGED] = 1.0 if plugged else 0.0
    left, used = time_s, 0.0
    while left > 0.0:
        s[i, S_CALL] = 1.0 if plugged and s[i, S_WANTED_J] > 0.0 else 0.0
        settle(s, i, closed, 0.0, 0.0)
        stay, given = (left, 0.0) if s[i, S_RUN] == 0.0 else _charge(p, s, i, left)
        s[i, S_DELIVERED_J] += given
        used += given / p[i, P_EFFICIENCY]
        pass_time(s, i, stay)
        left -= stay
    s[i, S_VALUE] = s[i, S_WANTED_J] / _KWH
    s[i, S_STORED_J] = s[i, S_DELIVERED_J]
    return used


@lean_kernel
def _charge(p: Floats, s: Floats, i: int, left: float) -> tuple[float, float]:
    """Charge to the end of the part it is in, or for ``left``; return (how long, energy put in)."""
    wants, rate, taper = s[i, S_WANTED_J], p[i, P_EFFICIENCY] * p[i, P_RATING_W], p[i, P_TAPER_J]
    least = min(p[i, P_EFFICIENCY] * p[i, P_LEAST_W], rate)
    floor = taper * least / rate
    if wants > taper:
        bend, needs = taper, (wants - taper) / rate
        given = rate * min(left, needs)
    elif wants > floor:
        tau = taper / rate
        bend, needs = floor, tau * log(wants / floor)
        given = -wants * expm1(-min(left, needs) / tau)
    else:
        bend, needs = 0.0, wants / least
        given = least * min(left, needs)
    if needs <= left:
        # The bend is met exactly, so that no rest is left to rounding.
        s[i, S_WANTED_J] = bend
        return needs, wants - bend
    s[i, S_WANTED_J] = wants - given
    return left, given
