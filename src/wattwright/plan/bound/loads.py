"""Loads in a linear programme, by kind: what each must be given, and when it may be given it."""

from collections.abc import Callable, Mapping

import numpy as np
from numpy.typing import NDArray

from wattwright.loads.columns import AIR, CHARGER, COLD_STORE, GREENHOUSE, PLAIN, PUMP, ROOM, SOIL, TANK, W_AIR_C
from wattwright.loads.refill import stored_per_electric
from wattwright.plan.bound import bodies, moist, services
from wattwright.plan.bound.asked import Asked, Given
from wattwright.plan.bound.linear import Linear
from wattwright.plan.bound.steps import Steps

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
KINDS: Mapping[int, Callable[[Linear, Asked], Given]] = {
    PLAIN: services.plain, PUMP: services.pump, CHARGER: services.charger, SOIL: services.soil,
    TANK: bodies.tank, ROOM: bodies.room, COLD_STORE: bodies.cold_store, GREENHOUSE: bodies.greenhouse, AIR: moist.air,
}  # fmt: skip


def add_loads(program: Linear, steps: Steps, end_price: float) -> list[Ints]:
    """Add every load and return the columns of its power, kW; what stores hold more at the end is worth ``end_price`` a kWh."""
    found: list[Ints] = []
    outdoor_c = float(steps.case.drivers.weather[-1, W_AIR_C])
    for i, one in enumerate(steps.case.scenario.loads):
        asked = Asked(steps, i, one.load)
        given = KINDS[one.load.kind](program, asked)
        worth = end_price / stored_per_electric(one.load, outdoor_c)
        for columns, per_kwh in given.stored:
            program.price(columns, -worth * per_kwh)
        program.constant += worth * given.began_kwh
        found.append(given.power)
    return found
