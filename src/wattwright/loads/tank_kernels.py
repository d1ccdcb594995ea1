"""A storage water heater: one mixed tank, or nodes one above the other, with thermostat, draws, losses and a mixing valve.

Nodes of equal volume, 0 at the top. Cold water enters below and pushes the same flow up from node to node (Duffie and Beckman,
Solar Engineering of Thermal Processes, 8.4, from memory):

    m c dT_i/dt = w c (T_i+1 - T_i) + k (T_i-1 - 2 T_i + T_i+1) - UA_i (T_i - T_a) + Q_i,     T below the last = cold water

The flow w through the tank is what the mixing valve takes for the wanted flow at use temperature: (T_use - T_c) / (T_top - T_c)
of it, all of it where the top is colder than that. Water that is warmer below rises: such nodes are mixed, keeping their heat.
One node is solved in closed form between the switchings of its thermostat; several are stepped by Runge and Kutta's fourth order,
the step shortened to the flow, and a switching located within the step. While nothing is drawn, as most of the time, equations
are linear: that step is then the series of the first four powers of time, the same at a third of the work.
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
    W_AIR_C,
    W_COLD_WATER_C,
)  # fmt: skip
from wattwright.loads.first_order_kernels import drift, pass_time, passes, settle, time_to

Floats = NDArray[np.float64]

HEAT_J_L_K = 4186.8
"""Heat of one litre of water, J/(l K): 1.163 Wh/(l K)."""
MOST_NODES = 10
P_VOLUME_L, P_NODES, P_UA_W_K, P_AMBIENT_C, P_SET_C, P_DIFFERENTIAL_K = (P_OWN + k for k in range(6))
P_USE_C, P_ELEMENT, P_SENSOR, P_UPPER_W, P_UPPER_ELEMENT, P_UPPER_SENSOR = (P_OWN + k for k in range(6, 12))
P_LIMIT_C, P_CONDUCT_W_K = P_OWN + 12, P_OWN + 13
"""Volume; number of nodes; loss of the whole tank; room about it (NaN: outdoors); thermostat; use temperature; nodes of
element and sensor, below and above; rating of the upper element (0: none); the heater's own limit; conduction between nodes."""
U_FLOW_L_S, U_RAISED_C = 0, 1
"""Use: wanted flow at use temperature, l/s; set point raised to this against Legionella, degC (0: no)."""
S_DRAWN_J, S_LOST_J, S_HEAT_J, S_UPPER_CALL, S_RAISED_C = (S_OWN + k for k in range(5))
"""Heat drawn, lost and put in; the upper thermostat's call; to what the set point was raised in the step before."""
S_NODE = 20
_KEPT, _SUM, _TRIAL, _SLOPE = 30, 42, 54, 66
"""Behind the nodes: what a step may have to begin again from, and its workings; each the nodes and two totals."""
_BESIDE_K = 1e-9
_TRICKLE_L_S = 1e-9
_SHORTEST = 0.2
"""Share of a node's content that may flow through in one step: RK4 is then good to a few millionths of the jump."""
_PARTS = (0.0, 0.5, 0.5, 1.0)
_WEIGHTS = (1 / 6, 1 / 3, 1 / 3, 1 / 6)
_SHARES = (0.0, *(1.0 / number for number in range(1, MOST_NODES + 1)))


@lean_kernel
def tank(p: Floats, s: Floats, i: int, closed: bool, time_s: float, weather: Floats, use: Floats) -> float:
    """Advance tank ``i`` by ``time_s`` and return the electric energy it used, J."""
    room = weather[W_AIR_C] if np.isnan(p[i, P_AMBIENT_C]) else p[i, P_AMBIENT_C]
    cold, flow = weather[W_COLD_WATER_C], use[U_FLOW_L_S]
    target = min(max(p[i, P_SET_C], use[U_RAISED_C]), p[i, P_LIMIT_C])
    if use[U_RAISED_C] > s[i, S_RAISED_C]:
        _heat_through(p, s, i, min(use[U_RAISED_C], p[i, P_LIMIT_C]))
    s[i, S_RAISED_C] = use[U_RAISED_C]
    if p[i, P_NODES] <= 1.0:
        used = _mixed(p, s, i, closed, time_s, room, cold, flow, target)
    else:
        used = _layered(p, s, i, closed, time_s, room, cold, flow, target)
    s[i, S_STORED_J] = s[i, S_HEAT_J] - s[i, S_DRAWN_J] - s[i, S_LOST_J]
    return used


