"""The one way in: a meter file becomes a record, with every decision said and every fault of the file together."""

import re
from dataclasses import replace
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from wattwright.core.clock import SiteClock
from wattwright.core.errors import InputError, Place, RecordError
from wattwright.core.findings import Finding
from wattwright.core.progress import SILENT, Progress
from wattwright.core.quality import Quality
from wattwright.core.quantity import Direction, Phase, Quantity
from wattwright.core.series import Series
from wattwright.record import clockwork, columns, grid, kinds
from wattwright.record.readers.numbers import Numbers, read_numbers, refuse_unread, settle_decimal
from wattwright.record.readers.opening import open_text
from wattwright.record.readers.signs import Look, look
from wattwright.record.readers.stamps import read_stamps
from wattwright.record.readers.table import DELIMITERS, Table, read_table
from wattwright.record.record import Channel, Form, Layout, Meaning, Record, Run
from wattwright.record.spec import ColumnSpec, LayoutSpec

Floats = NDArray[np.float64]


def read_record(
    path: Path, zone: str = "", layout: LayoutSpec | None = None, meter: str = "main", progress: Progress = SILENT
) -> Record:
    """Return the record in the meter file at ``path``.

    ``zone`` is the site's IANA zone; left empty, the stamps are taken as a clock that never changes, with a finding. ``layout``
    holds what a person said about the file. Raises FileError and RecordError with every fault found.
    """
    said = layout or LayoutSpec()
    clock = SiteClock(zone or "UTC")
    progress.at("opening the file", 0, 4)
    opened = open_text(path)
    table = read_table(opened, said.delimiter)
    progress.at("reading the stamps", 1, 4)
    stamps = read_stamps(table, said.date_order)
    placed = clockwork.place(stamps, table.names, clock, bool(zone), said.stamps, said.clock)
    progress.at("reading the numbers", 2, 4)
    found, decimal, notes, unknown = _numbers(table, stamps.columns, said)
    if not found:
        raise _nothing_measured(table, unknown)
    progress.at("putting the readings in order", 3, 4)
    values = np.column_stack([numbers.values for numbers, _, _ in found.values()])
    laid = grid.lay_out(placed.starts_s, placed.step_s, values, table.name, table.rows)
    channels, more = _channels(found, laid, table, meter)
    gaps, gap_notes = _gaps(channels, laid)
    dropped = [kinds.SHORT_ROW.at(table.name, row=row, found=text[:60]) for row, text in table.dropped[-1:]]
    shape = Layout(
        opened.encoding,
        opened.compression,
        DELIMITERS[table.delimiter],
        {".": "point", ",": "comma"}[decimal],
        len(table.preamble),
        table.header_row,
        table.names,
        tuple(table.names[i] for i in stamps.columns),
        stamps.format,
        placed.mark,
        placed.mark_why,
        placed.clock_why,
        unknown,
    )
    findings = (*placed.findings, *laid.findings, *gap_notes, *dropped, *notes, *more)
    return Record(
        opened.source, clock.zone, table.body.height, shape, channels, gaps, laid.duplicates, _with_place(findings, table.name)
    )


def _with_place(findings: tuple[Finding, ...], name: str) -> tuple[Finding, ...]:
    return tuple(replace(f, where=name if f.where == name else f"{name}, {f.where}") for f in findings)


_Found = dict[int, tuple[Numbers, Meaning, ColumnSpec | None]]


def _numbers(
    table: Table, stamp_columns: tuple[int, ...], said: LayoutSpec
) -> tuple[_Found, str, list[Finding], tuple[str, ...]]:
    """Return the understood columns with their numbers, the decimal mark, findings, and the names of columns left out."""
    spec_of = _said_columns(table, said.columns)
    numeric = [i for i in range(len(table.names)) if i not in stamp_columns and (i in spec_of or _is_numeric(table, i))]
    decimal = said.decimal or settle_decimal(table, numeric)
    found: _Found = {}
    notes: list[Finding] = []
    unknown = []
    for i in numeric:
        numbers = read_numbers(table, i, decimal)
        spec = spec_of.get(i)
        meaning = columns.from_spec(spec, table.names[i]) if spec else columns.meaning_of(table.names[i], numbers.values)
        if meaning is None:
            unknown.append(i)
            continue
        found[i] = (numbers, meaning, spec)
    if len(unknown) == 1 and not found:
        guessed = _only_column(table, unknown[0], read_numbers(table, unknown[0], decimal))
        if guessed is not None:
            found[unknown[0]] = guessed
            unknown = []
    _settle_units(found)
    for i, (numbers, meaning, _) in found.items():
        notes += _unread_notes(table, i, numbers, said)
        notes.append(kinds.MEANING.at(table.name, column=table.names[i], what=_in_words(meaning), why=meaning.why))
    notes += [kinds.COLUMN.at(table.name, column=table.names[i]) for i in unknown]
    return found, decimal, notes, tuple(table.names[i] for i in unknown)


