"""What of a range goes with a designed circuit."""

import pytest

from wattwright.catalogue.equipment.range import generic_range
from wattwright.gear.circuit.design import design
from wattwright.gear.circuit.spec import CircuitSpec
from wattwright.gear.select.board import breaker_for, residual_for


def made(duty, system, voltage):
    """A circuit of 3 kW in a TT supply, which calls for an RCD."""
    appliance = {"duty": duty, "system": system, "voltage": voltage, "power": "3 kW", "power_factor": "90 %"}
    return design(
        CircuitSpec.model_validate(
            {"appliance": appliance, "length": "20 m", "method": "C", "earthing": "TT", "earth_resistance": "40 ohm"}
        )
    )


@pytest.mark.parametrize(
    ("duty", "system", "voltage", "type_"),
    [
        ("heater", "single-phase", "230 V", "A"),
        ("motor", "three-phase", "400 V", "A"),
        ("electronics", "single-phase", "230 V", "F"),
        ("electronics", "three-phase", "400 V", "B"),
    ],
)
def test_an_rcd_sees_what_the_load_may_leak(duty, system, voltage, type_):
    """IEC 60755 and IEC 62423, from memory: F for mixed frequencies of one line, B for smooth direct current of three."""
    found = residual_for(made(duty, system, voltage), generic_range())
    assert found.type == type_
    assert found.rated_a >= made(duty, system, voltage).chosen.protection.rated_a


@pytest.mark.parametrize(("system", "voltage", "poles"), [("single-phase", "230 V", 1), ("three-phase", "400 V", 3)])
def test_the_breaker_ordered_has_the_poles_of_the_breaker_designed(system, voltage, poles):
    """One for each line, in the bill as in the answer."""
    one = made("heater", system, voltage)
    assert breaker_for(one, generic_range()).poles == one.chosen.protection.poles == poles
