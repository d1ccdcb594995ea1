"""Symbols of the single-line diagram beyond those of circuit diagrams: sources, isolators, fuses, changeovers, ways to earth.

Each draws itself downwards from its upper terminal; its height is in HEIGHTS_MM. Source: IEC 60617 (switch-disconnector S00290,
fuse S00362, battery S00898, converter S00213, meter S00933, relay with its measured quantity S00327), from memory.
"""

from collections.abc import Callable
from typing import Final

from wattwright.gear.circuit.appliance import RuleSet
from wattwright.gear.wiring.single_line import LineSymbol
from wattwright.handover.drawings.sheet import MIDDLE_PT, Point, Sheet
from wattwright.handover.drawings.symbols import HEIGHT_MM, breaker_pole, make_contact

HEIGHTS_MM: Final[dict[LineSymbol, float]] = {
    "supply": 3.0, "meter": 7.0, "breaker": HEIGHT_MM, "site meter": 8.0, "changeover": 9.0, "parting": 9.0, "PV": 8.0,
    "battery": 8.0, "generator": 8.0, "fuse": 6.0, "isolator": HEIGHT_MM, "inverter": 8.0, "overcurrent": 6.0,
}  # fmt: skip
ASIDE_MM: Final = 5.0
"""How far the third terminal of a changeover or inverter lies beside its others."""
THIRD_MM: Final[dict[LineSymbol, float]] = {"changeover": 0.0, "inverter": 7.4}
"""Symbols with a third terminal, and how far it lies below their upper one."""


def earth(sheet: Sheet, at: Point) -> None:
    """Draw the sign of earth below a point."""
    for n, half in enumerate((2.4, 1.6, 0.8)):
        sheet.line((at[0] - half, at[1] - 0.9 * n), (at[0] + half, at[1] - 0.9 * n), width_mm=0.35)


def _supply(sheet: Sheet, x: float, top: float, rules: RuleSet) -> None:
    del rules
    sheet.line((x, top), (x, top - 3.0))
    sheet.line((x - 1.6, top - 0.4), (x, top - 3.0), (x + 1.6, top - 0.4))


def _meter(sheet: Sheet, x: float, top: float, rules: RuleSet) -> None:
    del rules
    sheet.box(x - 5.0, top - 7.0, x + 5.0, top)
    sheet.line((x - 5.0, top - 2.4), (x + 5.0, top - 2.4))
    sheet.text((x, top - 4.8), "Wh", align="centre")


def _site_meter(sheet: Sheet, x: float, top: float, rules: RuleSet) -> None:
    del rules
    sheet.line((x, top), (x, top - 8.0), width_mm=0.35)
    sheet.circle((x, top - 4.0), 3.0)


def _machine(sheet: Sheet, x: float, top: float, rules: RuleSet) -> None:
    del rules
    sheet.circle((x, top - 4.0), 4.0)
    sheet.text((x, top - 4.0), "G", align="centre", size_pt=MIDDLE_PT)


def _modules(sheet: Sheet, x: float, top: float, rules: RuleSet) -> None:
    """Draw a PV array: a box with the sign of a direct-current source, and two arrows of light towards it."""
    del rules
    sheet.box(x - 5.0, top - 8.0, x + 5.0, top)
    sheet.text((x, top - 4.0), "PV", align="centre", size_pt=MIDDLE_PT)
    for y in (top - 1.5, top - 4.0):
        sheet.line((x - 9.0, y + 1.2), (x - 5.6, y), width_mm=0.25)
        sheet.line((x - 6.7, y + 1.0), (x - 5.6, y), (x - 6.9, y - 0.2), width_mm=0.25)


def _battery(sheet: Sheet, x: float, top: float, rules: RuleSet) -> None:
    del rules
    sheet.line((x, top), (x, top - 2.0))
    for y, half, width in ((2.0, 3.2, 0.25), (3.4, 1.6, 0.6), (4.8, 3.2, 0.25), (6.2, 1.6, 0.6)):
        sheet.line((x - half, top - y), (x + half, top - y), width_mm=width)
    sheet.line((x, top - 6.2), (x, top - 8.0))


