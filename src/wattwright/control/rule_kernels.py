"""What each rule says by itself: values seen late, programmes, repeat cycles, limits and set points, and how contacts combine."""

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from wattwright.control.columns import (
    AMPS,
    CHARGE,
    CYCLE,
    EXPORT_W,
    GRID_V,
    K_COUNT,
    K_HEAD,
    K_NEXT_S,
    K_RING,
    K_SEEN,
    NO_SAY,
    OUTDOOR_C,
    PROGRAMME,
    Q_ACTIVE,
    Q_CHANGED_S,
    Q_CONTACT,
    Q_CURSOR,
    Q_TIMER_S,
    R_DROP_OUT,
    R_EFFECT,
    R_INTERVAL_S,
    R_OFF_DELAY_S,
    R_ON_DELAY_S,
    R_PICK_UP,
    R_REPORT_S,
    R_SIDE,
    RING,
    SIGNALS,
    SITE_W,
    VOLTS,
)  # fmt: skip
from wattwright.core.kernels import kernel, lean_kernel

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
INSTANT_S = 1e-9
"""A delay that has less than this to run has run."""


class Rules(NamedTuple):
    """All rules of a site as flat arrays: m rules, n loads, k interlocks, w needs, q places in the shed order, v overrides.

    ``kind``, ``load``, ``beside``, ``signal`` (m,); ``settings`` (m, RULE). The rules of load i are those numbered
    ``order[first[i]:first[i + 1]]``. From ``times_s[k]`` on a programme is as ``states[k]`` says (1 closed, 0 open, 2 no say), k
    from ``begin[j]`` to ``begin[j + 1]``; for another rule the same list is its season (1 acts, 0 open, 2 no say), empty where
    it acts all year. ``actuator`` (n, ACTUATOR). ``locks`` (k, 3): loads of which only one may be fed, and 1 where the first
    takes over from the second. ``needs`` (w, 2): the first may only be fed while the second runs; the second stays fed for
    ``run_on_s`` (w,) after the first. ``turn`` (n,): the order in which contacts move. ``shed_order`` (q,) loads, first shed
    first, with ``shed`` (SHED,) settings and ``shed_signal``. ``manual`` (v, 4): load, from, until (s since the start), state.
    """

    kind: Ints
    load: Ints
    beside: Ints
    signal: Ints
    settings: Floats
    first: Ints
    order: Ints
    begin: Ints
    times_s: Floats
    states: Ints
    actuator: Floats
    locks: Ints
    needs: Ints
    run_on_s: Floats
    turn: Ints
    shed_order: Ints
    shed: Floats
    shed_signal: int
    manual: Floats


class Standing(NamedTuple):
    """How rules and contacts stand: ``rules`` (m, RULE_STATE), ``contacts`` (n, ACTUATOR_STATE), ``shed`` (SHED_STATE,)."""

    rules: Floats
    contacts: Floats
    shed: Floats


@kernel
def gather(
    signals: Floats, site_w: float, phase_a: Floats, phase_v: Floats, charge_share: float, outdoor_c: float, grid_v: float,
    values: Floats,
) -> None:  # fmt: skip
    """Fill ``signals`` (SIGNALS + n,) from what a site shows: power, current and voltage of three conductors, values of n loads.

    A conductor that is not there is NaN and takes no part in the highest and the lowest.
    """
    gather_site(signals, site_w, phase_a, phase_v, charge_share, outdoor_c, grid_v)
    for i in range(len(values)):
        signals[SIGNALS + i] = values[i]


@lean_kernel
def gather_site(
    signals: Floats, site_w: float, phase_a: Floats, phase_v: Floats, charge_share: float, outdoor_c: float, grid_v: float
) -> None:  # fmt: skip
    """Fill the quantities of the site into ``signals``, as ``gather`` does."""
    signals[SITE_W], signals[EXPORT_W] = site_w, max(0.0, -site_w)
    signals[CHARGE], signals[OUTDOOR_C], signals[GRID_V] = charge_share, outdoor_c, grid_v
    signals[AMPS + 3] = signals[VOLTS + 3] = signals[VOLTS + 4] = np.nan
    for k in range(3):
        signals[AMPS + k], signals[VOLTS + k] = phase_a[k], phase_v[k]
        # A comparison with NaN fails: turned round so that it then takes the conductor's value.
        if not signals[AMPS + 3] >= phase_a[k] and not np.isnan(phase_a[k]):
            signals[AMPS + 3] = phase_a[k]
        if not signals[VOLTS + 3] >= phase_v[k] and not np.isnan(phase_v[k]):
            signals[VOLTS + 3] = phase_v[k]
        if not signals[VOLTS + 4] <= phase_v[k] and not np.isnan(phase_v[k]):
            signals[VOLTS + 4] = phase_v[k]


