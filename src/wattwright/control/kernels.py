"""What every contact does in one sub-step: rules, command, link, relay, interlocks, in one stated order.

The controller combines the rules of a load, sheds, and hears a person. Its command travels over the link; the relay adds what
it knows by itself. The first of these that has something to say decides, and is the cause that is told:

     1  no supply                                          open
     2  may never be interrupted                           closed
     3  interlock, or what it needs does not run           open
     4  waits for a person after an outage                 open
     5  restart delay, its turn in a staggered return      open
     6  minimum off-time                                   open
     7  run-on                                             closed
     8  minimum on-time, not against 11 and 12             closed
     9  link lost: fail-safe state, till a command comes   as set
    10  power-up state, till a command comes               as set
    11  manual override                                    as a person wishes
    12  shed                                               open
    13  the rules, in series and beside                    as they call

Nature and the wiring know 1 to 3, the relay 4 to 10, the controller 11 to 13.

So a person never defeats an interlock or a minimum off-time, and only a person or the protection of the supply cuts a minimum
on-time short. The words of the controller (11 to 13) reach the relay over the link only; that is why the relay's own come
first. Contacts move in the order ``turn``, and one side of an interlock waits for a sub-step in which the other is open, so
the two are never closed together; where both call at once the first named goes.

The controller and its clock run on through an outage; commands that arrive during one are lost and sent anew after it.
"""

import numpy as np
from numpy.typing import NDArray

from wattwright.control.columns import (
    A_FAIL_SAFE,
    A_LINK_S,
    A_LOST_AFTER_S,
    A_MIN_OFF_S,
    A_MIN_ON_S,
    A_NEVER,
    A_POWER_UP,
    A_RESTART_S,
    A_UNATTENDED,
    C_BACK_S,
    C_CAUSE,
    C_CLOSED,
    C_COUNT,
    C_CUTS,
    C_DEAF,
    C_HEAD,
    C_LOST_S,
    C_QUEUE,
    C_RECEIVED,
    C_SENT,
    C_SENT_SHED,
    C_SENT_URGENT,
    C_SHED,
    C_SINCE_S,
    C_TOLD,
    C_WAITS,
    C_WAS,
    C_WHY,
    C_WISH,
    CAUSE_ATTENDED,
    CAUSE_FREE,
    CAUSE_INTERLOCK,
    CAUSE_LINK,
    CAUSE_MANUAL,
    CAUSE_MIN_OFF,
    CAUSE_MIN_ON,
    CAUSE_NEVER,
    CAUSE_NO_SUPPLY,
    CAUSE_POWER_UP,
    CAUSE_RESTART,
    CAUSE_RULE,
    CAUSE_RUN_ON,
    CAUSE_SHED,
    CAUSE_UNSHED,
    HEARS,
    LIMIT,
    LOST,
    POWERED_UP,
    Q_CONTACT,
    QUEUE,
)  # fmt: skip
from wattwright.control.rule_kernels import (
    INSTANT_S,
    Rules as Rules,
    Standing as Standing,
    called,
    next_instant_s as next_instant_s,
    next_switch_s as next_switch_s,
    rule,
    teller,
)
from wattwright.control.shed_kernels import shed_count, shedding
from wattwright.core.kernels import kernel, lean_kernel

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]


@kernel
def decide(
    rules: Rules, standing: Standing, now_s: float, time_s: float, signals: Floats, runs: Bools, supplied: bool, linked: bool
) -> bool:  # fmt: skip
    """Set every contact for the sub-step [now_s, now_s + time_s) and return whether a delay is running.

    ``signals`` are the quantities as they are at ``now_s``, ``runs`` (n,) which loads run; ``supplied`` and ``linked`` whether
    there is supply and a link. Seconds count from the start of the simulation.
    """
    return set_contacts(rules, standing, now_s, time_s, signals, runs, supplied, linked, False)[0]


