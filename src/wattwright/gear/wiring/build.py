"""The wiring of a load, built from what was chosen for it."""

import itertools
from collections.abc import Sequence
from dataclasses import dataclass, field

from wattwright.gear.circuit.appliance import Duty, RuleSet, System
from wattwright.gear.select.switch import Scheme
from wattwright.gear.wiring.colours import colour_of
from wattwright.gear.wiring.netlist import CableRun, Part, Potential, Symbol, Terminal, Wire, Wiring

LINES: dict[System, tuple[Potential, ...]] = {
    "single-phase": ("L1",), "split-phase": ("L1", "L2"), "three-phase": ("L1", "L2", "L3"),
}  # fmt: skip
_LOAD: dict[Duty, tuple[str, Symbol]] = {
    "heater": ("E", "heater"), "motor": ("M", "motor"), "compressor": ("M", "motor"), "lamp": ("E", "lamp"),
    "electronics": ("E", "appliance"),
}  # fmt: skip
_CONTROL_SIZE: dict[RuleSet, str] = {"iec": "1 mm²", "nec": "16 AWG"}
"""Wires of control circuits in a board. Source: common practice, no source."""
_RELAY_POLES = 3
"""Thermal overload relays have three, and those that see a missing line need current in each: IEC 60947-4-1, from memory."""


@dataclass(frozen=True, slots=True)
class Wanted:
    """What the wiring of a load is built from.

    ``number`` tells the devices of this load from others. ``protection`` and ``cable`` are what the circuit gave, as written
    ("B 16 A", "2.5 mm²"); ``residual`` the residual-current device in words, empty where none is called for; ``overload`` the
    overload relay in words, empty where the load has none. ``phase`` is the line of a single-phase load.
    """

    number: int
    load: str
    duty: Duty
    system: System
    rule_set: RuleSet
    scheme: Scheme
    protection: str
    cable: str
    cable_says: str
    length: str
    residual: str = ""
    overload: str = ""
    phase: Potential = "L1"
    notes: tuple[str, ...] = ()


def wiring_of(wanted: Wanted) -> Wiring:
    """Return the wiring of a load: in its own line, or by a contactor whose coil a dry contact feeds."""
    made = _Made(wanted)
    build, way = {
        "in line": (made.in_line, "switched in its own line"),
        "contactor": (made.by_contactor, "switched by a contactor"),
        "control input": (made.on_input, "told by its control input"),
    }[wanted.scheme.way]
    build()
    notes = (*made.notes, *wanted.notes)
    return Wiring(wanted.load, f"{wanted.load}: {way}", tuple(made.parts), tuple(made.wires), tuple(made.cables), notes)


