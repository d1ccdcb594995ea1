"""Symbols of circuit diagrams, IEC 60617 and those customary under the NEC.

Each sets its terminals and draws itself between them.

Source: IEC 60617 (make contact S00227, break contact S00229, contactor contact S00284, circuit-breaker S00287, operating coil
S00305, current transformer S00850); customary symbols of North America (ANSI/IEEE 315), from memory.
"""

from collections.abc import Callable, Sequence
from math import cos, hypot, pi, sin
from typing import Final

from wattwright.gear.circuit.appliance import RuleSet
from wattwright.gear.wiring.netlist import Part
from wattwright.handover.drawings.sheet import LEFT_OF, MIDDLE_PT, Point, Sheet

HEIGHT_MM: Final = 15.0
"""From the upper to the lower terminal of a symbol that lies in a line."""

Columns = Sequence[float]
Draw = Callable[[Sheet, float, float, RuleSet], None]


def _arc(sheet: Sheet, centre: Point, radius: float, begins: float, ends: float) -> None:
    steps = 10
    angles = [begins + (ends - begins) * n / steps for n in range(steps + 1)]
    sheet.line(*((centre[0] + radius * cos(a), centre[1] + radius * sin(a)) for a in angles))


def _leads(sheet: Sheet, x: float, top: float, upper: float, lower: float) -> None:
    """Draw the leads of a symbol down to ``upper`` and from ``lower`` on, both below its top."""
    sheet.line((x, top), (x, top - upper))
    sheet.line((x, top - lower), (x, top - HEIGHT_MM))


def _blade(sheet: Sheet, x: float, top: float) -> None:
    sheet.line((x, top - 10.5), (x - 3.0, top - 4.6), width_mm=0.35)


def _bars(sheet: Sheet, x: float, top: float) -> None:
    """Draw the two bars of a contact as customary under the NEC."""
    _leads(sheet, x, top, 6.2, 8.8)
    for y in (top - 6.2, top - 8.8):
        sheet.line((x - 2.2, y), (x + 2.2, y), width_mm=0.35)


def breaker_pole(sheet: Sheet, x: float, top: float, rules: RuleSet) -> None:
    """Draw a pole of a circuit-breaker."""
    if rules == "nec":
        _leads(sheet, x, top, 4.2, 10.8)
        sheet.circle((x, top - 4.8), 0.6)
        sheet.circle((x, top - 10.2), 0.6)
        _arc(sheet, (x, top - 7.5), 3.4, pi / 2.6, -pi / 2.6)
        return
    _leads(sheet, x, top, 4.5, 10.5)
    _blade(sheet, x, top)
    for way in (-1.0, 1.0):
        sheet.line((x - 0.9, top - 4.5 - 0.9 * way), (x + 0.9, top - 4.5 + 0.9 * way), width_mm=0.35)


def main_contact(sheet: Sheet, x: float, top: float, rules: RuleSet) -> None:
    """Draw a main contact of a contactor."""
    if rules == "nec":
        _bars(sheet, x, top)
        return
    _leads(sheet, x, top, 4.5, 10.5)
    _blade(sheet, x, top)
    _arc(sheet, (x, top - 4.5 + 0.9), 0.9, pi / 2.0, -pi / 2.0)


def make_contact(sheet: Sheet, x: float, top: float, rules: RuleSet) -> None:
    """Draw a make contact."""
    if rules == "nec":
        _bars(sheet, x, top)
        return
    _leads(sheet, x, top, 4.5, 10.5)
    _blade(sheet, x, top)


def break_contact(sheet: Sheet, x: float, top: float, rules: RuleSet) -> None:
    """Draw a break contact."""
    if rules == "nec":
        _bars(sheet, x, top)
        sheet.line((x - 2.4, top - 9.4), (x + 2.4, top - 5.6), width_mm=0.35)
        return
    _leads(sheet, x, top, 4.5, 10.5)
    sheet.line((x, top - 4.5), (x + 2.6, top - 4.5))
    sheet.line((x, top - 10.5), (x + 2.4, top - 3.6), width_mm=0.35)


def residual_pole(sheet: Sheet, x: float, top: float, rules: RuleSet) -> None:
    """Draw a pole of a residual-current device; what it senses with lies below the poles."""
    make_contact(sheet, x, top, "iec")
    del rules


def _poles(sheet: Sheet, part: Part, columns: Columns, top: float, rules: RuleSet, draw: Draw, *, linked: bool = True) -> None:
    """Draw the poles of a device side by side, upper mark and lower mark at each, linked by a dashed line."""
    for pole, x in enumerate(columns):
        draw(sheet, x, top, rules)
        for mark, y, above in ((part.marks[2 * pole], top, 1.6), (part.marks[2 * pole + 1], top - HEIGHT_MM, -1.6)):
            _terminal(sheet, part, mark, (x, y), above=above)
    if linked and len(columns) > 1:
        sheet.line((columns[0] - 1.5, top - 7.5), (columns[-1] - 1.5, top - 7.5), dash=True)


