"""Delimited text into a table of text columns: the delimiter, the preamble, the header and the body, found from the rows."""

import csv
import io
from collections import Counter
from dataclasses import dataclass

import numpy as np
import polars as pl

from wattwright.core.errors import Fault, Place, RecordError, quoted
from wattwright.record.readers.opening import Opened
from wattwright.record.readers.signs import Look, look

DELIMITERS = {",": "comma", ";": "semicolon", "\t": "tab", "|": "bar", " ": "blanks"}
SIGNS = {"tab": "\t", "space": " "}
_SAMPLE = 200
_MOST_COLUMNS = 2_000
_LONGEST_ROW = 200_000
_MOST_FAULTS = 20
_FOOTER_ROWS = 5


@dataclass(frozen=True, slots=True)
class Table:
    """The body of a delimited file as text.

    ``body`` has one string column per field, named "0", "1", ...; ``rows`` (shape (n,)) holds each row's number in the file,
    from 1; ``names`` the header's words. ``dropped`` lists rows after the body (number, text) that are no readings.
    """

    name: str
    delimiter: str
    names: tuple[str, ...]
    header_row: int | None
    preamble: tuple[str, ...]
    body: pl.DataFrame
    rows: "np.ndarray[tuple[int], np.dtype[np.int64]]"
    dropped: tuple[tuple[int, str], ...]


@dataclass(frozen=True, slots=True)
class _Shape:
    """What a sample of lines looks like under one delimiter."""

    delimiter: str
    columns: int
    looks: tuple[Look, ...]
    score: tuple[float, ...]


def read_table(opened: Opened, delimiter: str = "") -> Table:
    """Return the table in ``opened``; ``delimiter`` (a sign, "tab" or "space") is found if left empty.

    Raises RecordError when no delimiter gives rows with a stamp and a reading, or when rows have the wrong number of columns.
    """
    content = opened.content if opened.content.endswith(b"\n") else opened.content + b"\n"
    lines = _sample(content, opened.name)
    wanted = SIGNS.get(delimiter, delimiter)
    shape = _best_shape(lines, opened.name, [wanted] if wanted else list(DELIMITERS))
    if shape.delimiter == " ":
        content = b"\n".join(b" ".join(line.split()) for line in content.split(b"\n"))
    first = _first_body_row(content, shape)
    names, header_row, preamble = _header(content, first, shape)
    body, rows, dropped = _body(content, first, shape, opened)
    return Table(opened.name, shape.delimiter, names, header_row, preamble, body, rows, dropped)


def split_row(line: str, delimiter: str) -> list[str]:
    """Return the fields of one line; an unbalanced quote leaves the rest of the line as one field."""
    try:
        return next(csv.reader([line], delimiter=delimiter, skipinitialspace=delimiter == " "), [])
    except csv.Error:
        return line.split(delimiter)