@lean_kernel
def rule(rules: Rules, q: Floats, j: int, now_s: float, time_s: float, signals: Floats) -> bool:
    """Let rule ``j`` see what there is to see and set its contact; return whether one of its delays is running."""
    kind, waits, row = rules.kind[j], False, q[j]
    says = _programme(rules, row, j, now_s)
    if kind == PROGRAMME:
        contact = says
    elif says != 1.0:
        # Out of season a relay rests, open or without a say: it begins the next one dropped out.
        contact, row[Q_ACTIVE], row[Q_TIMER_S] = says, 0.0, 0.0
    elif kind == CYCLE:
        contact = _cycle(rules.settings[j], now_s)
    else:
        there = signals[rules.signal[j]]
        value = gauge(row, rules.settings[j, R_INTERVAL_S], rules.settings[j, R_REPORT_S], now_s, there)
        waits = _limit(rules.settings[j], row, value, there, time_s)
        contact = row[Q_ACTIVE] if rules.settings[j, R_EFFECT] > 0.0 else 1.0 - row[Q_ACTIVE]
    if contact != row[Q_CONTACT]:
        row[Q_CONTACT], row[Q_CHANGED_S] = contact, now_s
    return waits


@lean_kernel
def _programme(rules: Rules, row: Floats, j: int, now_s: float) -> float:
    """Return what the programme or the season of rule ``j`` says now; one without a list acts always."""
    k, end = int(row[Q_CURSOR]), rules.begin[j + 1]
    while k < end and rules.times_s[k] <= now_s + INSTANT_S:
        k += 1
    row[Q_CURSOR] = k
    return 1.0 if k == rules.begin[j] else float(rules.states[k - 1])


@lean_kernel
def _cycle(settings: Floats, now_s: float) -> float:
    """Return what a repeat-cycle timer says: on for its first time, then off for its second, over and over."""
    on_s, round_s = settings[R_PICK_UP], settings[R_PICK_UP] + settings[R_DROP_OUT]
    at = (now_s + settings[R_ON_DELAY_S]) % round_s
    return 1.0 if at < on_s - INSTANT_S or at >= round_s - INSTANT_S else 0.0


@lean_kernel
def gauge(g: Floats, interval_s: float, report_s: float, now_s: float, value: float) -> float:
    """Measure where a measurement is due, and return the value that has arrived by now; NaN before the first.

    It measures on multiples of ``interval_s``, or as soon after one as it is asked; each value is seen ``report_s`` later.
    """
    if interval_s <= 0.0:
        # What is measured at once is seen at once: a report has an interval at least as wide as the ring needs.
        g[K_SEEN] = value
        return value
    if now_s + INSTANT_S >= g[K_NEXT_S] and g[K_COUNT] < RING:
        place = K_RING + 2 * (int(g[K_HEAD] + g[K_COUNT]) % RING)
        g[place], g[place + 1] = value, now_s + report_s
        g[K_COUNT] += 1.0
        g[K_NEXT_S] += interval_s * (np.floor((now_s + INSTANT_S - g[K_NEXT_S]) / interval_s) + 1.0)
    while g[K_COUNT] > 0.0:
        place = K_RING + 2 * int(g[K_HEAD])
        if g[place + 1] > now_s + INSTANT_S:
            break
        g[K_SEEN] = g[place]
        g[K_HEAD] = (g[K_HEAD] + 1.0) % RING
        g[K_COUNT] -= 1.0
    return float(g[K_SEEN])


@lean_kernel
def furthest(g: Floats, side: float) -> float:
    """Return the value, seen or on its way, that lies furthest up (``side`` 1) or down (-1); NaN where there is none."""
    best = g[K_SEEN]
    for k in range(int(g[K_COUNT])):
        value = g[K_RING + 2 * (int(g[K_HEAD] + k) % RING)]
        if np.isnan(best) or side * (value - best) > 0.0:
            best = value
    return float(best)


