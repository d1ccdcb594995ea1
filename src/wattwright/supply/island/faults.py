"""Faults while own sources carry the site: does the breaker trip, else the RCD, else the source that shuts itself off.

An inverter gives little more into a fault than its rated current, and a generator gives much for a moment: a breaker that trips
at once on the grid may not trip at all.
Source: IEC 60364-4-41, 411.3.2; IEC 60364-4-43, 434.5.2; IEC 60898-1; NEC 250.4(A)(5); from memory.
"""

from collections.abc import Iterator
from math import sqrt

from wattwright.gear.circuit.appliance import RuleSet
from wattwright.gear.circuit.drop import impedance
from wattwright.gear.circuit.fault import INSTANT_S, disconnecting_s, hot_ohm, tripping_a, withstand
from wattwright.gear.circuit.results import Cable, CircuitDesign
from wattwright.gear.circuit.tables import table
from wattwright.gear.circuit.working import figure
from wattwright.simulate.supply import Supply
from wattwright.supply.island.results import BondState, CarrierName, Ends, FaultEnd, Feed, IslandCircuit
from wattwright.supply.island.spec import Between, Carrier, IslandSpec

_THREE = 3
SHORT_S = 5.0
"""Adiabatic warming holds up to here, so a short circuit must be over by then (IEC 60364-4-43, 434.5.2).

The NEC names no time for a fault to earth; it is held to the same (common practice, from memory).
"""


def feeds(asked: IslandSpec, supply: Supply) -> tuple[Feed, ...]:
    """Return the sources that carry the site without the grid, with their currents in each conductor.

    Where nobody said over how many conductors one feeds, the least it gives into a fault is that over all of them, and the most
    that on one.
    """
    powers_va = list[tuple[CarrierName, float, Carrier]]()
    if supply.inverter is not None and supply.inverter.role != "beside the grid":
        powers_va.append(("inverter", supply.inverter.rating_va, asked.inverter))
    if supply.generator is not None:
        powers_va.append(("generator", supply.generator.apparent_va, asked.generator))
    every = len(supply.connection.phases)
    return tuple(
        _feed(
            name,
            fed_a(va, asked.conductors_of(name) or every, supply, asked.between_of(name)),
            fed_a(va, asked.conductors_of(name) or 1, supply, asked.between_of(name) or "lines"),
            one,
        )
        for name, va, one in powers_va
    )


def fed_a(power_va: float, conductors: int, supply: Supply, between: Between | None = None) -> float:
    """Return the current in each conductor of a source that feeds so many of them, A.

    Single-phase units stand between line and neutral, each with its part. Two conductors of three may also be fed between lines,
    at the root of three times the voltage to neutral; IEC 60038. Where nobody said which it is the lower current is taken.
    """
    of_three = len(supply.connection.phases) == _THREE and conductors == _THREE - 1 and between == "lines"
    volts = sqrt(_THREE) if of_three else float(min(conductors, len(supply.connection.phases)))
    return power_va / (volts * supply.connection.voltage_v)


def _feed(name: CarrierName, rated_a: float, most_a: float, one: Carrier) -> Feed:
    fault_a, most_fault_a = (None if one.fault_ratio is None else one.fault_ratio * each for each in (rated_a, most_a))
    return Feed(name, rated_a, fault_a, most_fault_a, one.fault_lasts_s, one.off_after_s)


def fault_ends(feed: Feed, asked: Carrier, one: IslandCircuit, bond: BondState) -> Iterator[FaultEnd]:
    """Yield what ends a short circuit and a fault to earth at the far end of a designed circuit."""
    if one.design is not None:
        yield _short(feed, one, one.design)
        yield _earth(feed, asked, one, one.design, bond)


def _short(feed: Feed, one: IslandCircuit, design: CircuitDesign) -> FaultEnd:
    spec, cable = design.spec, design.chosen.cable
    ohm, _ = impedance(spec, cable)
    reach_a = spec.appliance.to_earth_v / (2.0 * ohm)
    given_a = None if feed.fault_a is None else min(feed.fault_a, reach_a)
    trips_a, breaker = _breaker(feed, design, given_a, SHORT_S)
    stands = withstand(spec, cable.area_mm2).energy_a2s
    source = _source(feed, reach_a, SHORT_S) and _bears(feed, reach_a, stands)
    ends = _first(breaker, False, source)
    working = f"{_given(given_a)} of {figure(trips_a, 'A')} to trip at once; cable stands {figure(stands, 'A²s')}"
    return FaultEnd(one.id, one.name, feed.name, "short", ends, given_a, trips_a, SHORT_S, working)


