"""Tanks, rooms, cold stores and greenhouses in a linear programme: bodies that keep heat or cold.

Relaxed, always on the safe side: layers of a tank count only by their sum; what is heated in a step counts as heated at its
beginning; a machine has in the whole step the best performance of its minutes; fans, defrosting and what the load's own
controller insists on cost nothing; the heat of vents is left out.
"""

from math import expm1

import numpy as np
from numpy.typing import NDArray

from wattwright.loads import cold_kernels as cold, greenhouse_kernels as house, room_kernels as rooms, tank_kernels as tanks
from wattwright.loads.columns import P_MIN_ON_S, P_RATING_W, W_AIR_C, W_COLD_WATER_C, W_SUN_W_M2
from wattwright.plan.bound.asked import KWH_J, Asked, Given
from wattwright.plan.bound.linear import Linear
from wattwright.plan.bound.stores import Drift, ceiling, drift

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
_ROUNDED = 2e-4
"""Share of a draw by which the steps of a layered tank may miss it: Runge and Kutta's fourth order, and steps half warm. A tank
of one node is solved in closed form and misses nothing."""
_LEAST_W_K = 1e-6


def tank(program: Linear, asked: Asked) -> Given:
    """A tank gives every litre at use temperature but those that may fail."""
    p, s = asked.p, asked.load.state
    part_s, h = asked.steps.case.scenario.step_s, asked.steps.hours
    nodes = max(int(p[tanks.P_NODES]), 1)
    heat, ua = p[tanks.P_VOLUME_L] * tanks.HEAT_J_L_K, max(float(p[tanks.P_UA_W_K]), _LEAST_W_K)
    about = asked.weather(W_AIR_C) if np.isnan(p[tanks.P_AMBIENT_C]) else np.full(_shape(asked), p[tanks.P_AMBIENT_C])
    water, flow, raised = asked.weather(W_COLD_WATER_C), asked.use(tanks.U_FLOW_L_S), asked.use(tanks.U_RAISED_C)
    start_c = float(np.mean(s[tanks.S_NODE : tanks.S_NODE + nodes]))
    hottest_c = min(max(float(p[tanks.P_SET_C]), float(raised.max(initial=0.0))), float(p[tanks.P_LIMIT_C]))
    hottest_c = max(hottest_c, float(s[tanks.S_NODE : tanks.S_NODE + nodes].max()), float(about.max()), float(water.max()))
    low_c = min(float(about.min()), float(water.min()), start_c)
    kwh_k = heat / KWH_J
    passing = drift(np.full(about.shape, heat / ua), about - low_c, part_s)
    wanted_l = flow.sum(axis=1) * part_s
    litre_kwh = tanks.HEAT_J_L_K / KWH_J * np.maximum(p[tanks.P_USE_C] - water, 0.0)
    # Each minute's draw is known, and so what the loss of what it takes out would have been.
    drawn_k = drift(np.full(about.shape, heat / ua), flow * litre_kwh * KWH_J / ua, part_s).put
    power, held = asked.power(program), program.columns(len(wanted_l) + 1, 0.0, (hottest_c - low_c) * kwh_k)
    short_l = program.columns(len(wanted_l), 0.0, wanted_l)
    program.rows([(held[:1], 1.0)], *[(start_c - low_c) * kwh_k] * 2)
    missed = _ROUNDED if nodes > 1 else 0.0
    terms = [(held[1:], 1.0), (held[:-1], -passing.left), (power, -h), (short_l, -litre_kwh.max(axis=1))]
    program.rows(terms, -np.inf, (passing.put - drawn_k * (1.0 - missed)) * kwh_k)
    program.row(short_l, 1.0, 0.0, asked.most_unmet)
    _hot_behind_draws(
        program, held, short_l, wanted_l, litre_kwh.max(axis=1), passing.left * (p[tanks.P_USE_C] - low_c) * kwh_k / nodes
    )
    return Given(power, ((held[-1:], 1.0),), (start_c - low_c) * kwh_k)