@lean_kernel
def set_contacts(
    rules: Rules, standing: Standing, now_s: float, time_s: float, signals: Floats, runs: Bools, supplied: bool, linked: bool,
    settled: bool,
) -> tuple[bool, bool]:  # fmt: skip
    """Do what ``decide`` does, built into compiled callers; return (whether a delay is running, whether contacts are settled).

    They are once nothing waits and none moved: till a rule or the shedding says something else, supply and link lasting, they
    stay. With ``settled``, what the last sub-step returned if supply and link are as they were, only their times go on.
    """
    pending, said = False, False
    for j in range(len(rules.kind)):
        before = standing.rules[j, Q_CONTACT]
        if rule(rules, standing.rules, j, now_s, time_s, signals):
            pending = True
        said = said or standing.rules[j, Q_CONTACT] != before
    shed = shed_count(rules, standing)
    if shedding(rules, standing, now_s, time_s, signals):
        pending = True
    if settled and not said and shed_count(rules, standing) == shed:
        rest(standing, time_s)
        return pending, True
    waits, moved = _move(rules, standing, now_s, time_s, runs, supplied, linked)
    # A person's hand has its own times, and proof of flow comes from another load: there they are always looked at.
    rests = not (waits or moved) and supplied and linked and len(rules.manual) + len(rules.needs) == 0
    return pending or waits, rests


@lean_kernel
def rest(standing: Standing, time_s: float) -> None:
    """Let the times of contacts that stay as they are go on."""
    for i in range(len(standing.contacts)):
        standing.contacts[i, C_SINCE_S] += time_s
        standing.contacts[i, C_BACK_S] += time_s


@lean_kernel
def only_clocks(rules: Rules) -> bool:
    """Return whether no rule looks at what is measured: then contacts that are settled stay until a clock switches."""
    for j in range(len(rules.kind)):
        if rules.kind[j] == LIMIT:
            return False
    return len(rules.shed_order) == 0


@lean_kernel
def _move(
    rules: Rules, standing: Standing, now_s: float, time_s: float, runs: Bools, supplied: bool, linked: bool
) -> tuple[bool, bool]:  # fmt: skip
    """Set all contacts as rules and shedding say; return (whether a delay of theirs is running, whether one moved)."""
    waits, moved = False, False
    for i in range(len(rules.actuator)):
        if _wish(rules, standing, i, now_s, time_s, supplied, linked):
            waits = True
    for i in rules.turn:
        if _settle(rules, standing.contacts, i, time_s, runs, supplied):
            moved = True
    # Another load may be waiting for a contact that moved.
    return waits or (moved and len(rules.locks) + len(rules.needs) > 0), moved


@lean_kernel
def _wish(rules: Rules, standing: Standing, i: int, now_s: float, time_s: float, supplied: bool, linked: bool) -> bool:
    """Work out what the contact of load ``i`` would do if there were no interlock; return whether one of its delays runs."""
    a, c = rules.actuator[i], standing.contacts[i]
    if not supplied:
        c[C_BACK_S], c[C_DEAF], c[C_COUNT] = 0.0, POWERED_UP, 0.0
        c[C_WAITS] = 1.0 if a[A_UNATTENDED] == 0.0 and a[A_NEVER] == 0.0 else 0.0
    if supplied and linked:
        _send(rules, standing, i, now_s)
    else:
        c[C_SENT], c[C_SENT_SHED] = -1.0, 0.0
    _receive(a, c, now_s, time_s, linked)
    wanted, cause = c[C_RECEIVED] > 0.0, int(c[C_TOLD])
    if c[C_DEAF] == POWERED_UP and a[A_POWER_UP] >= 0.0:
        wanted, cause = a[A_POWER_UP] > 0.0, CAUSE_POWER_UP
    if c[C_DEAF] == LOST and a[A_FAIL_SAFE] >= 0.0:
        wanted, cause = a[A_FAIL_SAFE] > 0.0, CAUSE_LINK
    wanted, cause, waits = _times(rules, standing.contacts, i, wanted, cause)
    wanted, cause, delayed = _after_outage(rules, c, i, now_s, wanted, cause)
    c[C_WISH], c[C_WHY], c[C_WAS] = 1.0 if wanted else 0.0, float(cause), c[C_CLOSED]
    # A link that is away is on its way to being lost.
    return waits or delayed or c[C_COUNT] > 0.0 or (not linked and c[C_DEAF] != LOST)


