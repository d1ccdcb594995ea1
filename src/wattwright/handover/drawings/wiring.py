"""The wiring of a load laid out on a sheet: rails above and below, the load's circuit on the left, that of the coil beside it."""

from collections.abc import Sequence
from itertools import pairwise
from typing import Final

from wattwright.core.errors import OwnFault
from wattwright.gear.circuit.appliance import RuleSet
from wattwright.gear.wiring.netlist import Part, Terminal, Wire, Wiring
from wattwright.handover.drawings.drawn import faults, within
from wattwright.handover.drawings.sheet import LEFT_OF, MIDDLE_PT, RIGHT_OF, SMALL_PT, Point, Sheet, Size, Title
from wattwright.handover.drawings.symbols import DRAW

_FIRST_MM: Final = 56.0
_STEP_MM: Final = 20.0
_CONTROL_MM: Final = (128.0, 151.0, 174.0, 195.0, 209.0)
"""Columns of the control circuit: breaker and hand switch, contact and coil, supply of the controller, its transformer."""
_ROW_MM: Final = {"residual": 164.0, "breaker": 139.0, "switch": 111.0, "overload": 85.0, "load": 62.0}
"""Upper terminals of the rows, above the lower edge of an A4 sheet."""
_RAIL_MM: Final = {"L1": 192.0, "L2": 187.0, "L3": 182.0, "N": 177.0, "PE": 33.0}
_LOW_N_MM: Final = 39.0
_LANES_MM: Final = {"above": 117.0, "below": 90.0, "damping above": 66.0, "damping below": 44.0}
_RAIL_LEFT_MM: Final = 34.0
_RAIL_RIGHT_MM: Final = 216.0
_NEUTRAL_LEFT_MM: Final = 30.0
_LIST_MM: Final = 224.0
CAUTION: Final = (
    "Isolate, lock off, prove dead. A relay contact is no isolator. A licensed person checks this against the code of the place "
    "before anything is mounted."
)
_INK: Final = {
    "brown": "#7A4B26", "black": "#1D2421", "grey": "#77756C", "blue": "#2C5AA0", "green-yellow": "#2F7D32", "green": "#2F7D32",
    "red": "#B3202A", "white": "#9A9A94", "as supplied": "#1D2421",
}  # fmt: skip


def wiring_sheet(wiring: Wiring, rules: RuleSet, title: Title, size: Size = "A4") -> Sheet:
    """Return the sheet with the wiring of a load; raises OwnFault rather than give a drawing that says another thing."""
    sheet = Sheet(size, title)
    laid = _Laid(sheet, wiring, rules)
    laid.rails()
    laid.parts()
    laid.wires()
    laid.list_of_devices()
    if lies := faults(sheet, wiring):
        raise OwnFault(f"the drawing of {wiring.load} does not say what its wiring says: {lies[0]}")
    return sheet


