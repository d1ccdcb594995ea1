"""A wiring as data: devices with their terminals, wires from terminal to terminal, cables.

Source: designations by IEC 81346-2 (Q switches, F protects, K controls, B senses, X terminals, E heats, M moves, S is worked by
hand, R damps, P measures, W carries); marks of terminals by IEC 60445 and EN 50005.
"""

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

Symbol = Literal[
    "rails", "breaker", "residual", "main contacts", "coil", "in-line switch", "controller", "overload", "trip contact",
    "hand switch",
    "damping", "transformer", "control input", "heater", "motor", "lamp", "appliance",
]  # fmt: skip
Potential = Literal["L1", "L2", "L3", "N", "PE", "control", "signal"]


@dataclass(frozen=True, slots=True, order=True)
class Terminal:
    """A terminal of a device, such as A1 of -Q1."""

    device: str
    mark: str

    def __str__(self) -> str:
        """Return it as schedules have it: -Q1:A1."""
        return f"{self.device}:{self.mark}"


@dataclass(frozen=True, slots=True)
class Part:
    """A part of a device as it is drawn: the contacts of a contactor and its coil are two parts of one device."""

    device: str
    symbol: Symbol
    marks: tuple[str, ...]
    says: str

    @property
    def terminals(self) -> tuple[Terminal, ...]:
        """Return its terminals."""
        return tuple(Terminal(self.device, mark) for mark in self.marks)


@dataclass(frozen=True, slots=True)
class Wire:
    """A wire or core from one terminal to another: number, potential, colour in words, size as written, cable if it is a core."""

    number: int
    begins: Terminal
    ends: Terminal
    potential: Potential
    colour: str
    size: str
    cable: str = ""


@dataclass(frozen=True, slots=True)
class CableRun:
    """A cable: designation, what it is, its length as written (empty where nobody measured it), from where to where."""

    designation: str
    says: str
    length: str
    begins: str
    ends: str
    cores: int


@dataclass(frozen=True, slots=True)
class Wiring:
    """The wiring of one load."""

    load: str
    title: str
    parts: tuple[Part, ...]
    wires: tuple[Wire, ...]
    cables: tuple[CableRun, ...]
    notes: tuple[str, ...]

    def terminals(self) -> tuple[Terminal, ...]:
        """Return every terminal there is."""
        return tuple(dict.fromkeys(one for part in self.parts for one in part.terminals))

    def faults(self) -> tuple[str, ...]:
        """Return what is wrong with the wiring itself, as sentences; empty where it is whole."""
        return tuple(self._faults())

    def _faults(self) -> Iterator[str]:
        known = set(self.terminals())
        ends = [end for wire in self.wires for end in (wire.begins, wire.ends)]
        for end in ends:
            if end not in known:
                yield f"a wire ends on {end}, which is no terminal"
        rails = {part.device for part in self.parts if part.symbol == "rails"}
        for end, count in Counter(ends).items():
            if count > MOST_WIRES and end.device not in rails:
                yield f"{count} wires on {end}; a terminal takes {MOST_WIRES}"
        for terminal in self.terminals():
            if terminal not in set(ends):
                yield f"{terminal} is joined to nothing"
        numbers = Counter(wire.number for wire in self.wires)
        for number, count in numbers.items():
            if count > 1:
                yield f"{count} wires have the number {number}"


MOST_WIRES = 2
"""Wires that one terminal takes. Source: common practice, no source."""


@dataclass(frozen=True, slots=True)
class ScheduleRow:
    """A line of the terminal schedule: the terminal, the wire on it, and where that goes."""

    terminal: Terminal
    wire: int
    goes_to: Terminal
    colour: str
    size: str
    cable: str


def terminal_schedule(wiring: Wiring) -> tuple[ScheduleRow, ...]:
    """Return the terminal schedule: each wire twice, once from each of its ends, by terminal."""
    rows = [
        ScheduleRow(here, wire.number, there, wire.colour, wire.size, wire.cable)
        for wire in wiring.wires
        for here, there in ((wire.begins, wire.ends), (wire.ends, wire.begins))
    ]
    return tuple(sorted(rows, key=lambda row: (row.terminal, row.wire)))


def joined(wires: tuple[Wire, ...]) -> dict[Terminal, frozenset[Terminal]]:
    """Return for every terminal all that it is joined to by wires, itself included."""
    groups: dict[Terminal, set[Terminal]] = {}
    for wire in wires:
        group = groups.get(wire.begins, {wire.begins}) | groups.get(wire.ends, {wire.ends})
        for one in group:
            groups[one] = group
    return {one: frozenset(group) for one, group in groups.items()}
