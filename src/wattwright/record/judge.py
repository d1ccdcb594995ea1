"""A table understood: when each row was read, what its columns hold, and everything there is to say about it."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from wattwright.core.clock import SiteClock
from wattwright.core.errors import InputError, Place, RecordError, quoted
from wattwright.core.findings import Finding
from wattwright.core.progress import Progress
from wattwright.record import clockwork, kinds
from wattwright.record.by_file import place_files
from wattwright.record.channels import Understood, course_of, meaning_note, understand
from wattwright.record.columns import why_not
from wattwright.record.faults.stated import energy_over, last_is_sum, stated_step, total_row
from wattwright.record.file_clock import by_stated_clock
from wattwright.record.readers.edges import edges_of
from wattwright.record.readers.half_days import refuse_half_days
from wattwright.record.readers.marks import Mark, without_marks
from wattwright.record.readers.numbers import Numbers, read_columns, settle_decimal
from wattwright.record.readers.one_unit import in_one_unit
from wattwright.record.readers.qualities import Worded, qualities_in, worded
from wattwright.record.readers.rows import Rows
from wattwright.record.readers.shape import DELIMITERS
from wattwright.record.readers.signs import MISSING_SIGNS, NUMBER
from wattwright.record.readers.source import Packing
from wattwright.record.readers.stamps import Stamps, read_stamps
from wattwright.record.readers.states import states_of
from wattwright.record.readers.table import MOST_FAULTS, Table
from wattwright.record.record import Form, Layout, StampsMark
from wattwright.record.seasons import with_season
from wattwright.record.spec import ColumnSpec, LayoutSpec
from wattwright.record.turning import column_index, listed, turn
from wattwright.record.units import unit_in
from wattwright.record.words import shown


@dataclass(frozen=True, slots=True, eq=False)
class Judged:
    """Readings of one meter that are understood but not yet on the fixed step.

    ``starts_s`` (shape (n,), UTC seconds) and the numbers of ``found`` stand row by row as in ``rows``; ``before`` and
    ``after`` are findings about the stamps and about the columns.
    """

    name: str
    meter: str
    rows: Rows
    starts_s: NDArray[np.int64]
    step_s: int
    mark: StampsMark
    found: Mapping[int, Understood]
    layout: Layout
    before: tuple[Finding, ...]
    after: tuple[Finding, ...]


def judge_table(table: Table, packing: Packing, clock: SiteClock, said: LayoutSpec, zoned: bool, progress: Progress) -> Judged:
    """Return what ``table`` holds; ``zoned`` tells that a person gave the zone of ``clock``; raises RecordError."""
    progress.at("reading the stamps", 1, 4)
    stamps = read_stamps(table, said.date_order)
    refuse_half_days(stamps, table)
    stamps = stamps if said.clock or not zoned else with_season(stamps, table, clock)
    stated: list[Finding] = []
    if not said.clock:
        stamps, its_clock, stated = by_stated_clock(stamps, table, clock, zoned)
        clock, zoned = its_clock, zoned or its_clock != clock
    about = clockwork.Said(said.stamps, said.clock, zoned)
    placed = place_files(stamps, table.rows, clockwork.Columns(table.names, table.header.preamble), clock, about)
    progress.at("reading the numbers", 2, 4)
    told = said_columns(table.names, Place(table.name, table.header.row), said.columns)
    read, decimal = _numbers(table, stamps.columns, told, said)
    rest = [i for i in range(table.body.width) if i not in read and i not in stamps.columns]
    said_so = {i: quality for i in rest if (quality := worded(table, i)) is not None}
    read |= {i: states for i in rest if i not in said_so and (states := states_of(table, i)) is not None}
    read, qualities, coded = qualities_in(read, table.names, said_so, told)
    # Where codes beside the readings tell which are missing, no number has to stand for that.
    cleared = {i: (one, ()) if i in coded else without_marks(one) for i, one in read.items()}
    read = {i: one for i, (one, _) in cleared.items()}
    read, changes = in_one_unit(read, table.names, told, table.rows)
    course = course_of(placed.starts_s, placed.step_s)
    found = understand(read, table.names, told, course, placed.step_s)
    found = {i: replace(one, quality=qualities.get(i)) for i, one in found.items()}
    found, turns = turn(found, table.names, Place(table.name, table.header.row), said.turned)
    unknown = tuple(table.names[i] for i in read if i not in found)
    texts = [i for i in rest if i not in read and i not in said_so and _has_text(table, i)]
    if not found:
        raise nothing_measured(table.names, Place(table.name, table.header.row), unknown)
    after = [
        *changes,
        *_notes(table, found),
        *(_marked(table, i, mark) for i in found for mark in cleared[i][1]),
        *turns,
        *(stated_step(table.names, table.header.preamble, placed.step_s) or energy_over(found, placed.step_s)),
        *total_row(table.dropped, found, decimal),
        *last_is_sum(found, course.order),
        *_of_texts(table, said_so, texts),
        *(_left_out(name) for name in unknown),
    ]
    unread = tuple(table.names[i] for i in sorted({*texts, *(i for i in read if i not in found)}))
    return Judged(
        name=table.name,
        meter="",
        rows=table.rows,
        starts_s=placed.starts_s,
        step_s=placed.step_s,
        mark=placed.mark,
        found=found,
        layout=_layout(packing, table, stamps, placed, decimal, unread),
        before=(*stated, *_of_stamps(placed, found)),
        after=tuple(after),
    )


def _layout(
    packing: Packing, table: Table, stamps: Stamps, placed: clockwork.Placed, decimal: str, unknown: tuple[str, ...]
) -> Layout:
    first, last = edges_of(table)
    return Layout(
        encoding=packing.encoding,
        compression=packing.compression,
        delimiter=DELIMITERS.get(table.delimiter, packing.delimiter),
        decimal={".": "point", ",": "comma"}[decimal],
        preamble_rows=len(table.header.preamble) if table.delimiter else 0,
        header_row=table.header.row,
        columns=table.names,
        stamp_columns=tuple(table.names[i] for i in stamps.columns),
        stamp_format=stamps.format,
        stamps=placed.mark,
        stamps_why=placed.mark_why,
        clock_why=placed.clock_why,
        unread_columns=unknown,
        first_rows=tuple((number, shown(text)) for number, text in first),
        last_rows=tuple((number, shown(text)) for number, text in last),
    )


def said_columns(names: Sequence[str], place: Place, specs: Sequence[ColumnSpec]) -> dict[int, ColumnSpec]:
    """Return what a person said, by column index; raises RecordError for a column that is not there."""
    return {column_index(names, place, spec.column): spec for spec in specs}


def _numbers(
    table: Table, stamp_columns: Sequence[int], told: dict[int, ColumnSpec], said: LayoutSpec
) -> tuple[dict[int, Numbers], str]:
    """Return the columns of numbers and the decimal mark; raises RecordError with every text that is no number."""
    wanted = [i for i in range(table.body.width) if i not in stamp_columns and (i in told or _is_numeric(table, i))]
    if not wanted:
        return {}, said.decimal or "."
    decimal = said.decimal or table.decimal or settle_decimal(table, wanted)
    read = read_columns(table, wanted, decimal)
    if said.unreadable == "refuse":
        expected = f"a number, its decimals behind a {'comma' if decimal == ',' else 'point'}"
        step = "Correct the row, or count such entries as missing with --unreadable missing."
        faults = [f for i, n in read.items() for f in table.faults(n.unread, [i], "record.number", expected, step)]
        if faults:
            raise RecordError(faults[:MOST_FAULTS])
    for i, numbers in read.items():
        _refuse_doubtful_thousands(table, i, numbers)
    return read, decimal


def _is_numeric(table: Table, column: int) -> bool:
    if table.is_typed(column):
        return True
    sample = [one.strip() for one in table.sample(column, 200)]
    filled = [one for one in sample if one.lower() not in MISSING_SIGNS]
    numbers = sum(NUMBER.fullmatch(one) is not None for one in filled)
    # Where the name gives a unit, text among few numbers is damage to be told, not another kind of column.
    return numbers > 0 and (2 * numbers >= len(filled) or unit_in(table.names[column]) != "")


def _refuse_doubtful_thousands(table: Table, column: int, numbers: Numbers) -> None:
    """Raise RecordError where some numbers part their thousands and others of that size do not: one of the two is misread."""
    if not numbers.grouped:
        return
    bare = np.abs(numbers.values) >= 1000
    bare[list(numbers.grouped)] = False
    if bare.any():
        row, other = numbers.grouped[0], int(np.argmax(bare))
        found, beside = (quoted(str(table.text(column)[i]).strip()) for i in (row, other))
        raise RecordError.one(
            "record.thousands",
            table.place(row, [column]),
            found=found,
            wanted=f"one way of writing; row {table.rows.number(other):,} has {beside} without a mark between the thousands",
            next_step="Export the readings again without marks between thousands.",
        )


def _has_text(table: Table, column: int) -> bool:
    return any(one.strip().lower() not in MISSING_SIGNS for one in table.text(column).unique().to_list())


def _of_texts(table: Table, said_so: Mapping[int, Worded], left: Sequence[int]) -> list[Finding]:
    """Return what is to be said about columns of text: those that tell how good the readings are, and those left out."""
    notes = []
    for i, one in said_so.items():
        told = ", ".join(f"{quoted(text)} as {meaning}" for text, meaning in one.said)
        notes.append(kinds.QUALITY_WORDS.at("columns", column=table.names[i], words=told))
    for i in left:
        first = next(one.strip() for one in table.text(i).to_list() if one.strip().lower() not in MISSING_SIGNS)
        notes.append(kinds.COLUMN_TEXT.at("columns", column=table.names[i], found=quoted(first)))
    return notes


def _notes(table: Table, found: Mapping[int, Understood]) -> list[Finding]:
    """Return what is to be said about rows left out, and about each column: how it was read, and what was no number in it."""
    notes = [kinds.SHORT_ROW.at("rows", row=row, found=quoted(" | ".join(text.split("\t")))) for row, text in table.dropped]
    if table.headers_again:
        notes.append(kinds.HEADER_AGAIN.at("rows", row=table.headers_again[0], count=len(table.headers_again)))
    for i, one in found.items():
        notes.append(meaning_note(one))
        numbers = one.numbers
        if numbers.unread:
            row = numbers.unread[0]
            count, first, entry = len(numbers.unread), table.rows.number(row), quoted(table.text(i)[row])
            notes.append(kinds.REFUSED_AS_MISSING.at("rows", count=count, column=one.name, found=entry, row=first))
        if numbers.grouped:
            row = numbers.grouped[0]
            count, first, value = len(numbers.grouped), table.rows.number(row), float(numbers.values[row])
            entry = quoted(table.text(i)[row].strip())
            notes.append(kinds.GROUPED.at("rows", count=count, column=one.name, found=entry, row=first, value=value))
        if numbers.signs:
            count = sum(times for _, times in numbers.signs)
            tokens = ", ".join(quoted(sign) if sign else "nothing" for sign, _ in numbers.signs)
            notes.append(kinds.UNREADABLE.at("rows", count=count, column=one.name, tokens=tokens))
    return notes


def _marked(table: Table, column: int, mark: Mark) -> Finding:
    name, row = table.names[column], table.rows.number(mark.row)
    return kinds.MARKED_MISSING.at("rows", column=name, value=mark.value, count=mark.count, row=row)


def _left_out(column: str) -> Finding:
    why = why_not(column)
    return kinds.COLUMN_UNIT.at("columns", column=column, why=why) if why else kinds.COLUMN.at("columns", column=column)


def _of_stamps(placed: clockwork.Placed, found: Mapping[int, Understood]) -> list[Finding]:
    """Return the findings about stamps; where all columns are registers, each is read at an instant and no end is in doubt."""
    moot = all(one.meaning.form is Form.REGISTER for one in found.values())
    return [f for f in placed.findings if not (moot and f.code == kinds.STAMPS_ASSUMED.code)]


def nothing_measured(names: Sequence[str], place: Place, unknown: Sequence[str]) -> InputError:
    """Return the error for a file of which no column is understood; ``unknown`` are those that hold numbers."""
    reasons = [f"; of {quoted(name)}, {why}" for name in unknown if (why := why_not(name))]
    return RecordError.one(
        "record.no-reading",
        place,
        found=f"columns {listed(unknown or names)}{''.join(reasons[:3])}",
        wanted="at least one column whose name says what it measures, such as kWh or kW",
        next_step="Say what a column holds: in the job file under the meter file's columns, "
        'or with --column "NAME=quantity,form,unit".',
        field="columns",
        choices=tuple(unknown),
    )
