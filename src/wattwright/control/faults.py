"""What in a site's rules contradicts itself or can never act, as findings."""

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from itertools import combinations

from wattwright.control import kinds
from wattwright.control.programmes import DAYS
from wattwright.control.rules import LIFE, AnyRule, Control, Limit, RepeatCycle, SetPoint, TimeProgramme, in_unit
from wattwright.core.findings import Finding, gravest_first

_DAY_S = 86_400
_WEEK_S = 7 * _DAY_S
Stretch = tuple[float, float]


def faults(
    control: Control, *, has_place: bool = True, months: frozenset[int] = frozenset(range(1, 13)),
    rating_w: Mapping[str, float] | None = None, most_w: float | None = None, blind: frozenset[str] = frozenset(),
    lacks: Mapping[str, str] | None = None,
) -> tuple[Finding, ...]:  # fmt: skip
    """Return what is wrong with the rules, gravest first.

    Args:
        control: the rules of the site
        has_place: whether latitude and longitude are known
        months: the months looked at
        rating_w: rated power of loads, as far as it is known
        most_w: the highest power the site can reach, where that is known
        blind: loads that have no sensor
        lacks: what the site would need for a quantity to move, in words, by the quantities that never move there
    """
    found = [
        *_names(control), *_life(control), *_never(control), *_programmes(control, has_place), *_together(control),
        *_seasons(control, months), *_limits(control, most_w), *_cycles(control), *_locks(control),
        *_shedding(control, rating_w or {}), *_returns(control),
        *_blind(control, blind, lacks or {}),
        *(kinds.OVERRIDE_EMPTY.at("override", load=one.load) for one in control.overrides if one.ends <= one.begins),
    ]  # fmt: skip
    return gravest_first(tuple(found))


def _names(control: Control) -> Iterator[Finding]:
    for what, ids in (("rules", [one.id for one in control.rules]), ("actuators", [one.load for one in control.actuators])):
        for id_, count in Counter(ids).items():
            if count > 1:
                yield kinds.SAME_ID.at(what, what=what, id=id_, count=count)


def _life(control: Control) -> Iterator[Finding]:
    for one in control.actuators:
        if one.purpose in LIFE and not one.never:
            yield kinds.LIFE_SWITCHED.at(f"actuator {one.load}", load=one.load, purpose=one.purpose, way=str(one.interrupt))


def _never(control: Control) -> Iterator[Finding]:
    """What would switch a load that may never be interrupted. Which side of an interlock has to wait is known."""
    waiting = [lock.loads[0] for lock in control.interlocks if lock.kind == "needs"]
    named = [
        *((f'The rule "{one.id}"', one.load) for one in control.rules),
        *(("The shed order", load) for load in (control.shedding.order if control.shedding is not None else ())),
        *(("An override", one.load) for one in control.overrides if one.state == "off"),
        *(("An interlock", load) for load in waiting),
    ]
    for what, load in named:
        if control.actuator(load).never:
            yield kinds.NEVER_SWITCHED.at(f"load {load}", what=what, load=load)
    for lock in control.interlocks:
        if lock.kind == "never both" and all(control.actuator(load).never for load in lock.loads):
            yield kinds.NEVER_SWITCHED.at(f"load {lock.loads[1]}", what="An interlock", load=lock.loads[1])


def _programmes(control: Control, has_place: bool) -> Iterator[Finding]:
    for rule in control.rules:
        if not isinstance(rule, TimeProgramme):
            continue
        where = f"rule {rule.id}"
        if not has_place and any(moment.sun for line in rule.times for moment in (line.on, line.off)):
            yield kinds.SUN_WITHOUT_PLACE.at(where)
        lines = [_week(rule, number) for number in range(len(rule.times))]
        for number, line in enumerate(rule.times):
            if line.on == line.off:
                yield kinds.LINE_EMPTY.at(where, line=number + 1, at=str(line.on))
        for one, other in combinations(range(len(lines)), 2):
            if _meet(lines[one] or [], lines[other] or []):
                yield kinds.LINES_OVERLAP.at(where, first=one + 1, second=other + 1)


def _week(rule: TimeProgramme, number: int) -> list[Stretch] | None:
    """Return when a line is on in seconds of a plain week, None where it goes by the sun."""
    line = rule.times[number]
    if line.on.clock is None or line.off.clock is None:
        return None
    on, off = (3600 * one.hour + 60 * one.minute + one.second for one in (line.on.clock, line.off.clock))
    length = off - on if off >= on else off - on + _DAY_S
    begins = [DAYS.index(day) * _DAY_S + on for day in line.days]
    whole = [(float(at), float(min(at + length, _WEEK_S))) for at in begins]
    # What runs over the end of the week goes on at its beginning.
    over = [(0.0, float(at + length - _WEEK_S)) for at in begins if at + length > _WEEK_S]
    return [stretch for stretch in (*whole, *over) if stretch[0] < stretch[1]]


def _meet(one: list[Stretch], other: list[Stretch]) -> bool:
    return any(max(a, c) < min(b, d) for a, b in one for c, d in other)


def _together(control: Control) -> Iterator[Finding]:
    """Programmes in series that are never on at the same time, though there are months in which both act."""
    series = [rule for rule in control.rules if isinstance(rule, TimeProgramme) and not rule.beside]
    for one, other in combinations(series, 2):
        if one.load != other.load or not set(one.months or range(1, 13)) & set(other.months or range(1, 13)):
            continue
        weeks = [[_week(rule, number) for number in range(len(rule.times))] for rule in (one, other)]
        known = [[stretch for line in week for stretch in line or []] for week in weeks]
        by_the_sun = any(line is None for week in weeks for line in week)
        beside = any(rule.beside and rule.load == one.load for rule in control.rules)
        if not by_the_sun and not beside and one.holidays == other.holidays == "as usual" and not _meet(*known):
            yield kinds.NEVER_TOGETHER.at(f"load {one.load}", first=one.id, second=other.id, load=one.load)


