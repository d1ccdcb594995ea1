"""What the drawings show as tables, held against the wirings and feeders that they are drawn from."""

from dataclasses import replace

from tests.handover.drawings.lines import coming, feeders
from tests.handover.drawings.test_drawings import wired
from tests.handover.kit import cells
from wattwright.gear.wiring.netlist import Terminal
from wattwright.gear.wiring.single_line import Branch, Element, SingleLine, Source
from wattwright.handover.drawings.single_line import sheets_needed
from wattwright.handover.drawings.told import tables_of

CASE = ("contactor", "single-phase", "motor", "residual-current device 30 mA", "iec")


def test_each_wire_from_both_ends() -> None:
    """A wiring tells every device with its terminals, every wire twice, and its cables; without cables there is no such table."""
    wiring = wired(*CASE)
    *_, (devices, joins, cables) = tables_of(SingleLine(coming("single-phase"), ()), [wiring], "A4")
    assert {row[0] for row in cells(devices)} == {part.device for part in wiring.parts}
    ends = [(str(here), str(wire.number), str(there)) for wire in wiring.wires
            for here, there in ((wire.begins, wire.ends), (wire.ends, wire.begins))]  # fmt: skip
    assert sorted(tuple(row[:3]) for row in cells(joins)) == sorted(ends)
    marks = {f"{row[0]}:{mark}" for row in cells(devices) for mark in row[2].split(", ")}
    assert {row[0] for row in cells(joins)} <= marks
    assert [row[0] for row in cells(cables)] == [run.designation for run in wiring.cables]
    bare = tables_of(SingleLine(coming("single-phase"), ()), [replace(wiring, cables=())], "A4")[-1]
    assert [one.caption for one in bare] == [devices.caption, joins.caption]


def test_feeders_sheet_by_sheet() -> None:
    """Each sheet of the single-line diagram tells its own feeders, numbered through, and all that feeds the board."""
    many = tuple(feeders(20))
    what = SingleLine(coming("single-phase"), many)
    told = tables_of(what, [], "A4")
    assert len(told) == sheets_needed(what, "A4") > 1
    rows = [row for _, found in told for row in cells(found)]
    assert [(row[0], row[1]) for row in rows] == [(str(n), f"{one.count}{one.load}") for n, one in enumerate(many, 1)]
    assert all(cells(grid) == cells(told[0][0]) for grid, _ in told)


def test_what_is_open_is_not_made_up() -> None:
    """Of a feeder that nothing was chosen for everything is as it is; of one with a breaker alone nothing else is drawn."""
    one = replace(feeders(1)[0], breaker="", residual="", way="", cable="", rating_w=450.0)
    other = replace(one, breaker="breaker B 10 A", way="in line", switch="a switch", cable="2.5 mm², 10 m", rating_w=2000.0)
    ((_, found),) = tables_of(SingleLine(coming("single-phase"), (one, other)), [], "A4")
    first, second = cells(found)
    assert first[2:] == ["450 W", "as it is", "as it is", "not switched", "as it is"]
    assert second[2:] == ["2 kW", "breaker B 10 A", "none drawn", "in line: a switch", "2.5 mm², 10 m"]


def test_lines_of_sources_end_where_they_are_drawn() -> None:
    """Device by device down to the rail or to what they end on, and what goes to earth."""
    elements = (Element("PV 1", "PV", "8 modules"), Element("PV 1 inverter", "inverter", "its\ninverter"))
    sources = (
        Source("PV array 1", elements, branches=(Branch("PV 1", "PV 1 surge", "surge"),)),
        Source("generator", (Element("generator", "generator"),), Terminal("changeover", "3")),
    )
    what = SingleLine(replace(coming("single-phase"), sources=sources), ())
    rows = [row for row in cells(tables_of(what, [], "A4")[0][0]) if row[0] != "Grid"]
    assert rows == [
        ["PV array 1", "PV 1", "PV", "8 modules", "PV 1 inverter"],
        ["PV array 1", "PV 1 inverter", "inverter", "its inverter", "the rail"],
        ["PV array 1", "PV 1 surge", "surge", "", "earth, from PV 1"],
        ["generator", "generator", "generator", "", "changeover"],
    ]
