"""What a supply bears: the currents of a piece held against the withstand of connection, inverter and generator."""

import numpy as np
from numpy.typing import NDArray

from wattwright.core.kernels import lean_kernel
from wattwright.simulate.arrays import Course, Site, State, Work
from wattwright.simulate.columns import (
    ALONE,
    CAUSE_CONNECTION,
    CAUSE_GENERATOR,
    CAUSE_INVERTER,
    CAUSE_STEP,
    CAUSE_WEAK,
    CONNECTION,
    GRID,
    HIGH,
    INVERTER,
    LOW,
    OUT,
    PEAK,
    RUNS,
    T_CAUSE,
    TRIPS,
    V_ALONE,
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
    X_GENERATOR_OVER_S,
    X_GENERATOR_S,
    X_GENERATOR_WEAR,
    X_GRID_WEAR,
    X_INVERTER_OVER_S,
    X_INVERTER_WEAR,
    X_OPENED,
    X_OVER_S,
    X_SOURCE,
    X_TRIPPED_S,
    X_TRIPS,
)  # fmt: skip
from wattwright.simulate.event_kernels import put, put_closing
from wattwright.simulate.generator_kernels import is_step_too_heavy, of_generator
from wattwright.simulate.supply_kernels import generator_part, worn

Floats = NDArray[np.float64]
_WORN = 1.0 - 1e-9
_FULL = 1.0 + 1e-9
_LEAST_REST_S = 1.0
"""A source that was too weak rests at least this long, so that time goes on."""


@lean_kernel
def give_up(v: Floats, state: State, now_s: float, events: Floats, count: int) -> int:
    """Take the supply away where the sources cannot carry the site: till the battery is filled again, or as after a trip.

    Returns the number of events with its own.
    """
    x = state.x
    held_w = max(0.0, x[X_BATTERY_J] - v[V_FLOOR] * v[V_BATTERY_J]) * v[V_DISCHARGE_SHARE] / _LEAST_REST_S
    if v[V_BATTERY_J] > 0.0 and held_w < v[V_DISCHARGE_W] and x[X_GENERATOR] != RUNS:
        x[X_EMPTY] = 1.0
        return count
    if v[V_ALONE] == 0.0:
        # Whatever else there is cannot carry the site without the generator.
        return _trip_generator(x, CAUSE_WEAK, now_s, events, count)
    return _open(v, state, INVERTER, CAUSE_WEAK, now_s, events, count)


@lean_kernel
def bears(
    site: Site, course: Course, state: State, work: Work, t: int, end_s: float, time_s: float, surge_s: float, charging_w: float,
    events: Floats, count: int,
) -> tuple[int, bool]:  # fmt: skip
    """Wear what carried the site, trip what is worn out; return (events, whether a long piece will do).

    It will where there was no overload at any instant of it, or an even one that was borne to its end.
    """
    v, x = site.v, state.x
    connected = x[X_SOURCE] == GRID and v[V_LIMIT_A] > 0.0
    inverted = x[X_SOURCE] == ALONE and v[V_ALONE] > 0.0
    driven = x[X_SOURCE] == ALONE and x[X_GENERATOR] == RUNS
    worn_before = x[X_GRID_WEAR] > 0.0 or x[X_INVERTER_WEAR] > 0.0 or x[X_GENERATOR_WEAR] > 0.0
    if not (connected or inverted or driven or worn_before):
        return count, True
    grid_most = own_most = driven_most = 0.0
    too_heavy = False
    if connected or x[X_GRID_WEAR] > 0.0:
        grid_most = _of_connection(site, course, x, work, t, time_s, surge_s, connected)
    if inverted or x[X_INVERTER_WEAR] > 0.0:
        own_most = _of_inverter(site, course, x, work, t, time_s, surge_s, inverted, driven)
    if driven or x[X_GENERATOR_WEAR] > 0.0:
        driven_most, too_heavy = _of_generator(site, course, x, work, t, time_s, surge_s, charging_w, driven)
    worn_out = True
    if x[X_GRID_WEAR] >= _WORN:
        count = _open(v, state, CONNECTION, CAUSE_CONNECTION, end_s, events, count)
    elif x[X_INVERTER_WEAR] >= _WORN:
        count = _open(v, state, INVERTER, CAUSE_INVERTER, end_s, events, count)
    elif x[X_GENERATOR_WEAR] >= _WORN:
        count = _trip_generator(x, CAUSE_STEP if too_heavy else CAUSE_GENERATOR, end_s, events, count)
    else:
        worn_out = False
    if max(grid_most, own_most, driven_most) <= _FULL and not worn_out:
        return count, True
    return count, bool(_is_even(site, work) and surge_s == 0.0 and not worn_out)


@lean_kernel
def _is_even(site: Site, work: Work) -> bool:
    even = True
    for k in range(int(site.v[V_CONDUCTORS])):
        even = even and work.net_a[HIGH, k] == work.net_a[LOW, k]
    return even


