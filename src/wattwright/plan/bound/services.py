"""Loads without a store of heat in a linear programme: pumps, chargers, soil, and what only has to run as long as today."""

import numpy as np
from numpy.typing import NDArray

from wattwright.loads import charger_kernels as chargers, pump_kernels as pumps, soil_kernels as soils
from wattwright.loads.columns import P_RATING_W, P_STANDBY_W, W_ET0_MM_S, W_RAIN_MM_S
from wattwright.plan.bound.asked import KWH_J, Asked, Given
from wattwright.plan.bound.linear import Linear
from wattwright.plan.case import SPARE_H

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]


def plain(program: Linear, asked: Asked) -> Given:
    """What runs whenever it is fed is given in each day the energy that is asked of the case, and an hour's more at most."""
    power, case, k = asked.power(program), asked.steps.case, asked.steps.k
    for day, (first, last) in enumerate(zip(case.days[:-1], case.days[1:], strict=True)):
        # A step that a day's end cuts may serve both days.
        inside = np.arange(first // k, -(-last // k))
        least = float(case.least_kwh[asked.i, day])
        program.row(power[inside], asked.steps.hours, least, np.inf)
        whole = np.arange(-(-first // k), last // k)
        if len(whole):
            program.row(power[whole], asked.steps.hours, -np.inf, least + SPARE_H * asked.most_kw)
    return Given(power)


def pump(program: Linear, asked: Asked) -> Given:
    """A pump turns the water over in every 24 h from the start, but for what may fail."""
    p, s, n = asked.p, asked.load.state, len(asked.steps)
    power, part_s = asked.power(program), asked.steps.case.scenario.step_s
    most_m3 = float(p[pumps.P_FLOW_M3_S]) * asked.steps.step_s
    # Per kW of power: what it moves in a step; whatever it draws counts as moving water.
    per_kw = most_m3 / (float(p[P_RATING_W]) / 1000.0)
    wanted = (p[pumps.P_TURNOVERS] * p[pumps.P_POOL_M3] * asked.use(pumps.U_SEASON).sum(axis=1)) * part_s / 86_400.0
    left_s = float(s[pumps.S_DAY_LEFT_S])
    ends, last = [], left_s
    while last <= n * asked.steps.step_s + 1e-6:
        ends.append(last)
        last += 86_400.0
    short = program.columns(len(ends), 0.0)
    first = 0.0
    for day, end in enumerate(ends):
        inside = np.arange(int(first // asked.steps.step_s), int(-(-end // asked.steps.step_s)))
        whole = np.arange(int(-(-first // asked.steps.step_s)), int(end // asked.steps.step_s))
        before = float(s[pumps.S_TODAY_M3]) if day == 0 else 0.0
        asked_m3 = float(wanted[whole].sum()) + (float(s[pumps.S_WANTED_M3]) if day == 0 else 0.0) - before
        columns, values = np.append(power[inside], short[day]), np.append(np.full(len(inside), per_kw), 1.0)
        program.row(columns, values, asked_m3, np.inf)
        first = end
    if ends:
        program.row(short, 1.0, 0.0, asked.most_unmet)
    return Given(power)


def charger(program: Linear, asked: Asked) -> Given:
    """A charger has put in what is wanted before it is unplugged, but for what may fail; it draws only while plugged in."""
    p, s, h = asked.p, asked.load.state, asked.steps.hours
    plugged, newly = asked.use(chargers.U_PLUGGED).ravel() > 0.0, asked.use(chargers.U_NEWLY_WH).ravel() / 1000.0
    here = asked.steps.means(plugged.astype(np.float64))
    power = program.columns(len(here), 0.0, asked.most_kw * here + float(p[P_STANDBY_W]) / 1000.0 * (1.0 - here))
    was, k = bool(s[chargers.S_PLUGGED] > 0.0), asked.steps.k
    turns = np.diff(np.concatenate([[was], plugged, [False]]).astype(np.int8))
    starts, stops = [0] * was + [int(one) for one in np.flatnonzero(turns > 0)], np.flatnonzero(turns < 0)
    wanted = [float(s[chargers.S_WANTED_J]) / KWH_J if was and not stay else float(newly[one]) for stay, one in enumerate(starts)]
    efficiency, short = float(p[chargers.P_EFFICIENCY]), program.columns(len(starts) + 1, 0.0)
    for stay, (first, last) in enumerate(zip(starts, stops, strict=True)):
        # One that lasts beyond the end need not be full yet.
        if last < len(plugged):
            inside = power[first // k : -(-int(last) // k)]
            values = np.append(np.full(len(inside), efficiency * h), 1.0)
            program.row(np.append(inside, short[stay]), values, wanted[stay], np.inf)
    program.row(short, 1.0, 0.0, asked.most_unmet)
    # What is put in counts as stored, so it must not be put in without end.
    program.row(power, efficiency * h, -np.inf, sum(wanted) + float(p[P_STANDBY_W]) / 1000.0 * efficiency * h * len(power))
    return Given(power, tuple((power[one : one + 1], efficiency * h) for one in range(len(power))))


def soil(program: Linear, asked: Asked) -> Given:
    """Soil loses to drought no more evapotranspiration than may fail; what percolates costs nothing to forbid."""
    p, s = asked.p, asked.load.state
    part_s, n = asked.steps.case.scenario.step_s, len(asked.steps)
    power = asked.power(program)
    given_crop = asked.use(soils.U_CROP)
    crop = np.where(given_crop > 0.0, given_crop, p[soils.P_CROP])
    wants = (crop * asked.weather(W_ET0_MM_S)).sum(axis=1) * part_s
    soaks = np.minimum(asked.weather(W_RAIN_MM_S), p[soils.P_INFILTRATION_MM_S]).sum(axis=1) * part_s
    per_kw = float(p[soils.P_IRRIGATION_MM_S]) * asked.steps.step_s / (float(p[P_RATING_W]) / 1000.0)
    dry, short = program.columns(n + 1, 0.0, float(p[soils.P_TAW_MM])), program.columns(n, 0.0, np.maximum(wants, 0.0))
    program.rows([(dry[:1], 1.0)], float(s[soils.S_DEPLETION_MM]), float(s[soils.S_DEPLETION_MM]))
    program.rows([(dry[1:], 1.0), (dry[:-1], -1.0), (short, 1.0), (power, per_kw)], wants - soaks, np.inf)
    program.row(short, 1.0, 0.0, asked.most_unmet)
    per_mm = float(p[soils.P_J_PER_MM]) / KWH_J
    return Given(power, ((dry[-1:], -per_mm),), -per_mm * float(s[soils.S_DEPLETION_MM]))
