"""Rules that contradict themselves or can never act are found, each by its own kind; sound rules give no finding."""

import datetime as dt

import pytest
from pydantic import ValidationError

from tests.control.stories import LOADS, span
from wattwright.control.compiled import compile_control
from wattwright.control.faults import faults
from wattwright.control.response import response
from wattwright.control.rules import Control, in_unit
from wattwright.core.errors import InputError, OwnFault
from wattwright.core.show import Show


def programme(*times, id_="p", load="a", **more) -> dict:
    lines = [dict(zip(("on", "off", "days"), line, strict=False)) for line in times]
    return {"id": id_, "load": load, "kind": "time programme", "times": lines, **more}


def limit(**more) -> dict:
    return {"id": "l", "load": "a", "kind": "limit", "quantity": "site power", "pick_up": "5 kW", "drop_out": "4 kW", **more}


def cycle(**more) -> dict:
    return {"id": "c", "load": "a", "kind": "repeat-cycle timer", "on_for": "10 min", "off_for": "5 min", **more}


def shed(**more) -> dict:
    return {"shedding": {"pick_up": "9 kW", "restore": "6 kW", "order": ["a", "b"], **more}}


SIX, SEVEN, NINE = dt.time(6), dt.time(7), dt.time(9)
NEEDS = {"kind": "needs", "loads": ["a", "b"]}
LOCK = {"kind": "never both", "loads": ["a", "b"]}
NEVER = {"load": "a", "interrupt": "never"}
HAND = {"load": "a", "state": "off", "begins": "2025-03-04T12:00", "ends": "2025-03-04T13:00"}
WRONG = [
    ("control.same-id", {"rule": [limit(), cycle(id="l")]}, {}),
    ("control.same-id", {"actuator": [{"load": "a"}, {"load": "a"}]}, {}),
    ("control.life-switched", {"actuator": [{"load": "a", "purpose": "drainage", "interrupt": "mains"}]}, {}),
    ("control.never-switched", {"actuator": [NEVER], "rule": [limit()]}, {}),
    ("control.never-switched", {"actuator": [NEVER], **shed(next_after="5 s")}, {}),
    ("control.never-switched", {"actuator": [NEVER], "override": [HAND]}, {}),
    ("control.never-switched", {"actuator": [NEVER], "interlock": [NEEDS]}, {}),
    ("control.never-switched", {"actuator": [NEVER, {"load": "b", "purpose": "fire"}], "interlock": [LOCK]}, {}),
    ("control.line-empty", {"rule": [programme((SIX, SIX))]}, {}),
    ("control.lines-overlap", {"rule": [programme((SIX, NINE), (SEVEN, dt.time(10)))]}, {}),
    # Sunday night runs into Monday, the first day of the week.
    ("control.lines-overlap", {"rule": [programme((NINE, SEVEN, ["Sun"]), (SIX, dt.time(8), ["Mon"]))]}, {}),
    ("control.sun-without-place", {"rule": [programme(("sunset", SIX))]}, {"has_place": False}),
    ("control.never-together", {"rule": [programme((SIX, SEVEN)), programme((SEVEN, NINE), id_="q")]}, {}),
    ("control.never-in-season", {"rule": [limit(months=[7]), cycle()]}, {"months": frozenset({1, 2})}),
    ("control.no-rule-in-months", {"rule": [limit(months=[1, 2, 3])]}, {"months": frozenset({3, 4})}),
    ("control.never-reached", {"rule": [limit()]}, {"most_w": 4900.0}),
    ("control.never-reached", shed(next_after="5 s"), {"most_w": 8000.0}),
    ("control.nothing-there", {"rule": [limit(quantity="export power")]}, {"lacks": {"export power": "PV array"}}),
    ("control.no-hysteresis", {"rule": [limit(drop_out="5 kW")]}, {}),
    ("control.cycle-too-short", {"rule": [cycle()], "actuator": [{"load": "a", "min_off": "6 min"}]}, {}),
    ("control.cycle-too-short", {"rule": [cycle()], "actuator": [{"load": "a", "min_on": "11 min"}]}, {}),
    ("control.lock-itself", {"interlock": [{"kind": "never both", "loads": ["a", "a"]}]}, {}),
    ("control.lock-itself", {"interlock": [{"kind": "needs", "loads": ["a", "a"]}]}, {}),
    ("control.lock-circle", {"interlock": [NEEDS, {"kind": "needs", "loads": ["b", "a"]}, {"kind": "needs", "loads": ["c",
    "a"]}]}, {}),
    ("control.lock-and-need", {"interlock": [NEEDS, {"kind": "never both", "loads": ["b", "a"]}]}, {}),
    ("control.lock-and-need", {"interlock": [NEEDS, LOCK]}, {}),
    ("control.shed-twice", shed(order=["a", "b", "a"], next_after="5 s"), {}),
    ("control.shed-hurried", shed(next_after="2 s", measured_every="1 s", reported_after="2 s"), {}),
    ("control.shed-hunts", shed(order=["b"]), {"rating_w": {"b": 3000.0}}),
    ("control.override-empty", {"override": [{**HAND, "ends": "2025-03-04T12:00"}]}, {}),
]  # fmt: skip


