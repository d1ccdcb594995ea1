"""What feeds the site in one piece: grid, PV, battery and generator, through limits that withstand an overload for a time.

With the grid, PV serves the site first, its surplus charges the battery and is then exported; what is missing comes from the
battery, down to its reserve, and then from the grid. A battery that shaves gives only what goes beyond a level of import, and
is filled from the grid below it; one below its reserve may be filled up to that from the grid. PV with an inverter of its own
gives beside the grid only, past the inverter that is simulated.
Without the grid the inverter carries the site alone from PV, generator and battery in this order, as long as they suffice; an
inverter that does not carry the site keeps to its rating. Energy is kept:

    import + PV + generator + discharge = site + charge + export + spilled + idle draw of the inverter

An overload uses up a share time / withstand of what the connection, inverter or generator withstands; at 1 it trips. Where there
is no overload the share comes back evenly. A point (r, t) of a withstand curve says that up to r times the rating is borne for
t, as makers state it; beyond the last point nothing is. Source: sum of shares and their return are common practice, no source.
"""

import numpy as np
from numpy.typing import NDArray

from wattwright.core.kernels import kernel, lean_kernel
from wattwright.simulate.columns import (
    ALONE,
    DARK,
    GRID,
    OUT,
    POINTS,
    RUNS,
    STARTS,
    V_ALONE,
    V_BACK,
    V_BATTERY_J,
    V_CHARGE_SHARE,
    V_CHARGE_W,
    V_DISCHARGE_SHARE,
    V_DISCHARGE_W,
    V_FLOOR,
    V_GENERATOR_CLOSED_S,
    V_GENERATOR_DELAY_S,
    V_GENERATOR_LEAST_S,
    V_GENERATOR_START,
    V_GENERATOR_STOP,
    V_GENERATOR_W,
    V_IDLE_W,
    V_INVERTER_VA,
    V_OFF_GRID,
    V_REFILL_W,
    V_RESERVE,
    V_SHAVE_W,
    X_BATTERY_J,
    X_CHARGE_J,
    X_DARK_S,
    X_DISCHARGE_J,
    X_EMPTY,
    X_EXPORT_J,
    X_GENERATOR,
    X_GENERATOR_J,
    X_GENERATOR_S,
    X_IMPORT_J,
    X_LOST_J,
    X_PV_J,
    X_SITE_J,
    X_SPILLED_J,
    X_TRIPPED_S,
)  # fmt: skip
from wattwright.simulate.dispatch_kernels import asked_w, in_w as taken_w, out_w as lent_w, refilled_w

Floats = NDArray[np.float64]
INSTANT_S = 1e-9
SAME = 1e-9
"""Ratios that differ by less are the same: a battery filled in many pieces or in one meets its thresholds alike."""
_SHORT = 1e-9
"""A source that lacks less than this share of what is asked suffices."""


@kernel
def withstood_s(curve: Floats, ratio: float) -> float:
    """Return how long ``ratio`` times the rating is withstood, s: inf up to the rating, 0 beyond the last point."""
    if ratio <= 1.0 + SAME:
        return np.inf
    for k in range(POINTS):
        if ratio <= curve[k, 0] + SAME:
            return float(curve[k, 1])
    return 0.0


@kernel
def worn(curve: Floats, ratio: float, wear: float, time_s: float, forgets_s: float) -> float:
    """Return the share of a withstand that is used up after ``time_s`` at ``ratio``."""
    holds_s = withstood_s(curve, ratio)
    if holds_s == np.inf:
        return max(0.0, wear - time_s / forgets_s)
    if time_s <= 0.0:
        return wear
    return np.inf if holds_s <= 0.0 else wear + time_s / holds_s


@lean_kernel
def share(v: Floats, x: Floats) -> float:
    """Return the share of the battery that is full; 0 where there is none."""
    return float(x[X_BATTERY_J] / v[V_BATTERY_J]) if v[V_BATTERY_J] > 0.0 else 0.0


