"""The single-line diagram: the sources above, a rail, and under it a feeder for each load; as many sheets as it takes."""

from collections.abc import Sequence
from typing import Final

from wattwright.core.errors import OwnFault
from wattwright.gear.circuit.appliance import RuleSet
from wattwright.gear.wiring.single_line import RAIL, Feeder, Incoming, SingleLine, joints
from wattwright.handover.drawings.drawn import line_faults
from wattwright.handover.drawings.incoming import LEFT_MM, RAIL_MM, draw_incoming, source_mm
from wattwright.handover.drawings.sheet import MARGIN_MM, SIZES_MM, SMALL_PT, Sheet, Size, Title
from wattwright.handover.drawings.symbols import HEIGHT_MM, breaker_pole, main_contact, make_contact, residual_pole

_STEP_MM: Final = 31.0
_ENDS_MM: Final = 52.0
"""Where a feeder ends; its load stands below."""


def single_line_sheets(what: SingleLine, rules: RuleSet, titles: Sequence[Title], size: Size = "A4") -> tuple[Sheet, ...]:
    """Return the sheets of the single-line diagram, one for each title; there must be :func:`sheets_needed` of them."""
    parts = feeders_by_sheet(what, size)
    drawn = zip(parts, titles, strict=True)
    return tuple(_sheet(what.incoming, part, rules, title, size, len(parts)) for part, title in drawn)


def feeders_by_sheet(what: SingleLine, size: Size) -> list[Sequence[Feeder]]:
    """Return the feeders that each sheet of the diagram shows; one sheet without any where there are none."""
    a_sheet = _on_sheet(size)
    return [what.feeders[start : start + a_sheet] for start in range(0, max(1, len(what.feeders)), a_sheet)]


def sheets_needed(what: SingleLine, size: Size = "A4") -> int:
    """Return how many sheets the single-line diagram takes."""
    return max(1, -(-len(what.feeders) // _on_sheet(size)))


def _on_sheet(size: Size) -> int:
    return int((SIZES_MM[size][0] - MARGIN_MM - LEFT_MM - 24.0) // _STEP_MM) + 1


def _sheet(incoming: Incoming, feeders: Sequence[Feeder], rules: RuleSet, title: Title, size: Size, pages: int) -> Sheet:
    """Return a sheet; raises OwnFault rather than give a drawing that says another thing than the installation."""
    sheet, lines = Sheet(size, title), joints(incoming, feeders)
    ends = [LEFT_MM + _STEP_MM * (len(feeders) - 1) + 8.0, LEFT_MM + 60.0]
    ends += [source_mm(len(incoming.sources) - 1) + 8.0] if incoming.sources else []
    begins, last = (LEFT_MM - 8.0, RAIL_MM), (max(ends), RAIL_MM)
    sheet.line(begins, last, width_mm=0.8)
    sheet.rails[(RAIL.device, RAIL.mark)] = [(begins, last)]
    draw_incoming(sheet, incoming, rules, lines)
    to_feeders = [one.number for one in lines if one.begins == RAIL]
    for index, one in enumerate(feeders):
        _feeder(sheet, one, index, rules, pages, to_feeders[index])
    if lies := line_faults(sheet, lines):
        raise OwnFault(f"the single-line diagram does not say what the installation is: {lies[0]}")
    return sheet


def _feeder(sheet: Sheet, one: Feeder, index: int, rules: RuleSet, pages: int, number: int) -> None:
    x, y = LEFT_MM + _STEP_MM * index, RAIL_MM
    sheet.dot((x, y))
    sheet.line((x, y), (x, y - 4.0), wire=number)
    y -= 4.0
    sheet.terminals[(f"feeder {index}", "1")] = (x, y)
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
    sheet.line((x, y), (x, _ENDS_MM))
    if one.cable:
        sheet.text((x + 1.5, y - 4.0), one.cable, within_mm=within)
    sheet.line((x - 1.6, _ENDS_MM + 2.6), (x, _ENDS_MM), (x + 1.6, _ENDS_MM + 2.6))
    low = sheet.text((x - 8.0, _ENDS_MM - 4.5), f"{one.count}{one.load}", within_mm=_STEP_MM - 3.0, size_pt=SMALL_PT)
    sheet.text((x - 8.0, low - 0.4), in_watts(one.rating_w))


def in_watts(rating_w: float) -> str:
    """Return a rating as it stands on the sheet: kW from 1 kW on."""
    return f"{rating_w / 1000.0:.3g} kW" if rating_w >= 1000.0 else f"{rating_w:.3g} W"