@pytest.mark.parametrize(("code", "given", "known"), WRONG)
def test_what_is_wrong_is_found(code, given, known) -> None:
    """Each contradiction gives its kind of finding and no other, with a whole sentence."""
    found = faults(Control.model_validate(given), **known)
    assert [one.code for one in found] == [code]
    for text in (found[0].says(Show()), found[0].why(Show()), found[0].do(Show())):
        assert text.endswith(".")


RIGHT = [
    ({}, {}),
    ({"rule": [programme((SIX, NINE)), programme((SEVEN, dt.time(10)), id_="q")]}, {}),
    ({"rule": [programme((SIX, SEVEN)), programme((SEVEN, NINE), id_="q", beside=True)]}, {}),
    ({"rule": [programme((SIX, SEVEN)), programme((SEVEN, NINE), id_="q"), cycle(beside=True)]}, {}),
    ({"rule": [programme((SIX, SEVEN)), programme((SEVEN, NINE), id_="q", load="b")]}, {}),
    ({"rule": [programme((SIX, SEVEN), months=[1]), programme((SEVEN, NINE), id_="q", months=[2])]}, {"months": frozenset({1,
    2})}),
    ({"rule": [programme((SIX, SEVEN)), programme(("sunset", NINE), id_="q")]}, {}),
    ({"rule": [programme((SIX, SEVEN)), programme((SEVEN, NINE), id_="q", holidays="off")]}, {}),
    ({"rule": [programme(("sunset", SIX), (SIX, SEVEN))]}, {}),
    ({"rule": [limit(drop_out="5 kW", on_delay="5 s")]}, {"most_w": 5000.0}),
    ({"rule": [limit(quantity="load value", pick_up=70, drop_out=60)]}, {"most_w": 1.0}),
    ({"rule": [limit(quantity="export power"), cycle(beside=True)]}, {"lacks": {"state of charge": "battery"}}),
    ({"rule": [cycle()], "actuator": [{"load": "a", "min_on": "10 min", "min_off": "5 min"}]}, {}),
    ({"interlock": [NEEDS, {"kind": "needs", "loads": ["b", "c"]}, {"kind": "never both", "loads": ["a", "c"]}]}, {}),
    ({"actuator": [NEVER], "interlock": [LOCK], "override": [{**HAND, "state": "on"}]}, {}),
    (shed(next_after="5 s", measured_every="1 s"), {"rating_w": {"a": 2999.0}, "most_w": 9000.0}),
    (shed(quantity="current", pick_up="25 A", restore="20 A"), {"rating_w": {"a": 9000.0}, "most_w": 1.0}),
]  # fmt: skip


@pytest.mark.parametrize(("given", "known"), RIGHT)
def test_what_is_right_is_left_alone(given, known) -> None:
    """Sound rules give no finding."""
    assert faults(Control.model_validate(given), **known) == ()


def test_the_gravest_comes_first() -> None:
    """Findings that stop come before those to look at."""
    found = faults(Control.model_validate({"rule": [limit(drop_out="5 kW")], "interlock": [{**LOCK, "loads": ["b", "b"]}]}))
    assert [one.code for one in found] == ["control.lock-itself", "control.no-hysteresis"]


