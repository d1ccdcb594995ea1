"""What switches a load: facts of the trade, and what must hold for every load."""

from dataclasses import replace

import pytest
from hypothesis import given, settings, strategies as st

from wattwright.catalogue.equipment.items import Contactor, Controller
from wattwright.catalogue.equipment.range import Range, generic_range
from wattwright.gear.select.contact_rules import carries_a, category_of, contact_rulings
from wattwright.gear.select.need import Need
from wattwright.gear.select.switch import _order, choose

HEATER = Need("water heater", "heater", "single-phase", 3000 / 230, 3000 / 230, 1.0, 230.0, 230.0, continuous=True)
SPLIT = Need("water heater", "heater", "split-phase", 18.75, 18.75, 1.0, 240.0, 120.0, "nec", continuous=True)
PUMP = Need("pump", "motor", "single-phase", 6.4, 38.4, 0.8, 230.0, 230.0, continuous=True)


def refused_by(choice, id_):
    """The rule that refused a device."""
    return next(one.refused_by for one in choice.refused if one.id == id_)


def test_a_3_kw_heater_goes_on_a_20_a_device_and_not_on_16_a():
    """Common practice, no source: 13.04 A for hours ask for 16.3 A; 80 % of 16 A is 12.8 A."""
    made = choose(HEATER, generic_range())
    assert made.selected.controller.id == "in-line-20"
    ruling = refused_by(made, "in-line-16")
    assert ruling.rule == "continuous load"
    assert "16.30 A" in ruling.says
    assert ruling.margin == pytest.approx((16 - 1.25 * 3000 / 230) / 16)


def test_4_5_kw_on_240_v_is_refused_for_every_20_a_device():
    """Common practice, no source: 18.75 A for hours ask for 23.44 A."""
    made = choose(replace(SPLIT, control_v=240.0), generic_range())
    for one in made.refused:
        item = generic_range().get(one.id)
        if isinstance(item, Controller | Contactor) and item.contact.ratings.get("AC-1") == 20.0:
            assert one.refused_by is not None
    passed = [made.selected, *made.also]
    assert all(carries_a(one.contactor or one.controller, SPLIT) > 20.0 for one in passed)
    assert all((one.contactor or one.controller).contact.poles >= 2 for one in passed)


def test_a_motor_is_refused_on_a_device_without_a_motor_rating():
    """Common practice, no source; categories AC-3 and AC-7b of IEC 60947-4-1 and IEC 61095."""
    made = choose(PUMP, generic_range())
    assert refused_by(made, "in-line-25").rule == "kind of load"
    assert made.selected.controller.id == "in-line-20-motor"


def test_one_pole_on_two_lines_is_refused():
    """It leaves the other line live."""
    assert refused_by(choose(SPLIT, generic_range()), "in-line-25").rule == "live poles"


def test_a_coil_is_fed_by_a_contact_that_is_rated_for_it():
    """A contact without AC-14 or AC-15 drives no coil; a contactor comes with the part that damps its coil."""
    made = choose(replace(HEATER, running_a=30.0, starting_a=30.0), generic_range())
    scheme = made.selected
    assert scheme.way == "contactor"
    assert scheme.suppressor is not None
    assert {"AC-14", "AC-15"} & set(scheme.controller.contact.ratings)
    assert scheme.parts == (scheme.controller, scheme.contactor, scheme.suppressor)


def test_a_class_of_gear_is_kept_to():
    """The plan counts on what a class can be set to."""
    made = choose(replace(PUMP, classes=("sun-timer",)), generic_range())
    assert all("sun-timer" in one.controller.works_as for one in (made.selected, *made.also))


def test_the_input_of_a_loads_own_controller_takes_a_dry_contact():
    """A device that puts its own supply on the input is refused, and the input's voltage is asked."""
    made = choose(replace(PUMP, way="control circuit"), generic_range())
    assert made.selected.way == "control input"
    assert made.selected.contactor is None
    assert refused_by(made, "in-line-16").rule == "dry contact"
    assert any("control input" in ask for ask in made.selected.judged.asked)


def test_a_range_without_anything_selects_nothing():
    """An empty range is no fault of the load."""
    made = choose(HEATER, Range((), {}, {}))
    assert made.selected is None
    assert not made.refused
    assert not made.also


def test_a_controller_whose_contact_drives_no_coil_is_refused_by_that():
    """A 24 V coil fed with 230 V, and a contact without a rating for coils."""
    own = generic_range()
    kept = [own.get(name) for name in ("ct-meter-50", "in-line-6", "motor-25-230")]
    dull = kept[0]
    dull = dull.model_copy(update={"contact": dull.contact.model_copy(update={"ratings": {"AC-12": 5.0}})})
    made = choose(replace(HEATER, running_a=20.0, starting_a=20.0), Range((dull, *kept[1:]), {}, {}))
    assert made.selected is None
    assert refused_by(made, "ct-meter-50").rule == "coil on the contact"


def test_the_cheapest_of_what_passes_goes_first_where_prices_are_known():
    """A user's range is chosen by price among the simplest."""
    items = tuple(
        one.model_copy(update={"price": price})
        for one, price in zip(
            (generic_range().get(name) for name in ("in-line-20", "in-line-25", "in-line-20-motor")), (90, 40, 70), strict=True
        )
    )
    assert choose(HEATER, Range(items, {}, {})).selected.controller.id == "in-line-25"


