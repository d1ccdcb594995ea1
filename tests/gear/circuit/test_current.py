"""What an appliance draws, under both rule sets, against figures worked by hand and published tables."""

import pytest
from hypothesis import given, strategies as st
from pydantic import ValidationError

from wattwright.core.errors import InputError
from wattwright.core.fields import Held
from wattwright.gear.circuit.appliance import Appliance
from wattwright.gear.circuit.current import design_current


def appliance(**given):
    """An appliance from texts as a person writes them."""
    return Appliance.model_validate({"voltage": "230 V", **given})


# By hand from the stated formula; NEC values from Tables 430.248 and 430.250, the 4500 and 5500 W cases from a trade magazine.
CASES = [
    ("iec", {"power": "3 kW"}, 13.0435, 13.0435, 13.0435),  # 3000 / 230
    ("iec", {"power": "4.5 kW", "voltage": "240 V", "system": "split-phase"}, 18.75, 18.75, 18.75),
    ("nec", {"power": "4.5 kW", "voltage": "240 V", "system": "split-phase", "storage": "190 l"}, 18.75, 23.4375, 18.75),
    ("nec", {"power": "5.5 kW", "voltage": "240 V", "system": "split-phase", "storage": "450 l"}, 22.9167, 28.6458, 22.9167),
    # a heater that never runs for three hours has no 125 %; a storage heater up to 450 l has it whatever is said (422.13)
    ("nec", {"power": "4.5 kW", "voltage": "240 V", "system": "split-phase", "continuous": False}, 18.75, 18.75, 18.75),
    ("nec", {"power": "4.5 kW", "voltage": "240 V", "system": "split-phase", "continuous": False, "storage": "450 l"}, 18.75,
     23.4375, 18.75),
    ("nec", {"power": "4.5 kW", "voltage": "240 V", "system": "split-phase", "continuous": False, "storage": "451 l"}, 18.75,
     18.75, 18.75),
    # 1100 / (230 x 0.9 x 0.75), started at 6 times
    ("iec", {"duty": "motor", "power": "1.1 kW", "power_factor": "90 %", "efficiency": "75 %", "start_ratio": 6}, 7.0853, 7.0853,
     42.5121),
    # 7500 / (1.7320508 x 400 x 0.85 x 0.88) and 7 times that
    ("iec", {"duty": "motor", "power": "7.5 kW", "voltage": "400 V", "system": "three-phase", "power_factor": "85 %",
             "efficiency": "88 %", "start_ratio": 7}, 14.4723, 14.4723, 101.306),
    ("nec", {"duty": "motor", "power": "1.5 hp", "start_ratio": 6}, 10.0, 12.5, 60.0),  # Table 430.248, 1 1/2 hp at 230 V
    ("nec", {"duty": "motor", "power": "1.1 kW", "start_ratio": 6}, 10.0, 12.5, 60.0),  # the metric pair of 1 1/2 hp
    ("nec", {"duty": "motor", "power": "1.2 kW", "start_ratio": 6}, 12.0, 15.0, 72.0),  # 1.61 hp: the row of 2 hp
    ("nec", {"duty": "motor", "power": "10 hp", "system": "three-phase", "start_ratio": 6}, 28.0, 35.0, 168.0),  # Table 430.250
    ("nec", {"duty": "motor", "current": "6 A", "start_ratio": 6}, 6.0, 7.5, 36.0),
    ("nec", {"duty": "compressor", "current": "6.6 A", "start_ratio": 7.6}, 6.6, 8.25, 50.16),
    ("iec", {"duty": "compressor", "power": "800 W", "power_factor": "80 %", "start_ratio": 5}, 4.3478, 4.3478, 21.7391),
]  # fmt: skip


