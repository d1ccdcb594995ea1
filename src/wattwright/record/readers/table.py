"""Delimited text into a table of text columns, each row with its number in the file."""

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np
import polars as pl
from numpy.typing import NDArray

from wattwright.core.errors import Fault, Place, RecordError, quoted
from wattwright.record.readers.no_table import no_table
from wattwright.record.readers.opening import Opened
from wattwright.record.readers.rows import Rows
from wattwright.record.readers.shape import (
    DELIMITERS,
    Header,
    Shape,
    best_shape,
    first_body_row,
    quoted_row,
    read_header,
    sample_lines,
)
from wattwright.record.readers.signs import Look
from wattwright.record.readers.typed import Plan, plan_of

SIGNS = {"tab": "\t", "space": " "}
MOST_FAULTS = 20
"""Faults of one kind that are told one by one; the rest is counted."""
_FOOTER_ROWS = 5
_HEAD_BYTES = 1 << 21
"""Preamble and names stand within the first 2 MiB."""
_PART = 1 << 20
_NOTHING = re.compile(rb'[\s,;|"]*')


Edges = tuple[tuple[tuple[int, str], ...], tuple[tuple[int, str], ...]]
"""The first and last rows of a file, each with its number."""
EDGE_ROWS = 3
"""How many rows of either end are kept as they stand."""
MOST_FIELDS = 12
_NEAR = 1 << 14
"""Bytes at either end of a file in which its outermost rows are looked for."""


