"""What all loads draw in one piece: their mean by conductor, and between what bounds it can have been at any instant."""

import numpy as np
from numpy.typing import NDArray

from wattwright.control.columns import C_CLOSED
from wattwright.core.kernels import lean_kernel
from wattwright.loads.columns import (
    P_MOST_W,
    P_RATING_W,
    P_STANDBY_W,
    P_START_S,
    S_RUN,
    S_RUN_S,
    S_SINCE,
    S_STARTS,
)
from wattwright.loads.kernels import pass_load
from wattwright.simulate.arrays import Course, Site, State, Work
from wattwright.simulate.columns import END, EVEN, HIGH, LOW, MEAN, PEAK, ROWS, SWITCHED, UNEVEN, V_GENERATOR_W

Floats = NDArray[np.float64]
INSTANT_S = 1e-9
_EVEN = 1e-9
"""Powers that differ by less than this share are the same."""


@lean_kernel
def note(state: State, work: Work) -> None:
    """Note how loads and contacts stand before a piece."""
    for i in range(len(work.runs)):
        work.runs[i] = state.loads[i, S_RUN] > 0.0
        work.closed[i] = state.standing.contacts[i, C_CLOSED] > 0.0
        work.counts[i, 0], work.counts[i, 1] = state.loads[i, S_STARTS], state.loads[i, S_RUN_S]


@lean_kernel
def draw(site: Site, course: Course, state: State, work: Work, t: int, time_s: float, supplied: bool) -> tuple[float, int, bool]:
    """Let every load draw for ``time_s``; return (how long the longest start in it lasts, s, how many start, is all of it even).

    A load that switched within the piece may have drawn anything up to its most; one whose power is that of its rating, or that
    of the piece before, has drawn it throughout.
    """
    _begin(course, work, t, supplied)
    surge_s, starting, is_even = 0.0, 0, True
    for i in range(len(site.kinds)):
        closed = state.standing.contacts[i, C_CLOSED] > 0.0 and supplied
        used_w = pass_load(site.kinds[i], site.p, state.loads, i, closed, time_s, course.weather[t], course.uses[i, t]) / time_s
        work.used_w[i] = used_w
        _add(site, work, i, MEAN, used_w)
        work.apart[i] = _apart(site, state, i, closed, used_w, time_s)
        is_even = is_even and work.apart[i] == EVEN
        lasts_s = _surge(site, state, work, i, time_s)
        if lasts_s > 0.0:
            surge_s, starting = max(surge_s, lasts_s), starting + 1
    # Of a piece that is even only a generator asks for more than the mean.
    if not is_even or site.v[V_GENERATOR_W] > 0.0:
        for row in range(1, ROWS):
            for k in range(3):
                work.watts[row, k], work.vars_[row, k] = work.watts[MEAN, k], work.vars_[MEAN, k]
    if not is_even:
        _spread(site, state, work, supplied)
    return surge_s, starting, is_even


@lean_kernel
def _begin(course: Course, work: Work, t: int, supplied: bool) -> None:
    for k in range(3):
        work.watts[MEAN, k] = course.rest_w[t, k] if supplied else 0.0
        work.vars_[MEAN, k] = course.rest_var[t, k] if supplied else 0.0
        work.surge_va[k] = 0.0


@lean_kernel
def _add(site: Site, work: Work, i: int, row: int, power_w: float) -> None:
    for k in range(3):
        part_w = power_w * site.share[i, k]
        work.watts[row, k] += part_w
        work.vars_[row, k] += part_w * site.tan[i]


@lean_kernel
def _plain_w(site: Site, state: State, i: int, closed: bool) -> float:
    """Return what load ``i`` draws while it stays as it is, if its power is simply that of its rating."""
    return float(site.p[i, P_RATING_W] * state.loads[i, S_RUN] + (site.p[i, P_STANDBY_W] if closed else 0.0))


@lean_kernel
def _apart(site: Site, state: State, i: int, closed: bool, used_w: float, time_s: float) -> float:
    """Return whether the power of load ``i`` was EVEN throughout, may have been UNEVEN, or the load SWITCHED."""
    most_w, before_w = site.p[i, P_MOST_W], state.last_w[i]
    if state.loads[i, S_SINCE] < time_s - INSTANT_S:
        state.last_w[i] = -1.0
        return SWITCHED
    state.last_w[i] = used_w
    if abs(used_w - _plain_w(site, state, i, closed)) <= _EVEN * most_w or abs(used_w - before_w) <= _EVEN * most_w:
        return EVEN
    return UNEVEN


@lean_kernel
def _spread(site: Site, state: State, work: Work, supplied: bool) -> None:
    """Add by how much the powers of loads may have differed from their means."""
    for i in range(len(site.kinds)):
        if work.apart[i] == EVEN:
            continue
        used_w, most_w = work.used_w[i], site.p[i, P_MOST_W]
        _add(site, work, i, LOW, -used_w)
        _add(site, work, i, HIGH, max(0.0, most_w - used_w))
        if work.apart[i] == SWITCHED:
            closed = state.standing.contacts[i, C_CLOSED] > 0.0 and supplied
            _add(site, work, i, PEAK, most_w - used_w)
            _add(site, work, i, END, _plain_w(site, state, i, closed) - used_w)


@lean_kernel
def _surge(site: Site, state: State, work: Work, i: int, time_s: float) -> float:
    """Add what a start draws beyond running; return for how long of the piece it does, s."""
    s = state.loads
    if s[i, S_RUN] == 0.0 or site.start_va[i] <= 0.0:
        return 0.0
    since_s = s[i, S_SINCE]
    lasts_s = min(site.p[i, P_START_S], since_s) - max(0.0, since_s - time_s)
    if lasts_s <= INSTANT_S:
        return 0.0
    for k in range(3):
        work.surge_va[k] += site.start_va[i] * site.share[i, k]
    return float(lasts_s)
