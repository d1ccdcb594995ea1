"""A dry contact and the coil it feeds, by hand."""

from dataclasses import replace

import pytest

from wattwright.catalogue.equipment.items import Contactor, Controller, Suppressor
from wattwright.catalogue.equipment.range import generic_range
from wattwright.gear.select import coil_rules as rules
from wattwright.gear.select.need import Need

NEED = Need("load", "heater", "single-phase", 10.0, 10.0, 1.0, 230.0, 230.0)
CONTACT = generic_range().get("ct-meter-50").contact
COIL = generic_range().get("motor-18-230").coil
LARGE = COIL.model_copy(update={"holding_va": 80.0, "closing_va": 600.0})


def test_currents_of_a_coil():
    """9 VA held at 230 V are 39 mA, 70 VA to close 0.304 A; AC-14 of 3 A closes on 18 A."""
    assert rules.holds(CONTACT, COIL, NEED, "AC-14").margin == pytest.approx(1 - 9 / 230 / 3)
    assert rules.closes(CONTACT, COIL, NEED, "AC-14").margin == pytest.approx(1 - 70 / 230 / 18)


def test_a_large_coil_asks_for_ac_15():
    """IEC 60947-5-1: AC-14 up to 72 VA held, AC-15 beyond."""
    assert rules.category_of(CONTACT, COIL) == "AC-14"
    assert rules.category_of(CONTACT, LARGE) == "AC-15"
    assert rules.category_of(CONTACT.model_copy(update={"ratings": {"AC-14": 3.0}}), LARGE) is None
    assert rules.rated(CONTACT.model_copy(update={"ratings": {"AC-1": 3.0}}), COIL).is_broken


def test_a_coil_pulls_in_at_the_lowest_voltage():
    """IEC 60947-4-1: 85 % of 230 V are 195.5 V; the site goes down to 207 V, and a worse one to 184 V."""
    assert rules.pulls_in(COIL, NEED).margin == pytest.approx((207 - 195.5) / 195.5)
    assert rules.pulls_in(COIL, replace(NEED, lowest_share=0.8)).is_broken


def test_a_coil_of_another_voltage_is_refused():
    """230 V and 240 V are one, 24 V is another."""
    assert rules.fed(COIL, replace(NEED, control_v=240.0)).state == "held"
    assert rules.fed(COIL, replace(NEED, control_v=24.0)).is_broken


def test_a_contact_that_needs_more_current_stays_dirty():
    """10 mA at least: 2.5 VA at 230 V are 10.9 mA, 2 VA are 8.7 mA."""
    small = COIL.model_copy(update={"holding_va": 2.0})
    assert rules.least_current(CONTACT, COIL, NEED).state == "held"
    assert rules.least_current(CONTACT, small, NEED).is_broken
    assert rules.voltage(CONTACT, replace(NEED, control_v=6.0)).is_broken


def test_all_rules_are_run():
    """A contact with no rating for the coil is judged no further on currents."""
    assert len(rules.coil_rulings(CONTACT, COIL, NEED)) == 7
    assert len(rules.coil_rulings(CONTACT.model_copy(update={"ratings": {"AC-1": 5.0}}), COIL, NEED)) == 5


def test_the_smallest_damping_part_is_taken():
    """None where the coil has one, none where none fits."""
    parts = generic_range().of(Suppressor)
    assert rules.suppressor_for(COIL, NEED, parts).id == "rc-250-40"
    assert rules.suppressor_for(LARGE, NEED, parts).id == "rc-250-200"
    assert rules.suppressor_for(COIL.model_copy(update={"suppressed": True}), NEED, parts) is None
    assert rules.suppressor_for(COIL, replace(NEED, control_v=400.0), parts) is None


def test_what_drives_a_coil_is_what_no_rule_refuses():
    """Each contact and coil of the generic range: the short way says what all rulings say."""
    range_ = generic_range()
    coils = {one.coil for one in range_.of(Contactor)}
    pairs = [(one.contact, coil) for one in range_.of(Controller) for coil in coils]
    told = [rules.drives(*pair, NEED) for pair in pairs]
    assert told == [not any(one.is_broken for one in rules.coil_rulings(*pair, NEED)) for pair in pairs]
    assert len(set(told)) == 2