@lean_kernel
def source(v: Floats, x: Floats, grid: bool) -> float:
    """Return what feeds the site from now on; a battery that was empty must first be charged to where it may begin again."""
    if x[X_EMPTY] > 0.0 and share(v, x) >= v[V_BACK] - SAME:
        x[X_EMPTY] = 0.0
    elif v[V_BATTERY_J] > 0.0 and share(v, x) <= v[V_FLOOR] + SAME:
        x[X_EMPTY] = 1.0
    if x[X_TRIPPED_S] > INSTANT_S:
        return DARK
    if grid and v[V_OFF_GRID] == 0.0:
        return GRID
    if x[X_GENERATOR] == RUNS:
        return ALONE
    return ALONE if v[V_ALONE] > 0.0 and v[V_BATTERY_J] > 0.0 and x[X_EMPTY] == 0.0 else DARK


@lean_kernel
def stage(v: Floats, x: Floats) -> int:
    """Return between which of the shares at which something turns the battery is, as a number."""
    if v[V_BATTERY_J] <= 0.0:
        return 0
    full = share(v, x)
    turns = int(full <= v[V_FLOOR] + SAME) + 2 * int(full >= v[V_BACK] - SAME) + 4 * int(full <= v[V_RESERVE] + SAME)
    turns += 8 * int(full <= v[V_GENERATOR_START] + SAME) + 16 * int(full >= v[V_GENERATOR_STOP] - SAME)
    return turns + 32 * int(full >= 1.0 - SAME)


@lean_kernel
def due_s(v: Floats, x: Floats) -> float:
    """Return how long until a time of the supply's own is over, s: a trip, a start or a shortest run of the generator."""
    first = np.inf
    if x[X_TRIPPED_S] > INSTANT_S:
        first = x[X_TRIPPED_S]
    if x[X_GENERATOR] == STARTS:
        first = min(first, v[V_GENERATOR_DELAY_S] - x[X_GENERATOR_S])
    if x[X_GENERATOR] == RUNS and x[X_GENERATOR_S] < v[V_GENERATOR_LEAST_S] - INSTANT_S:
        first = min(first, v[V_GENERATOR_LEAST_S] - x[X_GENERATOR_S])
    if x[X_GENERATOR] == OUT:
        first = min(first, v[V_GENERATOR_CLOSED_S] - x[X_GENERATOR_S])
    return first if first > INSTANT_S else np.inf


@lean_kernel
def feed(
    v: Floats, x: Floats, fed_by: float, site_w: float, pv_w: float, beside_w: float, time_s: float
) -> tuple[float, float, float]:  # fmt: skip
    """Let the sources carry ``site_w`` for ``time_s``; return (through the connection, shortfall, generator to battery), W.

    Where something falls short nothing was fed and nothing has changed.
    """
    usable_w = _usable_w(v, pv_w)
    own_w = beside_w if fed_by == GRID else 0.0
    needed_w = site_w + v[V_IDLE_W] - own_w if fed_by != DARK else 0.0
    given_w, in_w, out_w, short_w = _flows(v, x, fed_by, needed_w, usable_w, time_s)
    if fed_by == ALONE and short_w > _SHORT * max(needed_w, 1.0):
        return 0.0, short_w, 0.0
    # Rounding must not leave a rest that nobody gives.
    if fed_by == ALONE:
        out_w += short_w
    left_w = max(0.0, usable_w + given_w + out_w - needed_w - in_w)
    grid_w = short_w - left_w if fed_by == GRID else 0.0
    _count(v, x, in_w, out_w, time_s)
    x[X_IMPORT_J] += max(0.0, grid_w) * time_s
    x[X_EXPORT_J] += max(0.0, -grid_w) * time_s
    x[X_PV_J] += (pv_w + own_w) * time_s
    x[X_SPILLED_J] += (pv_w - usable_w + (0.0 if fed_by == GRID else left_w)) * time_s
    x[X_GENERATOR_J] += given_w * time_s
    if fed_by != DARK:
        x[X_LOST_J] += v[V_IDLE_W] * time_s
        x[X_SITE_J] += site_w * time_s
    return grid_w, 0.0, max(0.0, given_w - max(0.0, needed_w - usable_w))


@lean_kernel
def carried_w(v: Floats, x: Floats, fed_by: float, site_w: float, pv_w: float, beside_w: float, time_s: float) -> float:
    """Return what the connection would give at a power of the site, W, or the inverter where it carries the site alone."""
    if fed_by != GRID:
        return site_w
    usable_w, needed_w = _usable_w(v, pv_w), site_w + v[V_IDLE_W] - beside_w
    _, in_w, out_w, short_w = _flows(v, x, fed_by, needed_w, usable_w, time_s)
    return float(short_w - max(0.0, usable_w + out_w - needed_w - in_w))


