"""Drawings: what they say is what the wiring says, and nothing lies over anything else."""

import csv
import datetime as dt
import io
import xml.etree.ElementTree as ET
from dataclasses import replace

import pytest

from tests.handover.drawings.lines import coming, feeders
from wattwright.catalogue.equipment.range import generic_range
from wattwright.core.errors import OwnFault
from wattwright.gear.select.need import Need
from wattwright.gear.select.switch import choose
from wattwright.gear.wiring.build import Wanted, wiring_of
from wattwright.gear.wiring.netlist import terminal_schedule
from wattwright.gear.wiring.single_line import SingleLine
from wattwright.handover.drawings import wiring as module
from wattwright.handover.drawings.draw import svg
from wattwright.handover.drawings.drawn import drawn_wires, faults
from wattwright.handover.drawings.files import drawing_files
from wattwright.handover.drawings.sheet import Sheet, Title, broken
from wattwright.handover.drawings.wiring import wiring_sheet

TITLE = Title("Almond terrace (invented)", "an invented hillside", "Water heater", "2026-01-12", "A", "the tests", "survey", 1, 3)
VOLTS = {"single-phase": (230.0, 230.0), "split-phase": (240.0, 120.0), "three-phase": (400.0, 230.0)}


def scheme(way, system, duty):
    """A way of switching a load of 6 A, of the generic range; None where it has none."""
    between, neutral = VOLTS[system]
    motor = duty != "heater"
    need = Need("load", duty, system, 6.0, 30.0 if motor else 6.0, 0.8 if motor else 1.0, between, neutral, peak_a=20.0)
    made = choose(replace(need, way="control circuit" if way == "control input" else "mains"), generic_range())
    return next((one for one in (made.selected, *made.also) if one is not None and one.way == way), None)


CASES = [
    (way, system, duty, residual, rules, size)
    for way in ("in line", "contactor", "control input")
    for system in VOLTS
    for duty in ("heater", "motor", "lamp", "electronics")
    for residual in ("", "residual-current device 30 mA")
    for rules, size in (("iec", "A4"), ("nec", "Letter"))
    if scheme(way, system, duty) is not None
]


def wired(way, system, duty, residual, rules, number=12):
    """The wiring of a case; a two-figure number makes the longest designations."""
    overload = "overload relay set to 6 A" if duty == "motor" and way == "contactor" else ""
    notes = ("Open: the highest prospective short-circuit current at the board.",)
    return wiring_of(
        Wanted(number, "Storage water heater 300 l, guest rooms and laundry", duty, system, rules, scheme(way, system, duty),
               "breaker C 10 A", "2.5 mm²", "copper 3 x 2.5 mm²", "20 m", residual, overload, notes=notes)
    )  # fmt: skip


@pytest.mark.parametrize("case", CASES, ids="-".join)
def test_a_drawing_says_what_its_wiring_says(case):
    """Every wire ends on its terminals, wires of different potential never lie on one another, no text lies over another."""
    *of, size = case
    made = wired(*of)
    sheet = wiring_sheet(made, of[4], replace(TITLE, sheet=made.title), size)
    assert faults(sheet, made) == ()


@pytest.mark.parametrize("case", CASES[::5], ids="-".join)
def test_the_netlist_of_the_drawing_is_the_terminal_schedule(case):
    """Read back from the strokes: the same pairs of terminals under the same numbers."""
    *of, size = case
    made = wired(*of)
    drawn = drawn_wires(wiring_sheet(made, of[4], TITLE, size))
    listed = {}
    for row in terminal_schedule(made):
        listed.setdefault(row.wire, set()).update((row.terminal, row.goes_to))
    assert {number: set(ends) for number, ends in drawn.items()} == listed


@pytest.mark.parametrize("case", CASES[::5], ids="-".join)
def test_every_terminal_is_labelled(case):
    """Its mark stands beside it, and each wire's number, colour and size stand in the drawing, so that grey print works."""
    *of, size = case
    made = wired(*of)
    sheet = wiring_sheet(made, of[4], TITLE, size)
    told = [text.text for text in sheet.texts]
    for part in made.parts:
        assert set(part.marks) <= set(told)
        assert part.symbol == "rails" or part.device in told
    for wire in made.wires:
        wanted = str(wire.number) if wire.potential == "signal" else f"{wire.number} {wire.colour}"
        assert any(text == wanted or text == f"{wanted} {wire.size}" for text in told)


