"""What must hold of the sources of a site beside its faults and bonds: each a point that passed, failed, or is asked."""

from collections.abc import Iterator
from typing import Final

from wattwright.core.bounds import as_least, as_most
from wattwright.gear.circuit.results import Result
from wattwright.gear.circuit.working import Question, figure
from wattwright.supply.island.bonds import of_carrier
from wattwright.supply.island.clauses import point
from wattwright.supply.island.faults import fed_a, own_bonds
from wattwright.supply.island.results import BondState, Feed, IslandSite, Point
from wattwright.supply.island.spec import Between, Guarded, IslandSpec, Source

_NOT_ASKED = "not answered yet"
GUARDED: Final[tuple[Guarded, ...]] = ("PV array", "battery", "inverter", "generator")
"""Sources whose feeder has an overcurrent device; that of the grid is the main protection."""
_BETWEEN: Final[tuple[Between, Between]] = ("line and neutral", "lines")
_CONTINUOUS: Final[dict[Guarded, float]] = {"PV array": 1.25, "battery": 1.25, "inverter": 1.25, "generator": 1.15}
"""By what the NEC has a feeder carry more than its current: 690.8(B), 706.30, 705.28, 445.13; from memory."""


def sources(site: IslandSite) -> tuple[Source, ...]:
    """Return everything that can keep a conductor of the site live."""
    supply = site.supply
    there: tuple[tuple[Source, bool], ...] = (
        ("grid", not supply.stands_alone), ("PV array", site.has_pv), ("battery", supply.battery is not None),
        ("inverter", supply.inverter is not None or site.has_pv), ("generator", supply.generator is not None),
    )  # fmt: skip
    return tuple(name for name, is_there in there if is_there)


def points(asked: IslandSpec, site: IslandSite, carriers: tuple[Feed, ...], bonded: tuple[BondState, ...]) -> tuple[Point, ...]:
    """Return every point of the site, with what was said of it."""
    made = [*_bonds(site, bonded), *_interlocks(asked, site, carriers), *_isolation(asked, site)]
    made += guards(asked, site)
    if carriers:
        made.append(_electrode(asked, site))
    made.append(_fitted(asked.surge, "surge", site))
    if not site.supply.stands_alone:
        made += [*_operator(asked, site)]
    return (*made, _fitted(asked.labels, "labels", site))


def _bonds(site: IslandSite, bonded: tuple[BondState, ...]) -> Iterator[Point]:
    for one in bonded:
        found = _NOT_ASKED if one.count is None else f"{one.count}: {', '.join(one.where)}" if one.where else "none"
        # Without the grid the network's bond is there or not, and nobody can be sure.
        relies = one.result == "passed" and one.feeds != "grid" and own_bonds(one, site.rules) == 0
        yield point("bond", site.rules, f"while the {one.feeds} feeds", found, "failed" if relies else one.result)


def _interlocks(asked: IslandSpec, site: IslandSite, carriers: tuple[Feed, ...]) -> Iterator[Point]:
    if site.supply.stands_alone:
        return
    for one in carriers:
        told = of_carrier(asked, one.name).interlock
        result: Result = "not checked" if told is None else "failed" if told == "none" else "passed"
        yield point("interlock", site.rules, one.name, told or _NOT_ASKED, result)


def _isolation(asked: IslandSpec, site: IslandSite) -> Iterator[Point]:
    known = {one.source: one for one in asked.isolation}
    for name in sources(site):
        one = known.get(name)
        if one is None:
            yield point("isolation", site.rules, name, _NOT_ASKED, "not checked")
            continue
        locks = {None: "whether it can be locked is not known", True: "can be locked open", False: "cannot be locked open"}
        result: Result = "not checked" if one.lockable is None else "passed" if one.lockable else "failed"
        yield point("isolation", site.rules, name, f"{one.where}; {locks[one.lockable]}", result)


