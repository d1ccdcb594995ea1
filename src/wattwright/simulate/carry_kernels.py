"""What a supply bears: the currents of a piece held against the withstand of connection and inverter."""

import numpy as np
from numpy.typing import NDArray

from wattwright.core.kernels import lean_kernel
from wattwright.simulate.arrays import Course, Site, State, Work
from wattwright.simulate.columns import (
    ALONE,
    CAUSE_CONNECTION,
    CAUSE_INVERTER,
    CAUSE_WEAK,
    GRID,
    HIGH,
    LOW,
    PEAK,
    RUNS,
    T_CAUSE,
    TRIPS,
    V_BATTERY_J,
    V_CLOSED_AFTER_S,
    V_CONDUCTORS,
    V_DISCHARGE_SHARE,
    V_DISCHARGE_W,
    V_FLOOR,
    V_FORGETS_S,
    V_INVERTER_VA,
    V_LIMIT_A,
    V_RESTART_S,
    X_BATTERY_J,
    X_EMPTY,
    X_GENERATOR,
    X_GRID_WEAR,
    X_INVERTER_OVER_S,
    X_INVERTER_WEAR,
    X_OVER_S,
    X_SOURCE,
    X_TRIPPED_S,
    X_TRIPS,
)  # fmt: skip
from wattwright.simulate.event_kernels import put
from wattwright.simulate.supply_kernels import worn

Floats = NDArray[np.float64]
_WORN = 1.0 - 1e-9
_FULL = 1.0 + 1e-9
_LEAST_REST_S = 1.0
"""A source that was too weak rests at least this long, so that time goes on."""


@lean_kernel
def give_up(v: Floats, state: State) -> None:
    """Take the supply away where the sources cannot carry the site: till the battery is filled again, or as after a trip."""
    x = state.x
    held_w = max(0.0, x[X_BATTERY_J] - v[V_FLOOR] * v[V_BATTERY_J]) * v[V_DISCHARGE_SHARE] / _LEAST_REST_S
    if v[V_BATTERY_J] > 0.0 and held_w < v[V_DISCHARGE_W] and x[X_GENERATOR] != RUNS:
        x[X_EMPTY] = 1.0
        return
    # A generator alone has nothing that closes its breaker again.
    rest_s = v[V_RESTART_S] if v[V_INVERTER_VA] > 0.0 else v[V_CLOSED_AFTER_S]
    x[X_TRIPPED_S] = max(rest_s, _LEAST_REST_S)
    x[X_TRIPS] += 1.0
    state.clock[T_CAUSE] = CAUSE_WEAK


@lean_kernel
def bears(
    site: Site, course: Course, state: State, work: Work, t: int, end_s: float, time_s: float, surge_s: float, events: Floats,
    count: int,
) -> tuple[int, bool]:  # fmt: skip
    """Wear connection and inverter by what they carried, trip what is worn out; return (events, whether a long piece will do).

    It will where there was no overload at any instant of it, or an even one that was borne to its end.
    """
    v, x = site.v, state.x
    connected = x[X_SOURCE] == GRID and v[V_LIMIT_A] > 0.0
    inverted = x[X_SOURCE] == ALONE and v[V_INVERTER_VA] > 0.0 and x[X_GENERATOR] != RUNS
    if not (connected or inverted or x[X_GRID_WEAR] > 0.0 or x[X_INVERTER_WEAR] > 0.0):
        return count, True
    plain = started = most = 0.0
    even = True
    for k in range(int(v[V_CONDUCTORS]) if connected or inverted else 0):
        rated_a = v[V_LIMIT_A] if not inverted else v[V_INVERTER_VA] / v[V_CONDUCTORS] / course.volts[t, k]
        surge_a = work.surge_va[k] / course.volts[t, k]
        one, high = work.net_a[PEAK, k] / rated_a, (work.net_a[HIGH, k] + surge_a) / rated_a
        with_start = (work.net_a[PEAK, k] + surge_a) / rated_a
        plain, started, most = max(plain, one), max(started, with_start), max(most, high)
        even = even and work.net_a[HIGH, k] == work.net_a[LOW, k]
        if connected:
            x[X_OVER_S + k] += time_s if one > _FULL else (surge_s if with_start > _FULL else 0.0)
    if inverted:
        x[X_INVERTER_OVER_S] += time_s if plain > _FULL else (surge_s if started > _FULL else 0.0)
    grid_wear = _wear(site, 0, x[X_GRID_WEAR], plain if connected else 0.0, started if connected else 0.0, time_s, surge_s)
    own_wear = _wear(site, 1, x[X_INVERTER_WEAR], plain if inverted else 0.0, started if inverted else 0.0, time_s, surge_s)
    x[X_GRID_WEAR], x[X_INVERTER_WEAR] = grid_wear, own_wear
    worn_out = grid_wear >= _WORN or own_wear >= _WORN
    if worn_out:
        count = _trip(v, state, grid_wear >= _WORN, end_s, events, count)
    at_ease = not (connected or inverted) or most <= _FULL
    return count, at_ease or (even and surge_s == 0.0 and not worn_out)


@lean_kernel
def _wear(site: Site, which: int, wear: float, plain: float, started: float, time_s: float, surge_s: float) -> float:
    """Return the wear after a piece: with the surge for as long as a start lasted, then without it."""
    forgets_s = site.v[V_FORGETS_S]
    if surge_s > 0.0:
        wear = worn(site.curves[which], started, wear, surge_s, forgets_s)
    return worn(site.curves[which], plain, wear, max(0.0, time_s - surge_s), forgets_s)


@lean_kernel
def _trip(v: Floats, state: State, connection: bool, end_s: float, events: Floats, count: int) -> int:
    x = state.x
    x[X_TRIPS] += 1.0
    x[X_TRIPPED_S] = max(v[V_CLOSED_AFTER_S] if connection else v[V_RESTART_S], _LEAST_REST_S)
    x[X_GRID_WEAR] = x[X_INVERTER_WEAR] = 0.0
    state.clock[T_CAUSE] = CAUSE_CONNECTION if connection else CAUSE_INVERTER
    return put(events, count, end_s, -1, TRIPS, state.clock[T_CAUSE])