def test_a_drawing_that_would_lie_is_not_given(monkeypatch):
    """A wire that ends beside its terminal is a fault of ours, told and not printed."""
    made = wired("in line", "single-phase", "heater", "", "iec")
    route = module._Laid._route

    def beside(self, wire):
        points = route(self, wire)
        return (*points[:-1], (points[-1][0] + 1.0, points[-1][1])) if wire.number % 100 == 2 else points

    monkeypatch.setattr(module._Laid, "_route", beside)
    with pytest.raises(OwnFault, match="drawn otherwise"):
        wiring_sheet(made, "iec", TITLE)


def test_what_is_wrong_with_a_drawing_is_found():
    """Strokes on one another, a wire over a foreign terminal, one in no schedule, a text beyond the sheet or over another."""
    made = wired("contactor", "single-phase", "heater", "", "iec")
    sheet = wiring_sheet(made, "iec", TITLE)
    stroke = next(one for one in sheet.strokes if one.wire is not None)
    other = next(wire for wire in made.wires if wire.potential == "N")
    sheet.line(*stroke.points, wire=other.number)
    sheet.line((0.0, 0.0), (1.0, 0.0), wire=99_999)
    sheet.text((-5.0, 5.0), "beyond")
    sheet.text(sheet.texts[0].at, "over it")
    told = " / ".join(faults(sheet, replace(made, wires=(*made.wires, replace(other, number=99_999)))))
    for wanted in (
        "lie over one another and are not joined",
        "runs over",
        "lies beyond the sheet",
        '"over it"',
        "drawn otherwise",
    ):
        assert wanted in told
    assert any("is drawn and is in no schedule" in one for one in faults(sheet, made))


def test_an_svg_is_of_its_size_and_has_a_title():
    """For whoever prints it, and for whoever cannot see it; what a person wrote is text and no markup."""
    sheet = Sheet("A4", replace(TITLE, sheet="<script>heater & pump</script>"))
    root = ET.fromstring(svg(sheet))
    assert (root.get("width"), root.get("height")) == ("297mm", "210mm")
    assert root.find("{http://www.w3.org/2000/svg}title").text == "<script>heater & pump</script>"
    assert "<script>" not in svg(sheet)


def test_text_is_broken_where_it_fits():
    """Between words where it can be, within a word where it cannot."""
    assert broken("one two three", 1000.0, 7.0) == ["one two three"]
    assert all(len(line) <= 8 for line in broken("one two three", 8 * 0.53 * 7 * 25.4 / 72 + 0.01, 7.0))
    assert "".join(broken("a" * 40, 10.0, 7.0)) == "a" * 40
    assert broken("", 10.0, 7.0) == [""]


def test_the_files_of_a_job():
    """A sheet each as SVG, one PDF, and schedules that a spreadsheet opens; the same twice."""
    made = [wired("in line", "single-phase", "heater", "", "iec", 1), wired("contactor", "three-phase", "motor", "", "iec", 2)]
    what = SingleLine(coming("three-phase"), feeders(3))
    files = drawing_files(what, made, "iec", TITLE, "A4", dt.date(2026, 1, 12))
    assert set(files) == {"sheet-01.svg", "sheet-02.svg", "sheet-03.svg", "drawings.pdf", "terminals.csv", "cables.csv"}
    assert files["drawings.pdf"].startswith(b"%PDF-")
    rows = list(csv.DictReader(io.StringIO(files["terminals.csv"].decode())))
    assert len(rows) == 2 * sum(len(one.wires) for one in made)
    assert len(list(csv.DictReader(io.StringIO(files["cables.csv"].decode())))) == 2
    assert drawing_files(what, made, "iec", TITLE, "A4", dt.date(2026, 1, 12)) == files