@dataclass(frozen=True, slots=True)
class Table:
    """The body of a delimited file as text.

    ``body`` has one column per field, named "0", "1", ...: strings without nulls, or floats where the file holds numbers rather
    than text; ``rows`` says where each row stands (n rows). ``delimiter`` is empty where no sign parts the columns. ``dropped``
    lists rows after the body (number, text) that are no readings, ``headers_again`` the numbers of rows that repeat the header.
    ``decimal`` is the decimal mark that columns held as numbers had, empty where none is. Where the body was turned into a row
    for each interval, ``numbered`` says how its stamps were counted from midnight, and ``edges`` are the file's own rows.
    """

    name: str
    delimiter: str
    header: Header
    body: pl.DataFrame
    rows: Rows
    dropped: tuple[tuple[int, str], ...]
    headers_again: tuple[int, ...]
    decimal: str = ""
    numbered: str = ""
    edges: Edges | None = None

    @property
    def names(self) -> tuple[str, ...]:
        """Return the names of the columns."""
        return self.header.names

    def text(self, column: int) -> pl.Series:
        """Return one column as it stands, numbers written with a point."""
        held = self.body[str(column)]
        return held if held.dtype == pl.String else held.cast(pl.String).fill_null("")

    def sample(self, column: int, most: int) -> list[str]:
        """Return some of the texts of one column, spread over all rows."""
        held = self.body[str(column)]
        some = held.gather_every(max(1, len(held) // most)).head(most + most // 5)
        return (some if some.dtype == pl.String else some.cast(pl.String).fill_null("")).to_list()

    def is_typed(self, column: int) -> bool:
        """Return whether a column holds numbers rather than text."""
        return self.body[str(column)].dtype != pl.String

    def place(self, row: int, columns: Sequence[int]) -> Place:
        """Return where row index ``row`` stands in the file, in the columns with these indices."""
        return self.rows.place(row, " and ".join(self.names[i] for i in columns))

    def faults(self, rows: Sequence[int], columns: Sequence[int], code: str, wanted: str, step: str) -> Iterator[Fault]:
        """Yield a fault for each of the row indices, 20 at most, the first with what to do and how many more there are."""
        more = len(rows) - MOST_FAULTS
        first_step = step + (f" {more:,} more rows are like this." if more > 0 else "")
        for index, row in enumerate(rows[:MOST_FAULTS]):
            found = " ".join(str(self.text(i)[int(row)]).strip() for i in columns).strip()
            said = quoted(found) if found else "nothing"
            yield Fault(code, self.place(int(row), columns), said, wanted, "" if index else first_step)


def read_table(opened: Opened, delimiter: str = "", *, typed: bool = False) -> Table:
    """Return the table in ``opened``; ``delimiter`` (a sign, "tab" or "space") is found if left empty.

    ``typed`` lets columns be held as numbers where nothing lets their decimal mark be doubted.

    Raises RecordError when no delimiter gives rows with a stamp and a reading, or when rows have the wrong number of columns.
    """
    content = opened.content if opened.content.endswith(b"\n") else opened.content + b"\n"
    wanted = SIGNS.get(delimiter, delimiter)
    delimiters = [wanted] if wanted else list(DELIMITERS)
    shape = best_shape(sample_lines(content, opened.name), delimiters)
    if shape is None:
        raise no_table(content, opened.name, delimiters)
    if shape.delimiter == " ":
        content = b"\n".join(b" ".join(line.split()) for line in content.split(b"\n"))
    head = content[:_HEAD_BYTES]
    first = first_body_row(head, shape)
    header = read_header(head, first, shape, opened.name)
    start = 0
    for _ in range(first):
        start = content.index(b"\n", start) + 1
    typed = typed and opened.content.endswith(b"\n") and shape.delimiter != " "
    body = _Body(content, first, start)
    frame, decimal = _even(body, shape, header.names if typed else ())
    if frame is None:
        frame, numbers, dropped = _uneven(content[start:], first, shape, opened.name)
        rows = Rows(numbers, (opened.name,))
    else:
        rows, dropped = Rows(np.arange(first + 1, first + 1 + frame.height, dtype=np.int32), (opened.name,)), ()
    table = Table(opened.name, shape.delimiter, header, frame, rows, dropped, (), decimal)
    lines = frame.height if any(table.is_typed(i) for i in range(frame.width)) else 0
    table = _without_footer(_without_headers(_without_empty_ends(table, shape)), shape)
    if lines and table.body.height:
        # Numbers read at once have lost how they were written.
        table = replace(table, edges=_edges(body, shape.delimiter, table.rows, lines))
    return table if opened.content.endswith(b"\n") else _without_cut_number(table)


def _edges(body: "_Body", delimiter: str, rows: Rows, lines: int) -> Edges | None:
    """Return the first and last rows as the file writes them, where each of its ``lines`` is a row; None where they lie deep."""
    count, before = len(rows), body.first + 1
    head = body.text[body.start : body.start + _NEAR].split(b"\n")
    tail = body.text[max(body.start, len(body.text) - _NEAR) :].removesuffix(b"\n").split(b"\n")
    out: list[tuple[tuple[int, str], ...]] = []
    for part in (range(min(EDGE_ROWS, count)), range(max(EDGE_ROWS, count - EDGE_ROWS), count)):
        told: list[tuple[int, str]] = []
        for row in part:
            number = int(rows.number(row))
            ahead, behind = number - before, before + lines - number
            # The line at the cut of either piece may be half a line.
            if ahead < len(head) - 1:
                line = head[ahead]
            elif behind < len(tail):
                line = tail[-behind]
            else:
                return None
            fields = line.decode("utf-8", "replace").rstrip("\r").split(delimiter)
            more = " | …" if len(fields) > MOST_FIELDS else ""
            told.append((number, " | ".join(one.strip() for one in fields[:MOST_FIELDS]) + more))
        out.append(tuple(told))
    return out[0], out[1]


@dataclass(frozen=True, slots=True, eq=False)
class _Body:
    """The text of a file whose body begins after ``first`` lines, at byte ``start``: nothing is copied."""

    text: bytes
    first: int = 0
    start: int = 0

    def count(self, sign: str) -> int:
        """Return how often a sign of one byte stands in the body."""
        held, wanted = np.frombuffer(self.text, np.uint8), ord(sign)
        return sum(int(np.count_nonzero(held[at : at + _PART] == wanted)) for at in range(self.start, len(held), _PART))

    def has(self, sign: bytes) -> bool:
        """Return whether a sign stands in the body."""
        return self.text.find(sign, self.start) >= 0


def _parsed(body: _Body, shape: Shape, quote: str | None, plan: Plan | None = None) -> pl.DataFrame:
    numbers = plan.columns if plan else ()
    frame = pl.read_csv(
        body.text,
        has_header=False,
        skip_lines=body.first,
        separator=shape.delimiter,
        quote_char=quote,
        schema={str(i): pl.Float64 if i in numbers else pl.String for i in range(shape.columns)},
        decimal_comma=plan is not None and plan.decimal == ",",
    )
    # Numbers in one piece are later taken as they lie.
    frame = frame.with_columns(frame[str(i)].rechunk() for i in numbers) if numbers else frame
    bare = [name for name in frame.columns if frame[name].null_count() and frame[name].dtype == pl.String]
    return frame.with_columns(pl.col(bare).fill_null("")) if bare else frame


def _even(body: _Body, shape: Shape, names: Sequence[str]) -> tuple[pl.DataFrame | None, str]:
    """Return the body where every line is a row of one width without quotes, and the decimal mark of columns held as numbers.

    The body is None where it is not as plain as that; columns are held as numbers only where ``names`` are given.
    """
    lines = body.count("\n")
    if body.has(b'"') or body.count(shape.delimiter) != lines * (shape.columns - 1):
        return None, ""
    plan = plan_of(body.text, body.start, (lines, names), shape) if names else None
    for one in (plan, None) if plan else (None,):
        try:
            # More fields than the first row has are refused by the parser, so with the right sum no row has fewer.
            frame = _parsed(body, shape, None, one)
        except pl.exceptions.PolarsError:
            continue
        if (frame.height, frame.width) == (lines, shape.columns) and (one is None or _is_plain(frame, shape, one)):
            return frame, one.decimal if one else ""
    return None, ""


def _is_plain(frame: pl.DataFrame, shape: Shape, plan: Plan) -> bool:
    """Return whether every number is finite and every row a reading, so that no text of a number is needed any more."""
    finite = [bool(np.isfinite(frame[str(i)].drop_nulls().to_numpy()).all()) for i in plan.columns]
    last = ["" if cell is None else str(cell) for cell in frame.row(-1)]
    return all(finite) and not (frame["0"] == "").any() and shape.fits(last)


def _uneven(
    text: bytes, first: int, shape: Shape, name: str
) -> tuple[pl.DataFrame, NDArray[np.int64], tuple[tuple[int, str], ...]]:
    """Return body, row numbers and rows left out where lines are blank, quoted or of another width; raises RecordError."""
    lines = text.split(b"\n")[:-1]
    told = [i for i, line in enumerate(lines) if not _NOTHING.fullmatch(line)]
    widths = {i: _width(lines[i], shape) for i in told}
    tail = len(told)
    while tail and widths[told[tail - 1]] != shape.columns and len(told) - tail < _FOOTER_ROWS:
        tail -= 1
    # Where no row is left, these were no remarks below the readings but the readings.
    tail = tail or len(told)
    dropped = tuple((first + i + 1, lines[i].decode(errors="replace")) for i in told[tail:])
    wrong = [i for i in told[:tail] if widths[i] != shape.columns]
    if wrong:
        raise RecordError(_ragged(name, first, wrong, lines, widths, shape.columns))
    delimiter = shape.delimiter.encode()
    kept = b"\n".join(_closed(lines[i], delimiter, shape.columns) for i in told[:tail]) + b"\n"
    frame = _parsed(_Body(kept), shape, '"' if b'"' in text else None)
    return frame, np.array(told[:tail], np.int64) + first + 1, dropped


def _closed(line: bytes, delimiter: bytes, columns: int) -> bytes:
    """Return a line of the right width with as many delimiters as the others: one more or less at its end holds nothing."""
    count = line.count(delimiter) + 1
    if count == columns or b'"' in line:
        return line
    return line[: -len(delimiter)] if count > columns else line + delimiter


def _width(line: bytes, shape: Shape) -> int:
    """Return the number of columns of a line, 0 where a quote stays open."""
    delimiter = shape.delimiter.encode()
    width = line.count(delimiter) + 1
    if b'"' in line:
        row = quoted_row(line.decode(errors="replace"), shape.delimiter)
        # The parser takes a quote only where it opens a field.
        return len(row) if row is not None and not any('"' in field for field in row) else 0
    if width == shape.columns + 1 and line.endswith(delimiter):
        return width - 1
    # A last column that holds nothing is but the delimiter that closes a row, and some rows go without it.
    return width + 1 if width == shape.columns - 1 and shape.looks[-1] is Look.EMPTY else width


def _ragged(
    name: str, first: int, wrong: Sequence[int], lines: Sequence[bytes], widths: "dict[int, int]", columns: int
) -> Iterator[Fault]:
    more = f" {len(wrong) - MOST_FAULTS:,} more rows are like this." if len(wrong) > MOST_FAULTS else ""
    for index, i in enumerate(wrong[:MOST_FAULTS]):
        place = Place(name, first + i + 1)
        line = quoted(lines[i][:200].decode(errors="replace").replace("\t", "\N{SYMBOL FOR HORIZONTAL TABULATION}"))
        tail = more if not index else ""
        if not widths[i]:
            step = "Take the quote out, or export again without quotes." if not index else ""
            yield Fault("record.quotes", place, f"a stray quote in {line}", "quotes that open and close one field", step + tail)
        else:
            count = f"{widths[i]:,} {'column' if widths[i] == 1 else 'columns'} in {line}"
            step = "Look at that row: a value may hold the delimiter, or two files were joined." if not index else ""
            yield Fault("record.columns", place, count, f"{columns:,} columns, as in the other rows", step + tail)


def _without_empty_ends(table: Table, shape: Shape) -> Table:
    """Return the table without nameless columns at the end that hold nothing: a delimiter closes each row."""
    width = shape.columns
    fields = table.header.fields
    while width > 2 and not any(fields[width - 1 : width]) and not (table.text(width - 1) != "").any():
        width -= 1
    if any(not field for field in fields[width:]) or width < shape.columns:
        header = replace(table.header, names=table.names[:width], fields=fields[:width])
        return replace(table, header=header, body=table.body[:, :width])
    return table


def _without_headers(table: Table) -> Table:
    """Return the table without blank rows and without rows that repeat the header."""
    # A column of numbers holds neither a blank nor a name.
    columns = [pl.col(name).cast(pl.String).fill_null("").str.strip_chars() for name in table.body.columns]
    doubtful = ("", table.header.fields[0] if table.header.fields else "")
    if not table.text(0).is_in(doubtful).any():
        return table
    blank = pl.all_horizontal(one == "" for one in columns)
    same = [one == field for one, field in zip(columns, table.header.fields, strict=False)]
    # Without a header nothing can repeat it.
    marks = table.body.select(blank=blank, again=pl.all_horizontal(same) if same else pl.lit(value=False))
    repeated = table.rows.numbers[(marks["again"] & ~marks["blank"]).to_numpy()]
    kept = (~(marks["again"] | marks["blank"])).to_numpy()
    return replace(
        table, body=table.body.filter(kept), rows=table.rows.only(kept), headers_again=tuple(int(row) for row in repeated)
    )


def _without_footer(table: Table, shape: Shape) -> Table:
    """Return the table without the last few rows if they carry no stamp: totals, remarks, a row cut short."""
    height = table.body.height
    looks = replace(shape, columns=table.body.width, looks=shape.looks[: table.body.width])
    left: list[tuple[int, str]] = []
    if table.decimal:
        return table
    while height > 1 and len(left) < _FOOTER_ROWS and not looks.fits(table.body.row(height - 1)):
        height -= 1
        left.append((table.rows.number(height), shape.delimiter.join(table.body.row(height))))
    if not left or not looks.fits(table.body.row(height - 1)):
        return table
    return replace(
        table, body=table.body[:height], rows=table.rows.only(slice(height)), dropped=(*reversed(left), *table.dropped)
    )


def _without_cut_number(table: Table) -> Table:
    """Return the table without its last row if its last number has fewer decimals than all others: the copy stopped there."""
    last = table.text(table.body.width - 1)
    decimals = [len(re.split(r"[.,]", text)[-1]) if re.search(r"\d[.,]\d*$", text) else 0 for text in last.tail(200).to_list()]
    if table.dropped or len(decimals) < 20 or len(set(decimals[:-1])) > 1 or decimals[-1] >= decimals[0]:
        return table
    cut = (table.rows.number(-1), table.delimiter.join(table.body.row(-1)))
    return replace(table, body=table.body[:-1], rows=table.rows.only(slice(-1)), dropped=(cut,))
