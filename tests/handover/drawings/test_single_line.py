"""The single-line diagram: every source with its isolators, read back from its strokes; nothing over anything else."""

from dataclasses import replace

import pytest

from tests.handover.drawings.lines import METER, array, battery, coming, feeders, generator
from tests.handover.drawings.test_drawings import TITLE
from wattwright.core.errors import OwnFault
from wattwright.gear.wiring.netlist import Terminal
from wattwright.gear.wiring.single_line import RAIL, Element, Joint, SingleLine, joints
from wattwright.handover.drawings import single_line as module
from wattwright.handover.drawings.drawn import drawn_wires, line_faults
from wattwright.handover.drawings.sheet import SIZES_MM, overlaps
from wattwright.handover.drawings.single_line import sheets_needed, single_line_sheets

WHOLE = {"meter": METER, "carries": True, "generator": True, "earthing": "TT, 38 ohm\nN bonded at the network"}


def one_sheet(incoming, rules="iec", size="A4", count=1):
    """The one sheet of a site with a few loads."""
    (sheet,) = single_line_sheets(SingleLine(incoming, feeders(count)), rules, [TITLE], size)
    return sheet


@pytest.mark.parametrize("size", list(SIZES_MM))
@pytest.mark.parametrize("rules", ["iec", "nec"])
def test_a_single_line_diagram_lies_on_as_many_sheets_as_it_takes(size, rules):
    """No text over another, everything on the sheet, and every load on one of them; four columns of sources fit."""
    incoming = coming("three-phase", array(1), array(2), battery(), generator(), **WHOLE)
    what = SingleLine(incoming, feeders(17))
    count = sheets_needed(what, size)
    sheets = single_line_sheets(what, rules, [replace(TITLE, page=n) for n in range(count)], size)
    assert len(sheets) == count
    told = [text.text for sheet in sheets for text in sheet.texts]
    assert all(any(f"number {n}" in text or text == str(n) for text in told) for n in range(17))
    for sheet in sheets:
        assert overlaps(sheet.texts) == ()
        left, low, right, top = sheet.inside
        assert all(
            left - 0.1 <= x <= right + 0.1 and low - 18.1 <= y <= top + 0.1 for one in sheet.strokes for x, y in one.points
        )
        assert all(text.box()[2] <= right for text in sheet.texts)


@pytest.mark.parametrize("size", list(SIZES_MM))
@pytest.mark.parametrize(
    "sources", [(), (array(1),), (array(1, guarded=False), battery()), (array(1), battery("bond"), generator("bond contact"))]
)
def test_a_diagram_read_back_joins_what_the_installation_joins(size, sources):
    """From its strokes alone: every line between the terminals it is to join, and dots where sources meet the rail."""
    told = {**WHOLE, "carries": len(sources) > 1, "generator": len(sources) > 2}
    incoming = coming("three-phase", *sources, **told)
    sheet = one_sheet(incoming, size=size)
    wanted = {one.number: frozenset((one.begins, one.ends)) for one in joints(incoming, feeders(1))}
    assert drawn_wires(sheet) == wanted
    (left, level), (right, _) = next(one for one in sheet.strokes if one.width_mm == 0.8).points
    dots = [x for x, y in (dot.centre for dot in sheet.circles if dot.filled) if y == level]
    assert all(left <= x <= right for x in dots)
    on_rail = sum(source.ends == RAIL for source in sources)
    assert len(dots) == 2 + on_rail  # the grid, one feeder, and each source that feeds beside it


def test_a_generator_is_joined_to_the_changeover_and_never_to_the_rail():
    """It feeds in place of the grid and not beside it (IEC 60364-5-55, 551.6, from memory)."""
    incoming = coming("single-phase", battery(), generator(), **WHOLE)
    lines = joints(incoming, feeders(1))
    (end,) = (one for one in lines if Terminal("changeover", "3") in (one.begins, one.ends))
    assert end.begins == Terminal("its breaker", "2")
    assert not any(one.begins == Terminal("its breaker", "2") and one.ends == RAIL for one in lines)
    drawn = drawn_wires(one_sheet(incoming))
    assert drawn[end.number] == {Terminal("its breaker", "2"), Terminal("changeover", "3")}