@lean_kernel
def _heat_through(p: Floats, s: Floats, i: int, to_c: float) -> None:
    """Call for heat when heating-through begins: a tank within its differential would else stay below what is asked."""
    if s[i, S_NODE + int(p[i, P_SENSOR])] < to_c:
        s[i, S_CALL] = 1.0
    if p[i, P_UPPER_W] > 0.0 and s[i, S_NODE + int(p[i, P_UPPER_SENSOR])] < to_c:
        s[i, S_UPPER_CALL] = 1.0


@kernel
def hot_flow(top_c: float, cold_c: float, use_c: float, flow_l_s: float) -> float:
    """Return what the mixing valve takes from a tank of ``top_c`` for ``flow_l_s`` at ``use_c``, l/s."""
    if top_c <= use_c or use_c <= cold_c:
        return flow_l_s
    return flow_l_s * (use_c - cold_c) / (top_c - cold_c)


@lean_kernel
def _mixed(
    p: Floats, s: Floats, i: int, closed: bool, time_s: float, room: float, cold: float, flow: float, target: float
) -> float:
    """One node. Above the use temperature the valve takes a constant heat, below it a constant flow: both drift exponentially."""
    # A tank that loses nothing at all would never come to rest; it loses next to nothing.
    heat, ua = p[i, P_VOLUME_L] * HEAT_J_L_K, max(p[i, P_UA_W_K], 1e-9)
    use, rating = p[i, P_USE_C], p[i, P_RATING_W]
    left, used = time_s, 0.0
    while left > 0.0:
        now = s[i, S_NODE]
        _call(s, i, S_CALL, now, target, p[i, P_DIFFERENTIAL_K])
        wait = settle(s, i, closed, p[i, P_MIN_ON_S], p[i, P_MIN_OFF_S])
        power = rating if s[i, S_RUN] > 0.0 else 0.0
        short = flow > 0.0 and (now < use or use <= cold)
        drawn_w = 0.0 if short else flow * HEAT_J_L_K * max(use - cold, 0.0)
        carried = flow * HEAT_J_L_K if short else 0.0
        slope = ua + carried
        end = (ua * room + carried * cold + power - drawn_w) / slope
        tau = heat / slope
        threshold = target if s[i, S_CALL] > 0.0 else target - p[i, P_DIFFERENTIAL_K]
        stay = min(left, wait)
        then = drift(now, end, tau, stay)
        if flow > 0.0 and use > cold and passes(now, then, use):
            # From here on the valve takes another share: go on just beyond, on the side it drifts to.
            stay, then = min(stay, time_to(now, end, tau, use)), use - _BESIDE_K if now > use else use
        if passes(now, then, threshold):
            stay, then = min(stay, time_to(now, end, tau, threshold)), threshold
        mean = end + (now - then) * tau / stay if stay > 0.0 else now
        s[i, S_NODE] = then
        s[i, S_LOST_J] += ua * (mean - room) * stay
        s[i, S_DRAWN_J] += (drawn_w + carried * (mean - cold)) * stay
        s[i, S_HEAT_J] += power * stay
        s[i, S_UNMET] += flow * stay if short and now < use else 0.0
        used += power * stay
        pass_time(s, i, stay)
        left -= stay
    s[i, S_VALUE] = s[i, S_NODE]
    return used


@lean_kernel
def _call(s: Floats, i: int, column: int, now: float, target: float, differential: float) -> None:
    """Let a thermostat's contact follow its temperature."""
    if now >= target:
        s[i, column] = 0.0
    elif now <= target - differential:
        s[i, column] = 1.0