def _hot_behind_draws(
    program: Linear, held: Ints, short_l: Ints, wanted_l: Floats, litre_kwh: Floats, least_kwh: Floats
) -> None:  # fmt: skip
    """Keep the layer that is drawn from at use temperature where the last litre of a step is to be served.

    Each litre that fails may take as much heat out as one that does not, and where all of them fail nothing is known.
    """
    drawn = np.flatnonzero(wanted_l > 0.0)
    per_litre = np.maximum(least_kwh[drawn] / wanted_l[drawn], litre_kwh[drawn])
    program.rows([(held[1:][drawn], 1.0), (short_l[drawn], per_litre)], least_kwh[drawn], np.inf)


def room(program: Linear, asked: Asked) -> Given:
    """A room stays within its band but for the degree-hours that may fail; cold is what a cooled one is filled with."""
    p, s = asked.p, asked.load.state
    sign = float(p[rooms.P_SIGN])
    air = asked.weather(W_AIR_C)
    gains = asked.use(rooms.U_GAINS_W) + p[rooms.P_SUN_M2] * asked.weather(W_SUN_W_M2)
    ua, heat = max(float(p[rooms.P_UA_W_K]), _LEAST_W_K), float(p[rooms.P_HEAT_J_K])
    cop = np.maximum(p[rooms.P_COP_LEAST], p[rooms.P_COP] + p[rooms.P_COP_PER_K] * (air - p[rooms.P_COP_AT_C]))
    wanted = sign * float(p[rooms.P_LOW_C] if sign > 0.0 else p[rooms.P_HIGH_C])
    starts, ends = sign * float(s[rooms.S_AIR_C]), sign * (air + gains / ua)
    top = sign * float(p[rooms.P_CEASE_C])
    if p[rooms.P_MASS_J_K] > 0.0:
        return _heavy(program, asked, wanted, sign * air, sign * gains, cop)
    body = _Body(
        heat, np.full(air.shape, heat / ua), ends, starts, top, wanted, cop.max(axis=1), _overshoot_k(p, heat, cop.max())
    )
    return _filled(program, asked, body)


def greenhouse(program: Linear, asked: Asked) -> Given:
    """A greenhouse is kept from frost; open vents only cool it where it is colder outdoors than where they begin to open."""
    p, s = asked.p, asked.load.state
    air, sun_w = asked.weather(W_AIR_C), p[house.P_SUN_M2] * asked.weather(W_SUN_W_M2)
    shut, heat = float(p[house.P_UA_W_K] + house.AIR_J_KG_K * p[house.P_LEAK_KG_S]), float(p[house.P_HEAT_J_K])
    vented = shut + house.AIR_J_KG_K * float(p[house.P_VENT_KG_S])
    gains = (1.0 - p[house.P_EVAPORATED]) * sun_w
    ends, starts = air + gains / shut, float(s[house.S_AIR_C])
    # Air warmer than the vents' own temperature warms a house that is vented, and quickly: what comes in then comes as with
    # open vents, what is left is left as with shut ones.
    tau_s = np.where(air > p[house.P_VENT_C], heat / vented, heat / shut)
    over_k = _overshoot_k(p, heat, 1.0)
    body = _Body(heat, tau_s, ends, starts, float(p[house.P_CEASE_C]), float(p[house.P_LOW_C]), np.ones(len(air)), over_k)
    body.slow_s = np.full(air.shape, heat / shut)
    return _filled(program, asked, body)


