"""From an appliance to what it asks of its switch."""

import pytest

from wattwright.catalogue.equipment.range import generic_range
from wattwright.gear.circuit.appliance import Appliance
from wattwright.gear.select.asking import need_of
from wattwright.gear.select.need import Surroundings
from wattwright.gear.select.switch import choose


@pytest.mark.parametrize(
    ("system", "between", "neutral"),
    [
        ("single-phase", "230 V", 230),
        ("split-phase", "240 V", 120),
        ("split-phase", "208 V", 120),
        ("split-phase", "480 V", 277),
        ("three-phase", "400 V", 231),
    ],
)
def test_coils_are_fed_from_line_to_neutral(system, between, neutral):
    """Two lines of 240 V lie 120 V from the neutral; two of three phases lie a root of three below (208Y/120, 480Y/277)."""
    appliance = Appliance.model_validate({"power": "3 kW", "voltage": between, "system": system})
    need = need_of(appliance, "nec", Surroundings())
    assert (need.to_neutral_v, need.coil_v) == (neutral, neutral)


def test_two_lines_of_three_phases_are_switched_like_two_of_a_split_phase():
    """A heater at 208 V finds a switch, with a coil of 120 V."""
    appliance = Appliance.model_validate({"power": "4.5 kW", "voltage": "208 V", "system": "split-phase", "continuous": True})
    selected = choose(need_of(appliance, "nec", Surroundings()), generic_range()).selected
    assert selected is not None
    assert selected.contactor is not None
    assert selected.contactor.coil.rated_v == 120.0
