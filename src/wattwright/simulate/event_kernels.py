"""Every switching, with its instant and its cause."""

import numpy as np
from numpy.typing import NDArray

from wattwright.control.columns import C_CAUSE, C_CLOSED
from wattwright.core.kernels import lean_kernel
from wattwright.loads.columns import PLAIN, PUMP, S_RUN, S_RUN_S, S_SINCE, S_STARTS
from wattwright.simulate.arrays import Site, State, Work
from wattwright.simulate.columns import (
    ALONE,
    BEGINS,
    CAUSE_EMPTY,
    CAUSE_GRID,
    CAUSE_INSTEAD,
    CAUSE_ITSELF,
    CAUSE_OUT,
    CAUSE_OUTAGE,
    CAUSE_OWN,
    CAUSE_PERSON,
    CHANGES,
    CLOSED_AGAIN,
    CLOSES,
    CONNECTION,
    DARK,
    GRID,
    LOST,
    NOTHING,
    OPENS,
    OUT,
    RETURNS,
    STOPS,
    T_CAUSE,
    V_CONNECTION_BY_HAND,
    V_INVERTER_BY_HAND,
    X_EMPTY,
    X_GENERATOR,
    X_OPENED,
    X_SOURCE,
    X_TRIPPED_S,
)  # fmt: skip

Floats = NDArray[np.float64]
_EDGE_S = 1e-9


@lean_kernel
def put(events: Floats, count: int, time_s: float, load: int, what: int, cause: float) -> int:
    """Write an event where there is room for it and return how many there have been, written or not."""
    if count < len(events):
        events[count, 0], events[count, 1], events[count, 2], events[count, 3] = time_s, load, what, cause
    return count + 1


@lean_kernel
def put_source(events: Floats, count: int, now_s: float, v: Floats, state: State, fed_by: float, grid: bool) -> int:
    """Write what was closed again, and that the supply is lost, back, or another; the first piece of all has none before it."""
    before, x = state.x[X_SOURCE], state.x
    x[X_SOURCE] = fed_by
    count = put_closing(events, count, now_s, v, x)
    if fed_by == before:
        return count
    there = CAUSE_GRID if fed_by == GRID else CAUSE_INSTEAD
    if fed_by == DARK:
        if x[X_TRIPPED_S] <= _EDGE_S:
            state.clock[T_CAUSE] = _why_dark(x, grid)
        return put(events, count, now_s, -1, LOST, state.clock[T_CAUSE])
    if before == DARK:
        return put(events, count, now_s, -1, RETURNS, there)
    return put(events, count, now_s, -1, CHANGES, there) if before > DARK or fed_by == ALONE else count


@lean_kernel
def put_closing(events: Floats, count: int, now_s: float, v: Floats, x: Floats) -> int:
    """Write that what had tripped was closed again, once the time for it is over."""
    if x[X_OPENED] == NOTHING or x[X_TRIPPED_S] > _EDGE_S:
        return count
    by_hand = v[V_CONNECTION_BY_HAND] if x[X_OPENED] == CONNECTION else v[V_INVERTER_BY_HAND]
    x[X_OPENED] = NOTHING
    return put(events, count, now_s, -1, CLOSED_AGAIN, CAUSE_PERSON if by_hand > 0.0 else CAUSE_ITSELF)


@lean_kernel
def _why_dark(x: Floats, grid: bool) -> float:
    if x[X_GENERATOR] == OUT:
        return CAUSE_OUT
    return CAUSE_EMPTY if x[X_EMPTY] > 0.0 and not grid else CAUSE_OUTAGE


@lean_kernel
def put_contacts(events: Floats, count: int, now_s: float, state: State, work: Work) -> int:
    """Write which contacts moved."""
    for i in range(len(work.closed)):
        closed = state.standing.contacts[i, C_CLOSED] > 0.0
        if closed != work.closed[i]:
            count = put(events, count, now_s, i, CLOSES if closed else OPENS, state.standing.contacts[i, C_CAUSE])
    return count


@lean_kernel
def put_runs(events: Floats, count: int, now_s: float, time_s: float, site: Site, state: State, work: Work) -> int:
    """Write which loads began or ceased to run, and when within the piece.

    The last switching is as long ago as the load's own clock says, the one before it as long before as the load has run or
    rested in between; of more than two the earlier ones stand at that instant too.
    """
    for i in range(len(work.runs)):
        s = state.loads[i]
        starts = int(s[S_STARTS] - work.counts[i, 0])
        stops = int(work.runs[i]) + starts - int(s[S_RUN] > 0.0)
        if starts + stops == 0:
            continue
        last_s = now_s + max(0.0, time_s - s[S_SINCE])
        ran_s = s[S_RUN_S] - work.counts[i, 1]
        before_s = max(now_s, last_s - (ran_s if s[S_RUN] == 0.0 else time_s - ran_s))
        begins = not work.runs[i]
        for number in range(starts + stops):
            moved = (state.standing.contacts[i, C_CLOSED] > 0.0) != work.closed[i] and number == 0
            # What has no controller of its own does what its feed does.
            moved = moved or site.kinds[i] == PLAIN or site.kinds[i] == PUMP
            cause = state.standing.contacts[i, C_CAUSE] if moved else CAUSE_OWN
            at_s = last_s if number == starts + stops - 1 else before_s
            count = put(events, count, at_s, i, BEGINS if begins else STOPS, cause)
            begins = not begins
    return count