def _only_column(table: Table, column: int, numbers: Numbers) -> tuple[Numbers, Meaning, None] | None:
    """Return the meaning of a file's only column if its name speaks of energy without a unit: kWh or Wh by its size."""
    if not columns.has_word(columns.plain(table.names[column]), columns.words()["quantity"]["energy"]):
        return None
    largest = float(np.nanmax(np.abs(numbers.values))) if np.isfinite(numbers.values).any() else 0.0
    unit = "Wh" if largest > 400 else "kWh"
    why = f"its name speaks of energy, and values up to {largest:g} fit {unit}"
    factor = columns.UNITS[unit][2]
    return numbers, Meaning(Quantity.ACTIVE_POWER, Form.ENERGY, unit, factor, Phase.TOTAL, Direction.IMPORT, why), None


def _said_columns(table: Table, specs: tuple[ColumnSpec, ...]) -> dict[int, ColumnSpec]:
    told: dict[int, ColumnSpec] = {}
    for spec in specs:
        if spec.column in table.names:
            told[table.names.index(spec.column)] = spec
        elif spec.column.isdigit() and 1 <= int(spec.column) <= len(table.names):
            told[int(spec.column) - 1] = spec
        else:
            raise RecordError.one(
                "record.no-column",
                Place(table.name, table.header_row, spec.column),
                found=f'no column "{spec.column}"',
                wanted="one of " + ", ".join(table.names),
                next_step="Correct the name in the meter file's columns.",
            )
    return told


