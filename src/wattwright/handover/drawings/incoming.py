"""The upper half of the single-line diagram: the grid on the left, each own source in a column beside it, down to the rail.

Every line drawn carries the number of its joint, so that the sheet can be read back.
"""

from collections.abc import Mapping, Sequence
from itertools import pairwise
from typing import Final

from wattwright.gear.circuit.appliance import RuleSet
from wattwright.gear.wiring.netlist import Terminal
from wattwright.gear.wiring.single_line import RAIL, Branch, Element, Incoming, Joint, Source
from wattwright.handover.drawings.line_symbols import ASIDE_MM, DRAW, HEIGHTS_MM, THIRD_MM, bond, earth, surge
from wattwright.handover.drawings.sheet import MIDDLE_PT, MM_PER_PT, SMALL_PT, Point, Sheet, broken

LEFT_MM: Final = 38.0
RAIL_MM: Final = 114.0
SOURCES_MM: Final = 134.0
SOURCE_STEP_MM: Final = 35.0
_EARTH_MM: Final = 112.0
_LINE_MM: Final = SMALL_PT * MM_PER_PT * 1.15
_ASIDE_MM: Final = 124.0
_CROSSES_MM: Final = 4.0
_GAP_MM: Final = 1.6
_BELOW_MM: Final = 2.0
_BESIDE_MM: Final = 22.0
_NARROW_MM: Final = 20.0
_BRANCH_MM: Final = {"surge": 8.0, "bond": 4.0, "bond contact": 4.0}
_STROKES: Final = {"single-phase": 1, "split-phase": 2, "three-phase": 3}
_FROM_BELOW: Final = ("changeover", "parting")
"""What stands as low as it can, so that its text has room above the rail."""

Numbers = Mapping[tuple[Terminal, Terminal], int]


def source_mm(index: int) -> float:
    """Return where the column of a source stands, from the left."""
    return SOURCES_MM + SOURCE_STEP_MM * index


def draw_incoming(sheet: Sheet, what: Incoming, rules: RuleSet, joints: Sequence[Joint]) -> None:
    """Draw everything that feeds the rail; the rail itself must be there."""
    numbers = {(one.begins, one.ends): one.number for one in joints}
    top = sheet.height_mm - 14.0
    _grid(sheet, what, rules, top)
    _join(sheet, [one.device for one in what.elements], numbers)
    if what.elements:
        _to_rail(sheet, what.elements[-1].device, numbers)
    for index, one in enumerate(what.sources):
        _source(sheet, one, source_mm(index), top, rules)
        _join(sheet, [each.device for each in one.elements], numbers)
        _end(sheet, one, numbers)
        for branch in one.branches:
            _branch(sheet, branch, source_mm(index), numbers)
    _earthing(sheet, what.earthing, (_EARTH_MM, top - 2.0))


def _element(sheet: Sheet, one: Element, at: Point, rules: RuleSet, within_mm: float) -> float:
    """Draw a device with its text; return the height of its lower terminal."""
    x, top = at
    low = top - HEIGHTS_MM[one.symbol]
    sheet.terminals[(one.device, "1")] = (x, top)
    sheet.terminals[(one.device, "2")] = (x, low)
    if one.symbol in THIRD_MM:
        sheet.terminals[(one.device, "3")] = (x + ASIDE_MM, top - THIRD_MM[one.symbol])
    DRAW[one.symbol](sheet, x, top, rules)
    wide = 8.0 if one.symbol in ("meter", "site meter", "changeover", *_FROM_BELOW, "breaker") and x == LEFT_MM else 4.0
    beside = x + (6.5 if one.symbol in ("PV", "battery", "generator", "inverter") else wide)
    lines = one.says.split("\n") if one.says else []
    y = top - 1.6 if len(lines) > 1 or one.symbol in ("PV", "battery", "generator", "inverter") else (top + low) / 2.0
    if one.symbol in ("isolator", "breaker") and x != LEFT_MM:
        y = top - 3.0
    wide_mm = within_mm - (beside - x - 4.0)
    fitting = [part for line in lines for part in broken(line, wide_mm, SMALL_PT)]
    most = len(fitting) if x == LEFT_MM else int((y - low) / _LINE_MM) + 1
    # What is longer is told whole on the sheets; beside a device stands what fits.
    for line in [*fitting[: most - 1], f"{fitting[most - 1][:-1]}…"] if len(fitting) > most else fitting:
        y = sheet.text((beside, y), line, size_pt=SMALL_PT)
    return low


