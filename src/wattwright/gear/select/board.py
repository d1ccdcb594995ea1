"""What of a range goes with a designed circuit: breaker, residual-current device, cable."""

from typing import Literal

from wattwright.catalogue.equipment.items import Breaker, Cable, Rcd
from wattwright.catalogue.equipment.range import Range
from wattwright.gear.circuit.appliance import Appliance
from wattwright.gear.circuit.results import CircuitDesign

_POLES = {"single-phase": 1, "split-phase": 2, "three-phase": 3}
_SEES = {"A": "AFB", "F": "FB", "B": "B"}
"""Types of residual-current devices that see all that a type sees: IEC 60755, from memory."""


def breaker_for(made: CircuitDesign, range_: Range) -> Breaker | None:
    """Return the breaker of a circuit: its curve and rating, a pole for each line; None where the range has none."""
    wanted, curve = made.chosen.protection, made.chosen.protection.curve or "inverse time"
    poles = _POLES[made.spec.appliance.system]
    fitting = [
        one
        for one in range_.of(Breaker)
        if one.rated_a == wanted.rated_a and one.curve == curve and one.poles == poles and not one.switched_neutral
        and (made.spec.prospective_a is None or one.breaks_a >= made.spec.prospective_a)
    ]  # fmt: skip
    return min(fitting, key=lambda one: (one.breaks_a, one.modules), default=None)


def residual_type(appliance: Appliance) -> Literal["A", "F", "B"]:
    """Return the least type of a residual-current device for what an appliance may leak.

    Electronics may leak mixed frequencies from one line (type F), and from three smooth direct current (type B), which blinds the
    others; a drive before a motor does so too, and is asked for. Source: IEC 60755 and IEC 62423, from memory.
    """
    if appliance.duty != "electronics":
        return "A"
    return "B" if appliance.system == "three-phase" else "F"


def residual_for(made: CircuitDesign, range_: Range) -> Rcd | None:
    """Return the residual-current device of a circuit, None where none is called for or the range has none.

    It carries what the breaker behind it lets through, and sees what the load may leak.
    """
    wanted, seen = made.chosen.residual_a, _SEES[residual_type(made.spec.appliance)]
    if wanted is None:
        return None
    poles = 2 if made.spec.appliance.system == "single-phase" else 4
    fitting = [
        one
        for one in range_.of(Rcd)
        if one.rated_a >= made.chosen.protection.rated_a and one.residual_a <= wanted and one.type in seen and one.poles == poles
    ]
    return min(fitting, key=lambda one: ("AFB".index(one.type), -one.residual_a, one.rated_a), default=None)


def cable_for(made: CircuitDesign, range_: Range) -> Cable | None:
    """Return the cable of a circuit with the cores it takes, None where the range has none of this size."""
    cores = made.chosen.cable.loaded + 1
    fitting = [
        one
        for one in range_.of(Cable)
        if one.area_mm2 == made.chosen.cable.area_mm2 and one.cores >= cores and one.insulation == made.spec.insulation
    ]
    return min(fitting, key=lambda one: one.cores, default=None)
