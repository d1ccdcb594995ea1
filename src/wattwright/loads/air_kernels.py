"""The moisture in a room's air, with a dehumidifier, a fan to the outdoors, or both, and a two-point hygrostat.

    m dW/dt = G + q (W_out - W) - d W

m is the dry air in the room times what walls and goods buffer, q the air that leaks plus, while it runs, what the fan moves,
and d what the dehumidifier takes: its rating at its rated air, in proportion to the water in the air. The hygrostat's
relative humidities are humidity ratios at the room's temperature, so the switchings are those of a first-order body. Water
beyond saturation condenses on the surfaces. Source: mass balance; ASHRAE Handbook Fundamentals, chapter 1, for moist air.

S_VALUE is the relative humidity in per cent; S_UNMET per cent times seconds over the limit, reckoned straight between the
limit and saturation; S_STORED_J what the dehumidifier uses to take the water that is less than at the start; use[0] the
moisture source in kg/s.
"""

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
)  # fmt: skip
from wattwright.loads.first_order_kernels import area, outside, stretch
from wattwright.loads.moist_air_kernels import humidity_ratio, relative_humidity

Floats = NDArray[np.float64]

P_AIR_KG, P_LEAK_KG_S, P_FAN_KG_S, P_DRY_KG_S, P_ROOM_C, P_PRESSURE_PA = (P_OWN + k for k in range(6))
"""Dry air with its buffer; air that leaks; air of the fan; d; temperature (NaN: outdoors'); pressure of the air."""
P_BEGIN, P_CEASE, P_LIMIT, P_J_PER_KG = (P_OWN + k for k in range(6, 10))
"""Relative humidities, shares of 1: where the hygrostat begins and ceases to call, and the limit; J per kg taken."""
S_RATIO, S_VENTED_KG, S_TAKEN_KG, S_GAINED_KG, S_CONDENSED_KG = (S_OWN + k for k in range(5))
"""Humidity ratio; so far: water carried out by air, taken by the dehumidifier, come from the source, condensed."""
U_SOURCE_KG_S = 0


@lean_kernel
def air(p: Floats, s: Floats, i: int, closed: bool, time_s: float, weather: Floats, use: Floats) -> float:
    """Advance the air of room ``i`` by ``time_s`` and return the electric energy used, J."""
    celsius = weather[W_AIR_C] if np.isnan(p[i, P_ROOM_C]) else p[i, P_ROOM_C]
    pressure, mass, outdoors = p[i, P_PRESSURE_PA], p[i, P_AIR_KG], weather[W_HUMIDITY_RATIO]
    source, leak = use[U_SOURCE_KG_S], p[i, P_LEAK_KG_S]
    moved = leak + p[i, P_FAN_KG_S]
    dries = p[i, P_DRY_KG_S]
    full, limit = humidity_ratio(celsius, 1.0, pressure), humidity_ratio(celsius, p[i, P_LIMIT], pressure)
    band = (humidity_ratio(celsius, p[i, P_BEGIN], pressure), humidity_ratio(celsius, p[i, P_CEASE], pressure))
    ends = (outdoors + source / leak, (moved * outdoors + source) / (moved + dries))
    taus = (mass / leak, mass / (moved + dries))
    per_cent = 100.0 * (1.0 - p[i, P_LIMIT]) / max(full - limit, 1e-9)
    left, used = time_s, 0.0
    while left > 0.0:
        stay, now, end, tau, share = stretch(
            s, i, S_RATIO, closed, left, ends, taus, band, (p[i, P_MIN_ON_S], p[i, P_MIN_OFF_S])
        )  # fmt: skip
        runs = s[i, S_RUN]
        held = area(now, end, tau, stay, share)
        s[i, S_VENTED_KG] += (moved if runs > 0.0 else leak) * (held - outdoors * stay)
        s[i, S_TAKEN_KG] += dries * runs * held
        s[i, S_GAINED_KG] += source * stay
        s[i, S_UNMET] += per_cent * outside(now, s[i, S_RATIO], end, tau, stay, share, -np.inf, limit)
        if s[i, S_RATIO] > full:
            s[i, S_CONDENSED_KG] += mass * (s[i, S_RATIO] - full)
            s[i, S_RATIO] = full
        used += p[i, P_RATING_W] * stay * runs
        left -= stay
    s[i, S_VALUE] = 100.0 * relative_humidity(celsius, s[i, S_RATIO], pressure)
    more = s[i, S_GAINED_KG] - s[i, S_VENTED_KG] - s[i, S_TAKEN_KG] - s[i, S_CONDENSED_KG]
    s[i, S_STORED_J] = -more * p[i, P_J_PER_KG]
    return used