def _grid(sheet: Sheet, what: Incoming, rules: RuleSet, top: float) -> None:
    """Draw the line from the grid: its upper part from the top, what switches it over from the rail upwards."""
    x, y = LEFT_MM, top
    above = [one for one in what.elements if one.symbol not in _FROM_BELOW]
    below = [one for one in what.elements if one.symbol in _FROM_BELOW]
    for one in above:
        if one.symbol == "supply":
            sheet.text((x - 8.0, y + 2.0), one.says, size_pt=MIDDLE_PT)
            one = Element(one.device, one.symbol)
        if one.symbol == "breaker":
            _strokes(sheet, x, y - 2.2, _STROKES[what.system])
        y = _element(sheet, one, (x, y), rules, _EARTH_MM - LEFT_MM - 16.0) - _GAP_MM
    low = RAIL_MM + _BELOW_MM
    for one in reversed(below):
        low += HEIGHTS_MM[one.symbol]
        _element(sheet, one, (x, low), rules, _ASIDE_MM - LEFT_MM - 12.0)
        low += _GAP_MM


def _source(sheet: Sheet, one: Source, x: float, top: float, rules: RuleSet) -> None:
    sheet.text((x - 5.0, top + 2.0), one.name, bold=True, within_mm=SOURCE_STEP_MM - 2.0)
    y = top
    for each in one.elements:
        y = _element(sheet, each, (x, y), rules, _NARROW_MM if each.symbol == "isolator" else _BESIDE_MM) - _GAP_MM


def _join(sheet: Sheet, devices: Sequence[str], numbers: Numbers) -> None:
    """Draw the lines between the devices of one column."""
    for upper, lower in pairwise(devices):
        begins, ends = Terminal(upper, "2"), Terminal(lower, "1")
        sheet.line(_at(sheet, begins), _at(sheet, ends), wire=numbers[(begins, ends)])


def _at(sheet: Sheet, terminal: Terminal) -> Point:
    return sheet.terminals[(terminal.device, terminal.mark)]


def _to_rail(sheet: Sheet, device: str, numbers: Numbers) -> None:
    begins = Terminal(device, "2")
    x, y = _at(sheet, begins)
    sheet.line((x, y), (x, RAIL_MM), wire=numbers[(begins, RAIL)])
    sheet.dot((x, RAIL_MM))


def _end(sheet: Sheet, one: Source, numbers: Numbers) -> None:
    """Draw the line from the last device of a source to the rail, or across to the device it feeds in place of the grid."""
    last = one.elements[-1].device
    if one.ends == RAIL:
        _to_rail(sheet, last, numbers)
        return
    begins = Terminal(last, "2")
    (x, y), (to_x, to_y) = _at(sheet, begins), _at(sheet, one.ends)
    if one.ends.device != "changeover":
        sheet.line((x, y), (x, to_y), (to_x, to_y), wire=numbers[(begins, one.ends)])
        return
    # Under the devices of the other columns, then over the words beside the changeover.
    low, high = RAIL_MM + _CROSSES_MM, to_y + 1.5
    sheet.line(
        (x, y), (x, low), (_ASIDE_MM, low), (_ASIDE_MM, high), (to_x, high), (to_x, to_y), wire=numbers[(begins, one.ends)]
    )


def _branch(sheet: Sheet, one: Branch, x: float, numbers: Numbers) -> None:
    """Draw what goes to earth from below a device, on its left; what it is stands on the right."""
    begins, ends = Terminal(one.of, "2"), Terminal(one.device, "1")
    from_x, y = _at(sheet, begins)
    at = (from_x - _BRANCH_MM[one.symbol], y - 0.8)
    sheet.terminals[(one.device, "1")] = at
    sheet.line((from_x, y), (at[0], y), at, wire=numbers[(begins, ends)])
    sheet.dot((from_x, y))
    if one.symbol == "surge":
        surge(sheet, at)
    else:
        bond(sheet, at, closes=one.symbol == "bond contact")
        sheet.text((x + 2.0, y - 2.6), one.says, within_mm=_BESIDE_MM)


def _earthing(sheet: Sheet, told: str, at: Point) -> None:
    """Draw the main earthing terminal, from which the protective conductor goes along every feeder."""
    x, top = at
    sheet.text((x, top + 2.0), "PE to every feeder", align="centre")
    sheet.line((x - 8.0, top), (x + 8.0, top), width_mm=0.6)
    sheet.line((x, top), (x, top - 4.0))
    earth(sheet, (x, top - 4.0))
    y = top - 9.0
    for line in (told or "earthing: to be asked").split("\n"):
        sheet.text((x, y), line, align="centre")
        y -= 3.0


def _strokes(sheet: Sheet, x: float, y: float, count: int) -> None:
    """Draw a stroke for each line conductor, as single-line diagrams have it."""
    for n in range(count):
        sheet.line((x - 1.5, y - 1.2 + n * 1.2 - 0.6), (x + 1.5, y + n * 1.2 - 0.6))