def _terminal(sheet: Sheet, part: Part, mark: str, at: Point, *, above: float) -> None:
    sheet.terminals[(part.device, mark)] = at
    sheet.text((at[0] - 1.0, at[1] - above), mark, size_pt=6.0, align=LEFT_OF)


def breaker(sheet: Sheet, part: Part, columns: Columns, top: float, rules: RuleSet) -> None:
    """Draw a circuit-breaker over its columns."""
    _poles(sheet, part, columns, top, rules, breaker_pole)


def main_contacts(sheet: Sheet, part: Part, columns: Columns, top: float, rules: RuleSet) -> None:
    """Draw the main contacts of a contactor over their columns."""
    _poles(sheet, part, columns, top, rules, main_contact)


def residual(sheet: Sheet, part: Part, columns: Columns, top: float, rules: RuleSet) -> None:
    """Draw a residual-current device: its poles, the neutral's too, and the ring that senses their sum."""
    _poles(sheet, part, columns, top, rules, residual_pole)
    left, right = columns[0] - 3.5, columns[-1] + 3.5
    sheet.shape((left, top - 10.8), (right, top - 10.8), (right, top - 12.1), (left, top - 12.1))


def overload(sheet: Sheet, part: Part, columns: Columns, top: float, rules: RuleSet) -> None:
    """Draw the overload relay of a motor: a step in each line, in one box."""
    del rules
    for pole, x in enumerate(columns):
        sheet.line((x, top), (x, top - 4.5), (x + 2.0, top - 4.5), (x + 2.0, top - 10.5), (x, top - 10.5), (x, top - HEIGHT_MM))
        for mark, y, above in ((part.marks[2 * pole], top, 1.6), (part.marks[2 * pole + 1], top - HEIGHT_MM, -1.6)):
            _terminal(sheet, part, mark, (x, y), above=above)
    sheet.box(columns[0] - 4.0, top - 12.0, columns[-1] + 4.0, top - 3.0)


def trip_contact(sheet: Sheet, part: Part, columns: Columns, top: float, rules: RuleSet) -> None:
    """Draw the break contact of an overload relay."""
    _poles(sheet, part, columns, top, rules, break_contact)


def hand_switch(sheet: Sheet, part: Part, columns: Columns, top: float, rules: RuleSet) -> None:
    """Draw a make contact that is worked by hand and stays."""
    _poles(sheet, part, columns, top, rules, make_contact)
    x = columns[0]
    sheet.line((x - 1.7, top - 7.5), (x - 6.0, top - 7.5), dash=True)
    sheet.line((x - 6.0, top - 5.5), (x - 6.0, top - 9.5), width_mm=0.35)


def coil(sheet: Sheet, part: Part, columns: Columns, top: float, rules: RuleSet) -> None:
    """Draw an operating coil."""
    x = columns[0]
    if rules == "nec":
        _leads(sheet, x, top, 4.0, 11.0)
        sheet.circle((x, top - 7.5), 3.5)
    else:
        _leads(sheet, x, top, 5.0, 10.0)
        sheet.box(x - 5.0, top - 10.0, x + 5.0, top - 5.0)
    _terminal(sheet, part, part.marks[0], (x, top), above=1.6)
    _terminal(sheet, part, part.marks[1], (x, top - HEIGHT_MM), above=-1.6)


def damping(sheet: Sheet, part: Part, columns: Columns, top: float, rules: RuleSet) -> None:
    """Draw a resistor and a capacitor in one box."""
    del rules
    x = columns[0]
    sheet.line((x, top), (x, top - 4.0))
    sheet.box(x - 1.0, top - 8.0, x + 1.0, top - 4.0)
    sheet.line((x, top - 8.0), (x, top - 9.6))
    for y in (top - 9.6, top - 10.6):
        sheet.line((x - 2.2, y), (x + 2.2, y), width_mm=0.35)
    sheet.line((x, top - 10.6), (x, top - HEIGHT_MM))
    _terminal(sheet, part, part.marks[0], (x, top), above=1.6)
    _terminal(sheet, part, part.marks[1], (x, top - HEIGHT_MM), above=-1.6)


def transformer(sheet: Sheet, part: Part, columns: Columns, top: float, rules: RuleSet) -> None:
    """Draw a current transformer around a conductor of the supply, its two secondary terminals above."""
    del rules
    left, right = columns
    middle = (left + right) / 2.0
    for mark, x in zip(part.marks, columns, strict=True):
        sheet.line((x, top), (x, top - 6.0), (middle + (-2.0 if x == left else 2.0), top - 6.0))
        _terminal(sheet, part, mark, (x, top), above=1.6)
    sheet.circle((middle, top - 8.0), 3.0)
    sheet.line((left, top - 8.0), (right, top - 8.0), width_mm=0.5)


