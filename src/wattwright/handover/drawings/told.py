"""What each drawing shows, as tables: devices with their terminals, what joins them, cables."""

from collections.abc import Iterator, Sequence

from wattwright.charts.table import Cell, Table
from wattwright.gear.wiring.netlist import Wiring, terminal_schedule
from wattwright.gear.wiring.single_line import RAIL, Branch, Element, Feeder, Incoming, SingleLine
from wattwright.handover.drawings.sheet import Size
from wattwright.handover.drawings.single_line import feeders_by_sheet, in_watts
from wattwright.handover.wide import table, text_column

_RAIL = "the rail"
_AS_IT_IS = "as it is"


def tables_of(what: SingleLine, wirings: Sequence[Wiring], size: Size) -> tuple[tuple[Table, ...], ...]:
    """Return the tables of each sheet, in the order in which :func:`files.sheets_of` draws them.

    The second of each says what is joined with what: the feeders of the single-line diagram, the terminals with their wires.
    """
    parts = feeders_by_sheet(what, size)
    begins = [1 + sum(len(one) for one in parts[:at]) for at in range(len(parts))]
    lines = [(_incoming(what.incoming), _feeders(part, first)) for part, first in zip(parts, begins, strict=True)]
    return (*lines, *(_wired(one) for one in wirings))


def _texts(heads: Sequence[str], rows: Sequence[Sequence[Cell]], caption: str) -> Table:
    return table([text_column(one) for one in heads], rows, caption)


def _incoming(one: Incoming) -> Table:
    lines = [("Grid", one.elements, RAIL.device, ()), *((s.name, s.elements, s.ends.device, s.branches) for s in one.sources)]
    rows = [row for name, elements, ends, branches in lines for row in _line(name, elements, ends, branches)]
    return _texts(("Line", "Device", "Kind", "What stands beside it", "Goes on to"), rows, "What feeds the board")


def _line(name: str, elements: Sequence[Element], ends: str, branches: Sequence[Branch]) -> Iterator[tuple[str, ...]]:
    """Yield the devices of a line downwards, and what goes from it to earth."""
    following = [*(one.device for one in elements[1:]), _RAIL if ends == RAIL.device else ends]
    for one, to in zip(elements, following, strict=True):
        yield name, one.device, one.symbol, " ".join(one.says.split()), to
    for branch in branches:
        yield name, branch.device, branch.symbol, " ".join(branch.says.split()), f"earth, from {branch.of}"


def _feeders(part: Sequence[Feeder], first: int) -> Table:
    rows = [
        (
            str(number), f"{one.count}{one.load}", in_watts(one.rating_w), one.breaker or _AS_IT_IS,
            one.residual or ("none drawn" if one.breaker else _AS_IT_IS),
            f"{one.way}: {one.switch}" if one.way else "not switched", one.cable or _AS_IT_IS,
        )
        for number, one in enumerate(part, first)
    ]  # fmt: skip
    heads = ("Feeder", "Load", "Rating", "Breaker", "Residual-current device", "Switched by", "Cable")
    return _texts(heads, rows, "Feeders from the rail")


def _wired(one: Wiring) -> tuple[Table, ...]:
    devices = [(part.device, part.symbol, ", ".join(part.marks), " ".join(part.says.split())) for part in one.parts]
    joins = [
        (str(row.terminal), str(row.wire), str(row.goes_to), row.colour, row.size, row.cable) for row in terminal_schedule(one)
    ]
    cables = [(run.designation, run.says, run.length, run.begins, run.ends, str(run.cores)) for run in one.cables]
    found = (
        _texts(("Device", "Part", "Terminals", "What it is"), devices, "Devices and their terminals"),
        _texts(("Terminal", "Wire", "Goes to", "Colour", "Size", "Cable"), joins, "Terminals and conductors, from both ends"),
        _texts(("Cable", "What", "Length", "From", "To", "Cores"), cables, "Cables"),
    )
    return tuple(one for one in found if one.rows)
