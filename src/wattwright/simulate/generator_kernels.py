"""When a generator starts, gives power and stops, and what it bears.

It gives up to its rating in W, carries its part of the site's reactive power, and all of it beside an inverter that does not
carry the site alone. Starts of motors fall on it alone: how much an inverter helps depends on both makes, so the worse is taken.
"""

import numpy as np
from numpy.typing import NDArray

from wattwright.core.kernels import lean_kernel
from wattwright.simulate.arrays import Course, Site, Work
from wattwright.simulate.columns import (
    CAUSE_FULL,
    CAUSE_GRID,
    CAUSE_ITSELF,
    CAUSE_LOW,
    CAUSE_OUTAGE,
    CAUSE_PERSON,
    CAUSE_READY,
    CLOSED_AGAIN,
    GIVES,
    OUT,
    RUNS,
    STANDS,
    STARTED,
    STARTS,
    STOPPED,
    V_ALONE,
    V_BATTERY_J,
    V_CONDUCTORS,
    V_GENERATOR_BY_HAND,
    V_GENERATOR_CLOSED_S,
    V_GENERATOR_DELAY_S,
    V_GENERATOR_LEAST_S,
    V_GENERATOR_START,
    V_GENERATOR_STOP,
    V_GENERATOR_VA,
    V_GENERATOR_W,
    V_OFF_GRID,
    V_STEP_VA,
    X_GENERATOR,
    X_GENERATOR_S,
)  # fmt: skip
from wattwright.simulate.event_kernels import put
from wattwright.simulate.supply_kernels import INSTANT_S, SAME, generator_part, share

Floats = NDArray[np.float64]


@lean_kernel
def turn_generator(v: Floats, x: Floats, grid: bool, now_s: float, events: Floats, count: int) -> int:
    """Start the generator in an outage when the battery is low, stop it when the grid is back or the battery full enough.

    Returns the number of events with its own.
    """
    if v[V_GENERATOR_W] <= 0.0:
        return count
    outage = not grid or v[V_OFF_GRID] > 0.0
    # A battery whose inverter does not carry the site can be no reason to wait, nor to stop.
    carried = v[V_BATTERY_J] > 0.0 and v[V_ALONE] > 0.0
    if x[X_GENERATOR] == OUT and x[X_GENERATOR_S] >= v[V_GENERATOR_CLOSED_S] - INSTANT_S:
        by = CAUSE_PERSON if v[V_GENERATOR_BY_HAND] > 0.0 else CAUSE_ITSELF
        count = _becomes(x, STANDS, now_s, events, count, CLOSED_AGAIN, by)
    if x[X_GENERATOR] == STANDS and outage and (not carried or share(v, x) <= v[V_GENERATOR_START] + SAME):
        why = CAUSE_LOW if carried else CAUSE_OUTAGE
        count = _becomes(x, STARTS, now_s, events, count, STARTED, why)
    if x[X_GENERATOR] == STARTS and x[X_GENERATOR_S] >= v[V_GENERATOR_DELAY_S] - INSTANT_S:
        count = _becomes(x, RUNS, now_s, events, count, GIVES, CAUSE_READY)
    full = carried and share(v, x) >= v[V_GENERATOR_STOP] - SAME
    over = x[X_GENERATOR] == RUNS and x[X_GENERATOR_S] >= v[V_GENERATOR_LEAST_S] - INSTANT_S
    if (over and (full or not outage)) or (x[X_GENERATOR] == STARTS and not outage):
        count = _becomes(x, STANDS, now_s, events, count, STOPPED, CAUSE_FULL if outage else CAUSE_GRID)
    return count


@lean_kernel
def _becomes(x: Floats, state: float, now_s: float, events: Floats, count: int, what: int, why: int) -> int:
    x[X_GENERATOR], x[X_GENERATOR_S] = state, 0.0
    return put(events, count, now_s, -1, what, why)


@lean_kernel
def of_generator(
    site: Site, course: Course, work: Work, t: int, row: int, charging_w: float
) -> float:  # fmt: skip
    """Return the highest ratio of what a running generator carries in a row of sums to its rating, of its conductors."""
    v, most = site.v, 0.0
    conductors = int(v[V_CONDUCTORS])
    part = generator_part(v, work.net_w[row], course.pv_w[t])
    reactive = part if v[V_ALONE] > 0.0 else 1.0
    for k in range(conductors):
        power_w = work.watts[row, k] * part + charging_w / conductors
        power_var = work.vars_[row, k] * reactive
        most = max(most, np.sqrt(power_w * power_w + power_var * power_var))
    return float(most * conductors / v[V_GENERATOR_VA])


@lean_kernel
def is_step_too_heavy(site: Site, work: Work) -> bool:
    """Return whether what motors take in starting is more than a generator can take on at once."""
    most_va = 0.0
    for k in range(int(site.v[V_CONDUCTORS])):
        most_va = max(most_va, work.surge_va[k])
    return bool(most_va * site.v[V_CONDUCTORS] > site.v[V_STEP_VA] * (1.0 + SAME))