def _earth(feed: Feed, asked: Carrier, one: IslandCircuit, design: CircuitDesign, bond: BondState) -> FaultEnd:
    spec, chosen = design.spec, design.chosen
    within_s = disconnecting_s(spec, chosen.protection.rated_a) if spec.rules == "iec" else SHORT_S
    own = own_bonds(bond, spec.rules)
    if own == 0 and bond.count is not None:
        trips_a = _trips_a(design, INSTANT_S)
        working = "no bond of its own: a first fault draws no current, and no RCD sees it"
        if bond.where:
            working = "only the bond of the network is left, on which protection must not rely"
        return FaultEnd(one.id, one.name, feed.name, "earth", "nothing", 0.0, trips_a, within_s, working)
    loop_ohm = None if asked.loop_ohm is None else asked.loop_ohm + _there_and_back(design)
    reach_a = None if loop_ohm is None else spec.appliance.to_earth_v / loop_ohm
    given_a = None if reach_a is None or feed.fault_a is None else min(feed.fault_a, reach_a)
    trips_a, breaker = _breaker(feed, design, given_a, within_s)
    rcd = _residual(feed, design, reach_a)
    stands = withstand(spec, min(chosen.cable.area_mm2, chosen.cable.earth_mm2)).energy_a2s
    source = None if reach_a is None else _source(feed, reach_a, within_s) and _bears(feed, reach_a, stands)
    ends: Ends = "not known" if own == 0 else _first(breaker, rcd, source)
    loop = "loop not measured" if loop_ohm is None else f"loop {figure(loop_ohm, 'Ω')}"
    seen = "" if chosen.residual_a is None else f", RCD {1000.0 * chosen.residual_a:g} mA"
    working = f"{loop}: {_given(given_a)} of {figure(trips_a, 'A')} to trip at once{seen}"
    return FaultEnd(one.id, one.name, feed.name, "earth", ends, given_a, trips_a, within_s, working)


def own_bonds(bond: BondState, rules: RuleSet) -> int:
    """Return the known bonds that protection may rely on without the grid; under IEC not that of the network (551.4.3)."""
    return len(bond.where) - (rules == "iec" and "network" in bond.where)


def _given(given_a: float | None) -> str:
    return "a current not known" if given_a is None else figure(given_a, "A")


def _there_and_back(design: CircuitDesign) -> float:
    """Return the resistance of line and protective conductor of the route, hot, ohm."""
    spec, cable = design.spec, design.chosen.cable
    if spec.rules == "iec":
        return hot_ohm(spec, cable.area_mm2) + hot_ohm(spec, cable.earth_mm2)
    return impedance(spec, cable)[0] * (1.0 + _earth_ratio(cable))


def _earth_ratio(cable: Cable) -> float:
    return cable.area_mm2 / cable.earth_mm2


def _trips_a(design: CircuitDesign, lasting_s: float) -> float:
    protection = design.chosen.protection
    if design.spec.rules == "nec":
        return float(table("nec")["breaker"]["instant"]["multiple"]) * protection.rated_a
    return tripping_a(protection, lasting_s)


def _breaker(feed: Feed, design: CircuitDesign, given_a: float | None, within_s: float) -> tuple[float, bool | None]:
    """Return the current at which breaker or fuse surely trips while the source still gives it, and whether it does."""
    trips_a = _trips_a(design, min(within_s, feed.lasts_s or INSTANT_S))
    if given_a is None:
        return trips_a, None
    if given_a < trips_a:
        return trips_a, False
    return trips_a, None if feed.lasts_s is None else feed.lasts_s >= INSTANT_S


def _residual(feed: Feed, design: CircuitDesign, reach_a: float | None) -> bool | None:
    """Return whether an RCD trips: at five times its rating within 40 ms; any source gives at least its rated current."""
    residual_a = design.chosen.residual_a
    if residual_a is None:
        return False
    if reach_a is None:
        return None
    needed_a = float(table("iec")["disconnection"]["rcd_multiple"]) * residual_a
    return min(reach_a, feed.fault_a or feed.rated_a) >= needed_a


def _bears(feed: Feed, reach_a: float, stands_a2s: float) -> bool | None:
    """Return whether a conductor bears what a source gives until it is off; None where it bears the least and not the most."""
    if feed.fault_a is None or feed.most_fault_a is None or feed.off_after_s is None:
        return None
    least, most = (min(each, reach_a) ** 2 * feed.off_after_s <= stands_a2s for each in (feed.fault_a, feed.most_fault_a))
    return True if most else None if least else False


def _source(feed: Feed, reach_a: float, within_s: float) -> bool | None:
    """Return whether the source shuts itself off in time: it does so only where the fault takes all that it gives.

    None where that is not known, or the fault takes the least and not the most that it may give.
    """
    if feed.off_after_s is not None and feed.off_after_s > within_s:
        return False
    if feed.fault_a is not None and reach_a < feed.fault_a:
        return False
    known = feed.most_fault_a is not None and reach_a >= feed.most_fault_a and feed.off_after_s is not None
    return True if known else None


def _first(breaker: bool | None, rcd: bool | None, source: bool | None) -> Ends:
    named: tuple[tuple[Ends, bool | None], ...] = (("breaker", breaker), ("RCD", rcd), ("source", source))
    sure = next((name for name, does in named if does), None)
    if sure is not None:
        return sure
    return "not known" if None in (breaker, rcd, source) else "nothing"