@lean_kernel
def _is_urgent(cause: int) -> bool:
    return cause in (CAUSE_SHED, CAUSE_MANUAL)


@lean_kernel
def _send(rules: Rules, standing: Standing, i: int, now_s: float) -> None:
    """Send load ``i`` its command where that is another than the last; each travels by itself, so quick ones follow one another.

    Where more are on their way than the queue holds, the last gives way to the new one.
    """
    c = standing.contacts[i]
    wanted, cause = called(rules, standing.rules, i), CAUSE_FREE
    if c[C_SHED] > 0.0:
        wanted, cause = False, CAUSE_SHED
    for v in range(len(rules.manual)):
        if rules.manual[v, 0] == i and rules.manual[v, 1] <= now_s + INSTANT_S and now_s + INSTANT_S < rules.manual[v, 2]:
            wanted, cause = rules.manual[v, 3] > 0.0, CAUSE_MANUAL
    state, urgent = 1.0 if wanted else 0.0, 1.0 if _is_urgent(cause) else 0.0
    if c[C_SENT] == state and c[C_SENT_URGENT] == urgent:
        return
    told = teller(rules, standing.rules, i, wanted)
    if cause == CAUSE_FREE and wanted and c[C_SENT_SHED] > 0.0:
        cause = CAUSE_UNSHED
    elif cause == CAUSE_FREE and told >= 0:
        cause = CAUSE_RULE + told
    c[C_SENT], c[C_SENT_URGENT], c[C_SENT_SHED] = state, urgent, 1.0 if cause == CAUSE_SHED else 0.0
    if c[C_COUNT] < QUEUE:
        c[C_COUNT] += 1.0
    place = C_QUEUE + 3 * (int(c[C_HEAD] + c[C_COUNT] - 1.0) % QUEUE)
    c[place], c[place + 1], c[place + 2] = state, float(cause), now_s + rules.actuator[i, A_LINK_S]


@lean_kernel
def _receive(a: Floats, c: Floats, now_s: float, time_s: float, linked: bool) -> None:
    """Take what has arrived, and notice a link that has been away too long."""
    while c[C_COUNT] > 0.0:
        place = C_QUEUE + 3 * int(c[C_HEAD])
        if c[place + 2] > now_s + INSTANT_S:
            break
        c[C_RECEIVED], c[C_TOLD], c[C_DEAF] = c[place], c[place + 1], HEARS
        c[C_HEAD] = (c[C_HEAD] + 1.0) % QUEUE
        c[C_COUNT] -= 1.0
    if linked:
        c[C_LOST_S] = 0.0
        return
    if c[C_LOST_S] + INSTANT_S >= a[A_LOST_AFTER_S]:
        c[C_DEAF] = LOST
    c[C_LOST_S] += time_s


@lean_kernel
def _times(rules: Rules, contacts: Floats, i: int, wanted: bool, cause: int) -> tuple[bool, int, bool]:
    """Return what minimum times and run-on make of a wanted state, why, and whether one of them is running."""
    a, c = rules.actuator[i], contacts[i]
    closed, since = c[C_CLOSED] > 0.0, c[C_SINCE_S]
    if closed and not wanted:
        if _runs_on(rules, contacts, i):
            return True, CAUSE_RUN_ON, True
        if since + INSTANT_S < a[A_MIN_ON_S] and not _is_urgent(cause):
            return True, CAUSE_MIN_ON, True
    if not closed and wanted and since + INSTANT_S < a[A_MIN_OFF_S]:
        return False, CAUSE_MIN_OFF, True
    return wanted, cause, False


