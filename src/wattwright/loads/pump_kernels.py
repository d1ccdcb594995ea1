"""A pool's filter pump at a speed: the affinity laws, met by the pipes' own curve, and the water turned over each day.

With flow q, head h, power and speed n as shares of those at full speed, the pump gives h = H n^2 - (H - 1) q^2 (H: head at no
flow), the pipes ask h = c + (1 - c) q^2 (c: share of the head that is height, not friction). So

    q^2 = (H n^2 - c) / (H - c),     power = q h / e,     e = 2 x - x^2 with x = q / n

With c = 0 that is q = n and power = n^3, the affinity laws. Source: affinity laws and head curves, textbook; the parabola of the
efficiency e about its best point is common practice, no source. The best point is taken to be that at full speed.

S_VALUE is the turnovers reached in the day so far; S_UNMET the water in m3 that was to be filtered and was not, reckoned at each
day's end, 24 h from the start; use[0] the share of the usual turnovers wanted (1 in the season, 0 for a closed pool).
"""

import numpy as np
from numpy.typing import NDArray

from wattwright.core.kernels import kernel, lean_kernel
from wattwright.loads.columns import P_OWN, P_RATING_W, S_CALL, S_OWN, S_RUN, S_UNMET, S_VALUE
from wattwright.loads.first_order_kernels import INSTANT_S, pass_time, settle

Floats = NDArray[np.float64]

P_POOL_M3, P_FLOW_M3_S, P_TURNOVERS = (P_OWN + k for k in range(3))
"""Water in the pool; flow at the speed set; turnovers wanted in a day. P_RATING_W is the power at the speed set."""
S_DAY_LEFT_S, S_TODAY_M3, S_WANTED_M3, S_FILTERED_M3, S_STILL_S, S_LONGEST_STILL_S = (S_OWN + k for k in range(6))
"""What is left of the day; filtered and wanted today; filtered in all; time without flow now, and the longest so far."""
U_SEASON = 0
_DAY_S = 86_400.0


@kernel
def duty(speed: float, static: float, shut_off: float) -> tuple[float, float]:
    """Return (flow, power) at a speed as shares of those at full speed; ``static`` is c, ``shut_off`` H."""
    gives = shut_off * speed * speed - static
    if gives <= 0.0:
        # Too slow to lift the water at all: the pump churns at its head without flow.
        return 0.0, 0.5 * speed * shut_off * speed * speed
    flow = (gives / (shut_off - static)) ** 0.5
    head = static + (1.0 - static) * flow * flow
    return flow, flow * head / (2.0 * flow / speed - (flow / speed) ** 2)


@lean_kernel
def pump(p: Floats, s: Floats, i: int, closed: bool, time_s: float, use: Floats) -> float:
    """Advance pump ``i`` by ``time_s`` and return the electric energy it used, J."""
    s[i, S_CALL] = 1.0
    settle(s, i, closed, 0.0, 0.0)
    runs, pool = s[i, S_RUN], p[i, P_POOL_M3]
    flows = runs > 0.0 and p[i, P_FLOW_M3_S] > 0.0
    left = time_s
    while left > 0.0:
        stay = min(left, s[i, S_DAY_LEFT_S])
        s[i, S_TODAY_M3] += p[i, P_FLOW_M3_S] * runs * stay
        s[i, S_FILTERED_M3] += p[i, P_FLOW_M3_S] * runs * stay
        s[i, S_WANTED_M3] += p[i, P_TURNOVERS] * pool * use[U_SEASON] * stay / _DAY_S
        s[i, S_DAY_LEFT_S] -= stay
        if s[i, S_DAY_LEFT_S] <= INSTANT_S:
            s[i, S_UNMET] += max(0.0, s[i, S_WANTED_M3] - s[i, S_TODAY_M3])
            s[i, S_DAY_LEFT_S], s[i, S_TODAY_M3], s[i, S_WANTED_M3] = _DAY_S, 0.0, 0.0
        left -= stay
    s[i, S_STILL_S] = 0.0 if flows else s[i, S_STILL_S] + time_s
    s[i, S_LONGEST_STILL_S] = max(s[i, S_LONGEST_STILL_S], s[i, S_STILL_S])
    s[i, S_VALUE] = s[i, S_TODAY_M3] / pool
    pass_time(s, i, time_s)
    return float(p[i, P_RATING_W] * time_s * runs)
