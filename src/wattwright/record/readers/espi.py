"""ESPI files (NAESB REQ.21): entries linked into meters, readings with their starts, lengths, units and quality."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from wattwright.core.errors import Fault, Place, RecordError
from wattwright.core.findings import Finding
from wattwright.core.quality import Quality
from wattwright.record import kinds
from wattwright.record.readers.align import Line, align
from wattwright.record.readers.dates import FIRST_YEAR, LAST_YEAR
from wattwright.record.readers.espi_codes import meaning_of, name_of, quality_of, time_words
from wattwright.record.readers.espi_xml import Block, Entry, Feed, Reading, read_feed
from wattwright.record.readers.opening import Unpacked
from wattwright.record.readers.source import Metered, Packing, Piece
from wattwright.record.readers.table import MOST_FAULTS

_HEAD = 1 << 16
_YEAR_S = 31_556_952
_EARLIEST_S, _LATEST_S = 0, (LAST_YEAR + 1 - FIRST_YEAR) * _YEAR_S
_ELECTRICITY = (None, 0)
_COMMODITIES = (None, 0, 1, 2)
"""Electricity, or nothing said, as the kind of a service category and as the commodity of a reading type."""


@dataclass(frozen=True, slots=True)
class _Point:
    """One usage point: its entry (None where the file has none) and its meter readings, each with its type and blocks."""

    entry: Entry | None
    meters: "list[_Meter]"


@dataclass(frozen=True, slots=True)
class _Meter:
    type: Entry | None
    blocks: list[Block]


def is_espi(content: bytes) -> bool:
    """Return whether ``content`` is XML that names the ESPI namespace at its head."""
    # Without NUL bytes the head of UTF-16 text reads like plain text.
    head = content[:_HEAD].replace(b"\0", b"").lstrip(b"\xef\xbb\xbf\xff\xfe \r\n\t")
    return head.startswith(b"<") and b"naesb.org/espi" in head


def read_espi(file: Unpacked) -> list[Piece]:
    """Return the electricity meters of an ESPI file, one piece for each usage point and length of interval.

    Raises RecordError with line and text where something cannot be read, and where no meter reading of electricity is in it.
    """
    feed = read_feed(file.content, file.name)
    points = _points(feed.entries)
    notes = _notes(feed)
    pieces = []
    for number, point in enumerate(points, 1):
        last = point.entry.self_link.rstrip("/").rpartition("/")[2] if point.entry else ""
        meter = (point.entry.title if point.entry else "") or f"usage point {last or number}"
        pieces += _metered(point, meter, file.name, notes)
    if not pieces:
        types = [one.type for point in points for one in point.meters if one.type is not None]
        gas = any(point.entry is not None and _service(point.entry) not in _ELECTRICITY for point in points)
        gas = gas or any(one.code("commodity") not in _COMMODITIES for one in types)
        raise RecordError.one(
            "record.no-reading",
            Place(file.name),
            found="readings of another commodity only" if gas else "no interval readings",
            wanted="a usage point of electricity with its meter readings and interval blocks",
            next_step="Ask for the interval readings of the electricity meter.",
        )
    packing = Packing("XML", file.compression, "elements")
    return [Piece(one, packing) for one in pieces]


def _service(entry: Entry) -> int | None:
    return entry.code("ServiceCategory/kind")


def _notes(feed: Feed) -> tuple[Finding, ...]:
    notes = []
    if feed.costs:
        notes.append(kinds.COST_LEFT.at("readings", count=feed.costs))
    for entry in feed.entries:
        if entry.kind == "LocalTimeParameters":
            notes.append(kinds.FILE_CLOCK.at("stamps", clock=time_words(entry)))
    return tuple(notes)


def _points(entries: Sequence[Entry]) -> list[_Point]:
    """Return the usage points with what belongs to them, by the links, and by the order where links are missing."""
    points = [entry for entry in entries if entry.kind == "UsagePoint"]
    meters = [entry for entry in entries if entry.kind == "MeterReading"]
    types = [entry for entry in entries if entry.kind == "ReadingType"]
    held: dict[int, list[Block]] = {id(meter): [] for meter in meters}
    loose: list[Block] = []
    for entry in entries:
        if entry.blocks:
            owner = _owner(entry, meters)
            (held[id(owner)] if owner else loose).extend(entry.blocks)
    of_point: dict[int, list[_Meter]] = {id(point): [] for point in points}
    homeless: list[_Meter] = [_Meter(types[0] if len(types) == 1 else None, loose)] if loose else []
    for meter in meters:
        point = _owner(meter, points)
        one = _Meter(_type_of(meter, types, meters), held[id(meter)])
        (of_point[id(point)] if point else homeless).append(one)
    told = [_Point(point, of_point[id(point)]) for point in points]
    return [*told, _Point(None, homeless)] if homeless else told


def _owner(entry: Entry, owners: Sequence[Entry]) -> Entry | None:
    """Return which of ``owners`` an entry belongs to: the one that links to it, or lies above it, or stands before it."""
    for owner in owners:
        if owner.related and {entry.self_link, entry.up_link} - {""} & set(owner.related):
            return owner
    for owner in owners:
        if owner.self_link and entry.self_link.startswith(owner.self_link.rstrip("/") + "/"):
            return owner
    before = [owner for owner in owners if owner.number < entry.number]
    return before[-1] if before else next(iter(owners), None)


def _type_of(meter: Entry, types: Sequence[Entry], meters: Sequence[Entry]) -> Entry | None:
    """Return the reading type a meter reading links to, else the only one, else the one between it and the next meter reading."""
    linked = next((one for one in types if one.self_link and one.self_link in meter.related), None)
    if linked is not None or len(types) <= 1:
        return linked or next(iter(types), None)
    following = min((other.number for other in meters if other.number > meter.number), default=None)
    between = [one for one in types if one.number > meter.number and (following is None or one.number < following)]
    return between[0] if between and not any(one.self_link for one in types) else None


def _metered(point: _Point, meter: str, name: str, notes: tuple[Finding, ...]) -> list[Metered]:
    if point.entry is not None and _service(point.entry) not in _ELECTRICITY:
        return []
    lines: dict[int, dict[str, list[Line]]] = {}
    types: dict[str, Entry | None] = {}
    for one in point.meters:
        if one.type is not None and one.type.code("commodity") not in _COMMODITIES:
            continue
        for step_s, line in _lines(one, name):
            called = name_of(one.type)
            types[called] = one.type
            lines.setdefault(step_s, {}).setdefault(called, []).append(line)
    pieces = []
    for step_s, columns in sorted(lines.items()):
        rows, starts, values, quality = align([_one_line(parts) for parts in columns.values()], name)
        called = f"{meter}, every {step_s} s" if len(lines) > 1 else meter
        meanings = tuple(meaning_of(types[column]) for column in columns)
        pieces.append(
            Metered(
                name=name,
                meter=called,
                rows=rows,
                starts_s=starts,
                step_s=step_s,
                names=tuple(columns),
                values=values,
                quality=quality,
                meanings=meanings,
                stamp_format="seconds since 1970",
                clock_why="seconds counted in UTC",
                findings=notes,
            )
        )
    return pieces


def _one_line(parts: Sequence[Line]) -> Line:
    return Line(
        *(np.concatenate([getattr(part, name) for part in parts]) for name in ("numbers", "starts_s", "values", "quality"))
    )


def _lines(meter: _Meter, name: str) -> list[tuple[int, Line]]:
    """Return the readings of one meter reading by the length of their intervals."""
    length = meter.type.code("intervalLength") if meter.type else None
    default = meter.type.code("defaultQuality") if meter.type else None
    faults: list[Fault] = []
    by_step: dict[int, list[tuple[int, int, float, int]]] = {}
    for block in meter.blocks:
        for reading, start, step in _placed(block, length, name, faults):
            value = np.nan if reading.value is None else float(reading.value)
            code = quality_of(reading.quality or ([] if default is None else [default]))
            by_step.setdefault(step, []).append((reading.line, start, value, int(code)))
    if faults:
        raise RecordError(faults[:MOST_FAULTS])
    return [(step, _line(rows)) for step, rows in by_step.items()]


def _line(rows: Sequence[tuple[int, int, float, int]]) -> Line:
    numbers, starts, values, quality = zip(*rows, strict=True)
    held: NDArray[np.float64] = np.array(values, np.float64)
    codes = np.where(np.isnan(held), int(Quality.MISSING), np.array(quality)).astype(np.uint8)
    return Line(np.array(numbers, np.int64), np.array(starts, np.int64), held, codes)


def _placed(block: Block, length: int | None, name: str, faults: list[Fault]) -> list[tuple[Reading, int, int]]:
    """Return each reading of a block with its start (UTC s) and length (s); readings without a time follow one another."""
    if not length and block.duration_s and block.readings:
        length = block.duration_s // len(block.readings)
    at = block.start_s
    placed = []
    for reading in block.readings:
        start = reading.start_s if reading.start_s is not None else at
        step = reading.duration_s or length
        if start is None or not step or not _EARLIEST_S <= start <= _LATEST_S:
            faults.append(_timeless(name, reading, start, step))
            continue
        placed.append((reading, start, step))
        at = start + step
    return placed


def _timeless(name: str, reading: Reading, start: int | None, step: int | None) -> Fault:
    found = "a reading without a start" if start is None else f"a start at {start:,} s" if step else "a reading without a length"
    wanted = f"a start between {FIRST_YEAR} and {LAST_YEAR} and a length, from the reading, its block or its reading type"
    return Fault("record.espi-time", Place(name, reading.line, "timePeriod"), found, wanted, "Fetch the file again.")