@lean_kernel
def _runs_on(rules: Rules, contacts: Floats, i: int) -> bool:
    """Return whether a load that needs load ``i`` is fed, or has not been open for its run-on."""
    for k in range(len(rules.needs)):
        first = contacts[rules.needs[k, 0]]
        runs_on = rules.needs[k, 1] == i and rules.run_on_s[k] > 0.0
        if runs_on and (first[C_CLOSED] > 0.0 or first[C_SINCE_S] + INSTANT_S < rules.run_on_s[k]):
            return True
    return False


@lean_kernel
def _after_outage(rules: Rules, c: Floats, i: int, now_s: float, wanted: bool, cause: int) -> tuple[bool, int, bool]:
    """Return what becomes of the wanted state after the supply returned: a turn is waited for, or a person."""
    for v in range(len(rules.manual)):
        begun, back_s = rules.manual[v, 1] <= now_s + INSTANT_S, now_s - c[C_BACK_S]
        # Only a person who switches it on after the supply's return is there to see it restart.
        if rules.manual[v, 0] == i and rules.manual[v, 3] > 0.0 and begun and rules.manual[v, 1] + INSTANT_S >= back_s:
            c[C_WAITS] = 0.0
    if wanted and c[C_WAITS] > 0.0:
        return False, CAUSE_ATTENDED, False
    if wanted and c[C_BACK_S] + INSTANT_S < rules.actuator[i, A_RESTART_S]:
        return False, CAUSE_RESTART, True
    return wanted, cause, False


@lean_kernel
def _settle(rules: Rules, contacts: Floats, i: int, time_s: float, runs: Bools, supplied: bool) -> bool:
    """Move the contact of load ``i`` and return whether it moved."""
    a, c = rules.actuator[i], contacts[i]
    wanted, closed = c[C_WISH] > 0.0, c[C_CLOSED] > 0.0
    if wanted and _locked(rules, contacts, i, runs):
        wanted, c[C_WHY] = False, CAUSE_INTERLOCK
    if a[A_NEVER] > 0.0:
        wanted, c[C_WHY] = True, CAUSE_NEVER
    if not supplied:
        wanted, c[C_WHY] = False, CAUSE_NO_SUPPLY
    else:
        c[C_BACK_S] += time_s
    if wanted != closed:
        if closed and c[C_WHY] == CAUSE_SHED and c[C_SINCE_S] + INSTANT_S < a[A_MIN_ON_S]:
            c[C_CUTS] += 1.0
        c[C_CLOSED], c[C_SINCE_S], c[C_CAUSE] = 1.0 if wanted else 0.0, 0.0, c[C_WHY]
    c[C_SINCE_S] += time_s
    return bool(wanted != closed)


@lean_kernel
def _locked(rules: Rules, contacts: Floats, i: int, runs: Bools) -> bool:
    """Return whether another load's contact or the missing proof of flow keeps load ``i`` open."""
    for k in range(len(rules.locks)):
        one, other = rules.locks[k, 0], rules.locks[k, 1]
        if one == i and _is_fed(rules, contacts, other):
            return True
        if other == i:
            # A first that takes over is waited for as soon as it would run; it closes once this one is open.
            takes_over = rules.locks[k, 2] > 0 and contacts[one, C_WISH] > 0.0 and _proven(rules, one, runs)
            if takes_over or _is_fed(rules, contacts, one):
                return True
    return not _proven(rules, i, runs)


@lean_kernel
def _is_fed(rules: Rules, contacts: Floats, i: int) -> bool:
    """Return whether load ``i`` is fed or was until now: the other side of an interlock waits for a sub-step with neither."""
    c = contacts[i]
    return bool(c[C_CLOSED] > 0.0 or c[C_WAS] > 0.0 or rules.actuator[i, A_NEVER] > 0.0)


@lean_kernel
def _proven(rules: Rules, i: int, runs: Bools) -> bool:
    """Return whether everything that load ``i`` needs runs."""
    proven = True
    for k in range(len(rules.needs)):
        proven = proven and (rules.needs[k, 0] != i or bool(runs[rules.needs[k, 1]]))
    return proven
