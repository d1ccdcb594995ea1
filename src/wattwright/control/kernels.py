"""What every contact does in one sub-step: measured values seen late, rules, precedence, command, link, relay.

The controller combines the rules of a load as contacts in series, beside which others may stand in parallel, then sheds, then hears
a person. Its command travels; the relay adds what it knows by itself. From the strongest to the weakest word:

    no supply - never to be interrupted - interlock - restart after an outage - minimum off-time - manual override - shed -
    minimum on-time - link lost - rules

so a minimum off-time is always kept, and only a person or the protection of the supply cuts a minimum on-time short.
"""

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from wattwright.control.columns import (
    A_FAIL_SAFE, A_LINK_S, A_LOST_AFTER_S, A_MIN_OFF_S, A_MIN_ON_S, A_NEVER, A_POWER_UP, A_RESTART_S, A_UNATTENDED, C_ARRIVES_S,
    C_BACK_S, C_CAUSE, C_CLOSED, C_COMMAND, C_LOST_S, C_RECEIVED, C_SENT_CAUSE, C_SHED, C_SINCE_S, C_URGENT, C_WAITS, CAUSE_ATTENDED,
    CAUSE_FREE, CAUSE_INTERLOCK, CAUSE_LINK, CAUSE_MANUAL, CAUSE_MIN_OFF, CAUSE_MIN_ON, CAUSE_NEVER, CAUSE_NO_SUPPLY, CAUSE_RESTART,
    CAUSE_RULE, CAUSE_SHED, CYCLE, G_NEXT_S, G_OVER_S, G_SEEN, G_UNDER_S, G_VISIBLE_S, G_WAITING, H_BACK_S, H_DELAY_S, H_INTERVAL_S,
    H_NEXT_S, H_PICK_UP, H_REPORT_S, H_RESTORE, PROGRAMME, Q_ACTIVE, Q_CHANGED_S, Q_CONTACT, Q_COUNT, Q_CURSOR, Q_HEAD, Q_NEXT_S,
    Q_RING, Q_SEEN, Q_TIMER_S, R_DROP_OUT, R_EFFECT, R_INTERVAL_S, R_OFF_DELAY_S, R_ON_DELAY_S, R_PICK_UP, R_REPORT_S, R_SIDE, RING,
)  # fmt: skip
from wattwright.core.kernels import kernel

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
INSTANT_S = 1e-9
"""A delay that has less than this to run has run."""