@lean_kernel
def _layered(
    p: Floats, s: Floats, i: int, closed: bool, time_s: float, room: float, cold: float, flow: float, target: float
) -> float:
    """Several nodes, step by step; the upper element, where there is one, goes first and never together with the lower."""
    nodes = int(p[i, P_NODES])
    node_l = p[i, P_VOLUME_L] / nodes
    below, above = S_NODE + int(p[i, P_SENSOR]), S_NODE + int(p[i, P_UPPER_SENSOR])
    differential, upper_w = p[i, P_DIFFERENTIAL_K], p[i, P_UPPER_W]
    left, used = time_s, 0.0
    while left > 0.0:
        _call(s, i, S_CALL, s[i, below], target, differential)
        if upper_w > 0.0:
            _call(s, i, S_UPPER_CALL, s[i, above], target, differential)
        upper = upper_w > 0.0 and s[i, S_UPPER_CALL] > 0.0
        # The relay time of the heater knows one running state, whichever element it is.
        lower = s[i, S_CALL]
        s[i, S_CALL] = 1.0 if upper or lower > 0.0 else 0.0
        wait = settle(s, i, closed, p[i, P_MIN_ON_S], p[i, P_MIN_OFF_S])
        s[i, S_CALL] = lower
        power = 0.0 if s[i, S_RUN] == 0.0 else upper_w if upper else p[i, P_RATING_W]
        element = int(p[i, P_UPPER_ELEMENT]) if upper else int(p[i, P_ELEMENT])
        through = hot_flow(s[i, S_NODE], cold, p[i, P_USE_C], flow)
        stay = min(left, wait, _SHORTEST * node_l / through if through > _TRICKLE_L_S else np.inf)
        sensor, calls = (above, upper) if upper else (below, lower > 0.0)
        stay = _step_to_threshold(p, s, i, stay, nodes, room, cold, flow, power, element, sensor, calls, target)
        s[i, S_HEAT_J] += power * stay
        used += power * stay
        pass_time(s, i, stay)
        left -= stay
    s[i, S_VALUE] = s[i, below]
    return used


@lean_kernel
def _step_to_threshold(
    p: Floats, s: Floats, i: int, stay: float, nodes: int, room: float, cold: float, flow: float, power: float, element: int,
    sensor: int, calls: bool, target: float,
) -> float:  # fmt: skip
    """Step the nodes by ``stay``, or only as far as the thermostat's threshold lies; return how far, s."""
    for k in range(nodes + 2):
        s[i, _KEPT + k] = s[i, S_NODE + k] if k < nodes else s[i, S_DRAWN_J + k - nodes]
    before, unmet = s[i, sensor], s[i, S_UNMET]
    threshold = target if calls else target - p[i, P_DIFFERENTIAL_K]
    low, high, tried = 0.0, stay, stay
    for attempt in range(40):
        if flow > 0.0:
            _runge_kutta(p, s, i, tried, nodes, room, cold, flow, power, element)
        else:
            _stand(p, s, i, tried, nodes, room, power, element)
        _rise(s, i, nodes)
        over = s[i, sensor] - threshold if calls else threshold - s[i, sensor]
        if attempt == 0 and over < 0.0:
            break
        if 0.0 <= over < 1e-7 or high - low < 1e-6:
            break
        low, high = (tried, high) if over < 0.0 else (low, tried)
        # Nearly straight within a step: aim, and halve where aiming does not close in.
        moved = s[i, sensor] - before
        aimed = tried * (threshold - before) / moved if attempt < 3 and abs(moved) > 1e-9 else 0.0
        tried = aimed if low < aimed < high else 0.5 * (low + high)
        for k in range(nodes + 2):
            s[i, S_NODE + k if k < nodes else S_DRAWN_J + k - nodes] = s[i, _KEPT + k]
    s[i, S_UNMET] = unmet + (flow * tried if s[i, S_NODE] < p[i, P_USE_C] else 0.0)
    return tried