def guarded(site: IslandSite) -> tuple[Guarded, ...]:
    """Return the sources that are there and have a feeder with an overcurrent device."""
    there = sources(site)
    return tuple(one for one in GUARDED if one in there and (one != "inverter" or site.supply.inverter is not None))


def guards(asked: IslandSpec, site: IslandSite) -> Iterator[Point]:
    """Yield whether what guards each feeder lies between its current at work and what its cable carries.

    Where nobody said over how many conductors a source feeds a device fails that bears less than all of them would share, and
    none passes that would not bear the whole on one.
    """
    known = {one.source: one for one in asked.protection}
    for name in guarded(site):
        one = known.get(name)
        needs_a, carries_a = least_rating_a(asked, site, name), None if one is None else one.carries_a
        most = "what its cable carries is not known" if carries_a is None else f"at most {figure(as_most(carries_a), 'A')}"
        if one is None or one.rating_a is None:
            yield point(
                "protection", site.rules, name, f"{_NOT_ASKED}; {_least(needs_a, site, asked.conductors_of(name))}", "not checked"
            )
            continue
        is_enough = needs_a is not None and one.rating_a >= needs_a[1]
        passes: Result = "passed" if is_enough and carries_a is not None else "not checked"
        fails = (needs_a is not None and one.rating_a < needs_a[0]) or (carries_a is not None and one.rating_a > carries_a)
        found = f"{figure(one.rating_a, 'A')}; {_least(needs_a, site, asked.conductors_of(name))}, {most}"
        yield point("protection", site.rules, name, found, "failed" if fails else passes)


def _least(needs_a: tuple[float, float] | None, site: IslandSite, conductors: int | None) -> str:
    """Return the least rating in words."""
    if needs_a is None:
        return "its current is not known"
    shared, on_one = (figure(as_least(one), "A") for one in needs_a)
    if conductors is not None and shared != on_one:
        return f"at least {on_one} if it stands between lines, {shared} if between line and neutral"
    count = len(site.supply.connection.phases)
    return f"at least {shared}" if shared == on_one else f"at least {on_one} if it feeds one conductor, {shared} if all {count}"


def least_rating_a(asked: IslandSpec, site: IslandSite, name: Guarded) -> tuple[float, float] | None:
    """Return the least ratings that carry what a feeder bears at work, A; None where its current is not known.

    They are one where the conductors that it feeds are told, or the supply has only one; else all of them, and one, carry it.
    Of two conductors of three they are those between line and neutral, and between lines, where nobody said which.
    """
    one, supply = next((one for one in asked.protection if one.source == name), None), site.supply
    powers_va: dict[Guarded, float | None] = {
        "inverter": None if supply.inverter is None else supply.inverter.rating_va,
        "generator": None if supply.generator is None else supply.generator.apparent_va, "PV array": site.array_ac_w,
    }  # fmt: skip
    each = asked.conductors_of(name)
    counts = (len(supply.connection.phases), 1) if each is None else (each, each)
    power_va = powers_va.get(name)
    if one is not None and one.current_a is not None:
        currents_a = (one.current_a, one.current_a)
    elif power_va is None:
        return None
    else:
        ways = (told, told) if (told := asked.between_of(name)) else _BETWEEN
        currents_a = (fed_a(power_va, counts[0], supply, ways[0]), fed_a(power_va, counts[1], supply, ways[1]))
    factor = _CONTINUOUS[name] if site.rules == "nec" else 1.0
    return currents_a[0] * factor, currents_a[1] * factor


def _electrode(asked: IslandSpec, site: IslandSite) -> Point:
    """Return the site's own electrode: it must be there, and what it must measure a licensed person says."""
    ohm = asked.electrode_ohm if asked.electrode_ohm is not None else site.electrode_ohm
    found = _NOT_ASKED if ohm is None else f"measured {figure(ohm, 'Ω')}; whether that is low enough, a licensed person says"
    return point("electrode", site.rules, "site", found, "not checked" if ohm is None else "passed")