REFUSED = [
    ({"rule": [limit(drop_out="6 kW")]}, "not above the pick-up"),
    ({"rule": [limit(acts="below", drop_out="4 kW")]}, "not below the pick-up"),
    ({"rule": [limit(pick_up="5 A")]}, "number with its unit"),
    ({"rule": [limit(pick_up="5")]}, "Write the unit"),
    ({"rule": [limit(quantity="load value", pick_up="5 degC", drop_out=4)]}, "Leave the unit out"),
    ({"rule": [limit(quantity="current", phase="N", pick_up="5 A", drop_out="4 A")]}, "line conductor"),
    ({"rule": [{"id": "s", "load": "a", "kind": "set point", "quantity": "load value", "calls": "below", "set_point": "warm",
                "differential": 1}]}, "plain number"),
    (shed(restore="9 kW"), "below the pick-up"),
    ({"rule": [programme((SIX, "later"))]}, "sunset"),
]  # fmt: skip


@pytest.mark.parametrize(("given", "sentence"), REFUSED)
def test_settings_that_no_relay_has_are_refused(given, sentence) -> None:
    """Impossible settings are refused where they stand, with what is wanted."""
    with pytest.raises(ValidationError, match=sentence):
        Control.model_validate(given)


NAMELESS = [
    {"rule": [limit(load="x")]}, {"rule": [limit(quantity="load value", of="x", pick_up=2, drop_out=1)]}, {"actuator":
    [{"load": "x"}]},
    {"interlock": [{**LOCK, "loads": ["a", "x"]}]}, {"interlock": [{**NEEDS, "loads": ["x", "a"]}]}, {"override": [{**HAND,
    "load": "x"}]},
    shed(order=["a", "x"]), {"returns": ["x"]},
]  # fmt: skip


@pytest.mark.parametrize("given", NAMELESS)
def test_a_load_that_is_not_there_is_named(given) -> None:
    """Whatever names a load that is not there is refused with the loads there are; without any, that is said."""
    with pytest.raises(InputError, match=r"found \"x\"; expected the id of a load\. The loads are a, b, c"):
        compile_control(Control.model_validate(given), LOADS, span())
    with pytest.raises(InputError, match="There is no load yet"):
        compile_control(Control.model_validate(given), (), span())


def test_units_are_held_as_ours() -> None:
    """Kilowatts become watts, per cent shares; a load's own value stays as it is."""
    assert in_unit("9.2 kW", "site power") == 9200.0
    assert in_unit("30 %", "state of charge") == pytest.approx(0.3)
    assert in_unit(55, "load value") == 55.0


def test_a_return_that_its_own_delay_makes_late_is_told() -> None:
    """First of the order, but 5 min of its own: it comes 300 - 10 = 290 s after the second, which waits only its turn."""
    told = {"returns": ["a", "b", "c"], "stagger": "10 s", "actuator": [{"load": "a", "restart_after": "5 min"}]}
    found = [one for one in faults(Control.model_validate(told), has_place=True) if one.code == "control.returns-late"]
    assert [(one.data["first"], one.data["second"], one.data["late"]) for one in found] == [("a", "b", 290.0)]


def test_response_time_is_the_sum_of_its_parts() -> None:
    """Every 10 s, seen after 4, delay 3, each next after 2, links of 5 and 1 s: 10 + 4 + 3 + max(0 + 5, 2 + 1) = 22."""
    control = Control.model_validate(
        {**shed(measured_every="10 s", reported_after="4 s", delay="3 s", next_after="2 s"),
         "actuator": [{"load": "a", "link_delay": "5 s"}, {"load": "b", "link_delay": "1 s"}]}
    )  # fmt: skip
    assert response(control, ["a", "b"]).total_s == 22.0
    assert response(control, ["b"]).total_s == 20.0
    with pytest.raises(OwnFault):
        response(Control(), ["a"])


def test_a_rule_on_a_value_without_a_sensor_is_told() -> None:
    """A set point on a lamp, and a limit of another load that looks at it; one on a load with a sensor is left alone."""
    point = {"kind": "set point", "quantity": "load value", "calls": "below", "set_point": 20.0, "differential": 1.0}
    limit = {"kind": "limit", "quantity": "load value", "pick_up": 20.0, "drop_out": 15.0}
    told = {"rule": [
        {"id": "one", "load": "lamp", **point}, {"id": "two", "load": "room", "of": "lamp", **limit},
        {"id": "three", "load": "room", **point},
    ]}  # fmt: skip
    found = faults(Control.model_validate(told), blind=frozenset({"lamp"}))
    assert sorted(one.where for one in found if one.code == "control.no-sensor") == ["rule one", "rule two"]