@lean_kernel
def _runge_kutta(
    p: Floats, s: Floats, i: int, time_s: float, nodes: int, room: float, cold: float, flow: float, power: float, element: int
) -> None:
    """Advance the nodes, and what was drawn and lost, by one step of fourth order."""
    for k in range(nodes + 2):
        s[i, _SUM + k] = 0.0
        s[i, _TRIAL + k] = s[i, S_NODE + k] if k < nodes else 0.0
    for stage in range(4):
        _slopes(p, s, i, nodes, room, cold, flow, power, element)
        for k in range(nodes + 2):
            s[i, _SUM + k] += _WEIGHTS[stage] * s[i, _SLOPE + k]
        if stage < 3:
            for k in range(nodes):
                s[i, _TRIAL + k] = s[i, S_NODE + k] + _PARTS[stage + 1] * time_s * s[i, _SLOPE + k]
    for k in range(nodes):
        s[i, S_NODE + k] += time_s * s[i, _SUM + k]
    s[i, S_DRAWN_J] += time_s * s[i, _SUM + nodes]
    s[i, S_LOST_J] += time_s * s[i, _SUM + nodes + 1]


@lean_kernel
def _stand(p: Floats, s: Floats, i: int, time_s: float, nodes: int, room: float, power: float, element: int) -> None:
    """Do what ``_runge_kutta`` does while nothing is drawn: each power of time follows from the one before."""
    # Multiplied with where one would divide, which takes several times as long.
    per_j = nodes / (p[i, P_VOLUME_L] * HEAT_J_L_K)
    loss_w = p[i, P_UA_W_K] * _SHARES[nodes]
    lose, conduct, total = loss_w * per_j, p[i, P_CONDUCT_W_K] * per_j, 0.0
    for k in range(nodes):
        s[i, _SLOPE + k], s[i, _SUM + k] = s[i, S_NODE + k] - room, 0.0
        total += s[i, _SLOPE + k]
    lost, factor, gained = 0.0, time_s, power * per_j
    for order in range(2, 6):
        lost += factor * total
        # What layers pass on to one another is lost to none of them.
        total = gained - lose * total
        now, from_above = s[i, _SLOPE], 0.0
        for k in range(nodes):
            under = s[i, _SLOPE + k + 1] if k < nodes - 1 else now
            from_under = conduct * (under - now)
            slope = from_under - from_above - lose * now
            s[i, _SLOPE + k] = slope
            s[i, _SUM + k] += factor * slope
            from_above, now = from_under, under
        s[i, _SLOPE + element] += gained
        s[i, _SUM + element] += factor * gained
        gained = 0.0
        factor *= time_s * _SHARES[order]
    for k in range(nodes):
        s[i, S_NODE + k] += s[i, _SUM + k]
    s[i, S_LOST_J] += loss_w * lost


@lean_kernel
def _slopes(p: Floats, s: Floats, i: int, nodes: int, room: float, cold: float, flow: float, power: float, element: int) -> None:
    """Write the slopes of the trial nodes in K/s, behind them the heat drawn and lost in W."""
    heat = p[i, P_VOLUME_L] / nodes * HEAT_J_L_K
    ua, conduct = p[i, P_UA_W_K] / nodes, p[i, P_CONDUCT_W_K]
    through = hot_flow(s[i, _TRIAL], cold, p[i, P_USE_C], flow) * HEAT_J_L_K
    lost = 0.0
    for k in range(nodes):
        now = s[i, _TRIAL + k]
        under = s[i, _TRIAL + k + 1] if k < nodes - 1 else cold
        gain = through * (under - now) - ua * (now - room)
        if k > 0:
            gain += conduct * (s[i, _TRIAL + k - 1] - now)
        if k < nodes - 1:
            gain += conduct * (under - now)
        if k == element:
            gain += power
        lost += ua * (now - room)
        s[i, _SLOPE + k] = gain / heat
    s[i, _SLOPE + nodes] = through * (s[i, _TRIAL] - cold)
    s[i, _SLOPE + nodes + 1] = lost


@lean_kernel
def _rise(s: Floats, i: int, nodes: int) -> None:
    """Mix every node that is warmer than the one above it with that one, as far up as it rises; the heat stays the same."""
    for k in range(1, nodes):
        size, total, top = 1, s[i, S_NODE + k], k
        while top > 0 and s[i, S_NODE + top - 1] < total / size:
            top -= 1
            total += s[i, S_NODE + top]
            size += 1
        if size > 1:
            # What it reaches may have been mixed before and is then of one temperature with its neighbours above.
            mean = total / size
            for node in range(top, k + 1):
                s[i, S_NODE + node] = mean