def cold_store(program: Linear, asked: Asked) -> Given:
    """A cold store keeps its goods below their limit but for the degree-hours that may fail; the probe follows the air."""
    p, s = asked.p, asked.load.state
    part_s, h = asked.steps.case.scenario.step_s, asked.steps.hours
    about = asked.weather(W_AIR_C) if np.isnan(p[cold.P_ROOM_C]) else np.full(_shape(asked), p[cold.P_ROOM_C])
    blown = asked.weather(W_AIR_C) if np.isnan(p[cold.P_CONDENSER_C]) else np.full(_shape(asked), p[cold.P_CONDENSER_C])
    condensing = np.maximum(blown + p[cold.P_CONDENSING_K], p[cold.P_CONDENSING_LEAST_C])
    kelvin = float(p[cold.P_EVAPORATING_C]) + 273.15
    cop = (p[cold.P_CARNOT] * kelvin / np.maximum(condensing - p[cold.P_EVAPORATING_C], 1.0)).max(axis=1)
    ua, heat = np.maximum(p[cold.P_UA_W_K] + p[cold.P_DOOR_W_K] * asked.use(cold.U_DOOR), _LEAST_W_K), float(p[cold.P_HEAT_J_K])
    ends = -(about + asked.use(cold.U_GOODS_W) / ua)
    starts, probe = -float(s[cold.S_AIR_C]), -float(s[cold.S_PROBE_C])
    low, kwh_k = min(float(ends.min()), starts, probe), heat / KWH_J
    passing = drift(heat / ua, ends - low, part_s)
    top = -float(p[cold.P_CEASE_C]) + _overshoot_k(p, heat, float(cop.max())) - low
    most = ceiling(starts - low, top, passing) * kwh_k
    power, held = asked.power(program), program.columns(len(cop) + 1, 0.0, most)
    program.rows([(held[:1], 1.0)], *[(starts - low) * kwh_k] * 2)
    program.rows([(held[1:], 1.0), (held[:-1], -passing.left), (power, -h * cop)], -np.inf, passing.put * kwh_k)
    follows_s = max(float(p[cold.P_PROBE_S]), 1e-9)
    kept = float(np.exp(-asked.steps.step_s / follows_s))
    mean_kept = float(-expm1(-asked.steps.step_s / follows_s) * follows_s / asked.steps.step_s)
    shown = program.columns(len(cop) + 1, 0.0, np.inf)
    program.rows([(shown[:1], 1.0)], *[(probe - low) * kwh_k] * 2)
    # The air is never colder within a step than at its beginning with all that surroundings and machine do at once.
    colder = [(held[:-1], 1.0), (power, h * cop)]
    program.rows(
        [(shown[1:], 1.0), (shown[:-1], -kept), *((c, -(1.0 - kept) * v) for c, v in colder)], -np.inf,
        (1.0 - kept) * passing.low * kwh_k,
    )  # fmt: skip
    short = program.columns(len(cop), 0.0)
    wanted = (-float(p[cold.P_LIMIT_C]) - low) * kwh_k
    program.rows(
        [(shown[:-1], mean_kept), *((c, (1.0 - mean_kept) * v) for c, v in colder), (short, kwh_k)],
        wanted - (1.0 - mean_kept) * passing.low * kwh_k, np.inf,
    )  # fmt: skip
    program.row(short, float(asked.steps.step_s), 0.0, asked.most_unmet)
    return Given(power, ((held[-1:], 1.0),), (starts - low) * kwh_k)


class _Body:
    """A body of one node that is filled by its machine; temperatures of what is cooled are negative."""

    def __init__(
        self, heat: float, tau_s: Floats, ends: Floats, starts: float, top: float, wanted: float, gain: Floats, over_k: float
    ) -> None:
        """Hold heat in J/K, time constants and ends of parts, where it starts, ceases and is wanted, and the machine's gain."""
        self.heat, self.tau_s, self.ends, self.starts = heat, tau_s, ends, starts
        self.top, self.wanted, self.gain = top + over_k, wanted, gain
        self.slow_s = tau_s

    def passing(self, low: float, part_s: float) -> Drift:
        """Return how steps pass: of two time constants, where one is not sure, the most that is left and put in."""
        quick = drift(self.tau_s, self.ends - low, part_s)
        if self.slow_s is self.tau_s:
            return quick
        slow = drift(self.slow_s, self.ends - low, part_s)
        most = (np.maximum(getattr(quick, name), getattr(slow, name)) for name in ("put", "mean_put", "low"))
        put, mean_put, highest = most
        return Drift(slow.left, put, slow.mean_left, mean_put, highest)


