"""Many sizes of PV, battery and inverter stepped through one course at once, by the engine's own step of the battery.

A screen and no more: within a step all is a mean, and an inverter carries the site in an outage as long as the mean lies within
its rating. What it drops in an instant, and how stores answer, only the engine knows. Energy is kept in each step:

    import + PV + generator + discharge = served + export + charge + spilled + idle draw
"""

from typing import Final

import numpy as np
from numpy.typing import NDArray

from wattwright.core.kernels import kernel, lean_kernel
from wattwright.simulate.dispatch_kernels import asked_w, in_w, out_w, refilled_w
from wattwright.supply.sizing.columns import (
    SIZES,
    SUMS,
    Y_CHARGE_J,
    Y_DISCHARGE_J,
    Y_EXPORT_J,
    Y_GENERATOR_J,
    Y_IMPORT_J,
    Y_PEAK_W,
    Y_PV_J,
    Y_SERVED_J,
    Y_SPILLED_J,
    Y_UNSERVED_J,
    Z_CHARGE_W,
    Z_DISCHARGE_W,
    Z_FLOOR_J,
    Z_FULL_J,
    Z_GENERATOR_W,
    Z_IDLE_W,
    Z_INVERTER_W,
    Z_PV_W,
    Z_REFILL_W,
    Z_RESERVE_J,
    Z_SHAVE_W,
    Z_STARTS_J,
    Z_STOPS_J,
)  # fmt: skip

Floats = NDArray[np.float64]
WIDE: Final = 64
"""Sizes stepped at once. A fixed number, in one array, so that the compiler sees that no size touches another and steps several
in one instruction; what they hold stays in the processor's nearest memory."""
_Z: Final = 0
_Y: Final = SIZES * WIDE
_HELD: Final = (SIZES + SUMS) * WIDE
_NET: Final = _HELD + WIDE
_RUNS: Final = _NET + WIDE
_ROOM: Final = _RUNS + WIDE


@kernel
def sweep(
    site_w: Floats, pv_share: Floats, beside_w: Floats, grid: Floats, z: Floats, stored_j: Floats, y: Floats, net_w: Floats,
    alone: float, kept: float, arrives: float, step_s: float,
) -> None:  # fmt: skip
    """Step k sizes, at most WIDE, through n steps, and add to the sums ``y`` (SUMS, k).

    ``site_w``, ``pv_share`` (n,): what the site takes, W, and what PV could give per W of its size; ``beside_w`` (n,): what PV
    that is there gives beside the grid, W; ``grid`` (n,): 1 where the grid is there, else 0; ``z`` (SIZES, k); ``stored_j`` (k,)
    is what batteries hold, before and after. ``net_w`` (n, k) takes
    the power through the connection, import positive; with no rows it is not kept. ``alone``: 1 where the inverter carries the
    site in an outage; ``kept``, ``arrives``: efficiencies of the battery one way.
    """
    count, keeps = z.shape[1], net_w.shape[0] > 0
    w = np.zeros(_ROOM)
    for k in range(count):
        for row in range(SIZES):
            w[_Z + row * WIDE + k] = z[row, k]
        for row in range(SUMS):
            w[_Y + row * WIDE + k] = y[row, k]
        w[_HELD + k] = stored_j[k]
    for t in range(len(site_w)):
        _step(w, site_w[t], pv_share[t], beside_w[t] * grid[t], grid[t], alone, kept, arrives, step_s)
        if keeps:
            for k in range(count):
                net_w[t, k] = w[_NET + k]
    for k in range(count):
        for row in range(SUMS):
            y[row, k] = w[_Y + row * WIDE + k]
        stored_j[k] = w[_HELD + k]


@lean_kernel
def _step(
    w: Floats, site: float, sun: float, beside: float, there: float, alone: float, kept: float, arrives: float, step_s: float
) -> None:  # fmt: skip
    """Step all sizes once."""
    gone = 1.0 - there
    for k in range(WIDE):
        gives, inverter = w[_Z + Z_PV_W * WIDE + k] * sun, w[_Z + Z_INVERTER_W * WIDE + k]
        usable = min(gives, inverter)
        held, floor = w[_HELD + k], w[_Z + Z_FLOOR_J * WIDE + k]
        # A generator starts at one charge and runs up to another; without a battery it runs all the time.
        runs = max(
            1.0 if held <= w[_Z + Z_STARTS_J * WIDE + k] else 0.0,
            w[_RUNS + k] if held < w[_Z + Z_STOPS_J * WIDE + k] else 0.0,
        ) * gone  # fmt: skip
        w[_RUNS + k] = runs
        driven = w[_Z + Z_GENERATOR_W * WIDE + k] * runs
        # Without the grid the site is carried where the inverter can, else it is dark and so is the inverter's own draw.
        carried = max(there, alone if site <= inverter + driven else 0.0)
        needed = (site + w[_Z + Z_IDLE_W * WIDE + k]) * carried - beside
        given = min(driven * carried, max(0.0, needed - usable))
        give, take = asked_w(needed - given, usable, w[_Z + Z_SHAVE_W * WIDE + k] * there)
        take += driven * carried - given
        floor += (w[_Z + Z_RESERVE_J * WIDE + k] - floor) * there
        # Beside the grid PV and battery share the inverter; alone it carries what is asked.
        out = out_w(
            give, max(0.0, held - floor), min(w[_Z + Z_DISCHARGE_W * WIDE + k], inverter - usable * there), arrives, step_s
        )
        take = max(take, refilled_w((floor - held) * there, w[_Z + Z_REFILL_W * WIDE + k], kept, step_s))
        into = in_w(take, w[_Z + Z_FULL_J * WIDE + k] - held, min(w[_Z + Z_CHARGE_W * WIDE + k], inverter), kept, step_s)
        w[_HELD + k] = held + (into * kept - out / arrives) * step_s
        short = max(0.0, needed - usable) - given - out
        left = max(0.0, usable - needed) - into
        bought, sold = max(0.0, short - min(left, 0.0)) * there, max(0.0, left)
        lacks = short * gone
        given += max(0.0, -left) * gone
        w[_NET + k] = bought - sold * there
        w[_Y + Y_IMPORT_J * WIDE + k] += bought * step_s
        w[_Y + Y_EXPORT_J * WIDE + k] += sold * there * step_s
        w[_Y + Y_PV_J * WIDE + k] += (gives + beside) * step_s
        w[_Y + Y_SPILLED_J * WIDE + k] += (gives - usable + sold * gone) * step_s
        w[_Y + Y_CHARGE_J * WIDE + k] += into * step_s
        w[_Y + Y_DISCHARGE_J * WIDE + k] += out * step_s
        w[_Y + Y_SERVED_J * WIDE + k] += (site * carried - lacks) * step_s
        w[_Y + Y_UNSERVED_J * WIDE + k] += (site * (1.0 - carried) + lacks) * step_s
        w[_Y + Y_GENERATOR_J * WIDE + k] += given * step_s
        w[_Y + Y_PEAK_W * WIDE + k] = max(w[_Y + Y_PEAK_W * WIDE + k], bought)
