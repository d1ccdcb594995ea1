"""A record: what a meter logged, channel by channel, with the original it came from and how it was understood."""

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum

from wattwright.core.basis import Basis
from wattwright.core.files import SourceFile
from wattwright.core.findings import Finding
from wattwright.core.quantity import Direction, Phase, Quantity
from wattwright.core.series import Series
from wattwright.record.words import has_word, plain, rate_in, words


class Form(StrEnum):
    """How a column's numbers stand for the quantity."""

    MEAN = "mean"
    ENERGY = "energy per interval"
    REGISTER = "register"
    STATE = "state"
    HIGHEST = "highest in the interval"
    LOWEST = "lowest in the interval"

    @property
    def is_extreme(self) -> bool:
        """Return whether the numbers are the highest or lowest in each interval: evidence of peaks that adds up to nothing."""
        return self in (Form.HIGHEST, Form.LOWEST)


class StampsMark(StrEnum):
    """Which end of its interval a stamp marks."""

    START = "start"
    END = "end"


@dataclass(frozen=True, slots=True)
class Meaning:
    """What a column holds.

    ``factor`` turns one unit as read into the unit held (W for a mean of kW: 1000; Wh for energy in kWh: 1000).
    ``offset`` is added after that, for degrees that begin elsewhere. ``why`` says what the decision rests on; ``guessed`` that
    the unit was only judged by the size of the numbers; ``form_open`` that its numbers look like a register's, but may be
    energies of an interval as well.
    """

    quantity: Quantity
    form: Form
    unit: str
    factor: float
    phase: Phase
    direction: Direction
    why: str
    guessed: bool = False
    offset: float = 0.0
    form_open: bool = False


@dataclass(frozen=True, slots=True, eq=False)
class Channel:
    """One quantity over time. ``id`` is stable; ``column`` is the name it had in the file; values are in ``quantity.unit``.

    ``basis`` tells a channel that was read from one worked out from others, surely or by an assumption; ``parts`` are the ids
    of those that it is the sum of, as rates of one supply.
    """

    id: str
    column: str
    meter: str
    meaning: Meaning
    series: Series
    basis: Basis = Basis.MEASURED
    parts: tuple[str, ...] = ()


PART = 1
"""How far the name of a part lets its power stand for the site."""


def standing(column: str) -> int:
    """Return how far a column's name lets its power stand for the site: 3 a total, 2 any other, 1 a part, 0 generation."""
    flat, known = plain(column), words("site")
    if has_word(flat, known["generated"]) and not has_word(flat, known["used"]):
        return 0
    if has_word(flat, known["part"]) or rate_in(column) is not None:
        return PART
    return 3 if has_word(flat, known["whole"]) else 2


def standing_of(channel: Channel) -> int:
    """Return how far a channel stands for the site: the sum of rates as any whole, others by their names."""
    named = standing(channel.column)
    return PART + 1 if channel.parts and named == PART else named


@dataclass(frozen=True, slots=True)
class Layout:
    """How the file was understood, each decision in words a person can check.

    ``first_rows`` and ``last_rows`` are rows as they stand in the file, each with its number; none where the file has no rows.
    """

    encoding: str
    compression: str
    delimiter: str
    decimal: str
    preamble_rows: int
    header_row: int | None
    columns: tuple[str, ...]
    stamp_columns: tuple[str, ...]
    stamp_format: str
    stamps: StampsMark
    stamps_why: str
    clock_why: str
    unread_columns: tuple[str, ...]
    first_rows: tuple[tuple[int, str], ...] = ()
    last_rows: tuple[tuple[int, str], ...] = ()


@dataclass(frozen=True, slots=True)
class Run:
    """A stretch [start, end) in UTC seconds and the number of intervals it holds."""

    start_s: int
    end_s: int
    intervals: int


@dataclass(frozen=True, slots=True, eq=False)
class Record:
    """Everything read from one meter file. Channels share one step; ``rows`` counts the data rows of the file.

    ``derived`` are channels that no column holds but others give, such as net from import and export.
    """

    source: SourceFile
    zone: str
    rows: int
    layout: Layout
    channels: tuple[Channel, ...]
    gaps: tuple[Run, ...]
    duplicates: tuple[Run, ...]
    findings: tuple[Finding, ...]
    derived: tuple[Channel, ...] = ()

    def channel(self, id_: str) -> Channel:
        """Return the channel with that id; raises KeyError with the ids there are."""
        for one in self.all:
            if one.id == id_:
                return one
        raise KeyError(f"no channel {id_!r}; there are {', '.join(c.id for c in self.all)}")

    @property
    def all(self) -> tuple[Channel, ...]:
        """Return the channels that were read and those worked out from them."""
        return (*self.channels, *self.derived)

    def of(self, quantity: Quantity) -> tuple[Channel, ...]:
        """Return the channels that hold ``quantity``, in the order of the file; those worked out only where none was read.

        The highest and lowest within each interval are not among them.
        """
        read = tuple(c for c in self.channels if c.meaning.quantity is quantity and not c.meaning.form.is_extreme)
        return read or tuple(c for c in self.derived if c.meaning.quantity is quantity)

    def highest(self, quantity: Quantity) -> tuple[Channel, ...]:
        """Return the channels that hold the highest value of ``quantity`` within each interval, in the order of the file."""
        return tuple(c for c in self.channels if c.meaning.quantity is quantity and c.meaning.form is Form.HIGHEST)

    @property
    def main(self) -> Channel | None:
        """Return the channel that stands for the site's active power, None where there is none.

        That is a whole power, by its name the total, else no part and nothing that is generated; of several the first. Rates
        that are parts of one supply give way to their sum.
        """
        sums = [c for c in self.derived if c.parts]
        inside = {part for one in sums for part in one.parts}
        power = [*sums, *(c for c in self.of(Quantity.ACTIVE_POWER) if c.id not in inside)]
        wanted = [c for c in power if c.meaning.direction is not Direction.EXPORT] or list(power)
        whole = [c for c in wanted if c.meaning.phase is Phase.TOTAL]
        return max(whole or wanted, key=standing_of, default=None)

    def describe(self) -> Mapping[str, str]:
        """Return the layout as label and words, in the order a person would check it."""
        lay = self.layout
        header = "none" if lay.header_row is None else f"row {lay.header_row}"
        rows = "1 row" if lay.preamble_rows == 1 else f"{lay.preamble_rows} rows"
        above = f", after {rows} of preamble" if lay.preamble_rows else ""
        return {
            "encoding": lay.encoding + (f", packed by {lay.compression}" if lay.compression else ""),
            "delimiter": lay.delimiter,
            "decimal mark": lay.decimal,
            "header": header + above,
            "stamps": f"{' and '.join(lay.stamp_columns)}, read as {lay.stamp_format}",
            "stamps mark": f"the {lay.stamps.value} of the interval: {lay.stamps_why}",
            "clock": lay.clock_why,
        }