@lean_kernel
def turns(settings: Floats, active: bool, value: float) -> bool:
    """Return whether a value makes the relay leave its state: at the threshold or beyond."""
    if active:
        return bool(settings[R_SIDE] * (value - settings[R_DROP_OUT]) <= 0.0)
    return bool(settings[R_SIDE] * (value - settings[R_PICK_UP]) >= 0.0)


@lean_kernel
def _limit(settings: Floats, row: Floats, value: float, there: float, time_s: float) -> bool:
    """Pick up or drop out by the value seen, each after its delay; return whether a delay is running.

    A value that is ``there`` or on its way and will be seen counts as a delay.
    """
    active, side = row[Q_ACTIVE] > 0.0, settings[R_SIDE]
    if not turns(settings, active, value):
        row[Q_TIMER_S] = 0.0
        return turns(settings, active, furthest(row, -side if active else side)) or turns(settings, active, there)
    if row[Q_TIMER_S] + INSTANT_S >= (settings[R_OFF_DELAY_S] if active else settings[R_ON_DELAY_S]):
        row[Q_ACTIVE], row[Q_TIMER_S] = 0.0 if active else 1.0, 0.0
        return turns(settings, not active, furthest(row, side if active else -side)) or turns(settings, not active, there)
    row[Q_TIMER_S] += time_s
    return True


@kernel
def next_switch_s(rules: Rules, standing: Standing, now_s: float) -> float:
    """Return the next instant after ``now_s``, s since the start, at which a clock switches: programme, season, cycle, override.

    Everything else moves with what is measured, or while ``decide`` says that a delay is running.
    """
    return next_instant_s(rules, standing, now_s)


@lean_kernel
def next_instant_s(rules: Rules, standing: Standing, now_s: float) -> float:
    """Do what ``next_switch_s`` does; built into compiled callers."""
    first = np.inf
    for j in range(len(rules.kind)):
        k, row = int(standing.rules[j, Q_CURSOR]), rules.settings[j]
        while k < rules.begin[j + 1] and rules.times_s[k] <= now_s + INSTANT_S:
            k += 1
        if k < rules.begin[j + 1]:
            first = min(first, rules.times_s[k])
        if rules.kind[j] == CYCLE:
            on_s, round_s = row[R_PICK_UP], row[R_PICK_UP] + row[R_DROP_OUT]
            at = (now_s + INSTANT_S + row[R_ON_DELAY_S]) % round_s - INSTANT_S
            first = min(first, now_s + (on_s if at < on_s - INSTANT_S else round_s) - at)
    for v in range(len(rules.manual)):
        for edge in (1, 2):
            if rules.manual[v, edge] > now_s + INSTANT_S:
                first = min(first, rules.manual[v, edge])
    return first


@lean_kernel
def called(rules: Rules, q: Floats, i: int) -> bool:
    """Return whether the rules of load ``i`` call for it.

    Contacts in series must all be closed, or one of those beside them. Where only contacts beside have a say they alone decide;
    where none has, the load is fed.
    """
    in_series, closed_series, beside, closed_beside = 0, 0, 0, 0
    for k in range(rules.first[i], rules.first[i + 1]):
        j = rules.order[k]
        if q[j, Q_CONTACT] == NO_SAY:
            continue
        if rules.beside[j] > 0:
            beside, closed_beside = beside + 1, closed_beside + int(q[j, Q_CONTACT])
        else:
            in_series, closed_series = in_series + 1, closed_series + int(q[j, Q_CONTACT])
    # Where nothing is in series the path through the contacts beside is the only one.
    through = closed_series == in_series if in_series > 0 else beside == 0
    return through or closed_beside > 0


@lean_kernel
def teller(rules: Rules, q: Floats, i: int, result: bool) -> int:
    """Return the rule of load ``i`` that says what its rules say: of those that agree the one changed last, -1 for none."""
    told, latest = -1, -np.inf
    for k in range(rules.first[i], rules.first[i + 1]):
        j = rules.order[k]
        if q[j, Q_CONTACT] == (1.0 if result else 0.0) and q[j, Q_CHANGED_S] >= latest:
            told, latest = j, q[j, Q_CHANGED_S]
    return told
