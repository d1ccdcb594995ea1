"""Rules, actuators, shedding, interlocks and overrides as flat arrays, and how everything stands at the start."""

from collections.abc import Sequence
from dataclasses import dataclass

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
    ACTUATOR,
    ACTUATOR_STATE,
    AMPS,
    C_BACK_S,
    C_CAUSE,
    C_CLOSED,
    C_RECEIVED,
    C_SENT,
    C_SINCE_S,
    C_TOLD,
    C_WHY,
    C_WISH,
    CAUSE_RULE,
    CAUSE_START,
    CAUSES,
    CHARGE,
    CYCLE,
    EXPORT_W,
    GRID_V,
    H_BACK_S,
    H_DELAY_S,
    H_INTERVAL_S,
    H_NEXT_S,
    H_PICK_UP,
    H_REPORT_S,
    H_RESTORE,
    K_SEEN,
    LIMIT,
    OUTDOOR_C,
    PROGRAMME,
    Q_CHANGED_S,
    Q_CONTACT,
    Q_CURSOR,
    R_DROP_OUT,
    R_EFFECT,
    R_INTERVAL_S,
    R_OFF_DELAY_S,
    R_ON_DELAY_S,
    R_PICK_UP,
    R_REPORT_S,
    R_SIDE,
    RING,
    RULE,
    RULE_STATE,
    SHED,
    SHED_STATE,
    SIGNALS,
    SITE_W,
    VOLTS,
)  # fmt: skip
from wattwright.control.kernels import Rules, Standing
from wattwright.control.programmes import Span, timeline
from wattwright.control.rule_kernels import called
from wattwright.control.rules import (
    Actuator,
    AnyRule,
    Control,
    Interlock,
    Limit,
    Measured,
    Override,
    RepeatCycle,
    SetPoint,
    Shedding,
    TimeProgramme,
    in_unit,
)  # fmt: skip
from wattwright.core.errors import InputError, Place, quoted
from wattwright.core.quantity import Phase

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
LONG_AGO_S = 1e9
"""Time since the last switching where there was none."""
_SITE = {
    "site power": SITE_W, "export power": EXPORT_W, "state of charge": CHARGE, "outdoor temperature": OUTDOOR_C,
    "grid voltage": GRID_V,
}  # fmt: skip
_LINE = {Phase.L1: 0, Phase.L2: 1, Phase.L3: 2, Phase.LEG_A: 0, Phase.LEG_B: 1}
_STATES = {"open": 0.0, "closed": 1.0, "as it was": -1.0}


@dataclass(frozen=True, slots=True, eq=False)
class Compiled:
    """Rules as the engine takes them, the words for their causes, and which loads they are."""

    rules: Rules
    rule_ids: tuple[str, ...]
    load_ids: tuple[str, ...]

    def cause(self, code: float) -> str:
        """Return a cause in words: what decided a contact, or the id of the rule."""
        return CAUSES[int(code)] if code < CAUSE_RULE else f"rule {self.rule_ids[int(code) - CAUSE_RULE]}"


def compile_control(control: Control, load_ids: Sequence[str], span: Span) -> Compiled:
    """Return the rules of a site over a stretch of time; raises InputError where one names a load that is not there."""
    rows = _Rows(tuple(load_ids))
    every, shed = control.rules, control.shedding
    loads = np.array([rows.of(one.load, f"rule {one.id}") for one in every], np.int64)
    lists = [timeline(one, span) for one in every]
    rules = Rules(
        kind=np.array([_kind(one) for one in every], np.int64),
        load=loads,
        beside=np.array([one.beside for one in every], np.int64),
        signal=np.array([_signal(one, rows) if isinstance(one, Limit | SetPoint) else 0 for one in every], np.int64),
        settings=np.array([_settings(one) for one in every], np.float64).reshape(len(every), RULE),
        first=np.searchsorted(np.sort(loads), np.arange(len(load_ids) + 1)).astype(np.int64),
        order=np.argsort(loads, kind="stable").astype(np.int64),
        begin=np.cumsum([0, *(len(times) for times, _ in lists)]).astype(np.int64),
        times_s=np.concatenate([np.zeros(0), *(times for times, _ in lists)]),
        states=np.concatenate([np.zeros(0, np.int64), *(states for _, states in lists)]),
        actuator=_actuators(control, load_ids, rows),
        locks=_locks(control.interlocks, rows),
        needs=np.array([[rows.of(one, "interlock") for one in lock.loads] for lock in _needs(control)], np.int64).reshape(-1, 2),
        run_on_s=np.array([lock.run_on_s for lock in _needs(control)], np.float64),
        turn=_turn(_locks(control.interlocks, rows), len(load_ids)),
        shed_order=_shed_order(control, rows),
        shed=_shed_settings(shed),
        shed_signal=AMPS + 3 if shed is not None and shed.quantity == "current" else SITE_W,
        manual=np.array([_manual(one, rows, span) for one in control.overrides], np.float64).reshape(-1, 4),
    )
    return Compiled(rules, tuple(one.id for one in every), rows.ids)


