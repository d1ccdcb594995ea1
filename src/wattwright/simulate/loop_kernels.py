"""The loop: what every load, contact and source does, step by step, in pieces as long as nothing can turn within them.

A step is first tried in one piece. Where a delay of a rule is running, or something a rule looks at can have met its
threshold, or the supply can have been overloaded or run dry, the piece is taken back and tried half as long, down to ``fine_s``,
which is always taken. A clock of the rules, and a time of the supply, cuts a piece at its instant. Loads place the switchings of
their own controllers within a piece.

In every piece contacts are decided by what was measured in the piece before it, then loads draw, then the supply carries them.
Where own sources cannot, the piece is taken back and passed without supply: nobody has drawn what nobody gave.
"""

import numpy as np
from numpy.typing import NDArray

from wattwright.control.columns import SIGNALS
from wattwright.control.kernels import Rules, next_instant_s, only_clocks, rest, set_contacts
from wattwright.control.rule_kernels import gather_site
from wattwright.core.kernels import kernel, lean_kernel
from wattwright.loads.columns import S_FEW, S_LAYERED, S_VALUE, STATES, TANK, W_AIR_C
from wattwright.simulate.arrays import Course, Site, State, Work, Written
from wattwright.simulate.carry_kernels import bears, give_up
from wattwright.simulate.columns import (
    DARK,
    END,
    GRID,
    MEAN,
    PEAK,
    SHORT,
    T_NEXT_S,
    T_PENDING,
    T_SETTLED,
    T_SITE_W,
    TAKEN,
    TOO_LONG,
    V_CONDUCTORS,
    V_OFF_GRID,
    X_SOURCE,
    X_UNSERVED_J,
)  # fmt: skip
from wattwright.simulate.draw_kernels import draw, note
from wattwright.simulate.event_kernels import put_contacts, put_runs, put_source
from wattwright.simulate.generator_kernels import turn_generator
from wattwright.simulate.reach_kernels import amps, carry, turned
from wattwright.simulate.supply_kernels import due_s, feed, pass_supply_time, share, source, stage

Floats = NDArray[np.float64]
INSTANT_S = 1e-9


@kernel
def run_steps(
    site: Site, course: Course, rules: Rules, state: State, kept: Floats, work: Work, written: Written, first: int, last: int,
    step_s: float, fine_s: float, whole: bool,
) -> int:  # fmt: skip
    """Simulate steps ``first`` to ``last`` - 1 and return the number of events; those beyond the room for them are only counted.

    ``state`` is changed in place, ``kept`` room for what a piece may have to be taken back to. With ``whole``
    steps are taken in one piece always: for sites on which nothing can turn.
    """
    return _run(site, course, rules, state, kept, work, written, first, last, step_s, fine_s, whole)


@lean_kernel
def _run(
    site: Site, course: Course, rules: Rules, state: State, kept: Floats, work: Work, written: Written, first: int, last: int,
    step_s: float, fine_s: float, whole: bool,
) -> int:  # fmt: skip
    count, blind = 0, only_clocks(rules)
    for t in range(first, last):
        at_s, try_s = 0.0, step_s
        _open(site, written, t)
        while at_s < step_s - INSTANT_S:
            now_s = t * step_s + at_s
            # Before the length is chosen: a start just begun is a time of the supply that cuts the piece.
            count = turn_generator(site.v, state.x, bool(course.grid[t]), now_s, written.events, count)
            length_s = _length(site, rules, state, now_s, min(try_s, step_s - at_s), fine_s)
            is_fine = whole or length_s <= fine_s + INSTANT_S
            if not whole:
                _copy(site, state.every, kept)
            outcome, events = _piece(
                site, course, rules, state, work, written, t, now_s, length_s, step_s, fine_s, is_fine, blind, count
            )
            if outcome == TAKEN:
                at_s, try_s, count = at_s + length_s, max(fine_s, 2.0 * length_s), events
                continue
            pending = state.clock[T_PENDING]
            _copy(site, kept, state.every)
            if outcome == SHORT and is_fine:
                count = give_up(site.v, state, now_s, written.events, count)
            else:
                state.clock[T_PENDING] = pending
                try_s = max(fine_s, fine_s * np.floor(0.5 * length_s / fine_s))
        for i in range(len(site.kinds)):
            written.values[t, i] = state.loads[i, S_VALUE]
        written.charge_share[t] = share(site.v, state.x)
    return count


@lean_kernel
def _open(site: Site, written: Written, t: int) -> None:
    """Make the sums and maxima of a step ready to begin."""
    written.site_w[t] = written.grid_w[t] = written.supplied[t] = written.peak_va[t] = 0.0
    written.peak_w[t] = -np.inf
    for i in range(len(site.kinds)):
        written.loads_w[t, i] = 0.0
    for k in range(3):
        written.phase_a[t, k] = 0.0 if k < site.v[V_CONDUCTORS] else np.nan


@lean_kernel
def _length(site: Site, rules: Rules, state: State, now_s: float, most_s: float, fine_s: float) -> float:
    """Return how long a piece is tried: no longer than until a clock switches or a time of the supply is over."""
    clock = state.clock
    if not clock[T_NEXT_S] > now_s + INSTANT_S:
        clock[T_NEXT_S] = next_instant_s(rules, state.standing, now_s)
        # Whoever has been settled by the clocks that switched until now must ask them again.
        clock[T_SETTLED] = 0.0
    length_s = min(most_s, clock[T_NEXT_S] - now_s, due_s(site.v, state.x))
    return float(min(length_s, fine_s) if clock[T_PENDING] > 0.0 else length_s)