def _seasons(control: Control, months: frozenset[int]) -> Iterator[Finding]:
    for rule in control.rules:
        if rule.months and not months & set(rule.months):
            yield kinds.NEVER_IN_SEASON.at(f"rule {rule.id}")
    for load in dict.fromkeys(rule.load for rule in control.rules):
        acting = {month for rule in control.rules if rule.load == load for month in _decided(rule)}
        idle = sorted(months - acting)
        if idle:
            yield kinds.NO_RULE_IN_MONTHS.at(f"load {load}", load=load, months=", ".join(str(month) for month in idle))


def _decided(rule: AnyRule) -> Iterable[int]:
    """Return the months in which a rule says what its contact does."""
    return rule.months if rule.months and rule.other_months == "no say" else range(1, 13)


def _limits(control: Control, most_w: float | None) -> Iterator[Finding]:
    for rule in control.rules:
        if not isinstance(rule, Limit):
            continue
        pick_up, drop_out = in_unit(rule.pick_up, rule.quantity), in_unit(rule.drop_out, rule.quantity)
        if pick_up == drop_out and not rule.on_delay_s and not rule.off_delay_s:
            yield kinds.NO_HYSTERESIS.at(f"rule {rule.id}")
        if most_w is not None and rule.quantity == "site power" and rule.acts == "above" and pick_up > most_w:
            yield kinds.NEVER_REACHED.at(f"rule {rule.id}", pick_up=pick_up, most=most_w)
    shed = control.shedding
    if (
        most_w is not None
        and shed is not None
        and shed.quantity == "site power"
        and in_unit(shed.pick_up, shed.quantity) > most_w
    ):
        yield kinds.NEVER_REACHED.at("shedding", pick_up=in_unit(shed.pick_up, shed.quantity), most=most_w)


def _cycles(control: Control) -> Iterator[Finding]:
    for rule in control.rules:
        if isinstance(rule, RepeatCycle):
            relay = control.actuator(rule.load)
            for part, time_s, least_s in (("on", rule.on_for_s, relay.min_on_s), ("off", rule.off_for_s, relay.min_off_s)):
                if time_s < least_s:
                    yield kinds.CYCLE_TOO_SHORT.at(f"rule {rule.id}", part=part, time=time_s, least=least_s)


def _locks(control: Control) -> Iterator[Finding]:
    needs = [lock.loads for lock in control.interlocks if lock.kind == "needs"]
    for lock in control.interlocks:
        if lock.loads[0] == lock.loads[1]:
            yield kinds.LOCK_ITSELF.at("interlock", load=lock.loads[0])
        elif lock.kind == "never both" and (lock.loads in needs or lock.loads[::-1] in needs):
            first, second = lock.loads if lock.loads in needs else lock.loads[::-1]
            yield kinds.LOCK_AND_NEED.at("interlock", first=first, second=second)
    circle = _circle([pair for pair in needs if pair[0] != pair[1]])
    if circle:
        yield kinds.LOCK_CIRCLE.at("interlock", loads=", ".join(circle))


def _circle(needs: list[tuple[str, str]]) -> list[str]:
    """Return loads that need one another in a circle: what is left when those that wait for nobody are taken away."""
    left = list(needs)
    while left:
        waiting, needed = {first for first, _ in left}, {second for _, second in left}
        kept = [pair for pair in left if pair[1] in waiting and pair[0] in needed]
        if kept == left:
            break
        left = kept
    return sorted({first for first, _ in left})


def _blind(control: Control, blind: frozenset[str], lacks: Mapping[str, str]) -> Iterator[Finding]:
    for rule in control.rules:
        if not isinstance(rule, Limit | SetPoint):
            continue
        if rule.quantity == "load value" and (rule.of or rule.load) in blind:
            yield kinds.NO_SENSOR.at(f"rule {rule.id}", load=rule.of or rule.load)
        if rule.quantity in lacks:
            yield kinds.NOTHING_THERE.at(f"rule {rule.id}", quantity=rule.quantity, lacks=lacks[rule.quantity])


def _returns(control: Control) -> Iterator[Finding]:
    """Neighbours of the order of return whose own restart delays turn it round."""
    back_s = [control.actuator(load).restart_s + place * control.stagger_s for place, load in enumerate(control.returns)]
    for place in range(1, len(back_s)):
        late_s = back_s[place - 1] - back_s[place]
        if late_s > 0.0:
            first, second = control.returns[place - 1 : place + 1]
            yield kinds.RETURNS_LATE.at("returns", first=first, second=second, late=late_s)


def _shedding(control: Control, rating_w: Mapping[str, float]) -> Iterator[Finding]:
    shed = control.shedding
    if shed is None:
        return
    for load, count in Counter(shed.order).items():
        if count > 1:
            yield kinds.SHED_TWICE.at("shedding", load=load)
    seen_s = shed.interval_s + shed.report_s + max(control.actuator(load).link_s for load in shed.order)
    if len(shed.order) > 1 and shed.next_s < seen_s:
        yield kinds.SHED_HURRIED.at("shedding", next=shed.next_s, seen=seen_s)
    if shed.quantity == "site power":
        gap = in_unit(shed.pick_up, shed.quantity) - in_unit(shed.restore, shed.quantity)
        for load in dict.fromkeys(shed.order):
            if rating_w.get(load, 0.0) >= gap:
                yield kinds.SHED_HUNTS.at("shedding", gap=gap, load=load, rating=rating_w[load])
