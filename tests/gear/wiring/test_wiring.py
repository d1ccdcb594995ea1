"""The wiring of a load as data: whole for every way of switching, every system and both rule sets."""

from dataclasses import replace

import pytest

from wattwright.catalogue.equipment.range import generic_range
from wattwright.gear.select.need import Need
from wattwright.gear.select.switch import choose
from wattwright.gear.wiring.build import Wanted, wiring_of
from wattwright.gear.wiring.colours import colour_of
from wattwright.gear.wiring.netlist import CableRun, Part, Terminal, Wire, Wiring, joined, terminal_schedule

VOLTS = {"single-phase": (230.0, 230.0), "split-phase": (240.0, 120.0), "three-phase": (400.0, 230.0)}


def scheme(way, system, duty):
    """A way of switching a load of 6 A, of the generic range."""
    between, neutral = VOLTS[system]
    need = Need("load", duty, system, 6.0, 30.0 if duty != "heater" else 6.0, 0.8 if duty != "heater" else 1.0, between, neutral)
    made = choose(replace(need, way="control circuit" if way == "control input" else "mains", peak_a=20.0), generic_range())
    return next((one for one in (made.selected, *made.also) if one is not None and one.way == way), None)


CASES = [
    (way, system, duty, residual, rules)
    for way in ("in line", "contactor", "control input")
    for system in VOLTS
    for duty in ("heater", "motor", "lamp", "electronics")
    for residual in ("", "residual-current device 30 mA")
    for rules in ("iec", "nec")
    if scheme(way, system, duty) is not None
]


def wired(way, system, duty, residual, rules, number=1):
    """The wiring of a case."""
    overload = "overload relay set to 6 A" if duty == "motor" and way == "contactor" else ""
    return wiring_of(
        Wanted(
            number,
            "load",
            duty,
            system,
            rules,
            scheme(way, system, duty),
            "breaker C 10 A",
            "2.5 mm²",
            "copper",
            "20 m",
            residual,
            overload,
        )
    )


def test_all_ways_and_systems_are_among_the_cases():
    """Nothing is left out because the range has no device for it, but a single device in the line of three."""
    assert {(way, system) for way, system, *_ in CASES} >= {
        ("in line", "single-phase"), ("in line", "split-phase"), ("contactor", "single-phase"), ("contactor", "split-phase"),
        ("contactor", "three-phase"), ("control input", "single-phase"), ("control input", "three-phase"),
    }  # fmt: skip


@pytest.mark.parametrize("case", CASES, ids="-".join)
def test_a_wiring_is_whole(case):
    """Every wire ends on terminals that are there, every terminal is joined and takes two at most, numbers are unique."""
    assert wired(*case).faults() == ()


@pytest.mark.parametrize("case", CASES, ids="-".join)
def test_every_live_conductor_goes_through_protection_and_switch(case):
    """From rail to load each line runs through breaker and switch.

    Protective conductor and neutral run through neither contact.
    """
    way, _system, _duty, residual, _ = case
    made = wired(*case)
    load = next(part for part in made.parts if part.symbol in ("heater", "motor", "lamp", "appliance"))
    together = joined(made.wires)
    through = {
        Terminal(part.device, mark) for part in made.parts if part.symbol in ("breaker", "main contacts") for mark in part.marks
    }
    for terminal in load.terminals:
        rails = {one.mark for one in together[terminal] if one.device == "-X0"}
        if terminal.mark == "PE":
            assert rails == {"PE"}
            assert not together[terminal] & through
        elif terminal.mark == "N":
            assert not together[terminal] & through
            assert rails == (set() if residual or way == "in line" else {"N"})
        else:
            assert not rails & {"L1", "L2", "L3"}


