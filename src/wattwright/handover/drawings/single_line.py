"""The single-line diagram: the supply above, a rail, and under it a feeder for each load; as many sheets as it takes."""

from collections.abc import Sequence
from typing import Final

from wattwright.gear.circuit.appliance import RuleSet
from wattwright.gear.wiring.single_line import Feeder, Incoming, SingleLine
from wattwright.handover.drawings.sheet import MIDDLE_PT, SMALL_PT, Point, Sheet, Size, Title
from wattwright.handover.drawings.symbols import HEIGHT_MM, breaker_pole, main_contact, make_contact, residual_pole

_STEP_MM: Final = 31.0
_LEFT_MM: Final = 38.0
_RAIL_MM: Final = 132.0
_SOURCES_MM: Final = 104.0
_SOURCE_STEP_MM: Final = 36.0
_STROKES: Final = {"single-phase": 1, "split-phase": 2, "three-phase": 3}


def single_line_sheets(what: SingleLine, rules: RuleSet, titles: Sequence[Title], size: Size = "A4") -> tuple[Sheet, ...]:
    """Return the sheets of the single-line diagram, one for each title; there must be :func:`sheets_needed` of them."""
    a_sheet = _on_sheet(size)
    parts = [what.feeders[start : start + a_sheet] for start in range(0, max(1, len(what.feeders)), a_sheet)]
    drawn = zip(parts, titles, strict=True)
    return tuple(_sheet(what.incoming, part, rules, title, size, len(parts)) for part, title in drawn)