@pytest.mark.parametrize(("rules", "given", "running", "designed", "starting"), CASES)
def test_currents_by_hand(rules, given, running, designed, starting) -> None:
    """Running, design and starting current come out as by hand, and each line of working names its figures."""
    found = design_current(appliance(**given), rules)
    assert (found.running_a, found.design_a, found.starting_a) == pytest.approx((running, designed, starting), rel=1e-5)
    starts = [found.starting_a] if starting != running else []
    assert [line.value for line in found.lines if line.symbol == "Is"] == starts
    assert all(line.figures and line.what for line in found.lines)


def test_plate_amperes_count_before_power() -> None:
    """With both, IEC takes the plate's current; NEC takes the table and keeps the plate's for the overload relay."""
    motor = appliance(duty="motor", power="1.5 hp", current="8.4 A", start_ratio=6)
    assert design_current(motor, "iec").running_a == 8.4
    nec = design_current(motor, "nec")
    assert (nec.running_a, nec.plate_a) == (10.0, 8.4)


def test_what_was_taken_is_asked() -> None:
    """Nothing of the plate is guessed in silence: each usual value is a question with what was taken."""
    ids = {one.id: one.taken for one in design_current(appliance(duty="motor", power="1.1 kW"), "iec").questions}
    assert set(ids) == {"power_factor", "efficiency", "start_ratio", "continuous"}
    assert "0.85" in ids["power_factor"]
    heater = design_current(appliance(power="3 kW", continuous=True), "iec")
    assert heater.questions == ()
    amperes = design_current(appliance(duty="motor", current="6 A", power_factor="80 %", start_ratio=6, continuous=True), "nec")
    assert [one.id for one in amperes.questions] == ["horsepower"]


def test_inrush_of_electronics_is_asked_and_not_taken() -> None:
    """Nobody can know the inrush of electronics without its maker: no current, and a question without anything taken."""
    found = design_current(appliance(duty="electronics", power="500 W", power_factor="95 %", continuous=True), "iec")
    assert found.starting_a is None
    assert [(one.id, one.taken) for one in found.questions] == [("start_ratio", "")]


@pytest.mark.parametrize(
    ("given", "told"),
    [
        ({"power": "11 hp"}, "0.17 to 10 hp"),
        ({"power": "51 hp", "system": "three-phase"}, "0.5 to 50 hp"),
        ({"power": "1 hp", "voltage": "400 V", "system": "three-phase"}, "440 to 480 V"),
        ({"power": "1 hp", "voltage": "260 V"}, "110 to 120 V, 200 to 208 V, 220 to 240 V"),
    ],
)
def test_outside_the_motor_tables_is_refused(given, told) -> None:
    """A motor that a table does not hold is refused with the table's range, and nothing is extrapolated."""
    with pytest.raises(InputError, match=told):
        design_current(appliance(duty="motor", **given), "nec")


@pytest.mark.parametrize(
    "given",
    [{}, {"power": "-3 kW"}, {"power": "0 W"}, {"power": "3 kW", "voltage": "900 V"}, {"power": "3 kVA"},
     {"power": "1 kW", "duty": "motor", "storage": "100 l"}, {"power": "1 kW", "system": "two-phase"}],
)  # fmt: skip
def test_what_cannot_be_is_refused(given) -> None:
    """No power and no current, one that is not above nought, a voltage out of bounds, a motor that stores water."""
    with pytest.raises(ValidationError):
        appliance(**given)


@given(
    power=st.floats(100.0, 7000.0), more=st.floats(1.0, 500.0), duty=st.sampled_from(["heater", "motor", "compressor", "lamp"]),
    rules=st.sampled_from(["iec", "nec"]), continuous=st.sampled_from([True, False, None]),
)  # fmt: skip
def test_more_power_never_draws_less(power, more, duty, rules, continuous) -> None:
    """A larger appliance of a kind never draws, designs for or starts with less."""
    small, large = (
        design_current(Appliance(duty=duty, power_w=Held(one), voltage_v=Held(230.0), continuous=continuous), rules)
        for one in (power, power + more)
    )
    assert small.running_a <= large.running_a
    assert small.design_a <= large.design_a
    assert small.starting_a <= large.starting_a