def fresh(rules: Rules) -> Standing:
    """Return how everything stands at the start: supply and link there, limits dropped out, contacts as rules then say."""
    q = np.zeros((len(rules.kind), RULE_STATE))
    q[:, K_SEEN], q[:, Q_CHANGED_S], q[:, Q_CURSOR] = np.nan, -np.inf, rules.begin[:-1]
    for j in range(len(rules.kind)):
        q[j, Q_CONTACT] = _first_contact(rules, j)
    c = np.zeros((len(rules.actuator), ACTUATOR_STATE))
    c[:, [C_SINCE_S, C_BACK_S]] = LONG_AGO_S
    for i in rules.turn:
        wanted = bool(called(rules, q, i))
        never = rules.actuator[i, A_NEVER] > 0
        c[i, [C_SENT, C_RECEIVED, C_WISH]] = wanted
        # Nothing runs yet, so what needs another load waits for it.
        held = (rules.needs[:, 0] == i).any() or any(c[one, C_CLOSED] for one, other, _ in rules.locks if other == i)
        c[i, C_CLOSED] = never or (wanted and not held)
    c[:, [C_TOLD, C_WHY, C_CAUSE]] = CAUSE_START
    g = np.zeros(SHED_STATE)
    g[K_SEEN] = np.nan
    return Standing(q, c, g)


def _first_contact(rules: Rules, j: int) -> float:
    """Return how the contact of rule ``j`` stands at the start, before anything was measured."""
    begin, end = rules.begin[j], rules.begin[j + 1]
    says = float(rules.states[begin + np.searchsorted(rules.times_s[begin:end], 0.0, side="right") - 1]) if end > begin else 1.0
    if rules.kind[j] == PROGRAMME or says != 1.0:
        return says
    if rules.kind[j] == CYCLE:
        return float(rules.settings[j, R_ON_DELAY_S] < rules.settings[j, R_PICK_UP])
    return float(rules.settings[j, R_EFFECT] < 0.0)


class _Rows:
    """Which row each load has."""

    def __init__(self, ids: tuple[str, ...]) -> None:
        self.ids = ids
        self._rows = {one: row for row, one in enumerate(ids)}

    def of(self, load: str, where: str) -> int:
        """Return the row of a load; raises InputError where there is none."""
        if load not in self._rows:
            raise InputError.one(
                "control.load", Place(field=where), found=quoted(load), wanted="the id of a load",
                next_step=f"The loads are {', '.join(self.ids)}." if self.ids else "There is no load yet.",
            )  # fmt: skip
        return self._rows[load]


def _kind(rule: AnyRule) -> int:
    if isinstance(rule, TimeProgramme):
        return PROGRAMME
    return CYCLE if isinstance(rule, RepeatCycle) else LIMIT


def _signal(rule: Limit | SetPoint, rows: _Rows) -> int:
    """Return the place of the quantity a rule looks at."""
    if rule.quantity in _SITE:
        return _SITE[rule.quantity]
    if rule.quantity == "load value":
        return SIGNALS + rows.of(rule.of or rule.load, f"rule {rule.id}, of")
    first = AMPS if rule.quantity == "current" else VOLTS
    # Of a conductor that is not known the worst case: the highest, for a voltage from below the lowest.
    below = rule.acts == "below" if isinstance(rule, Limit) else rule.calls == "below"
    lowest = rule.quantity == "voltage" and below
    return first + _LINE.get(rule.phase, 4 if lowest else 3)