class _Laid:
    """A wiring while it is laid out."""

    def __init__(self, sheet: Sheet, wiring: Wiring, rules: RuleSet) -> None:
        self.sheet, self.wiring, self.rules = sheet, wiring, rules
        self.by_symbol = {part.symbol: part for part in wiring.parts}
        power = self._power()
        self.columns = [_FIRST_MM + _STEP_MM * n for n in range(power)]
        self.on_input = "control input" in self.by_symbol

    def _power(self) -> int:
        """Return how many columns the load's circuit has: its lines, and the neutral where it goes to the load."""
        load = next(part for part in self.wiring.parts if part.symbol in ("heater", "motor", "lamp", "appliance"))
        return len(load.marks) - 1

    def rails(self) -> None:
        """Draw the rails of the board; that of the neutral runs down the left side to the lower edge."""
        rails = self.by_symbol["rails"]
        for mark in rails.marks:
            y = _RAIL_MM[mark]
            left = _NEUTRAL_LEFT_MM if mark == "N" else _RAIL_LEFT_MM
            self._rail(mark, (left, y), (_RAIL_RIGHT_MM, y))
            self.sheet.text((left - 1.0, y), mark, size_pt=MIDDLE_PT, align="right", bold=True)
        if "N" in rails.marks:
            self._rail("N", (_NEUTRAL_LEFT_MM, _RAIL_MM["N"]), (_NEUTRAL_LEFT_MM, _LOW_N_MM))
            self._rail("N", (_NEUTRAL_LEFT_MM, _LOW_N_MM), (_RAIL_RIGHT_MM, _LOW_N_MM))
            self.sheet.text((_RAIL_RIGHT_MM, _LOW_N_MM + 2.0), "N", size_pt=MIDDLE_PT, align="right", bold=True)

    def _rail(self, mark: str, begins: Point, ends: Point) -> None:
        self.sheet.line(begins, ends, width_mm=0.5)
        self.sheet.rails.setdefault((self.by_symbol["rails"].device, mark), []).append((begins, ends))

    def parts(self) -> None:
        """Draw every part in its place."""
        for part in self.wiring.parts:
            if part.symbol == "rails":
                continue
            columns, top = self._place(part)
            DRAW[part.symbol](self.sheet, part, columns, top, self.rules)
            if part.symbol != "controller":
                self._name(part, columns, top)

    def _place(self, part: Part) -> tuple[Sequence[float], float]:
        first, second, third, *transformer = _CONTROL_MM
        control = part.device == self._control_breaker()
        places: dict[str, tuple[Sequence[float], float]] = {
            "residual": (self.columns[: len(part.marks) // 2], _ROW_MM["residual"]),
            "breaker": (
                ((third if self.on_input else first),) if control else self.columns[: len(part.marks) // 2],
                _ROW_MM["breaker"],
            ),
            "in-line switch": (self.columns[: len(part.marks) // 2], _ROW_MM["switch"]),
            "main contacts": (self.columns[: len(part.marks) // 2], _ROW_MM["switch"]),
            "overload": (self.columns[: len(part.marks) // 2], _ROW_MM["overload"]),
            "controller": ((second, third, *transformer), _ROW_MM["switch"]),
            "hand switch": ((first,), _ROW_MM["switch"]),
            "trip contact": ((second,), _ROW_MM["overload"]),
            "coil": ((second,), _ROW_MM["load"] + 1.0),
            "damping": ((first,), _ROW_MM["load"] + 1.0),
            "transformer": (transformer, _ROW_MM["overload"]),
            "control input": ((second,), _ROW_MM["load"] + 1.0),
        }
        return places.get(part.symbol, (self.columns, _ROW_MM["load"]))

    def _control_breaker(self) -> str:
        breakers = [part.device for part in self.wiring.parts if part.symbol == "breaker"]
        return breakers[1] if len(breakers) > 1 else ""

    def _name(self, part: Part, columns: Sequence[float], top: float) -> None:
        """Write the designation left of a part, and in short what it is set to; the list of devices says the rest."""
        if part.symbol in ("trip contact", "coil", "control input"):
            x, align = columns[0] + 7.0, RIGHT_OF
        elif part.symbol == "transformer":
            x, align = columns[-1] + 3.0, RIGHT_OF
        else:
            x, align = columns[0] - (10.0 if part.symbol in ("in-line switch", "hand switch") else 6.0), LEFT_OF
        self.sheet.text((x, top - 7.5), part.device, size_pt=MIDDLE_PT, align=align, bold=True)

    def wires(self) -> None:
        """Draw every wire from terminal to terminal with its number, colour and size, and dots where they join."""
        routes = list[tuple[Point, ...]]()
        for wire in self.wiring.wires:
            points = self._route(wire)
            self.sheet.line(*points, width_mm=0.4, wire=wire.number, colour=_INK[wire.colour])
            self._label(wire, points)
            routes.append(points)
            for end, point in ((wire.begins, points[0]), (wire.ends, points[-1])):
                if end.device == self.by_symbol["rails"].device:
                    self.sheet.dot(point)
        for number, points in enumerate(routes):
            others = [stretch for other, route in enumerate(routes) if other != number for stretch in pairwise(route)]
            for corner in points[1:-1]:
                if any(within(corner, begins, ends) for begins, ends in others):
                    self.sheet.dot(corner)

    def _at(self, terminal: Terminal, x: float) -> Point:
        """Return where a terminal lies; on a rail above or below ``x``."""
        if terminal.device != self.by_symbol["rails"].device:
            return self.sheet.terminals[(terminal.device, terminal.mark)]
        return (x, _RAIL_MM[terminal.mark])

    def _route(self, wire: Wire) -> tuple[Point, ...]:
        rails = self.by_symbol["rails"].device
        if rails in (wire.begins.device, wire.ends.device):
            return self._to_rail(wire)
        begins, ends = self._at(wire.begins, 0.0), self._at(wire.ends, 0.0)
        if begins[0] == ends[0] and not (self.on_input and wire.ends.mark == "C2"):
            return (begins, ends)
        if self.on_input:
            return self._around(begins, ends)
        lane = self._lane(wire)
        return (begins, (begins[0], lane), (ends[0], lane), ends)

    def _around(self, begins: Point, ends: Point) -> tuple[Point, ...]:
        """Return the way from above a controller to below the input it works, round both on the left."""
        side, above, below = _CONTROL_MM[0], _LANES_MM["above"], _LANES_MM["damping below"]
        return (begins, (begins[0], above), (side, above), (side, below), (ends[0], below), ends)

    def _to_rail(self, wire: Wire) -> tuple[Point, ...]:
        """Return the way between a terminal and a rail: straight up, or down to the lower rails."""
        rails = self.by_symbol["rails"].device
        other = wire.ends if wire.begins.device == rails else wire.begins
        rail = wire.begins if wire.begins.device == rails else wire.ends
        x, y = self._at(other, 0.0)
        level = _RAIL_MM[rail.mark]
        if rail.mark == "N" and self._points_down(other):
            level = _LOW_N_MM
        points = ((x, level), (x, y))
        return points if wire.begins.device == rails else points[::-1]

    def _points_down(self, terminal: Terminal) -> bool:
        """Return whether a terminal is a lower one: of a coil or a controller."""
        part = next(one for one in self.wiring.parts if terminal in one.terminals)
        return part.symbol in ("coil", "controller")

    def _lane(self, wire: Wire) -> float:
        """Return the height at which a wire goes across."""
        marks = {wire.begins.mark, wire.ends.mark}
        if marks & {"A1"}:
            return _LANES_MM["damping above"]
        if marks & {"A2"}:
            return _LANES_MM["damping below"]
        return _LANES_MM["below"] if "14" in marks else _LANES_MM["above"]

    def _label(self, wire: Wire, points: tuple[Point, ...]) -> None:
        """Write number and colour over size, beside the longest upright stretch or over a level one."""
        first, second = f"{wire.number} {wire.colour}", wire.size
        if wire.potential == "signal":
            first = str(wire.number)
        if len(points) > 2:  # it goes across
            (left, y), (right, _) = points[1], points[2]
            self.sheet.text(((left + right) / 2.0, y + 1.8), f"{first} {second}", align="centre")
            return
        (x, begins), (_, ends) = points
        top, low = max(begins, ends), min(begins, ends)
        # Below the rails of a feed, above the rails of a return: the stretch that nothing else crosses.
        top = min(top, _RAIL_MM["N"]) if top > _RAIL_MM["N"] - 1.0 else top
        low = max(low, _LOW_N_MM) if low <= _LOW_N_MM else low
        middle = (top + low) / 2.0 if top - low < 30.0 else top - 8.0  # a long stretch is labelled at its head
        # The first column of the control circuit has the lanes of the others on its right.
        align, side = (LEFT_OF, -1.0) if x == _CONTROL_MM[0] else (RIGHT_OF, 1.0)
        for dy, told in ((1.4, first), (-1.4, second)):
            self.sheet.text((x + side, middle + dy), told, align=align)

    def list_of_devices(self) -> None:
        """Write what each device is, and the caution."""
        _, _, right, top = self.sheet.inside
        within, y = right - _LIST_MM - 2.0, top - 6.0
        self.sheet.text((_LIST_MM, y), "Devices", size_pt=MIDDLE_PT, bold=True)
        y -= 5.0
        told = {
            part.device: part.says
            for part in self.wiring.parts
            if part.symbol not in ("rails", "trip contact", "coil", "control input")
        }
        for device, says in told.items():
            self.sheet.text((_LIST_MM, y), device, bold=True)
            y = self.sheet.text((_LIST_MM + 10.0, y), says, within_mm=within - 10.0) - 1.0
        for cable in self.wiring.cables:
            self.sheet.text((_LIST_MM, y), cable.designation, bold=True)
            told_length = f"{cable.says}, {cable.length}" if cable.length else cable.says
            y = self.sheet.text((_LIST_MM + 10.0, y), told_length, within_mm=within - 10.0) - 1.0
        y -= 2.0
        for note in (*self.wiring.notes, CAUTION):
            y = self.sheet.text((_LIST_MM, y), note, within_mm=within, size_pt=SMALL_PT) - 1.5