def sheets_needed(what: SingleLine, size: Size = "A4") -> int:
    """Return how many sheets the single-line diagram takes."""
    return max(1, -(-len(what.feeders) // _on_sheet(size)))


def _on_sheet(size: Size) -> int:
    from wattwright.handover.drawings.sheet import MARGIN_MM, SIZES_MM

    return int((SIZES_MM[size][0] - MARGIN_MM - _LEFT_MM - 14.0) // _STEP_MM) + 1


def _sheet(incoming: Incoming, feeders: Sequence[Feeder], rules: RuleSet, title: Title, size: Size, title_pages: int) -> Sheet:
    sheet = Sheet(size, title)
    ends = [_LEFT_MM + _STEP_MM * (len(feeders) - 1) + 8.0, _LEFT_MM + 60.0]
    ends += [_source_mm(len(incoming.sources) - 1) + 8.0] if incoming.sources else []
    sheet.line((_LEFT_MM - 8.0, _RAIL_MM), (max(ends), _RAIL_MM), width_mm=0.8)
    _incoming(sheet, incoming, rules)
    for index, one in enumerate(feeders):
        _feeder(sheet, one, _LEFT_MM + _STEP_MM * index, rules, title_pages)
    return sheet


def _incoming(sheet: Sheet, one: Incoming, rules: RuleSet) -> None:
    x, top = _LEFT_MM, sheet.height_mm - 16.0
    sheet.text((x - 8.0, top + 1.0), f"Supply: {one.system}, {one.voltage}", size_pt=MIDDLE_PT)
    sheet.line((x, top - 3.0), (x, top - 8.0))
    sheet.box(x - 5.0, top - 15.0, x + 5.0, top - 8.0)
    sheet.line((x - 5.0, top - 10.4), (x + 5.0, top - 10.4))
    sheet.text((x, top - 12.8), "Wh", align="centre")
    sheet.text((x + 8.0, top - 11.5), "meter of the grid operator")
    sheet.line((x, top - 15.0), (x, top - 18.0))
    breaker_pole(sheet, x, top - 18.0, rules)
    _strokes(sheet, x, top - 16.5, _STROKES[one.system])
    sheet.text((x + 8.0, top - 25.5), f"main protection {one.protection}" if one.protection else "main protection: to be read")
    bottom = top - 18.0 - HEIGHT_MM
    if one.meter:
        sheet.circle((x, bottom - 5.0), 3.0)
        sheet.line((x, bottom), (x, bottom - 12.0), width_mm=0.35)
        sheet.text((x + 8.0, bottom - 4.0), f"-B0, -P0: {one.meter}", within_mm=_SOURCES_MM - 14.0)
        bottom -= 12.0
    _earth(sheet, one, sheet.inside[2] - 30.0, top - 6.0)
    for index, source in enumerate(one.sources):
        at = _source(sheet, source, "isolator of this source", index, rules)
        sheet.line((at, top - 18.0 - HEIGHT_MM), (at, _RAIL_MM))
        sheet.dot((at, _RAIL_MM))
    if one.instead:
        at = _source(sheet, one.instead, "its breaker", len(one.sources), rules)
        _changeover(sheet, x, bottom, (at, top - 18.0 - HEIGHT_MM))
    else:
        sheet.line((x, bottom), (x, _RAIL_MM))
    sheet.dot((x, _RAIL_MM))


def _source(sheet: Sheet, name: str, opened_by: str, index: int, rules: RuleSet) -> float:
    """Draw a source with what opens it; return where it stands."""
    at, top = _source_mm(index), sheet.height_mm - 16.0
    sheet.box(at - 6.0, top - 15.0, at + 6.0, top - 6.0)
    sheet.text((at, top - 10.5), "G", align="centre", size_pt=MIDDLE_PT)
    sheet.text((at, top - 3.5), name, align="centre")
    sheet.line((at, top - 15.0), (at, top - 18.0))
    breaker_pole(sheet, at, top - 18.0, rules)
    sheet.text((at + 4.0, top - 25.5), opened_by)
    return at


def _source_mm(index: int) -> float:
    return _LEFT_MM + _SOURCES_MM + _SOURCE_STEP_MM * index


def _changeover(sheet: Sheet, x: float, bottom: float, other: Point) -> None:
    """Draw the switch that puts the rail on the grid or on a source in its place, and never on both."""
    pivot, contact, aside = _RAIL_MM + 4.0, _RAIL_MM + 11.0, x + 5.0
    sheet.line((x, bottom), (x, contact))
    sheet.line(other, (other[0], contact + 3.5), (aside, contact + 3.5), (aside, contact))
    for at in (x, aside):
        sheet.circle((at, contact - 0.7), 0.7)
    sheet.line((x, contact - 1.4), (x, pivot), (x, _RAIL_MM), width_mm=0.35)
    sheet.text((aside + 4.0, contact - 2.5), "changeover switch, mechanically interlocked: grid or this source, never both")


def _earth(sheet: Sheet, one: Incoming, x: float, top: float) -> None:
    """Draw the main earthing terminal, from which the protective conductor goes along every feeder."""
    sheet.text((x, top + 2.0), "PE to every feeder", align="centre")
    sheet.line((x - 8.0, top), (x + 8.0, top), width_mm=0.6)
    sheet.line((x, top), (x, top - 6.0))
    for n, half in enumerate((4.0, 2.6, 1.2)):
        sheet.line((x - half, top - 6.0 - 1.3 * n), (x + half, top - 6.0 - 1.3 * n), width_mm=0.35)
    sheet.text((x, top - 12.0), one.earthing or "earthing: to be asked", align="centre")


def _strokes(sheet: Sheet, x: float, y: float, count: int) -> None:
    """Draw a stroke for each line conductor, as single-line diagrams have it."""
    for n in range(count):
        sheet.line((x - 1.5, y - 1.2 + n * 1.2 - 0.6), (x + 1.5, y + n * 1.2 - 0.6))


def _feeder(sheet: Sheet, one: Feeder, x: float, rules: RuleSet, pages: int) -> None:
    y = _RAIL_MM
    sheet.dot((x, y))
    sheet.line((x, y), (x, y - 4.0))
    y -= 4.0
    within = _STEP_MM - 7.0
    if one.residual:
        residual_pole(sheet, x, y, rules)
        sheet.box(x - 3.5, y - 12.1, x + 3.5, y - 10.8)
        sheet.text((x + 4.5, y - 5.0), one.residual.replace("residual-current device", "RCD"), within_mm=within - 2.0)
        y -= HEIGHT_MM
    breaker_pole(sheet, x, y, rules)
    sheet.text((x + 4.5, y - 5.0), one.breaker or "as it is", within_mm=within - 2.0)
    y -= HEIGHT_MM
    if one.way == "contactor":
        main_contact(sheet, x, y, rules)
    elif one.way == "control input":
        sheet.line((x, y), (x, y - HEIGHT_MM))
    elif one.way:
        make_contact(sheet, x, y, rules)
        sheet.box(x - 4.5, y - 13.0, x + 2.5, y - 2.0, dash=True)
    if one.way:
        sheet.text(
            (x + 4.5, y - 4.0),
            f"-{'Q' if one.way == 'contactor' else 'K'}{one.number}, page {one.number + pages}",
            within_mm=within,
        )
        sheet.text((x + 4.5, y - 7.0), one.way, within_mm=within)
    else:
        sheet.line((x, y), (x, y - HEIGHT_MM))
        sheet.text((x + 1.5, y - 6.0), "not switched")
    y -= HEIGHT_MM
    sheet.line((x, y), (x, 62.0))
    if one.cable:
        sheet.text((x + 1.5, y - 4.0), one.cable, within_mm=within)
    sheet.line((x - 1.6, 64.6), (x, 62.0), (x + 1.6, 64.6))
    low = sheet.text((x - 8.0, 57.5), f"{one.count}{one.load}", within_mm=_STEP_MM - 3.0, size_pt=SMALL_PT)
    power = f"{one.rating_w / 1000.0:.3g} kW" if one.rating_w >= 1000.0 else f"{one.rating_w:.3g} W"  # kW from 1 kW on
    sheet.text((x - 8.0, low - 0.4), power)