def _settings(rule: AnyRule) -> Floats:
    row = np.zeros(RULE)
    if isinstance(rule, RepeatCycle):
        row[R_PICK_UP], row[R_DROP_OUT] = rule.on_for_s, rule.off_for_s
        row[R_ON_DELAY_S] = 0.0 if rule.begins == "on" else rule.on_for_s
    if isinstance(rule, Limit):
        row[R_PICK_UP], row[R_DROP_OUT] = in_unit(rule.pick_up, rule.quantity), in_unit(rule.drop_out, rule.quantity)
        row[R_ON_DELAY_S], row[R_OFF_DELAY_S] = rule.on_delay_s, rule.off_delay_s
        row[R_SIDE] = 1.0 if rule.acts == "above" else -1.0
        row[R_EFFECT] = 1.0 if rule.contact == "closes" else -1.0
    if isinstance(rule, SetPoint):
        row[R_SIDE], row[R_EFFECT] = (1.0 if rule.calls == "above" else -1.0), 1.0
        row[R_DROP_OUT] = in_unit(rule.set_point, rule.quantity)
        row[R_PICK_UP] = row[R_DROP_OUT] + row[R_SIDE] * rule.differential
    if isinstance(rule, Measured):
        row[R_INTERVAL_S], row[R_REPORT_S] = _interval(rule.interval_s, rule.report_s), rule.report_s
    return row


def _interval(interval_s: float, report_s: float) -> float:
    """Return the measuring interval, as wide as the ring of values on their way needs it."""
    return max(interval_s, report_s / (RING - 1))


def _actuators(control: Control, load_ids: Sequence[str], rows: _Rows) -> Floats:
    named = [rows.of(one, "returns") for one in control.returns]
    coming = [*named, *(i for i in range(len(load_ids)) if i not in named)]
    for one in control.actuators:
        rows.of(one.load, "actuator")
    return np.array(
        [_actuator(control.actuator(load), coming.index(i) * control.stagger_s) for i, load in enumerate(load_ids)], np.float64
    ).reshape(len(load_ids), ACTUATOR)


def _actuator(one: Actuator, turn_s: float) -> Floats:
    row = np.zeros(ACTUATOR)
    row[A_NEVER], row[A_UNATTENDED] = one.never, one.unattended
    row[A_MIN_ON_S], row[A_MIN_OFF_S] = one.min_on_s, one.min_off_s
    row[A_RESTART_S], row[A_LINK_S], row[A_LOST_AFTER_S] = one.restart_s + turn_s, one.link_s, one.lost_after_s
    row[A_POWER_UP], row[A_FAIL_SAFE] = _STATES[one.power_up], _STATES[one.fail_safe]
    return row


def _needs(control: Control) -> list[Interlock]:
    return [one for one in control.interlocks if one.kind == "needs"]


def _locks(interlocks: Sequence[Interlock], rows: _Rows) -> Ints:
    pairs = [one for one in interlocks if one.kind == "never both"]
    return np.array(
        [[*(rows.of(load, "interlock") for load in one.loads), one.takes_over] for one in pairs], np.int64
    ).reshape(-1, 3)  # fmt: skip


def _turn(locks: Ints, count: int) -> Ints:
    """Return the order in which contacts move: the first of an interlock before the second; in a circle by row."""
    turn: list[int] = []
    while len(turn) < count:
        left = [i for i in range(count) if i not in turn]
        free = [i for i in left if not any(other == i and one in left and one != i for one, other, _ in locks)]
        turn.append((free or left)[0])
    return np.array(turn, np.int64)


def _shed_order(control: Control, rows: _Rows) -> Ints:
    """Return the loads that are shed in turn, without those that may never be interrupted; each once."""
    order = control.shedding.order if control.shedding is not None else ()
    kept = {rows.of(load, "shedding, order"): None for load in order if not control.actuator(load).never}
    return np.array(list(kept), np.int64)


def _shed_settings(shed: Shedding | None) -> Floats:
    row = np.zeros(SHED)
    if shed is not None:
        row[H_PICK_UP], row[H_RESTORE] = in_unit(shed.pick_up, shed.quantity), in_unit(shed.restore, shed.quantity)
        row[H_DELAY_S], row[H_NEXT_S], row[H_BACK_S] = shed.delay_s, shed.next_s, shed.back_s
        row[H_INTERVAL_S], row[H_REPORT_S] = _interval(shed.interval_s, shed.report_s), shed.report_s
    return row


def _manual(one: Override, rows: _Rows, span: Span) -> list[float]:
    local = np.array([one.begins, one.ends], "datetime64[s]").astype(np.int64)
    begins, ends = span.clock.shown(local).first_s - span.start_s
    return [float(rows.of(one.load, "override")), float(begins), float(ends), float(one.state == "on")]
