"""What a job orders: everything its drawings show, the board, the meter; what no range has is listed in words."""

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING, Final

from wattwright.catalogue.equipment.items import Breaker, Item
from wattwright.catalogue.equipment.range import Range
from wattwright.gear.circuit.spec import CircuitSpec
from wattwright.gear.select.bill import Line
from wattwright.gear.select.board import breaker_for, cable_for, residual_for, residual_type
from wattwright.gear.select.protection import Housing
from wattwright.gear.select.transformer import Measuring

if TYPE_CHECKING:
    from wattwright.job.gearing import LoadGear

OPEN = "to be designed"
"""Stands for the size of what is not known yet: a drawing with an open size says so."""
CONTROL_A: Final = 6.0
"""Rating of the breaker of a control circuit. Source: common practice, no source."""
CONTROL: Final = f"breaker of the control circuit, {CONTROL_A:g} A"
HAND: Final = "hand switch that stays, one make contact"


def insulation(spec: CircuitSpec) -> str:
    """Return how a cable's insulation is asked for: by its material under IEC, by its temperature under the NEC."""
    return spec.insulation if spec.rules == "iec" else f"{spec.conductor_c} °C"


def relay_of(one: "LoadGear") -> str:
    """Return the overload relay of a motor that a contactor switches, its setting open where the circuit is."""
    scheme = one.answer.choice.selected
    if scheme is None or scheme.contactor is None or one.answer.appliance.duty != "motor":
        return ""
    relay = None if one.circuit is None else one.circuit.relay
    return f"overload relay, setting {OPEN}" if relay is None else f"overload relay set to {relay.set_a:.3g} A"


def breaker_of(one: "LoadGear") -> str:
    """Return the protection of a load's circuit in words."""
    if one.circuit is None:
        return f"breaker {OPEN}"
    wanted = one.circuit.chosen.protection
    return f"{wanted.kind} {wanted.curve} {wanted.rated_a:g} A".replace("  ", " ")


def residual_of(one: "LoadGear") -> str:
    """Return the residual-current device of a load's circuit in words, empty where none is called for."""
    residual_a = None if one.circuit is None else one.circuit.chosen.residual_a
    if residual_a is None:
        return ""
    return f"residual-current device {1000 * residual_a:g} mA, type {residual_type(one.answer.appliance)} at least"


def control_breaker(range_: Range) -> Breaker | None:
    """Return the breaker of a control circuit, None where the range has none."""
    fitting = [one for one in range_.of(Breaker) if one.rated_a == CONTROL_A and one.poles == 1 and not one.switched_neutral]
    return min(fitting, key=lambda one: (one.breaks_a, one.curve), default=None)


def in_the_board(loads: Sequence["LoadGear"], range_: Range) -> list[Item]:
    """Return what goes into the board: what has a foot for the rail, and the breakers; the rest hangs at its load."""
    found = list[Item]()
    for one in loads:
        pieces = [item for item, _ in _of_load(one, range_) if item is not None and item.modules > 0]
        found += [item for item in pieces for _ in range(one.load.quantity)]
    return found


def _of_load(one: "LoadGear", range_: Range) -> Iterator[tuple[Item | None, str]]:
    """Yield each piece of equipment of a load: the entry of the range, None where it has none, and what it is in words."""
    scheme, circuit = one.answer.choice.selected, one.circuit
    if scheme is not None:
        for item in scheme.parts:
            yield item, item.name
        if scheme.way != "in line":
            yield control_breaker(range_), CONTROL
        if scheme.way == "contactor":
            yield None, HAND
    if relay := relay_of(one):
        yield None, relay
    if circuit is not None:
        yield breaker_for(circuit, range_), breaker_of(one)
        if circuit.chosen.residual_a is not None:
            yield residual_for(circuit, range_), residual_of(one)


def lines_of(loads: Sequence["LoadGear"], range_: Range) -> list[Line]:
    """Return what the loads take, piece by piece, and their cable by the metre."""
    found = list[Line]()
    for one in loads:
        name, quantity = one.load.name, float(one.load.quantity)
        pieces = [*_of_load(one, range_)]
        if one.answer.probing is not None and one.answer.probing.selected is not None:
            probe = one.answer.probing.selected
            pieces.append((range_.get(probe.id), probe.name))
        found += [Line("" if item is None else item.id, quantity, "pcs", name, says) for item, says in pieces]
        if one.circuit is not None:
            cable, wanted = cable_for(one.circuit, range_), one.circuit.chosen.cable
            says = f"copper, {wanted.loaded} x {wanted.size} and protective {wanted.earth_size}, {insulation(one.circuit.spec)}"
            found.append(Line("" if cable is None else cable.id, quantity * one.circuit.spec.length_m, "m", name, says))
    return found


def lines_of_site(measuring: Measuring, housing: Housing | None) -> list[Line]:
    """Return what the site takes besides: its meter and its enclosures."""
    found = list[Line]()
    if measuring.selected is not None:
        found.append(Line(measuring.selected.id, 1.0, "pcs", "the supply"))
    if housing is not None and housing.selected is not None:
        found.append(Line(housing.selected.id, float(housing.count), "pcs", "the board"))
    return found