@dataclass(slots=True)
class _Made:
    wanted: Wanted
    parts: list[Part] = field(default_factory=list)
    wires: list[Wire] = field(default_factory=list)
    cables: list[CableRun] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)

    @property
    def lines(self) -> tuple[Potential, ...]:
        one = self.wanted
        return (one.phase,) if one.system == "single-phase" else LINES[one.system]

    @property
    def has_neutral(self) -> bool:
        """Return whether the neutral goes to the load: a single-phase load needs it."""
        return self.wanted.system == "single-phase"

    def name(self, letter: str, kind: int = 0) -> str:
        """Return a designation: -Q3 of the third load, -F31 where it has several of a letter."""
        return f"-{letter}{self.wanted.number}{kind or ''}"

    def part(self, letter: str, kind: int, symbol: Symbol, marks: Sequence[str], says: str) -> str:
        device = self.name(letter, kind)
        self.parts.append(Part(device, symbol, tuple(marks), says))
        return device

    def wire(
        self, begins: tuple[str, str], ends: tuple[str, str], potential: Potential, *, size: str = "", cable: str = ""
    ) -> None:
        one = self.wanted
        colour = colour_of(potential, one.rule_set, one.system)
        number = 100 * one.number + len(self.wires) + 1
        self.wires.append(
            Wire(number, Terminal(*begins), Terminal(*ends), potential, colour, size or self.wanted.cable, cable)
        )  # fmt: skip

    def chain(self, stops: Sequence[tuple[str, str]], potential: Potential, size: str) -> None:
        """Wire stops one after the other, so that no terminal takes more than two."""
        for begins, ends in itertools.pairwise(stops):
            self.wire(begins, ends, potential, size=size)

    def rails(self) -> str:
        contactor = self.wanted.scheme.way != "in line"
        marks = dict.fromkeys((*self.lines, *(("L1", "N") if contactor else ()), *(("N",) if self.has_neutral else ()), "PE"))
        self.parts.insert(0, Part("-X0", "rails", tuple(sorted(marks, key=_rail)), "rails of the board"))
        return "-X0"

    def protected(self) -> tuple[dict[Potential, tuple[str, str]], tuple[str, str]]:
        """Build residual-current device and breaker; return where each line and the neutral leave them."""
        one = self.wanted
        rails = "-X0"
        at: dict[Potential, tuple[str, str]] = {line: (rails, line) for line in self.lines}
        neutral = (rails, "N")
        if one.residual:
            marks = [mark for pole in range(len(self.lines)) for mark in (str(2 * pole + 1), str(2 * pole + 2))]
            marks += ["N1", "N2"] if self.has_neutral else []
            device = self.part("F", 1, "residual", marks, one.residual)
            for pole, line in enumerate(self.lines):
                self.wire(at[line], (device, str(2 * pole + 1)), line)
                at[line] = (device, str(2 * pole + 2))
            if self.has_neutral:
                self.wire(neutral, (device, "N1"), "N")
                neutral = (device, "N2")
        device = self.part("F", 2, "breaker", [str(n + 1) for n in range(2 * len(self.lines))], one.protection)
        for pole, line in enumerate(self.lines):
            self.wire(at[line], (device, str(2 * pole + 1)), line)
            at[line] = (device, str(2 * pole + 2))
        return at, neutral

    def load(self, at: dict[Potential, tuple[str, str]], neutral: tuple[str, str]) -> None:
        """Build the load with its cable from where lines and neutral leave the board."""
        one = self.wanted
        letter, symbol = _LOAD[one.duty]
        marks = _load_marks(symbol, one.system)
        device = self.part(letter, 0, symbol, (*marks, "PE"), one.load)
        cable = self.name("W")
        for line, mark in zip(self.lines, marks, strict=False):
            self.wire(at[line], (device, mark), line, cable=cable)
        if self.has_neutral:
            self.wire(neutral, (device, marks[-1]), "N", cable=cable)
        self.wire(("-X0", "PE"), (device, "PE"), "PE", cable=cable)
        begins = at[self.lines[0]][0]
        self.cables.append(CableRun(cable, one.cable_says, one.length, begins, device, len(marks) + 1))

    def two_feeds(self) -> None:
        """Note that the control circuit stays live when the load's own breaker is off."""
        load, control = self.name("F", 2), self.name("F", 3)
        self.notes.append(f"Two feeds: {load} and {control}. Switch off and lock both before proving dead.")

    def unguarded(self) -> None:
        """Note that no overload relay guards a motor here, since there is no coil for it to open."""
        if self.wanted.duty == "motor":
            self.notes.append(
                f"No overload relay: the motor has a thermal protector of its own, or {self.name('F', 2)} is a motor-protective "
                "switch set to its plate."
            )

    def in_line(self) -> None:
        """Build a load whose controller carries it."""
        self.rails()
        self.unguarded()
        at, neutral = self.protected()
        one = self.wanted
        marks: list[str] = []
        for line in self.lines:
            marks += [line, f"{line}'"] if len(self.lines) > 1 else ["L", "L'"]
        marks += ["N", "N'"] if self.has_neutral else []
        device = self.part("K", 0, "in-line switch", marks, one.scheme.controller.name)
        for line in self.lines:
            mark = line if len(self.lines) > 1 else "L"
            self.wire(at[line], (device, mark), line)
            at[line] = (device, f"{mark}'")
        if self.has_neutral:
            self.wire(neutral, (device, "N"), "N")
            neutral = (device, "N'")
        self.load(at, neutral)

    def on_input(self) -> None:
        """Build a load that stays on the mains, its own controller told by a dry contact."""
        one, size = self.wanted, _CONTROL_SIZE[self.wanted.rule_set]
        self.rails()
        self.two_feeds()
        self.unguarded()
        self.load(*self.protected())
        breaker = self.part("F", 3, "breaker", ("1", "2"), "control circuit 6 A")
        self.wire(("-X0", "L1"), (breaker, "1"), "L1", size=size)
        controller = one.scheme.controller
        device = self.part("K", 0, "controller", ("L", "11", "N", "14"), controller.name)
        self.wire((breaker, "2"), (device, "L"), "control", size=size)
        self.wire((device, "N"), ("-X0", "N"), "N", size=size)
        load = self.name(_LOAD[one.duty][0])
        self.parts.append(Part(load, "control input", ("C1", "C2"), "input of its own controller"))
        self.wire((device, "14"), (load, "C1"), "signal", size="0.5 mm²")
        self.wire((device, "11"), (load, "C2"), "signal", size="0.5 mm²")

    def by_contactor(self) -> None:
        """Build a load by a contactor, its coil over the dry contact of a controller."""
        self.rails()
        at, neutral = self.protected()
        one = self.wanted
        contactor = one.scheme.contactor
        assert contactor is not None
        marks = [str(n + 1) for n in range(2 * len(self.lines))]
        main = self.part("Q", 0, "main contacts", marks, contactor.name)
        for pole, line in enumerate(self.lines):
            self.wire(at[line], (main, str(2 * pole + 1)), line)
            at[line] = (main, str(2 * pole + 2))
        overload = ""
        if one.overload:
            overload = self.part("F", 4, "overload", marks, one.overload)
            if len(self.lines) < _RELAY_POLES:
                self.notes.append(
                    f"{overload} has three poles: lead the current through all of them, or it may trip as if a line failed."
                )
            for pole, line in enumerate(self.lines):
                self.wire(at[line], (overload, str(2 * pole + 1)), line)
                at[line] = (overload, str(2 * pole + 2))
        self.load(at, neutral)
        self.two_feeds()
        self.control(main, overload)

    def control(self, main: str, overload: str) -> None:
        """Build the circuit of the coil: own breaker, controller, override by hand, trip contact, coil with damping part."""
        one, size = self.wanted, _CONTROL_SIZE[self.wanted.rule_set]
        controller, contactor = one.scheme.controller, one.scheme.contactor
        assert contactor is not None
        breaker = self.part("F", 3, "breaker", ("1", "2"), "control circuit 6 A")
        self.wire(("-X0", "L1"), (breaker, "1"), "L1", size=size)
        measures = controller.measures_to_a is not None
        marks = ["L", "11", "N", "14", *(("k", "l") if measures else ())]
        device = self.part("K", 0, "controller", marks, controller.name)
        hand = self.part("S", 0, "hand switch", ("13", "14"), "override by hand")
        self.chain(((breaker, "2"), (hand, "13"), (device, "11"), (device, "L")), "control", size)
        self.wire((device, "N"), ("-X0", "N"), "N", size=size)
        first = (overload, "95") if overload else (main, "A1")
        if overload:
            self.parts.append(Part(overload, "trip contact", ("95", "96"), "trips the coil"))
        # The controller's contact and the override meet before the trip contact, so that neither overrides that.
        self.wire((hand, "14"), (device, "14"), "control", size=size)
        self.wire((device, "14"), first, "control", size=size)
        self.parts.append(Part(main, "coil", ("A1", "A2"), contactor.name))
        if overload:
            self.wire((overload, "96"), (main, "A1"), "control", size=size)
        self.wire((main, "A2"), ("-X0", "N"), "N", size=size)
        if one.scheme.suppressor is not None:
            damping = self.part("R", 0, "damping", ("1", "2"), one.scheme.suppressor.name)
            self.wire((main, "A1"), (damping, "1"), "control", size=size)
            self.wire((main, "A2"), (damping, "2"), "N", size=size)
        if measures:
            around = "the supply" if one.scheme.watches == "the supply" else "a line of the load"
            says = f"transformer {controller.measures_to_a:g} A around {around}"
            transformer = self.part("B", 0, "transformer", ("S1", "S2"), says)
            self.wire((transformer, "S1"), (device, "k"), "signal", size="own lead")
            self.wire((transformer, "S2"), (device, "l"), "signal", size="own lead")


def _load_marks(symbol: Symbol, system: System) -> tuple[str, ...]:
    """Return the marks of a load's terminals: U, V, W of three-phase motors (IEC 60445), the conductors' own otherwise."""
    if symbol == "motor" and system == "three-phase":
        return ("U", "V", "W")
    return {"single-phase": ("L", "N"), "split-phase": ("L1", "L2"), "three-phase": ("L1", "L2", "L3")}[system]


def _rail(mark: str) -> int:
    return ("L1", "L2", "L3", "N", "PE").index(mark)