def _filled(program: Linear, asked: Asked, body: _Body) -> Given:
    h, part_s, kwh_k = asked.steps.hours, asked.steps.case.scenario.step_s, body.heat / KWH_J
    low = min(float(body.ends.min()), body.starts)
    passing, power = body.passing(low, part_s), asked.power(program)
    held = program.columns(len(power) + 1, 0.0, ceiling(body.starts - low, body.top - low, passing) * kwh_k)
    program.rows([(held[:1], 1.0)], *[(body.starts - low) * kwh_k] * 2)
    program.rows([(held[1:], 1.0), (held[:-1], -passing.left), (power, -h * body.gain)], -np.inf, passing.put * kwh_k)
    short = program.columns(len(power), 0.0)
    program.rows(
        [(held[:-1], passing.mean_left), (power, h * body.gain), (short, kwh_k)],
        (body.wanted - low - passing.mean_put) * kwh_k, np.inf,
    )  # fmt: skip
    program.row(short, float(asked.steps.step_s), 0.0, asked.most_unmet)
    return Given(power, ((held[-1:], 1.0),), (body.starts - low) * kwh_k)


def _heavy(program: Linear, asked: Asked, wanted: float, air: Floats, gains: Floats, cop: Floats) -> Given:
    """Air and mass together: what is lost is at least what the band asks for, since only the air loses."""
    p, s, h = asked.p, asked.load.state, asked.steps.hours
    ua, sign = float(p[rooms.P_UA_W_K]), float(p[rooms.P_SIGN])
    heats = (float(p[rooms.P_HEAT_J_K]), float(p[rooms.P_MASS_J_K]))
    start = (heats[0] * sign * s[rooms.S_AIR_C] + heats[1] * sign * s[rooms.S_MASS_C]) / KWH_J
    power = asked.power(program)
    # Held from below too, or a negative price at the end would empty them for ever: neither node falls below where both begin or
    # the coldest that they drift to.
    exchange = max(float(p[rooms.P_EXCHANGE_W_K]), _LEAST_W_K)
    drifts = float((air + np.minimum(gains, 0.0) / ua).min()) + float(np.minimum(gains, 0.0).min()) / exchange
    coldest = min(drifts, sign * float(s[rooms.S_AIR_C]), sign * float(s[rooms.S_MASS_C]))
    stored, short = program.columns(len(power) + 1, sum(heats) * coldest / KWH_J), program.columns(len(power), 0.0)
    hottest = max(
        sign * float(p[rooms.P_CEASE_C]), float((air + np.maximum(gains, 0.0) / ua).max()), sign * float(s[rooms.S_AIR_C]),
        sign * float(s[rooms.S_MASS_C]),
    ) + float(np.maximum(gains, 0.0).max()) / exchange  # fmt: skip
    hottest += _overshoot_k(p, heats[0], float(cop.max()))
    program.rows([(stored[:1], 1.0)], float(start), float(start))
    program.rows([(stored, 1.0)], -np.inf, sum(heats) * hottest / KWH_J)
    per_k = ua * h / 1000.0
    program.rows(
        [(stored[1:], 1.0), (stored[:-1], -1.0), (power, -h * cop.max(axis=1)), (short, -per_k)], -np.inf,
        gains.mean(axis=1) * h / 1000.0 - per_k * (wanted - air.mean(axis=1)),
    )  # fmt: skip
    program.row(short, float(asked.steps.step_s), 0.0, asked.most_unmet)
    return Given(power, ((stored[-1:], 1.0),), float(start))


def _overshoot_k(p: Floats, heat: float, gain: float) -> float:
    """Return how far beyond its ceasing point a shortest run may carry a body."""
    return float(p[P_MIN_ON_S] * p[P_RATING_W] * gain / heat)


def _shape(asked: Asked) -> tuple[int, int]:
    return len(asked.steps), asked.steps.k
