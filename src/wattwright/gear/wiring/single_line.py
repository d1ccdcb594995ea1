"""The installation as one line: what comes in, each own source with what isolates it, and a feeder for each load."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Final, Literal

from wattwright.gear.wiring.netlist import Terminal

LineSymbol = Literal[
    "supply", "meter", "breaker", "site meter", "changeover", "parting", "PV", "battery", "generator", "fuse", "isolator",
    "inverter", "overcurrent",
]  # fmt: skip
RAIL: Final = Terminal("rail", "")


@dataclass(frozen=True, slots=True)
class Element:
    """One device in a line, its upper terminal 1 and its lower 2, with what stands beside it.

    A changeover has a third terminal, 3, for the source that feeds in place of what comes to terminal 1; an inverter one for a
    generator whose power it takes.
    """

    device: str
    symbol: LineSymbol
    says: str = ""


@dataclass(frozen=True, slots=True)
class Branch:
    """What goes from the lower terminal of a device to earth: surge protection, or the bond of a neutral with its words."""

    of: str
    device: str
    symbol: Literal["surge", "bond", "bond contact"]
    says: str = ""


@dataclass(frozen=True, slots=True)
class Source:
    """An own source: its devices downwards, where its line ends (the rail, or a device of the incoming line), its branches."""

    name: str
    elements: tuple[Element, ...]
    ends: Terminal = RAIL
    branches: tuple[Branch, ...] = ()


@dataclass(frozen=True, slots=True)
class Incoming:
    """What feeds the rail: the system, the line from the grid downwards, the own sources, and the earthing as written."""

    system: Literal["single-phase", "split-phase", "three-phase"]
    elements: tuple[Element, ...]
    sources: tuple[Source, ...] = ()
    earthing: str = ""


@dataclass(frozen=True, slots=True)
class Feeder:
    """A feeder: the load, its rating in W, and as written its breaker, residual-current device, switch, cable.

    Empty where unknown.

    ``way`` is "in line", "contactor" or empty where nothing switches it; ``number`` is that of its wiring sheet, nought without
    one.
    """

    load: str
    count: str
    rating_w: float
    breaker: str
    residual: str
    way: str
    switch: str
    cable: str
    number: int


@dataclass(frozen=True, slots=True)
class SingleLine:
    """The whole installation."""

    incoming: Incoming
    feeders: tuple[Feeder, ...]


@dataclass(frozen=True, slots=True)
class Joint:
    """A line of the diagram from one terminal to another, by its number on the sheet."""

    number: int
    begins: Terminal
    ends: Terminal


def joints(incoming: Incoming, feeders: Sequence[Feeder]) -> tuple[Joint, ...]:
    """Return every line of a sheet of the diagram: from the grid to the rail, from each source to its end, and to the feeders."""
    pairs = [*_along(incoming.elements, RAIL)]
    for one in incoming.sources:
        pairs += [*_along(one.elements, one.ends)]
        pairs += [(Terminal(branch.of, "2"), Terminal(branch.device, "1")) for branch in one.branches]
    pairs += [(RAIL, Terminal(f"feeder {number}", "1")) for number in range(len(feeders))]
    return tuple(Joint(number, begins, ends) for number, (begins, ends) in enumerate(pairs, start=1))


def _along(elements: Sequence[Element], ends: Terminal) -> Iterator[tuple[Terminal, Terminal]]:
    for index, one in enumerate(elements):
        last = index == len(elements) - 1
        yield Terminal(one.device, "2"), ends if last else Terminal(elements[index + 1].device, "1")
