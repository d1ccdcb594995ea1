"""Everything for one load: the rooms' own answers put together, nothing guessed where it was not told."""

import pytest

from wattwright.catalogue.equipment.range import EMPTY, generic_range
from wattwright.core.errors import InputError
from wattwright.core.specfile import SpecText, validated
from wattwright.gear.circuit.design import design
from wattwright.gear.circuit.spec import CircuitSpec
from wattwright.gear.quick import Quick, QuickSpec, quick


def asked(range_=None, **told: object) -> Quick:
    """The answer for what was told, as a person writes it."""
    return quick(validated(SpecText("", "", told, {}), QuickSpec, InputError), generic_range() if range_ is None else range_)


def test_heater_without_a_cable() -> None:
    """By P / U: 13.04 A of 3 kW at 230 V; no cable is designed before its length is known."""
    made = asked(load="water heater", power="3 kW")
    assert made.answer.current.running_a == pytest.approx(3000 / 230)
    assert made.circuit is None
    assert "how long" in made.not_designed
    assert made.clamp is not None
    assert made.clamp.primary_a >= 3000 / 230
    assert made.drawn_w == 3000.0
    assert made.answer.probing is None


def test_circuit_is_that_of_its_room() -> None:
    """The same circuit as asked of the room of circuits; its breaker decides the clamp and stands before the switch."""
    made = asked(load="pool pump", power="1.1 kW", length="20 m", method="C")
    appliance = {"name": "x", "duty": "motor", "power": "1.1 kW", "voltage": "230 V", "continuous": True}
    own = {"rules": "iec", "appliance": appliance, "length": "20 m", "method": "C", "ambient": "30 degC", "place": "indoors"}
    alone = design(validated(SpecText("", "", own, {}), CircuitSpec, InputError))
    assert made.circuit is not None
    assert (made.circuit.chosen.cable.size, made.circuit.chosen.protection.rated_a) == (
        alone.chosen.cable.size,
        alone.chosen.protection.rated_a,
    )
    assert made.answer.choice.need.protected_a == alone.chosen.protection.rated_a
    # Shaft over efficiency (taken: 65 %, as the room says) is what it draws.
    assert made.drawn_w == pytest.approx(1100 / 0.65)


def test_rules_by_the_system() -> None:
    """Two lines are those of the NEC unless told; three lines draw by the root of three."""
    assert asked(load="water heater", power="4.5 kW", system="split-phase").spec.rule_set == "nec"
    assert asked(load="water heater", power="4.5 kW", system="split-phase", rules="iec").spec.rule_set == "iec"
    three = asked(load="room heating", current="10 A", system="three-phase", a_day=4.0)
    assert three.drawn_w == pytest.approx(3**0.5 * 400 * 10)
    assert three.answer.choice.need.switchings_a_year == 4 * 365


def test_probe_where_it_is_wanted() -> None:
    """A probe is chosen for a load that one of its own switches."""
    made = asked(load="cold room", current="8 A", senses=True)
    assert made.answer.probing is not None
    assert made.answer.probing.selected is not None
    assert asked(load="lighting", power="100 W", senses=True).answer.probing is None


def test_nothing_in_the_range() -> None:
    """An empty range answers with nothing chosen; a method of the other rule set is told, and the rest is answered."""
    made = asked(EMPTY, load="other", power="2 kW")
    assert (made.answer.choice.selected, made.clamp) == (None, None)
    other = asked(load="other", power="2 kW", length="9 m", method="raceway")
    assert other.circuit is None
    assert "IEC" in other.not_designed


@pytest.mark.parametrize(
    ("told", "field"),
    [
        ({"load": "kettle of a giant", "power": "3 kW"}, "load"), ({"load": "other"}, "power"),
        ({"load": "other", "power": "3 kW", "voltage": "400 V"}, "voltage"), ({"load": "other", "power": "0 W"}, "power"),
    ],
)  # fmt: skip
def test_what_cannot_be(told: dict, field: str) -> None:
    """Each entry that cannot be is named."""
    with pytest.raises(InputError) as error:
        asked(**told)
    assert [one.place.field for one in error.value.faults] == [field]