def _fitted(told: str | None, id_: str, site: IslandSite) -> Point:
    result: Result = "not checked" if told is None else "passed" if told == "fitted" else "failed"
    return point(id_, site.rules, "site", told or _NOT_ASKED, result)


def _operator(asked: IslandSpec, site: IslandSite) -> Iterator[Point]:
    result: Result = "not checked" if asked.consent is None else "passed" if asked.consent == "given" else "failed"
    found = " ".join(part for part in (asked.consent or _NOT_ASKED, asked.consent_reference) if part)
    yield point("consent", site.rules, "grid operator", found, result)
    if asked.export_w is None or asked.export_held is None:
        yield point("export", site.rules, "grid operator", _NOT_ASKED, "not checked")
        return
    held = f"{figure(asked.export_w / 1000.0, 'kW')}, held {asked.export_held}"
    yield point("export", site.rules, "grid operator", held, "failed" if asked.export_held == "by nothing" else "passed")


_ASK = {
    "isolation": "where the {of} is isolated, and whether that device can be locked open",
    "protection": "the overcurrent device of the {of}'s feeder: its rating, the current of the {of} from its plate, what its "
    "cable carries, how many line conductors it feeds, and of two whether it stands between them or to the neutral; the "
    "device is to carry the one and not to pass the other, and the local code says which may be fitted",
    "interlock": "what interlocks the changeover of the {of} with the grid",
    "electrode": "the resistance of the site's own earth electrode, measured",
    "surge": "whether surge protection is fitted at the sources",
    "consent": "whether the grid operator has agreed to the sources, with number and date",
    "export": "the most the site may give to the grid by the operator's consent, and what holds it to that",
    "labels": "whether labels at meter, main switch, board and every source name all sources",
}


def questions(
    asked: IslandSpec, site: IslandSite, carriers: tuple[Feed, ...], told: tuple[Point, ...]
) -> tuple[Question, ...]:  # fmt: skip
    """Return what is to be asked: of each source that carries the site first, then of each point."""
    found = [question for one in carriers for question in _of_carrier(asked, site, one)]
    places: dict[str, str] = {one.source: one.where for one in asked.isolation}
    for one in told:
        if one.result == "not checked" and one.id in _ASK:
            where = places.get(one.of, "") if one.id == "isolation" else ""
            ask = (
                f"whether the isolator of the {one.of}, {where}, can be locked open" if where else _ASK[one.id].format(of=one.of)
            )
            found.append(Question(f"{one.id}.{one.of}", ask))
    if carriers:
        for circuit in site.circuits:
            if circuit.design is None:
                found.append(Question(f"circuit.{circuit.id}", f"breaker and cable of {circuit.name}"))
    return tuple(found)


def _of_carrier(asked: IslandSpec, site: IslandSite, one: Feed) -> Iterator[Question]:
    told, sheet = of_carrier(asked, one.name), f"of the {one.name}, from its data sheet"
    asks = (
        ("fault-current", told.fault_ratio, f"the current into a short circuit as a multiple of the rated current {sheet}"),
        ("fault-lasts", told.fault_lasts_s, f"how long that current lasts, {sheet}"),
        ("off-after", told.off_after_s, f"within what time it shuts itself off on a short circuit, {sheet}"),
        ("loop", told.loop_ohm, f"the earth-fault loop impedance at the board while the {one.name} feeds, measured"),
        ("bond", told.bond, f"where the neutral of the {one.name} is bonded to earth, and when that bond is closed"),
    )
    for id_, known, ask in asks:
        if known is None:
            yield Question(f"{id_}.{one.name}", ask)
    if told.parts is None and not (site.supply.stands_alone and one.name == "inverter"):
        yield Question(f"parts.{one.name}", f"whether the changeover of the {one.name} opens the neutral with the lines")