def test_the_override_never_bypasses_the_overload_relay():
    """Contact and hand switch meet before the trip contact."""
    made = wired("contactor", "three-phase", "motor", "", "iec")
    together = joined(made.wires)
    hand, coil, trip = Terminal("-S1", "14"), Terminal("-Q1", "A1"), Terminal("-F14", "95")
    assert trip in together[hand]
    assert coil not in together[hand]
    assert coil in together[Terminal("-F14", "96")]


def test_the_terminal_schedule_has_each_wire_twice():
    """Once from each of its ends."""
    made = wired("contactor", "single-phase", "heater", "", "iec")
    rows = terminal_schedule(made)
    assert len(rows) == 2 * len(made.wires)
    assert {frozenset((row.terminal, row.goes_to)) for row in rows} == {frozenset((one.begins, one.ends)) for one in made.wires}
    assert list(rows) == sorted(rows, key=lambda row: (row.terminal, row.wire))


def test_loads_of_one_board_share_no_number():
    """Numbers and designations are by load."""
    one, other = (
        wired("contactor", "single-phase", "heater", "", "iec", 1),
        wired("contactor", "single-phase", "heater", "", "iec", 2),
    )
    assert not {wire.number for wire in one.wires} & {wire.number for wire in other.wires}
    assert {part.device for part in one.parts} & {part.device for part in other.parts} == {"-X0"}


def test_a_wiring_that_is_not_whole_says_so():
    """Each fault has its sentence."""
    a, b, c = Terminal("-A", "1"), Terminal("-A", "2"), Terminal("-B", "1")
    wires = tuple(Wire(n, a, end, "L1", "brown", "1 mm²") for n, end in ((1, b), (1, b), (2, c)))
    made = Wiring("load", "load", (Part("-A", "breaker", ("1", "2", "3"), ""),), wires, (CableRun("-W", "", "", "", "", 3),), ())
    told = " / ".join(made.faults())
    assert "ends on -B:1, which is no terminal" in told
    assert "3 wires on -A:1" in told
    assert "-A:3 is joined to nothing" in told
    assert "2 wires have the number 1" in told


@pytest.mark.parametrize(
    ("potential", "rules", "system", "colour"),
    [
        ("L1", "iec", "three-phase", "brown"), ("L2", "iec", "three-phase", "black"), ("L3", "iec", "three-phase", "grey"),
        ("L3", "iec", "single-phase", "brown"), ("N", "iec", "single-phase", "blue"), ("PE", "iec", "single-phase",
        "green-yellow"),
        ("N", "nec", "split-phase", "white"), ("PE", "nec", "split-phase", "green"),
    ],
)  # fmt: skip
def test_colours_of_conductors(potential, rules, system, colour):
    """IEC 60445; NEC 200.6 and 250.119."""
    assert colour_of(potential, rules, system) == colour


def notes_of(way, system, duty):
    """The notes of a case, as one text."""
    return " ".join(wired(way, system, duty, "", "iec").notes)


def test_a_second_feed_is_told_on_the_sheet():
    """With the load's breaker off, the coil and the controller are still live from the control circuit's own."""
    for way in ("contactor", "control input"):
        assert "Two feeds: -F12 and -F13" in notes_of(way, "single-phase", "heater")
    assert "Two feeds" not in notes_of("in line", "single-phase", "heater")


def test_a_motor_whose_sheet_has_no_overload_relay_says_so():
    """Only a coil can be opened by a relay; in line or by its own controller the motor must be guarded otherwise."""
    for way in ("in line", "control input"):
        assert "No overload relay" in notes_of(way, "single-phase", "motor")
    assert "No overload relay" not in notes_of("contactor", "single-phase", "motor")
    assert "No overload relay" not in notes_of("in line", "single-phase", "heater")


def test_three_poles_of_a_relay_carry_the_current_of_one_or_two_lines():
    """A relay that sees a missing line trips with a pole unused."""
    assert "-F14 has three poles" in notes_of("contactor", "single-phase", "motor")
    assert "has three poles" not in notes_of("contactor", "three-phase", "motor")