def control_input(sheet: Sheet, part: Part, columns: Columns, top: float, rules: RuleSet) -> None:
    """Draw the control input of a load's own controller."""
    del rules
    x = columns[0]
    sheet.line((x, top), (x, top - 4.0))
    sheet.box(x - 6.0, top - 11.0, x + 6.0, top - 4.0)
    sheet.text((x, top - 7.5), "input", size_pt=6.0, align="centre")
    sheet.line((x, top - 11.0), (x, top - HEIGHT_MM))
    _terminal(sheet, part, part.marks[0], (x, top), above=1.6)
    _terminal(sheet, part, part.marks[1], (x, top - HEIGHT_MM), above=-1.6)


def in_line(sheet: Sheet, part: Part, columns: Columns, top: float, rules: RuleSet) -> None:
    """Draw a switch in the line: a box with a contact in each line and the neutral straight through."""
    for pole, x in enumerate(columns):
        marks = part.marks[2 * pole : 2 * pole + 2]
        if marks[0] == "N":
            sheet.line((x, top), (x, top - HEIGHT_MM))
        else:
            make_contact(sheet, x, top, rules)
        _terminal(sheet, part, marks[0], (x, top), above=1.6)
        _terminal(sheet, part, marks[1], (x, top - HEIGHT_MM), above=-1.6)
    sheet.box(columns[0] - 8.0, top - HEIGHT_MM + 0.2, columns[-1] + 8.0, top - 0.2, dash=True)


def controller(sheet: Sheet, part: Part, columns: Columns, top: float, rules: RuleSet) -> None:
    """Draw a controller: a box with its dry contact.

    ``columns`` are those of the contact, of its supply, and of its transformer.
    """
    contact, supply = columns[0], columns[1]
    make_contact(sheet, contact, top, rules)
    low = top - HEIGHT_MM
    for mark, at, above in (
        ("11", (contact, top), 1.6),
        ("14", (contact, low), -1.6),
        ("L", (supply, top), 1.6),
        ("N", (supply, low), -1.6),
    ):
        _terminal(sheet, part, mark, at, above=above)
    for mark, x in zip((one for one in part.marks if one in ("k", "l")), columns[2:], strict=False):
        _terminal(sheet, part, mark, (x, low), above=-1.6)
    right = max(columns) + 6.0
    sheet.box(contact - 8.0, low, right, top)
    sheet.text((supply - 12.0, top - 7.5), part.device, size_pt=MIDDLE_PT, bold=True)


def load(sheet: Sheet, part: Part, columns: Columns, top: float, rules: RuleSet) -> None:
    """Draw what uses the power: its terminals above, the protective one below."""
    del rules
    first, last = columns[0], columns[-1]
    middle, low = (first + last) / 2.0, top - HEIGHT_MM
    for mark, x in zip(part.marks, columns, strict=False):
        sheet.line((x, top), (x, top - 3.0))
        _terminal(sheet, part, mark, (x, top), above=1.6)
    half = max(8.0, (last - first) / 2.0 + 3.0)
    if part.symbol == "motor":
        for x in columns:
            sheet.line((x, top - 3.0), _on_circle((x, top - 3.0), (middle, top - 8.0), 4.0))
        sheet.circle((middle, top - 8.0), 4.0)
        sheet.text((middle, top - 8.0), "M3~" if len(columns) > 2 else "M1~", size_pt=MIDDLE_PT, align="centre")
        sheet.line((middle, top - 12.0), (middle, low))
    else:
        sheet.box(middle - half, top - 10.0, middle + half, top - 3.0)
        if part.symbol == "heater":
            for step in range(1, 4):
                x = middle - half + half * step / 2.0
                sheet.line((x, top - 10.0), (x, top - 3.0))
        elif part.symbol == "lamp":
            sheet.line((middle - half, top - 10.0), (middle + half, top - 3.0))
            sheet.line((middle - half, top - 3.0), (middle + half, top - 10.0))
        sheet.line((middle, top - 10.0), (middle, low))
    _terminal(sheet, part, "PE", (middle, low), above=-1.6)


def _on_circle(outside: Point, centre: Point, radius: float) -> Point:
    """Return where the straight way from a point to the centre of a circle meets it."""
    dx, dy = outside[0] - centre[0], outside[1] - centre[1]
    length = hypot(dx, dy)
    return centre[0] + dx * radius / length, centre[1] + dy * radius / length


DRAW: Final[dict[str, Callable[[Sheet, Part, Columns, float, RuleSet], None]]] = {
    "breaker": breaker, "residual": residual, "main contacts": main_contacts, "coil": coil, "in-line switch": in_line,
    "controller": controller, "overload": overload, "trip contact": trip_contact, "hand switch": hand_switch, "damping": damping,
    "transformer": transformer, "control input": control_input, "heater": load, "motor": load, "lamp": load, "appliance": load,
}  # fmt: skip
"""How each kind of part is drawn."""