def _fuse(sheet: Sheet, x: float, top: float, rules: RuleSet) -> None:
    del rules
    sheet.line((x, top), (x, top - 6.0))
    sheet.box(x - 1.2, top - 5.2, x + 1.2, top - 0.8)


def _isolator(sheet: Sheet, x: float, top: float, rules: RuleSet) -> None:
    make_contact(sheet, x, top, rules)
    if rules == "iec":
        sheet.line((x - 1.6, top - 4.5), (x + 1.6, top - 4.5), width_mm=0.35)
        sheet.circle((x, top - 5.2), 0.7)


def _inverter(sheet: Sheet, x: float, top: float, rules: RuleSet) -> None:
    del rules
    sheet.box(x - 5.0, top - 8.0, x + 5.0, top)
    sheet.line((x - 5.0, top - 8.0), (x + 5.0, top))
    sheet.line((x - 3.8, top - 2.2), (x - 1.2, top - 2.2))
    sheet.line((x - 3.8, top - 3.2), (x - 1.2, top - 3.2))
    sheet.line((x + 0.8, top - 6.0), (x + 1.6, top - 5.2), (x + 2.8, top - 6.4), (x + 3.6, top - 5.6))


def _overcurrent(sheet: Sheet, x: float, top: float, rules: RuleSet) -> None:
    """Draw what opens on overcurrent, breaker or fuse as may be fitted: a box with the sign of the quantity it acts on."""
    del rules
    sheet.line((x, top), (x, top - 0.8))
    sheet.box(x - 3.0, top - 5.2, x + 3.0, top - 0.8)
    sheet.text((x, top - 3.0), "I >", align="centre")
    sheet.line((x, top - 5.2), (x, top - 6.0))


def _parting(sheet: Sheet, x: float, top: float, rules: RuleSet) -> None:
    """Draw a contact that parts the site from the grid: open, as all contacts are drawn without a supply."""
    del rules
    sheet.line((x, top), (x, top - 2.0))
    sheet.circle((x, top - 2.7), 0.7)
    sheet.line((x - 3.0, top - 3.0), (x, top - 7.5), (x, top - 9.0), width_mm=0.35)


def _changeover(sheet: Sheet, x: float, top: float, rules: RuleSet) -> None:
    """Draw the switch that puts the rail on the grid or on a source in its place, and never on both."""
    del rules
    for at in (x, x + ASIDE_MM):
        sheet.line((at, top), (at, top - 1.3))
        sheet.circle((at, top - 2.0), 0.7)
    sheet.line((x, top - 2.7), (x, top - 9.0), width_mm=0.35)


DRAW: Final[dict[LineSymbol, Callable[[Sheet, float, float, RuleSet], None]]] = {
    "supply": _supply, "meter": _meter, "breaker": breaker_pole, "site meter": _site_meter, "changeover": _changeover,
    "parting": _parting, "PV": _modules, "battery": _battery, "generator": _machine, "fuse": _fuse, "isolator": _isolator,
    "inverter": _inverter, "overcurrent": _overcurrent,
}  # fmt: skip
"""How each symbol is drawn."""


def surge(sheet: Sheet, at: Point) -> None:
    """Draw surge protection from its upper terminal to earth."""
    x, top = at
    sheet.box(x - 1.2, top - 4.6, x + 1.2, top - 0.8)
    sheet.line((x, top), (x, top - 3.2))
    sheet.line((x - 0.7, top - 2.2), (x, top - 3.2), (x + 0.7, top - 2.2))
    sheet.line((x, top - 4.6), (x, top - 5.6))
    earth(sheet, (x, top - 5.6))


def bond(sheet: Sheet, at: Point, *, closes: bool) -> None:
    """Draw a bond of neutral to earth from its upper terminal: a contact where it closes only when its source feeds alone."""
    x, top = at
    if closes:
        sheet.line((x, top), (x, top - 1.0))
        sheet.line((x - 2.0, top - 1.2), (x, top - 4.2), (x, top - 5.6), width_mm=0.35)
    else:
        sheet.line((x, top), (x, top - 5.6))
    earth(sheet, (x, top - 5.6))