def walked(lines, closed):
    """Everything that is joined to the rail when the devices in ``closed`` let through."""
    ways = [(one.begins, one.ends) for one in lines]
    ways += [(Terminal(device, a), Terminal(device, b)) for device, a, b in closed]
    found = {RAIL}
    while more := {end for pair in ways for end in pair if set(pair) & found} - found:
        found |= more
    return found


def test_no_position_of_the_changeovers_joins_grid_and_generator():
    """Walked over the lines as drawn: in each position of the changeover one of both is joined to the rail, and not the other."""
    incoming = coming("single-phase", battery(), generator(), **WHOLE)
    lines = joints(incoming, feeders(2))
    through = [(one.device, "1", "2") for one in incoming.elements if one.symbol not in ("changeover", "parting")]
    through += [(one.device, "1", "2") for source in incoming.sources for one in source.elements]
    for at, there, gone in (("1", "supply", "generator"), ("3", "generator", "supply")):
        joined = {one.device for one in walked(lines, [*through, ("changeover", at, "2"), ("parting", "1", "2")])}
        assert there in joined
        assert gone not in joined
        # Parted from both, the inverter alone feeds the rail.
        alone = {one.device for one in walked(lines, [*through, ("changeover", at, "2")])}
        assert not alone & {"supply", "generator"}
        assert {"inverter", "battery", "bond"} <= alone


def test_a_diagram_that_says_another_thing_is_not_given(monkeypatch):
    """A line too many, one that ends elsewhere, and one over another are found."""
    incoming = coming("single-phase", array(1), battery(), carries=True)
    sheet, lines = one_sheet(incoming), joints(incoming, feeders(1))
    assert line_faults(sheet, lines) == ()
    sheet.line((50.0, 50.0), (60.0, 50.0), wire=999)
    other = next(one for one in sheet.strokes if one.wire == 1)
    (x, y), (_, low) = other.points
    sheet.line((x, y), (x, low - 5.0), wire=2)
    sheet.text((100.0, 300.0), "beyond")
    told = " / ".join(line_faults(sheet, (*lines, Joint(1000, RAIL, Terminal("nothing", "1")))))
    assert "line 999 is drawn and belongs to nothing" in told
    assert "line 1000 is to join" in told
    assert "lie over one another" in told
    assert "lies beyond the sheet" in told
    monkeypatch.setattr(module, "draw_incoming", lambda *_: None)
    with pytest.raises(OwnFault, match="drawn otherwise"):
        one_sheet(incoming)


def test_every_source_has_its_points_of_isolation_in_words():
    """An isolator on either side of the inverter, and the breaker of a generator, each with its place."""
    sheet = one_sheet(coming("single-phase", array(1), battery(), generator(), **WHOLE))
    told = " ".join(text.text for text in sheet.texts)
    for wanted in ("DC isolator: under", "AC isolator:", "its breaker:", "changeover: grid or", "bond of N to PE", "fuses 15"):
        assert wanted in told


def test_a_site_of_which_little_is_known_is_drawn_too():
    """Without loads, meter and earthing, what is missing is to be asked; without a grid nothing comes in from one."""
    sheet = one_sheet(coming(), count=0)
    assert "earthing: to be asked" in [text.text for text in sheet.texts]
    alone = replace(coming("single-phase", battery()), elements=())
    sheet = one_sheet(alone)
    assert not any("Supply" in text.text for text in sheet.texts)


def test_words_with_a_break_stand_in_lines():
    """A changeover says in one line what it does and in the next how it is made."""
    sheet = one_sheet(coming(carries=True))
    heights = {text.text: text.at[1] for text in sheet.texts}
    first, second = (next(y for text, y in heights.items() if text.startswith(start)) for start in ("changeover:", "which poles"))
    assert first > second
    assert Element("a", "fuse").says == ""