@lean_kernel
def generator_part(v: Floats, site_w: float, pv_w: float) -> float:
    """Return the share of what the site takes that a running generator carries; the inverter carries the rest."""
    needed_w = site_w + v[V_IDLE_W]
    given_w = min(v[V_GENERATOR_W], max(0.0, needed_w - _usable_w(v, pv_w)))
    return float(given_w / needed_w) if needed_w > 0.0 else 0.0


@lean_kernel
def _usable_w(v: Floats, pv_w: float) -> float:
    """Return what of the PV passes the inverter, W."""
    return float(min(pv_w, v[V_INVERTER_VA]) if v[V_INVERTER_VA] > 0.0 else pv_w)


@lean_kernel
def _flows(
    v: Floats, x: Floats, fed_by: float, needed_w: float, usable_w: float, time_s: float
) -> tuple[float, float, float, float]:  # fmt: skip
    """Return what the generator gives, the battery takes and gives, and what then is short, W."""
    generator_w = v[V_GENERATOR_W] if x[X_GENERATOR] == RUNS and fed_by == ALONE else 0.0
    missing_w = max(0.0, needed_w - usable_w)
    given_w = min(generator_w, missing_w)
    if v[V_BATTERY_J] <= 0.0:
        return given_w, 0.0, 0.0, missing_w - given_w
    floor = max(v[V_RESERVE], v[V_FLOOR]) if fed_by == GRID else v[V_FLOOR]
    # Carrying the site, what is asked goes through the inverter whatever its rating: that is what an overload is.
    cap_w = v[V_INVERTER_VA] - usable_w if fed_by == GRID or v[V_ALONE] == 0.0 else np.inf
    give_w, take_w = asked_w(needed_w - given_w, usable_w, v[V_SHAVE_W] if fed_by == GRID else 0.0)
    held_j, room_j = max(0.0, x[X_BATTERY_J] - floor * v[V_BATTERY_J]), max(0.0, v[V_BATTERY_J] - x[X_BATTERY_J])
    out_w = lent_w(give_w, held_j, min(v[V_DISCHARGE_W], cap_w), v[V_DISCHARGE_SHARE], time_s)
    take_w += generator_w - given_w
    if fed_by == GRID:
        lacks_j = floor * v[V_BATTERY_J] - x[X_BATTERY_J]
        take_w = max(take_w, refilled_w(lacks_j, v[V_REFILL_W], v[V_CHARGE_SHARE], time_s))
    in_w = taken_w(take_w, room_j, min(v[V_CHARGE_W], v[V_INVERTER_VA]), v[V_CHARGE_SHARE], time_s)
    # What goes in beyond the surplus of PV comes from the generator, or from the grid.
    more_w = max(0.0, in_w - max(0.0, usable_w - needed_w))
    short_w = missing_w - given_w - out_w
    return (given_w, in_w, out_w, short_w + more_w) if fed_by == GRID else (given_w + more_w, in_w, out_w, short_w)


@lean_kernel
def pass_supply_time(x: Floats, fed_by: float, time_s: float) -> None:
    """Let time pass for the supply's own times."""
    x[X_TRIPPED_S] = max(0.0, x[X_TRIPPED_S] - time_s)
    x[X_GENERATOR_S] += time_s
    if fed_by == DARK:
        x[X_DARK_S] += time_s


@lean_kernel
def _count(v: Floats, x: Floats, in_w: float, out_w: float, time_s: float) -> None:
    """Fill and empty the battery, within its bounds whatever rounding does."""
    if v[V_BATTERY_J] <= 0.0:
        return
    kept, taken = in_w * v[V_CHARGE_SHARE] * time_s, out_w / v[V_DISCHARGE_SHARE] * time_s
    x[X_BATTERY_J] = min(max(x[X_BATTERY_J] + kept - taken, 0.0), v[V_BATTERY_J])
    x[X_CHARGE_J] += in_w * time_s
    x[X_DISCHARGE_J] += out_w * time_s
    x[X_LOST_J] += in_w * time_s - kept + taken - out_w * time_s
