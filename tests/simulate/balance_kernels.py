"""A year of minutes through the supply of the engine alone, its energy balance held together in each of them."""

import numpy as np
from numpy.typing import NDArray

from wattwright.core.kernels import kernel
from wattwright.simulate.columns import (
    DARK,
    STANDING,
    X_BATTERY_J,
    X_CHARGE_J,
    X_DISCHARGE_J,
    X_EXPORT_J,
    X_GENERATOR_J,
    X_IMPORT_J,
    X_LOST_J,
    X_PV_J,
    X_SITE_J,
    X_SPILLED_J,
)  # fmt: skip
from wattwright.simulate.generator_kernels import turn_generator
from wattwright.simulate.supply_kernels import feed, pass_supply_time, source

Floats = NDArray[np.float64]


@kernel
def worst_balance(
    v: Floats,
    x: Floats,
    site_w: Floats,
    pv_w: Floats,
    beside_w: Floats,
    grid: NDArray[np.bool_],
    step_s: float,
) -> tuple[float, float]:
    """Return the worst miss of both balances in any step, as a share of the energy that passed in it, J per J."""
    before, events, worst, held = np.zeros(STANDING), np.zeros((4, 4)), 0.0, 0.0
    for t in range(len(site_w)):
        for k in range(STANDING):
            before[k] = x[k]
        turn_generator(v, x, bool(grid[t]), t * step_s, events, 0)
        fed_by = source(v, x, bool(grid[t]))
        _, short_w, _ = feed(v, x, fed_by, site_w[t], pv_w[t], beside_w[t], step_s)
        if short_w > 0.0:
            fed_by = DARK
            feed(v, x, fed_by, 0.0, pv_w[t], beside_w[t], step_s)
        pass_supply_time(x, fed_by, step_s)
        comes = _rise(x, before, X_IMPORT_J) + _rise(x, before, X_PV_J) + _rise(x, before, X_GENERATOR_J)
        goes = _rise(x, before, X_SITE_J) + _rise(x, before, X_EXPORT_J) + _rise(x, before, X_SPILLED_J)
        stored = _rise(x, before, X_BATTERY_J) + _rise(x, before, X_LOST_J)
        passed = comes + _rise(x, before, X_DISCHARGE_J) + _rise(x, before, X_CHARGE_J) + step_s
        worst = max(worst, abs(comes - goes - stored) / passed)
        # The sums grow to a year's energy, whose last digit is this share of what a minute passes.
        held = max(held, 4e-16 * (x[X_IMPORT_J] + x[X_PV_J] + x[X_SITE_J] + x[X_LOST_J]) / passed)
    return worst, held


@kernel
def _rise(x: Floats, before: Floats, column: int) -> float:
    return float(x[column] - before[column])
