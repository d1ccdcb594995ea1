"""The rules on a contact, each against figures worked by hand."""

from dataclasses import replace

import pytest

from wattwright.catalogue.equipment.items import Contactor
from wattwright.catalogue.equipment.range import generic_range
from wattwright.gear.select import contact_rules as rules
from wattwright.gear.select.need import Need

NEED = Need("load", "heater", "single-phase", 10.0, 10.0, 1.0, 230.0, 230.0, continuous=True, switchings_a_year=3650.0)
SWITCH = generic_range().get("in-line-16")
CONTACTOR = generic_range().get("modular-20-2-230")
MOTOR = generic_range().get("motor-18-230")


def test_warm_air_takes_from_the_rating():
    """2 % for each kelvin beyond 40 °C: at 45 °C nine tenths are left, beyond 50 °C nothing is."""
    assert rules.share_in(SWITCH, 40.0) == 1.0
    assert rules.share_in(SWITCH, 45.0) == pytest.approx(0.9)
    assert rules.share_in(SWITCH, 50.1) == 0.0
    assert rules.share_in(SWITCH, -5.1) == 0.0
    assert rules.carries_a(SWITCH, replace(NEED, ambient_c=45.0)) == pytest.approx(14.4)
    assert rules.air(SWITCH, replace(NEED, ambient_c=51.0)).is_broken


def test_close_to_others_a_modular_contactor_carries_less():
    """0.8 of 20 A are 16 A."""
    ruling = rules.beside(CONTACTOR, replace(NEED, running_a=16.0))
    assert ruling.state == "held"
    assert ruling.margin == pytest.approx(0.0)
    assert rules.beside(CONTACTOR, replace(NEED, running_a=16.1)).is_broken


def test_a_load_that_never_runs_long_needs_no_room():
    """The rule is one of three hours and more; where nobody said, it is taken to hold."""
    assert rules.continuous(SWITCH, replace(NEED, running_a=15.0, continuous=False)).state == "held"
    assert rules.continuous(SWITCH, replace(NEED, running_a=13.0)).is_broken
    assert "nobody said" in rules.continuous(SWITCH, replace(NEED, continuous=None)).says
    assert "NEC 210.20(A)" in rules.continuous(SWITCH, replace(NEED, rule_set="nec")).clause


def test_a_motor_contactor_closes_on_ten_times_its_rating():
    """IEC 60947-4-1 table 7: AC-3 makes 10 Ie."""
    motor = replace(NEED, duty="motor", starting_a=180.0)
    assert rules.start(MOTOR.contact, motor).margin == pytest.approx(0.0)
    assert rules.start(MOTOR.contact, replace(motor, starting_a=181.0)).is_broken
    assert rules.start(SWITCH.contact, motor).is_broken


def test_a_device_that_says_itself_what_it_closes_on_is_held_to_that():
    """Two poles for compressors: locked-rotor current six times the full load, 150 A of 25 A, whatever its category promises."""
    own = generic_range().get("two-pole-25-240").contact
    assert rules.start(own, replace(NEED, duty="compressor", starting_a=150.0)).margin == pytest.approx(0.0)
    assert rules.start(own, replace(NEED, duty="motor", starting_a=144.0)).state == "held"
    boast = own.model_copy(update={"ratings": {"AC-3": 25.0}})
    assert rules.start(boast, replace(NEED, duty="motor", starting_a=151.0)).is_broken


@pytest.mark.parametrize("name", [one.id for one in generic_range().of(Contactor)])
def test_no_contactor_of_the_range_promises_in_ac3_what_it_does_not_close_on(name):
    """IEC 60947-4-1 table 7: AC-3 closes on ten times its rating; IEC 61095 (from memory): AC-7b on eight times."""
    contact = generic_range().get(name).contact
    for category, times in (("AC-3", 10.0), ("AC-7b", 8.0)):
        if category in contact.ratings and contact.make_a is not None:
            assert times * contact.ratings[category] <= contact.make_a


def test_of_a_lamp_and_a_compressor_nobody_said_which_it_is():
    """A lamp is held to the lower of AC-5a and AC-5b; AC-5b counts cold filaments in, AC-5a closes on three times its rating."""
    lamp = replace(NEED, duty="lamp", running_a=4.0, starting_a=60.0)
    assert rules.category_of(CONTACTOR.contact, "lamp") == "AC-5b"
    assert rules.start(CONTACTOR.contact, lamp).state == "held"
    assert rules.running(CONTACTOR, replace(lamp, running_a=4.1)).is_broken
    assert rules.start(MOTOR.contact, replace(lamp, starting_a=48.1)).is_broken
    assert rules.category_of(MOTOR.contact, "compressor") == "AC-8b"
    assert rules.reset(MOTOR.contact).state == "held"
    assert rules.reset(generic_range().get("in-line-16-motor").contact).state == "open"


def test_an_inrush_that_nobody_knows_is_asked():
    """Never guessed: first of the load, then of the device."""
    lamp = replace(NEED, duty="electronics")
    assert rules.peak(SWITCH.contact, lamp).state == "open"
    assert rules.peak(SWITCH.contact.model_copy(update={"make_a": None}), replace(lamp, peak_a=60.0)).state == "open"
    assert rules.peak(SWITCH.contact, replace(lamp, peak_a=80.0)).margin == pytest.approx(0.0)
    assert rules.peak(SWITCH.contact, replace(lamp, peak_a=81.0)).is_broken


def test_a_resistive_rating_does_not_hold_for_an_inductive_load():
    """AC-1 is for a power factor of 0.95 and more."""
    assert rules.power_factor(SWITCH.contact, replace(NEED, power_factor=0.94)).is_broken
    assert rules.power_factor(SWITCH.contact, replace(NEED, power_factor=0.95)).state == "held"
    assert rules.power_factor(MOTOR.contact, replace(NEED, duty="motor", power_factor=0.6)).state == "held"


def test_the_life_of_a_contact_is_counted():
    """50,000 switchings at ten a day last 13.7 years; thirty thousand 8.2 (references, by arithmetic)."""
    ruling = rules.life(SWITCH.contact, NEED)
    assert ruling.margin == pytest.approx(50_000 / 3650 / 10 - 1)
    worn = SWITCH.contact.model_copy(update={"life": {"AC-1": 30_000, "AC-7a": 30_000}})
    assert "8.22 years" in rules.life(worn, NEED).says
    assert rules.life(worn, NEED).is_broken
    assert rules.life(SWITCH.contact, replace(NEED, switchings_a_year=None)).state == "open"
    assert rules.life(SWITCH.contact.model_copy(update={"life": {}}), NEED).state == "open"
    assert rules.life(SWITCH.contact, replace(NEED, switchings_a_year=0.0)).state == "held"


def test_the_breaker_before_a_device_guards_it():
    """A 20 A breaker before a 16 A device guards nothing; a motor's contactor has its own guard."""
    assert rules.guarded(SWITCH, replace(NEED, protected_a=16.0)).margin == pytest.approx(0.0)
    assert rules.guarded(SWITCH, replace(NEED, protected_a=20.0)).is_broken
    assert rules.guarded(SWITCH, NEED).state == "open"
    assert rules.guarded(MOTOR, replace(NEED, duty="motor", protected_a=63.0)).state == "open"


def test_a_device_that_is_not_rated_for_a_load_is_judged_no_further():
    """What comes after would have no figure to stand on."""
    found = rules.contact_rulings(SWITCH, replace(NEED, duty="motor"))
    assert [one.rule for one in found] == ["live poles", "voltage", "kind of load"]
    assert found[-1].is_broken
