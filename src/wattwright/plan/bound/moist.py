"""Damp air in a linear programme: what a dehumidifier or a fan takes, at the most, of each kWh."""

import numpy as np

from wattwright.loads import air_kernels as airs
from wattwright.loads.columns import P_RATING_W, W_HUMIDITY_RATIO
from wattwright.loads.moist_air_kernels import humidity_ratio
from wattwright.plan.bound.asked import KWH_J, Asked, Given
from wattwright.plan.bound.linear import Linear
from wattwright.plan.bound.stores import drift


def air(program: Linear, asked: Asked) -> Given:
    """Air stays below its limit but for what may fail; outdoors' own temperature lets water condense freely: nothing is asked.

    Water that condenses leaves the air for nothing, but only while the air stands far above its limit, which is counted.
    """
    p, s = asked.p, asked.load.state
    power, n = asked.power(program), len(asked.steps)
    if np.isnan(p[airs.P_ROOM_C]):
        return Given(power)
    celsius, pressure = float(p[airs.P_ROOM_C]), float(p[airs.P_PRESSURE_PA])
    full, limit = humidity_ratio(celsius, 1.0, pressure), humidity_ratio(celsius, float(p[airs.P_LIMIT]), pressure)
    outdoors, source = asked.weather(W_HUMIDITY_RATIO), asked.use(airs.U_SOURCE_KG_S)
    leak, mass = float(p[airs.P_LEAK_KG_S]), float(p[airs.P_AIR_KG])
    top = max(full, float(s[airs.S_RATIO]), float((outdoors + source / leak).max()))
    taken = p[airs.P_DRY_KG_S] * full + p[airs.P_FAN_KG_S] * np.maximum(full - outdoors, 0.0).max(axis=1)
    per_kwh = taken * KWH_J / max(float(p[P_RATING_W]), 1e-9)
    passing = drift(np.full(outdoors.shape, mass / leak), top - (outdoors + source / leak), asked.steps.case.scenario.step_s)
    held, short, wet = program.columns(n + 1, 0.0), program.columns(n, 0.0), program.columns(n, 0.0)
    h, start = asked.steps.hours, (top - float(s[airs.S_RATIO])) * mass
    program.rows([(held[:1], 1.0)], start, start)
    filled = [(power, -h * per_kwh), (wet, -1.0)]
    program.rows([(held[1:], 1.0), (held[:-1], -passing.left), *filled], -np.inf, passing.put * mass)
    per_cent = 100.0 * (1.0 - float(p[airs.P_LIMIT])) / max(full - limit, 1e-9)
    program.rows(
        [(held[:-1], passing.mean_left), (power, h * per_kwh), (wet, 1.0), (short, mass / per_cent)],
        (top - limit - passing.mean_put) * mass, np.inf,
    )  # fmt: skip
    comes = (source + leak * outdoors).max(axis=1) * asked.steps.step_s
    program.rows([(wet, 1.0), (short, -comes / (100.0 * (1.0 - float(p[airs.P_LIMIT])) or 1e-9))], -np.inf, 0.0)
    program.row(short, float(asked.steps.step_s), 0.0, asked.most_unmet)
    # What is less in the air at the end than at the start is worth what it took to take it.
    per_kg = float(p[airs.P_J_PER_KG]) / KWH_J
    return Given(power, ((held[-1:], per_kg),), per_kg * start)