@lean_kernel
def _of_connection(
    site: Site, course: Course, x: Floats, work: Work, t: int, time_s: float, surge_s: float, carries: bool
) -> float:  # fmt: skip
    """Wear the connection's protection and return the most of its rating that it can have carried at any instant."""
    plain = started = most = 0.0
    for k in range(int(site.v[V_CONDUCTORS]) if carries else 0):
        surge_a = work.surge_va[k] / course.volts[t, k]
        one, with_start = work.net_a[PEAK, k], work.net_a[PEAK, k] + surge_a
        limit_a = site.v[V_LIMIT_A]
        plain, started = max(plain, one / limit_a), max(started, with_start / limit_a)
        most = max(most, (work.net_a[HIGH, k] + surge_a) / limit_a)
        x[X_OVER_S + k] += time_s if one / limit_a > _FULL else (surge_s if with_start / limit_a > _FULL else 0.0)
    x[X_GRID_WEAR] = _wear(site, 0, x[X_GRID_WEAR], plain, started, time_s, surge_s)
    return most


@lean_kernel
def _of_inverter(
    site: Site, course: Course, x: Floats, work: Work, t: int, time_s: float, surge_s: float, carries: bool, driven: bool
) -> float:  # fmt: skip
    """Wear the inverter by its part of the site, and return the most of its rating it can have carried at any instant."""
    v, pv_w = site.v, course.pv_w[t]
    plain = started = most = 0.0
    part = 1.0 - generator_part(v, work.net_w[PEAK], pv_w) if driven else 1.0
    high_part = 1.0 - generator_part(v, work.net_w[HIGH], pv_w) if driven else 1.0
    for k in range(int(v[V_CONDUCTORS]) if carries else 0):
        rated_va = v[V_INVERTER_VA] / v[V_CONDUCTORS]
        surge_va = 0.0 if driven else work.surge_va[k]
        one_va, high_va = work.net_a[PEAK, k] * course.volts[t, k], work.net_a[HIGH, k] * course.volts[t, k]
        plain, started = max(plain, part * one_va / rated_va), max(started, (part * one_va + surge_va) / rated_va)
        most = max(most, (high_part * high_va + surge_va) / rated_va)
    x[X_INVERTER_OVER_S] += time_s if plain > _FULL else (surge_s if started > _FULL else 0.0)
    x[X_INVERTER_WEAR] = _wear(site, 1, x[X_INVERTER_WEAR], plain, started, time_s, surge_s)
    return most


@lean_kernel
def _of_generator(
    site: Site, course: Course, x: Floats, work: Work, t: int, time_s: float, surge_s: float, charging_w: float, carries: bool
) -> tuple[float, bool]:  # fmt: skip
    """Wear the generator; return (the most of its rating it can have carried, whether a start was too heavy for it)."""
    plain = of_generator(site, course, work, t, PEAK, charging_w) if carries else 0.0
    most = of_generator(site, course, work, t, HIGH, charging_w) if carries else 0.0
    too_heavy = carries and is_step_too_heavy(site, work)
    x[X_GENERATOR_OVER_S] += time_s if plain > _FULL else 0.0
    x[X_GENERATOR_WEAR] = np.inf if too_heavy else worn(site.curves[2], plain, x[X_GENERATOR_WEAR], time_s, site.v[V_FORGETS_S])
    return most, too_heavy


@lean_kernel
def _wear(site: Site, which: int, wear: float, plain: float, started: float, time_s: float, surge_s: float) -> float:
    """Return the wear after a piece: with the surge for as long as a start lasted, then without it."""
    forgets_s = site.v[V_FORGETS_S]
    if surge_s > 0.0:
        wear = worn(site.curves[which], started, wear, surge_s, forgets_s)
    return worn(site.curves[which], plain, wear, max(0.0, time_s - surge_s), forgets_s)


@lean_kernel
def _open(v: Floats, state: State, what: float, why: int, now_s: float, events: Floats, count: int) -> int:
    """Trip the connection or the inverter: all is dark till it is closed again."""
    x = state.x
    # What trips as soon as it is closed was closed.
    count = put_closing(events, count, now_s, v, x)
    x[X_TRIPS] += 1.0
    x[X_OPENED] = what
    x[X_TRIPPED_S] = max(v[V_CLOSED_AFTER_S] if what == CONNECTION else v[V_RESTART_S], _LEAST_REST_S)
    x[X_GRID_WEAR] = x[X_INVERTER_WEAR] = x[X_GENERATOR_WEAR] = 0.0
    state.clock[T_CAUSE] = why
    return put(events, count, now_s, -1, TRIPS, why)


@lean_kernel
def _trip_generator(x: Floats, why: int, now_s: float, events: Floats, count: int) -> int:
    """Trip the generator: what else there is goes on without it, if it can."""
    x[X_TRIPS] += 1.0
    x[X_GENERATOR], x[X_GENERATOR_S], x[X_GENERATOR_WEAR] = OUT, 0.0, 0.0
    return put(events, count, now_s, -1, TRIPS, why)
