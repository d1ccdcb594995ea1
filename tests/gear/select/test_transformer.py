"""Current transformers and meters against IEC 61869-2, and by hand."""

from dataclasses import replace

import pytest
from hypothesis import given, strategies as st

from wattwright.catalogue.equipment.range import generic_range
from wattwright.gear.select import transformer as module
from wattwright.gear.select.transformer import Measured, choose_meter, choose_transformer, lead_va, power_error_percent

HOUSE = Measured(most_a=55.0, usual_a=6.0, protection_a=63.0, conductors=1, cable_mm=9.0)


def test_a_100_a_split_core_serves_a_usual_single_phase_house():
    """Common practice, no source: behind 63 A."""
    made = choose_meter(HOUSE, generic_range())
    assert made.selected.id == "ct-meter-100"
    assert {one.id for one in made.refused} >= {"ct-meter-50", "ct-meter-50-3"}


def test_three_phases_take_three_transformers():
    """A single-phase meter is refused by the conductors it measures."""
    made = choose_meter(replace(HOUSE, conductors=3), generic_range())
    assert made.selected.id == "ct-meter-100-3"
    assert next(one for one in made.refused if one.id == "ct-meter-100").refused_by.rule == "conductors"


def test_a_thick_cable_asks_for_a_wider_opening():
    """16 mm go through that of 100 A."""
    assert choose_meter(replace(HOUSE, cable_mm=17.0), generic_range()).selected.id == "ct-meter-200"


def test_what_nobody_knows_is_asked():
    """Range, opening and base load are questions before they are verdicts."""
    made = choose_meter(Measured(None, None, None, 1), generic_range())
    assert {one.rule for one in made.selected.rulings if one.state == "open"} == {"range", "low load", "opening"}


def test_below_its_class_a_transformer_is_to_be_checked():
    """Class 1 has limits from 5 % on: 5 A of 100 A; under the starting current it shows nothing."""
    assert module.low_load(5.0, 0.2, replace(HOUSE, usual_a=5.0)).state == "held"
    assert module.low_load(5.0, 0.2, replace(HOUSE, usual_a=2.0)).state == "open"
    assert module.low_load(5.0, 0.2, replace(HOUSE, usual_a=0.1)).is_broken


def test_the_burden_of_leads():
    """5 A over 10 m of 2.5 mm²: 25 x 2 x 10 x 0.01724 / 2.5 = 3.448 VA, by hand; at 1 A a twenty-fifth."""
    assert lead_va(5.0, 10.0, 2.5) == pytest.approx(3.448)
    assert lead_va(1.0, 10.0, 2.5) == pytest.approx(0.13792)
    made = choose_transformer(replace(HOUSE, lead_m=10.0), generic_range())
    assert made.selected.id == "split-ct-100a"
    assert next(one for one in made.refused if one.id == "ct-100a-5a").refused_by.rule == "burden"
    assert not any(one.id == "ct-100a-1a" for one in made.refused)


def test_a_burden_too_small_is_outside_the_class_too():
    """Classes hold from 25 % of the burden on."""
    transformer = generic_range().get("ct-100a-1a")
    ruling = module.burden(transformer, replace(HOUSE, lead_m=1.0, meter_va=0.1))
    assert ruling.is_broken
    assert "too little" in ruling.says
    assert module.burden(transformer, replace(HOUSE, lead_m=None)).state == "open"


def test_class_3_sets_no_limit_of_phase():
    """So nothing can be said of power; nor below the first step of a class."""
    assert module.worst_power_error_percent("3", 1.0, 0.8) is None
    assert module.worst_power_error_percent("1", 0.04, 0.8) is None
    assert module.worst_power_error_percent("1", 1.0, 1.0) == pytest.approx(1.015, abs=0.001)


@given(st.floats(0.0, 3.0), st.floats(0.0, 180.0), st.floats(0.1, 1.0))
def test_a_pure_ratio_error_is_that_of_the_power(ratio, phase, factor):
    """Without error of phase; and at a lagging load a leading secondary reads high."""
    assert power_error_percent(ratio, 0.0, factor) == pytest.approx(ratio)
    assert power_error_percent(0.0, phase, factor) >= power_error_percent(0.0, phase, 1.0) - 1e-9


def test_ratio_and_phase_together_are_held_against_what_is_near_enough():
    """Class 1 at 10 % of 100 A, by hand: 3 % of ratio and 180 min of phase at 0.95 make 4.8 %; at 0.8 they make 6.9 %."""
    one = generic_range().get("split-ct-100a")
    ruling = module.of_power(one, replace(HOUSE, usual_a=10.0, power_factor=0.95))
    assert ruling.state == "held"
    assert "4.8 %" in ruling.says
    asked = module.of_power(one, replace(HOUSE, usual_a=10.0, power_factor=0.8))
    assert asked.state == "open"
    assert "near enough" in asked.says
    assert module.of_power(one, replace(HOUSE, usual_a=None)).state == "open"
    assert "sets no limit" in module.of_power(one, replace(HOUSE, usual_a=1.0)).says
