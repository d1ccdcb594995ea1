"""A room of two nodes, the air with what is light in it, and the mass of walls and floors, solved between the switchings.

    Ca dTa/dt = UA (T_out - Ta) + H (Tm - Ta) + gains + unit,     Cm dTm/dt = H (Ta - Tm) + sun

The thermostat feels the air. Both temperatures are sums of two exponentials with the rates of the pair; the slower is found from
the product of the two, so that no digits are lost. Source: two-node reduction of ISO 13790's hourly method, from memory; the
solution of a linear pair is textbook.
"""

import numpy as np
from numpy.typing import NDArray

from wattwright.core.kernels import kernel, lean_kernel
from wattwright.loads.columns import P_MIN_OFF_S, P_MIN_ON_S, S_CALL, S_RUN
from wattwright.loads.curve_kernels import Curve, meets, value
from wattwright.loads.first_order_kernels import obey, pass_time, settle

Floats = NDArray[np.float64]


@kernel
def rates(air_j_k: float, mass_j_k: float, ua_w_k: float, exchange_w_k: float) -> tuple[float, float]:
    """Return the slower and the faster rate of the pair, 1/s."""
    total = (ua_w_k + exchange_w_k) / air_j_k + exchange_w_k / mass_j_k
    product = ua_w_k * exchange_w_k / (air_j_k * mass_j_k)
    fast = 0.5 * (total + np.sqrt(total * total - 4.0 * product))
    return product / fast, fast


@kernel
def curves(
    air_c: float,
    mass_c: float,
    end_c: float,
    mass_end_c: float,
    air_j_k: float,
    mass_j_k: float,
    ua_w_k: float,
    exchange_w_k: float,
) -> tuple[Curve, Curve]:
    """Return how air and mass go on from where they are to their ends."""
    slow, fast = rates(air_j_k, mass_j_k, ua_w_k, exchange_w_k)
    x, y = air_c - end_c, mass_c - mass_end_c
    slope = (exchange_w_k * (y - x) - ua_w_k * x) / air_j_k
    a = (slope + fast * x) / (fast - slow)
    b = x - a
    mass_a = a * (ua_w_k + exchange_w_k - air_j_k * slow) / exchange_w_k
    return (end_c, a, slow, b, fast), (mass_end_c, mass_a, slow, y - mass_a, fast)


@lean_kernel
def stretch_pair(
    p: Floats, s: Floats, i: int, columns: tuple[int, int], closed: bool, left_s: float, band: tuple[float, float],
    ends: tuple[float, float], step_k: float, bodies: tuple[float, float, float, float],
) -> tuple[float, Curve]:  # fmt: skip
    """Advance air and mass in ``columns`` to the next switching, or by ``left_s``; return (how long, curve of the air).

    ``ends`` are those of air and mass at rest; running lifts both by ``step_k``. ``bodies`` are air and mass in J/K, loss and
    exchange in W/K; ``band`` is where the thermostat (begins, ceases) to call.
    """
    obey(s, i, s[i, columns[0]], band)
    stay = min(left_s, settle(s, i, closed, p[i, P_MIN_ON_S], p[i, P_MIN_OFF_S]))
    lift = step_k if s[i, S_RUN] > 0.0 else 0.0
    air, mass = curves(
        s[i, columns[0]], s[i, columns[1]], ends[0] + lift, ends[1] + lift, bodies[0], bodies[1], bodies[2], bodies[3]
    )
    threshold = band[1] if s[i, S_CALL] > 0.0 else band[0]
    met = meets(air, stay, threshold)
    if met <= stay:
        # Met exactly: rounding must not leave the value just short of the threshold.
        stay = met
        s[i, columns[0]] = threshold
    else:
        s[i, columns[0]] = value(air, stay)
    s[i, columns[1]] = value(mass, stay)
    pass_time(s, i, stay)
    return stay, air