def _is_numeric(table: Table, column: int) -> bool:
    text = table.body[str(column)]
    step = max(1, len(text) // 200)
    kinds_seen = [look(str(one)) for one in text.gather_every(step).head(220)]
    numbers = sum(kind is Look.NUMBER for kind in kinds_seen)
    return numbers > 0 and numbers >= sum(kind not in (Look.NUMBER, Look.EMPTY) for kind in kinds_seen)


def _settle_units(found: _Found) -> None:
    """Let voltage times current decide between W and kW where a power's unit was only judged by its size."""
    volts = [n.values for n, m, _ in found.values() if m.quantity is Quantity.VOLTAGE]
    amps = [n.values * m.factor for n, m, _ in found.values() if m.quantity is Quantity.CURRENT]
    if len(volts) != 1 or len(amps) != 1:
        return
    for i, (numbers, meaning, spec) in found.items():
        if meaning.quantity is Quantity.ACTIVE_POWER and meaning.form is Form.MEAN and "fit" in meaning.why:
            settled = columns.settle_by_volts_and_amps(meaning, numbers.values, volts[0] * amps[0])
            found[i] = (numbers, settled, spec)


def _unread_notes(table: Table, column: int, numbers: Numbers, said: LayoutSpec) -> list[Finding]:
    notes = []
    name = table.names[column]
    if numbers.unread:
        if said.unreadable == "refuse":
            refuse_unread(table, column, numbers.unread)
        row = numbers.unread[0]
        text = str(table.body[str(column)][row])[:40]
        count, first = len(numbers.unread), int(table.rows[row])
        notes.append(kinds.REFUSED_AS_MISSING.at(table.name, count=count, column=name, found=f'"{text}"', row=first))
    if numbers.signs:
        count = sum(times for _, times in numbers.signs)
        tokens = ", ".join(f'"{sign}"' if sign else "nothing" for sign, _ in numbers.signs)
        notes.append(kinds.UNREADABLE.at(table.name, count=count, column=name, tokens=tokens))
    return notes


def _in_words(meaning: Meaning) -> str:
    parts = [meaning.quantity.value, meaning.form.value, f"in {meaning.unit}" if meaning.unit != "1" else ""]
    parts += [meaning.phase.value] if meaning.phase is not Phase.TOTAL else []
    parts += [meaning.direction.value] if meaning.direction in (Direction.EXPORT, Direction.NET) else []
    return ", ".join(part for part in parts if part)


def _channels(found: _Found, laid: grid.Grid, table: Table, meter: str) -> tuple[tuple[Channel, ...], list[Finding]]:
    channels, notes = [], []
    taken: set[str] = set()
    for i, (numbers, meaning, spec) in found.items():
        raw = np.full(laid.intervals, np.nan)
        raw[laid.index] = numbers.values[laid.row]
        quality = np.full(laid.intervals, np.uint8(Quality.MISSING))
        read = ~np.isnan(raw)
        quality[read] = Quality.VALID
        quality[laid.index[laid.questionable]] = np.uint8(Quality.QUESTIONABLE)
        values, quality, more = _held(raw, quality, meaning, laid, table.names[i])
        notes += more
        id_ = _id(spec.id if spec and spec.id else table.names[i], taken)
        channels.append(Channel(id_, table.names[i], meter, meaning, Series(laid.start_s, laid.step_s, values, quality, raw)))
        notes += _negatives(channels[-1])
    return tuple(channels), notes


def _held(
    raw: Floats, quality: NDArray[np.uint8], meaning: Meaning, laid: grid.Grid, name: str
) -> tuple[Floats, NDArray[np.uint8], list[Finding]]:
    """Return the values in the unit held, their quality, and findings about a register."""
    if meaning.form is Form.ENERGY:
        return raw * meaning.factor * 3600 / laid.step_s, quality, []
    if meaning.form is not Form.REGISTER:
        return raw * meaning.factor, quality, []
    used = np.append(np.diff(raw), np.nan)
    back = np.flatnonzero(used < 0)
    values = np.where(used < 0, np.nan, used * meaning.factor * 3600 / laid.step_s)
    quality = np.where(np.isnan(values), np.uint8(Quality.MISSING), quality)
    notes = []
    if len(back):
        start = int(laid.start_s + laid.step_s * back[0])
        notes.append(kinds.REGISTER_BACK.at(name, column=name, count=len(back), start=start))
    return values, quality, notes


def _negatives(channel: Channel) -> list[Finding]:
    if channel.meaning.direction is not Direction.IMPORT or channel.meaning.quantity is not Quantity.ACTIVE_POWER:
        return []
    below = np.flatnonzero(channel.series.values < 0)
    if not len(below):
        return []
    start = int(channel.series.times_s[below[0]])
    return [kinds.NEGATIVE.at(channel.column, count=len(below), column=channel.column, start=start)]


def _id(name: str, taken: set[str]) -> str:
    base = re.sub(r"[^a-z0-9]+", "-", columns.plain(name)).strip("-") or "channel"
    id_, number = base, 2
    while id_ in taken:
        id_, number = f"{base}-{number}", number + 1
    taken.add(id_)
    return id_


def _gaps(channels: tuple[Channel, ...], laid: grid.Grid) -> tuple[tuple[Run, ...], list[Finding]]:
    """Return the stretches in which the first power channel (or else the first channel) has no reading."""
    of_power = [c for c in channels if c.meaning.quantity is Quantity.ACTIVE_POWER]
    series = (of_power or list(channels))[0].series
    present = series.present
    # A register's last reading only closes the interval before it.
    length = len(series) - 1 if (of_power or list(channels))[0].meaning.form is Form.REGISTER else len(series)
    missing = np.flatnonzero(~present[:length])
    gaps = grid.runs_of(series.start_s + laid.step_s * missing, laid.step_s)
    if not gaps:
        return (), []
    longest = max(gaps, key=lambda gap: gap.intervals)
    note = kinds.GAPS.at(
        "intervals",
        missing=len(missing),
        intervals=length,
        gaps=len(gaps),
        longest=longest.end_s - longest.start_s,
        start=longest.start_s,
    )
    return gaps, [note]


def _nothing_measured(table: Table, unknown: tuple[str, ...]) -> InputError:
    return RecordError.one(
        "record.no-reading",
        Place(table.name, table.header_row),
        found="columns " + ", ".join(f'"{name}"' for name in unknown or table.names),
        wanted="at least one column whose name says what it measures, such as kWh or kW",
        next_step="Say what a column holds: in the job file under the meter file's columns, or with --column.",
    )