@lean_kernel
def _copy(site: Site, from_: Floats, to: Floats) -> None:
    """Copy a state, but for the columns that a kind of load has no use for."""
    for i in range(len(site.kinds)):
        width = S_LAYERED if site.kinds[i] == TANK else S_FEW
        _copy_row(from_[i * STATES : i * STATES + width], to[i * STATES : i * STATES + width])
    others = len(site.kinds) * STATES
    _copy_row(from_[others:], to[others:])


@lean_kernel
def _copy_row(from_: Floats, to: Floats) -> None:
    # Counted from nought, so that it becomes a plain copy of memory.
    for k in range(len(from_)):
        to[k] = from_[k]


@lean_kernel
def _piece(
    site: Site, course: Course, rules: Rules, state: State, work: Work, written: Written, t: int, now_s: float, time_s: float,
    step_s: float, fine_s: float, is_fine: bool, blind: bool, count: int,
) -> tuple[int, int]:  # fmt: skip
    """Pass one piece; return whether it is TAKEN, TOO_LONG or SHORT, and the number of events with it."""
    x, grid = state.x, bool(course.grid[t]) and site.v[V_OFF_GRID] == 0.0
    before = stage(site.v, x)
    fed_by = source(site.v, x, grid)
    count = put_source(written.events, count, now_s, site.v, state, fed_by, grid)
    note(state, work)
    supplied, linked = fed_by != DARK, bool(course.linked[t])
    settled = state.clock[T_SETTLED] > 0.0 and supplied and linked
    if settled and blind:
        rest(state.standing, time_s)
    else:
        _see(site, course, state, work, t)
        pending, settled = set_contacts(
            rules, state.standing, now_s, time_s, work.signals, work.runs, supplied, linked, settled
        )  # fmt: skip
        state.clock[T_PENDING], state.clock[T_SETTLED] = 1.0 if pending else 0.0, 1.0 if settled else 0.0
        if pending and not is_fine:
            return TOO_LONG, count
    count = put_contacts(written.events, count, now_s, state, work)
    surge_s, starting, is_even = draw(site, course, state, work, t, time_s, supplied)
    count = put_runs(written.events, count, now_s, time_s, site, state, work)
    site_w = _sum(work.watts, MEAN)
    grid_w, short_w, charging_w = feed(site.v, x, fed_by, site_w, course.pv_w[t], course.beside_w[t], time_s)
    if short_w > 0.0:
        return SHORT, count
    work.net_w[MEAN] = grid_w if fed_by == GRID else site_w
    carry(site, x, work, fed_by, course.pv_w[t], course.beside_w[t], fine_s, is_even)
    amps(work, course.volts[t], int(site.v[V_CONDUCTORS]), is_even)
    pass_supply_time(x, fed_by, time_s)
    count, is_borne = bears(
        site, course, state, work, t, now_s + time_s, time_s, surge_s, charging_w, written.events, count
    )  # fmt: skip
    if not is_fine and (
        not is_borne or starting > 1 or stage(site.v, x) != before or turned(rules, state, work, share(site.v, x), blind)
    ):
        return TOO_LONG, count
    if fed_by == DARK:
        x[X_UNSERVED_J] += time_s * (course.rest_w[t, 0] + course.rest_w[t, 1] + course.rest_w[t, 2])
    _write(state, work, written, t, time_s / step_s, site_w, grid_w)
    _write_currents(site, course, state, work, written, t)
    return TAKEN, count


@lean_kernel
def _see(site: Site, course: Course, state: State, work: Work, t: int) -> None:
    """Write what there is to be measured before a piece."""
    grid_v = course.volts[t, 0] if course.grid[t] and site.v[V_OFF_GRID] == 0.0 else 0.0
    gather_site(
        work.signals, state.clock[T_SITE_W], state.phase_a, course.volts[t], share(site.v, state.x), course.weather[t, W_AIR_C],
        grid_v,
    )  # fmt: skip
    for i in range(len(site.kinds)):
        work.signals[SIGNALS + i] = state.loads[i, S_VALUE]


@lean_kernel
def _sum(sums: Floats, row: int) -> float:
    return float(sums[row, 0] + sums[row, 1] + sums[row, 2])


@lean_kernel
def _write(state: State, work: Work, written: Written, t: int, part: float, site_w: float, grid_w: float) -> None:
    """Write what the piece adds to its step, and what gauges see of it."""
    written.site_w[t] += part * site_w
    written.grid_w[t] += part * grid_w
    for i in range(len(work.used_w)):
        written.loads_w[t, i] += part * work.used_w[i]
    if state.x[X_SOURCE] != DARK:
        written.supplied[t] += part
    state.clock[T_SITE_W] = work.net_w[END]
    written.peak_w[t] = max(written.peak_w[t], work.net_w[PEAK])


@lean_kernel
def _write_currents(site: Site, course: Course, state: State, work: Work, written: Written, t: int) -> None:
    """Write the highest currents and apparent power, starts included; what gauges see is without them."""
    peak_va = 0.0
    for k in range(int(site.v[V_CONDUCTORS])):
        peak_a = work.net_a[PEAK, k] + work.surge_va[k] / course.volts[t, k]
        peak_va += peak_a * course.volts[t, k]
        written.phase_a[t, k] = max(written.phase_a[t, k], peak_a)
    written.peak_va[t] = max(written.peak_va[t], peak_va)
    for k in range(3):
        state.phase_a[k] = work.net_a[END, k]