def _sample(content: bytes, name: str) -> list[str]:
    """Return up to 200 lines from the head and as many from the middle."""
    lines = []
    for offset in (0, len(content) // 2):
        part = content[offset : offset + 4 * _LONGEST_ROW].split(b"\n")
        kept = part[1 if offset else 0 : _SAMPLE + 1]
        lines += [line for line in kept if line.strip()]
    for number, line in enumerate(lines[:_SAMPLE], 1):
        if len(line) > _LONGEST_ROW:
            raise RecordError.one(
                "record.long-row",
                Place(name, number),
                found=f"a row of at least {len(line):,} characters beginning {quoted(line[:40].decode(errors='replace'))}",
                wanted=f"rows of at most {_LONGEST_ROW:,} characters and {_MOST_COLUMNS:,} columns",
                next_step="Check that the file is a table with one interval per row.",
            )
    return [line.decode(errors="replace") for line in lines]


def _best_shape(lines: list[str], name: str, delimiters: list[str]) -> _Shape:
    shapes = [shape for sign in delimiters if (shape := _shape(lines, sign)) is not None]
    if not shapes:
        raise RecordError.one(
            "record.no-table",
            Place(name, 1),
            found=quoted(lines[0]),
            wanted="rows with a date or time and at least one reading, separated by a comma, semicolon, tab, bar or blanks",
            next_step="Check that this is the export of readings and not a summary or another file.",
        )
    return max(shapes, key=lambda shape: shape.score)


def _shape(lines: list[str], delimiter: str) -> _Shape | None:
    """Return how the sample looks under ``delimiter``, or None when it gives no rows with a stamp and a reading."""
    split = [split_row(line, delimiter) for line in lines]
    seen = [[look(field) for field in row] for row in split]
    rows = [row for row in seen if _is_stamped(row)]
    if not rows:
        return None
    columns = Counter(map(len, rows)).most_common(1)[0][0]
    if not 2 <= columns <= _MOST_COLUMNS:
        return None
    alike = [row for row in rows if len(row) == columns]
    looks = tuple(_column_look([row[i] for row in alike]) for i in range(columns))
    if Look.NUMBER not in looks:
        return None
    sound = sum(kind is not Look.TEXT for row in alike for kind in row) / (columns * len(alike))
    score = (round(len(alike) / len(split), 1), round(sound, 2), delimiter != " ", columns)
    return _Shape(delimiter, columns, looks, score)


def _is_stamped(row: list[Look]) -> bool:
    has_stamp = Look.STAMP in row or Look.DATE in row
    epochs = row[:1] == [Look.NUMBER] and len(row) > 1
    return (has_stamp or epochs) and len(row) > 1 and sum(kind is Look.TEXT for kind in row) <= len(row) / 2


def _column_look(kinds: list[Look]) -> Look:
    told = [kind for kind in kinds if kind is not Look.EMPTY]
    return Counter(told).most_common(1)[0][0] if told else Look.EMPTY


def _first_body_row(content: bytes, shape: _Shape) -> int:
    """Return the index of the first line that looks like the body: right width, stamps where the body has stamps."""
    for index, raw in enumerate(content.split(b"\n", _SAMPLE)[:_SAMPLE]):
        row = split_row(raw.decode(errors="replace"), shape.delimiter)
        if len(row) == shape.columns and _fits(row, shape):
            return index
    return 0


def _fits(row: list[str], shape: _Shape) -> bool:
    kinds = [look(field) for field in row]
    stamps = [i for i, kind in enumerate(shape.looks) if kind in (Look.STAMP, Look.DATE, Look.TIME)]
    if stamps:
        return all(kinds[i] in (Look.STAMP, Look.DATE, Look.TIME) for i in stamps)
    return kinds[0] is Look.NUMBER


def _header(content: bytes, first: int, shape: _Shape) -> tuple[tuple[str, ...], int | None, tuple[str, ...]]:
    """Return the column names, the header's row number and the rows above it; a row of units below is joined."""
    above = [line.decode(errors="replace") for line in content.split(b"\n", first)[:first]]
    rows = [split_row(line, shape.delimiter) for line in above]
    wide = [i for i, row in enumerate(rows) if shape.columns - 1 <= len(row) <= shape.columns and any(f.strip() for f in row)]
    if not wide:
        return tuple(f"column {i + 1}" for i in range(shape.columns)), None, tuple(above)
    last = wide[-1]
    names = [field.strip() for field in rows[last]]
    start = last
    if len(wide) > 1 and wide[-2] == last - 1 and _are_units(names):
        start = last - 1
        names = [f"{a.strip()} {b}".strip() for a, b in zip(rows[start], names, strict=False)]
    names += [""] * (shape.columns - len(names))
    named = tuple(name or f"column {i + 1}" for i, name in enumerate(names))
    return named, start + 1, tuple(above[:start])


def _are_units(fields: list[str]) -> bool:
    return all(len(field.strip("[]() ")) <= 8 for field in fields) and any(field.startswith(("[", "(")) for field in fields)


def _body(
    content: bytes, first: int, shape: _Shape, opened: Opened
) -> tuple[pl.DataFrame, "np.ndarray[tuple[int], np.dtype[np.int64]]", tuple[tuple[int, str], ...]]:
    buffer = np.frombuffer(content, np.uint8)
    quotes = np.flatnonzero(buffer == ord('"'))
    ends = np.flatnonzero(buffer == ord("\n"))
    marks = np.flatnonzero(buffer == ord(shape.delimiter))
    if len(quotes):
        ends = ends[np.searchsorted(quotes, ends) % 2 == 0]
        marks = marks[np.searchsorted(quotes, marks) % 2 == 0]
    starts = np.concatenate([[0], ends[:-1] + 1])
    counts = np.searchsorted(marks, ends) - np.searchsorted(marks, starts) + 1
    rows = np.arange(len(ends))
    blank = (ends - starts <= counts - 1) | _only_blanks(buffer, starts, ends)
    wrong = np.flatnonzero((counts != shape.columns) & ~blank & (rows >= first))
    wrong, dropped, stop = _without_footer(wrong, blank, content, starts, ends)
    if len(wrong):
        raise RecordError(_ragged(int(i), counts, shape, content[starts[i] : ends[i]], opened.name) for i in wrong[:_MOST_FAULTS])
    kept = rows[(rows >= first) & (rows < stop) & ~blank]
    text = content[starts[first] : ends[stop - 1] + 1]
    frame = pl.read_csv(
        io.BytesIO(text),
        has_header=False,
        separator=shape.delimiter,
        quote_char='"' if len(quotes) else None,
        infer_schema=False,
        new_columns=[str(i) for i in range(shape.columns)],
    ).select(pl.all().fill_null(""))
    return _matched(frame, kept, blank[first:stop]), kept + 1, dropped


def _matched(frame: pl.DataFrame, kept: "np.ndarray[tuple[int], np.dtype[np.int64]]", blank: object) -> pl.DataFrame:
    """Return the frame without blank rows, which the parser keeps or not by how blank they are."""
    if frame.height == len(kept):
        return frame
    told = frame.filter(~pl.all_horizontal(pl.all().str.strip_chars() == ""))
    if told.height != len(kept):
        raise RecordError.one(
            "record.quotes",
            Place(),
            found=f"{told.height:,} rows where the quotes close, {len(kept):,} by the line ends",
            wanted="quotes that close on the row they open in",
            next_step="Export the file again without quotes.",
        )
    return told


def _only_blanks(buffer: object, starts: object, ends: object) -> "np.ndarray[tuple[int], np.dtype[np.bool_]]":
    """Return which lines hold nothing but delimiters, quotes and blanks."""
    content, first, last = np.asarray(buffer), np.asarray(starts), np.asarray(ends)
    told = np.flatnonzero(~np.isin(content, np.frombuffer(b' \t",;|\n', np.uint8)))
    alike: np.ndarray[tuple[int], np.dtype[np.bool_]] = np.searchsorted(told, first) == np.searchsorted(told, last)
    return alike


def _without_footer(
    wrong: "np.ndarray[tuple[int], np.dtype[np.int64]]", blank: object, content: bytes, starts: object, ends: object
) -> tuple["np.ndarray[tuple[int], np.dtype[np.int64]]", tuple[tuple[int, str], ...], int]:
    """Return the wrong rows that are not the last few of the file, those few as (row, text), and where the body stops."""
    begin, end = np.asarray(starts), np.asarray(ends)
    told = np.flatnonzero(~np.asarray(blank))
    tail = len(told)
    bad = set(wrong.tolist())
    while tail and told[tail - 1] in bad and len(told) - tail < _FOOTER_ROWS:
        tail -= 1
    footer = told[tail:]
    dropped = tuple((int(i) + 1, content[begin[i] : end[i]].decode(errors="replace")) for i in footer)
    stop = int(told[tail - 1]) + 1 if tail else 0
    return wrong[~np.isin(wrong, footer)], dropped, stop


def _ragged(index: int, counts: object, shape: _Shape, line: bytes, name: str) -> Fault:
    width = int(np.asarray(counts)[index])
    return Fault(
        "record.columns",
        Place(name, index + 1),
        f"{width:,} columns in {quoted(line[:80].decode(errors='replace'))}",
        f"{shape.columns} columns, as in the other rows",
        "Look at that row: a value may hold the delimiter, or two files were joined.",
    )