NEEDS = st.builds(
    Need,
    name=st.just("load"),
    duty=st.sampled_from(["heater", "motor", "compressor", "lamp", "electronics"]),
    system=st.sampled_from(["single-phase", "split-phase", "three-phase"]),
    running_a=st.floats(0.1, 80.0),
    starting_a=st.floats(0.1, 600.0),
    power_factor=st.floats(0.5, 1.0),
    between_v=st.sampled_from([120.0, 208.0, 230.0, 240.0, 400.0]),
    to_neutral_v=st.sampled_from([120.0, 230.0]),
    rule_set=st.sampled_from(["iec", "nec"]),
    continuous=st.sampled_from([True, False, None]),
    peak_a=st.none() | st.floats(1.0, 500.0),
    ambient_c=st.floats(-10.0, 60.0),
    beside=st.booleans(),
    switchings_a_year=st.none() | st.floats(0.0, 200_000.0),
)


@settings(max_examples=60)
@given(NEEDS)
def test_no_device_is_selected_above_any_of_its_ratings(need):
    """Whatever the load.

    Current, voltage, poles, kind of load and air are within what the plate says, and every rule holds again.
    """
    for scheme in (one for one in [choose(need, generic_range()).selected] if one is not None):
        main = scheme.contactor or scheme.controller
        category = category_of(main.contact, need.duty)
        assert category is not None
        assert need.running_a <= main.contact.ratings[category] * (1 + 1e-9)
        assert need.between_v <= main.contact.most_v
        if need.duty in ("motor", "compressor") and main.contact.make_a is not None:
            assert need.starting_a <= max(need.running_a, main.contact.make_a * (1 + 1e-9))
        assert main.contact.poles >= need.live_poles
        assert main.coldest_c <= need.ambient_c <= main.hottest_c
        assert not any(one.is_broken for one in contact_rulings(main, need))


@settings(max_examples=60)
@given(NEEDS, st.floats(1.0, 3.0), st.floats(0.0, 30.0))
def test_a_tighter_rule_never_admits_more(need, more, warmer):
    """More current and warmer air leave fewer devices, and none that were refused before."""
    before, after = choose(need, generic_range()), choose(
        replace(need, running_a=need.running_a * more, starting_a=need.starting_a * more, ambient_c=need.ambient_c + warmer,
                continuous=True), generic_range()
    )  # fmt: skip
    cold = {one.id for one in generic_range().items if getattr(one, "coldest_c", -99) > need.ambient_c}
    passed = {one.judged.id for one in (before.selected, *before.also) if one is not None}
    mains = {(one.contactor or one.controller).id for one in (before.selected, *before.also) if one is not None}
    for one in (after.selected, *after.also):
        if one is not None:
            main = (one.contactor or one.controller).id
            assert main in mains or main in cold or one.judged.id in passed


def test_a_controllers_transformer_lies_around_what_it_is_to_watch():
    """Told from elsewhere it measures its load, within its range; a relay that sheds by itself lies on the supply: asked."""
    told = choose(replace(PUMP, running_a=55.0, starting_a=55.0), generic_range())
    assert (told.selected.controller.id, told.selected.watches) == ("ct-meter-100", "the load")
    alone = choose(replace(PUMP, classes=("priority-relay",)), generic_range()).selected
    assert alone.watches == "the supply"
    assert any("main protection at most" in ask for ask in alone.judged.asked)
    assert choose(replace(PUMP, classes=("current-relay",)), generic_range()).selected.watches == "the supply"
    assert choose(HEATER, generic_range()).selected.watches == ""


def test_a_motor_without_a_contactor_must_bring_its_own_protector():
    """An overload relay opens a coil: without one it stops nothing."""
    made = choose(replace(HEATER, duty="motor", running_a=4.0, starting_a=24.0, power_factor=0.8), generic_range())
    assert made.selected.way == "in line"
    assert any("thermal protector" in ask for ask in made.selected.judged.asked)
    by_coil = next(one for one in made.also if one.way == "contactor")
    assert not any("thermal protector" in ask for ask in by_coil.judged.asked)


@settings(max_examples=30, deadline=None)
@given(NEEDS, st.lists(st.none() | st.integers(1, 9), min_size=12, max_size=12))
def test_the_controller_of_each_contactor_is_the_one_that_trying_all_pairs_finds(need, prices):
    """A plain twin tries each controller alone with each contactor: whatever the prices, it finds the same pairs."""
    names = ("ct-meter-50", "ct-meter-100", "bus-controller-8", "weekly-timer", "yearly-timer", "motor-18-230", "motor-25-230",
             "modular-40-2-230", "modular-40-4-230", "two-pole-40-120", "rc-250-40", "rc-127-40")  # fmt: skip
    items = [generic_range().get(one).model_copy(update={"price": price}) for one, price in zip(names, prices, strict=True)]
    controllers = [one for one in items if isinstance(one, Controller)]
    rest = [one for one in items if not isinstance(one, Controller)]
    made = choose(need, Range(tuple(items), {}, {}))
    found = {one.contactor.id: one for one in (made.selected, *made.also) if one is not None and one.contactor is not None}
    alone = [choose(need, Range((one, *rest), {}, {})) for one in controllers]
    twins = [one for each in alone for one in (each.selected, *each.also) if one is not None and one.contactor is not None]
    assert set(found) == {one.contactor.id for one in twins}
    for name, scheme in found.items():
        assert _order(scheme, need) == min(_order(one, need) for one in twins if one.contactor.id == name)


def test_a_transformer_around_the_supply_is_held_against_the_main_protection():
    """Where the main protection is known, the question becomes a rule: 90 A read behind 63 A, not behind 100 A."""
    shed = replace(HEATER, running_a=30.0, starting_a=30.0, classes=("priority-relay",))
    made = choose(replace(shed, main_a=63.0), generic_range())
    assert any(one.rule == "its transformer" and one.state == "held" for one in made.selected.judged.rulings)
    refused = choose(replace(shed, main_a=100.0), generic_range())
    assert all(one.controller.id != "priority-relay-3" for one in (refused.selected, *refused.also) if one is not None)