class Rules(NamedTuple):
    """All rules of a site as flat arrays: m rules, n loads, k interlocks, q places in the shed order, v overrides.

    ``kind``, ``load``, ``beside``, ``signal`` (m,); ``settings`` (m, RULE). The rules of load i are ``order[first[i]:first[i + 1]]``.
    A programme holds from ``times_s[k]`` on what ``states[k]`` says (1 closed, 0 open, 2 no say), k from ``begin[j]`` to
    ``begin[j + 1]``. ``actuator`` (n, ACTUATOR). ``locks`` (k, 2): the second load's contact stays open while the first runs (never
    both); ``needs`` (w, 2): the first load may only be fed while the second runs. ``shed_order`` (q,) loads, first shed first, with
    ``shed`` (SHED,) settings and ``shed_signal``. ``manual`` (v, 4): load, from, until (s since the start), state.
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
def decide(
    rules: Rules, standing: Standing, now_s: float, time_s: float, signals: Floats, runs: NDArray[np.bool_],
    supplied: bool, linked: bool,
) -> bool:  # fmt: skip
    """Set every contact for the sub-step [now_s, now_s + time_s) and return whether a delay is running.

    ``signals`` are the quantities as they are at ``now_s``, ``runs`` (n,) which loads run; ``supplied`` and ``linked`` whether there is
    supply and a link. Seconds count from the start of the simulation.
    """
    pending = False
    for j in range(len(rules.kind)):
        if _rule(rules, standing.rules, j, now_s, time_s, signals):
            pending = True
    if _shedding(rules, standing, now_s, time_s, signals):
        pending = True
    for i in range(len(rules.actuator)):
        _controller(rules, standing, i, now_s, linked)
        if _relay(rules, standing, i, now_s, time_s, runs, supplied, linked):
            pending = True
    return pending


@kernel
def _rule(rules: Rules, q: Floats, j: int, now_s: float, time_s: float, signals: Floats) -> bool:
    """Let rule ``j`` see what there is to see and set its contact; return whether one of its delays is running."""
    kind, before, waits = rules.kind[j], q[j, Q_CONTACT], False
    if kind == PROGRAMME:
        contact = _programme(rules, q, j, now_s)
    elif kind == CYCLE:
        contact = _cycle(rules, q, j, time_s)
    else:
        value = _seen(rules, q, j, now_s, signals)
        waits = _limit(rules, q, j, value, time_s)
        contact = q[j, Q_ACTIVE] if rules.settings[j, R_EFFECT] > 0.0 else 1.0 - q[j, Q_ACTIVE]
    if contact != before:
        q[j, Q_CONTACT], q[j, Q_CHANGED_S] = contact, now_s
    return waits


@kernel
def _programme(rules: Rules, q: Floats, j: int, now_s: float) -> float:
    """Return what the programme says now; before its first instant it has no say."""
    k, end = int(q[j, Q_CURSOR]), rules.begin[j + 1]
    if k < rules.begin[j]:
        k = rules.begin[j]
    while k < end and rules.times_s[k] <= now_s + INSTANT_S:
        k += 1
    q[j, Q_CURSOR] = k
    return 2.0 if k == rules.begin[j] else float(rules.states[k - 1])


@kernel
def _cycle(rules: Rules, q: Floats, j: int, time_s: float) -> float:
    """Return what a repeat-cycle timer says: on for its first time, then off for its second, over and over."""
    on_s, off_s = rules.settings[j, R_PICK_UP], rules.settings[j, R_DROP_OUT]
    at = q[j, Q_TIMER_S] % (on_s + off_s)
    q[j, Q_TIMER_S] = at + time_s
    return 1.0 if at < on_s - INSTANT_S or at >= on_s + off_s - INSTANT_S else 0.0


@kernel
def _seen(rules: Rules, q: Floats, j: int, now_s: float, signals: Floats) -> float:
    """Measure where a measurement is due, and return the value that has arrived by now; NaN before the first."""
    interval, report = rules.settings[j, R_INTERVAL_S], rules.settings[j, R_REPORT_S]
    if now_s + INSTANT_S >= q[j, Q_NEXT_S] and q[j, Q_COUNT] < RING:
        place = Q_RING + 2 * (int(q[j, Q_HEAD] + q[j, Q_COUNT]) % RING)
        q[j, place], q[j, place + 1] = signals[rules.signal[j]], now_s + report
        q[j, Q_COUNT] += 1.0
        q[j, Q_NEXT_S] = now_s if interval <= 0.0 else q[j, Q_NEXT_S] + interval
    while q[j, Q_COUNT] > 0.0:
        place = Q_RING + 2 * int(q[j, Q_HEAD])
        if q[j, place + 1] > now_s + INSTANT_S:
            break
        q[j, Q_SEEN] = q[j, place]
        q[j, Q_HEAD] = (q[j, Q_HEAD] + 1.0) % RING
        q[j, Q_COUNT] -= 1.0
    return float(q[j, Q_SEEN])


@kernel
def _limit(rules: Rules, q: Floats, j: int, value: float, time_s: float) -> bool:
    """Pick up or drop out by the value seen, each after its delay; return whether a delay is running.

    Picked up when the value reaches the pick-up value, dropped out when it has come back to the drop-out value.
    """
    settings, side = rules.settings, rules.settings[j, R_SIDE]
    active = q[j, Q_ACTIVE] > 0.0
    if active:
        turns, delay = side * (value - settings[j, R_DROP_OUT]) <= 0.0, settings[j, R_OFF_DELAY_S]
    else:
        turns, delay = side * (value - settings[j, R_PICK_UP]) >= 0.0, settings[j, R_ON_DELAY_S]
    if not turns:
        q[j, Q_TIMER_S] = 0.0
        return False
    if q[j, Q_TIMER_S] + INSTANT_S >= delay:
        q[j, Q_ACTIVE], q[j, Q_TIMER_S] = 0.0 if active else 1.0, 0.0
        return False
    q[j, Q_TIMER_S] += time_s
    return True


@kernel
def _shedding(rules: Rules, standing: Standing, now_s: float, time_s: float, signals: Floats) -> bool:
    """Shed the next load of the order while the supply is too high for too long, restore the last one when it is low enough."""
    if len(rules.shed_order) == 0:
        return False
    g, h = standing.shed, rules.shed
    if now_s + INSTANT_S >= g[G_NEXT_S] and np.isnan(g[G_WAITING]):
        g[G_WAITING], g[G_VISIBLE_S] = signals[rules.shed_signal], now_s + h[H_REPORT_S]
        g[G_NEXT_S] = now_s if h[H_INTERVAL_S] <= 0.0 else g[G_NEXT_S] + h[H_INTERVAL_S]
    if not np.isnan(g[G_WAITING]) and g[G_VISIBLE_S] <= now_s + INSTANT_S:
        g[G_SEEN], g[G_WAITING] = g[G_WAITING], np.nan
    over, under = g[G_SEEN] >= h[H_PICK_UP], g[G_SEEN] <= h[H_RESTORE]
    g[G_OVER_S] = g[G_OVER_S] if over else 0.0
    g[G_UNDER_S] = g[G_UNDER_S] if under else 0.0
    if over and g[G_OVER_S] + INSTANT_S >= h[H_DELAY_S]:
        _shed_next(rules, standing)
        # The next one waits its own time, counted from here.
        g[G_OVER_S] = h[H_DELAY_S] - h[H_NEXT_S]
    if under and g[G_UNDER_S] + INSTANT_S >= h[H_BACK_S]:
        _restore_last(rules, standing)
        g[G_UNDER_S] = 0.0
    g[G_OVER_S] += time_s if over else 0.0
    g[G_UNDER_S] += time_s if under else 0.0
    return over or (under and _any_shed(rules, standing))


@kernel
def _any_shed(rules: Rules, standing: Standing) -> bool:
    for i in rules.shed_order:
        if standing.contacts[i, C_SHED] > 0.0:
            return True
    return False


@kernel
def _shed_next(rules: Rules, standing: Standing) -> None:
    """Shed the first load of the order that is not shed yet."""
    for i in rules.shed_order:
        if standing.contacts[i, C_SHED] == 0.0:
            standing.contacts[i, C_SHED] = 1.0
            return


@kernel
def _restore_last(rules: Rules, standing: Standing) -> None:
    """Restore the load that was shed last."""
    for place in range(len(rules.shed_order) - 1, -1, -1):
        i = rules.shed_order[place]
        if standing.contacts[i, C_SHED] > 0.0:
            standing.contacts[i, C_SHED] = 0.0
            return


@kernel
def _called(rules: Rules, q: Floats, i: int) -> tuple[bool, int]:
    """Return whether the rules of load ``i`` call for it, and the rule that says so: of those that agree, the one changed last."""
    series, beside, spoken = True, False, False
    for k in range(rules.first[i], rules.first[i + 1]):
        j = rules.order[k]
        contact = q[j, Q_CONTACT]
        if contact > 1.0:
            continue
        if rules.beside[j] > 0:
            beside = beside or contact > 0.0
        else:
            series, spoken = series and contact > 0.0, True
    if not spoken:
        # Nothing but parallel contacts: they alone decide; none at all leaves the load fed.
        series = rules.first[i] == rules.first[i + 1] or not _has_beside(rules, q, i)
    result, told, latest = series or beside, -1, -np.inf
    for k in range(rules.first[i], rules.first[i + 1]):
        j = rules.order[k]
        contact = q[j, Q_CONTACT]
        if contact <= 1.0 and (contact > 0.0) == result and q[j, Q_CHANGED_S] >= latest:
            told, latest = j, q[j, Q_CHANGED_S]
    return result, told


@kernel
def _has_beside(rules: Rules, q: Floats, i: int) -> bool:
    for k in range(rules.first[i], rules.first[i + 1]):
        j = rules.order[k]
        if rules.beside[j] > 0 and q[j, Q_CONTACT] <= 1.0:
            return True
    return False


@kernel
def _controller(rules: Rules, standing: Standing, i: int, now_s: float, linked: bool) -> None:
    """Work out the command for load ``i`` and send it where it is another than before and the link is there."""
    c = standing.contacts
    wanted, told = _called(rules, standing.rules, i)
    cause, urgent = (CAUSE_FREE if told < 0 else CAUSE_RULE + told), 0.0
    if c[i, C_SHED] > 0.0:
        wanted, cause, urgent = False, CAUSE_SHED, 1.0
    for v in range(len(rules.manual)):
        if rules.manual[v, 0] == i and rules.manual[v, 1] <= now_s + INSTANT_S and now_s + INSTANT_S < rules.manual[v, 2]:
            wanted, cause, urgent = rules.manual[v, 3] > 0.0, CAUSE_MANUAL, 1.0
            # A person who switches the load is there to see it restart.
            c[i, C_WAITS] = 0.0
    if not linked:
        return
    if (c[i, C_COMMAND] > 0.0) != wanted or c[i, C_URGENT] != urgent:
        c[i, C_COMMAND], c[i, C_URGENT] = 1.0 if wanted else 0.0, urgent
        c[i, C_ARRIVES_S] = now_s + rules.actuator[i, A_LINK_S]
    c[i, C_SENT_CAUSE] = cause


@kernel
def _relay(
    rules: Rules, standing: Standing, i: int, now_s: float, time_s: float, runs: NDArray[np.bool_], supplied: bool, linked: bool
) -> bool:
    """Set the contact of load ``i`` by the command received and by what the relay knows itself; return whether a delay runs."""
    a, c = rules.actuator, standing.contacts
    on_its_way = c[i, C_ARRIVES_S] < np.inf
    if on_its_way and c[i, C_ARRIVES_S] <= now_s + INSTANT_S:
        c[i, C_RECEIVED], c[i, C_ARRIVES_S], on_its_way = c[i, C_COMMAND], np.inf, False
    closed, since = c[i, C_CLOSED] > 0.0, c[i, C_SINCE_S]
    wanted, cause = c[i, C_RECEIVED] > 0.0, int(c[i, C_SENT_CAUSE])
    waits = on_its_way
    c[i, C_LOST_S] = 0.0 if linked else c[i, C_LOST_S] + time_s
    if not linked and c[i, C_LOST_S] > a[i, A_LOST_AFTER_S]:
        wanted, cause = (closed if a[i, A_FAIL_SAFE] < 0.0 else a[i, A_FAIL_SAFE] > 0.0), CAUSE_LINK
    if closed and not wanted and since + INSTANT_S < a[i, A_MIN_ON_S] and c[i, C_URGENT] == 0.0:
        wanted, cause, waits = True, CAUSE_MIN_ON, True
    if not closed and wanted and since + INSTANT_S < a[i, A_MIN_OFF_S]:
        wanted, cause, waits = False, CAUSE_MIN_OFF, True
    wanted, cause, waits = _after_outage(a, c, i, wanted, cause, waits)
    if wanted and _locked(rules, standing, i, runs):
        wanted, cause = False, CAUSE_INTERLOCK
    if a[i, A_NEVER] > 0.0:
        wanted, cause = True, CAUSE_NEVER
    if not supplied:
        wanted, cause = False, CAUSE_NO_SUPPLY
        c[i, C_BACK_S] = 0.0
        c[i, C_WAITS] = 0.0 if a[i, A_UNATTENDED] > 0.0 or a[i, A_NEVER] > 0.0 else 1.0
    else:
        c[i, C_BACK_S] += time_s
    if wanted != closed:
        c[i, C_CLOSED], c[i, C_SINCE_S], c[i, C_CAUSE] = 1.0 if wanted else 0.0, 0.0, float(cause)
    c[i, C_SINCE_S] += time_s
    return waits


@kernel
def _after_outage(a: Floats, c: Floats, i: int, wanted: bool, cause: int, waits: bool) -> tuple[bool, int, bool]:
    """Return what becomes of the wanted state after the supply returned: its turn is waited for, and a person where one is needed."""
    if c[i, C_WAITS] > 0.0:
        return False, CAUSE_ATTENDED, waits
    if c[i, C_BACK_S] + INSTANT_S < a[i, A_RESTART_S]:
        return False, CAUSE_RESTART, True
    return wanted, cause, waits


@kernel
def _locked(rules: Rules, standing: Standing, i: int, runs: NDArray[np.bool_]) -> bool:
    """Return whether another load's contact or the missing proof of flow keeps load ``i`` open."""
    for k in range(len(rules.locks)):
        one, other = rules.locks[k, 0], rules.locks[k, 1]
        if other == i and standing.contacts[one, C_CLOSED] > 0.0:
            return True
        # The load that is named first takes the other's place only once that is open.
        if one == i and standing.contacts[other, C_CLOSED] > 0.0:
            return True
    for k in range(len(rules.needs)):
        if rules.needs[k, 0] == i and not runs[rules.needs[k, 1]]:
            return True
    return False
