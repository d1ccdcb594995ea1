"""The shape of a delimited file, judged from a sample: delimiter, width, where the body begins, and the header above it."""

import csv
import re
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

from wattwright.core.errors import Place, RecordError, quoted
from wattwright.record.readers.signs import Look, look, state_of
from wattwright.record.units import unit_in

DELIMITERS = {",": "comma", ";": "semicolon", "\t": "tab", "|": "bar", " ": "blanks"}
MOST_COLUMNS = 2_000
LONGEST_ROW = 200_000
_SAMPLE = 100
_MOST_PREAMBLE = 200
_PATTERN = re.compile(r"(?=.*(?:yy|dd|mm|hh|jj|tt|aa))[dmyhsjtna:./ -]+", re.IGNORECASE)
_STAMPS = (Look.STAMP, Look.DATE, Look.TIME)


@dataclass(frozen=True, slots=True)
class Shape:
    """How rows look: the delimiter, the number of columns and the commonest look of each; ``score`` ranks it among others."""

    delimiter: str
    columns: int
    looks: tuple[Look, ...]
    score: tuple[float, ...]

    def fits(self, row: Sequence[str]) -> bool:
        """Return whether ``row`` has the right width (an empty field at the end aside), and stamps where the body has stamps."""
        spare = self.looks[-1] is Look.EMPTY or (bool(row) and not row[-1].strip())
        if abs(len(row) - self.columns) > spare:
            return False
        row = [*row, ""]
        places = [i for i, kind in enumerate(self.looks) if kind in _STAMPS]
        kinds = [look(row[i]) for i in places]
        return all(kind in _STAMPS for kind in kinds) if places else look(row[0]) is Look.NUMBER


@dataclass(frozen=True, slots=True)
class Header:
    """The names of the columns, the fields as they stand, the header's row (from 1) and the lines above it."""

    names: tuple[str, ...]
    fields: tuple[str, ...]
    row: int | None
    preamble: tuple[str, ...]


def split_row(line: str, delimiter: str) -> list[str]:
    """Return the fields of one line; where its quotes do not close it is split at each delimiter."""
    row = quoted_row(line, delimiter)
    return line.split(delimiter) if row is None else row


def quoted_row(line: str, delimiter: str) -> list[str] | None:
    """Return the fields of one line, or None where a quote does not close at the end of its field."""
    try:
        return next(csv.reader([line], delimiter=delimiter, strict=True), [])
    except csv.Error:
        return None


def sample_lines(content: bytes, name: str) -> list[str]:
    """Return up to 100 lines of ``content`` from the head and as many from the middle; raises RecordError for a huge line."""
    lines: list[bytes] = []
    for offset in (0, len(content) // 2):
        part = content[offset : offset + 4 * LONGEST_ROW].split(b"\n", _SAMPLE + 1)
        lines += [line for line in part[1 if offset else 0 : _SAMPLE + 1] if line.strip()]
        for number, line in enumerate(part[: _SAMPLE + 1] if not offset else (), 1):
            if len(line) > LONGEST_ROW:
                raise _too_long(name, number, line)
    return [line[:LONGEST_ROW].decode(errors="replace") for line in lines]


def _too_long(name: str, row: int, line: bytes) -> RecordError:
    return RecordError.one(
        "record.long-row",
        Place(name, row),
        found=f"a row of more than {LONGEST_ROW:,} characters that begins {quoted(line[:40].decode(errors='replace'))}",
        wanted=f"rows of at most {LONGEST_ROW:,} characters and {MOST_COLUMNS:,} columns",
        next_step="Check that the file is a table with one interval in each row.",
    )


def best_shape(lines: Sequence[str], delimiters: Sequence[str]) -> Shape | None:
    """Return the likeliest shape of ``lines`` among ``delimiters``; None where none gives stamps and readings."""
    shapes = [shape for sign in delimiters if (shape := _shape(lines, sign)) is not None]
    return max(shapes, key=lambda shape: shape.score, default=None)


def _shape(lines: Sequence[str], delimiter: str) -> Shape | None:
    """Return how the sample looks under ``delimiter``, or None when it gives no rows with a stamp and a reading."""
    if not any(delimiter in line for line in lines):
        return None
    split = [split_row(" ".join(line.split()) if delimiter == " " else line, delimiter) for line in lines]
    seen = [[look(field) for field in row] for row in split if len(row) <= MOST_COLUMNS]
    rows = [row for row in seen if _is_stamped(row, delimiter)]
    if not rows:
        return None
    columns = Counter(map(len, rows)).most_common(1)[0][0]
    alike = [row for row in rows if len(row) == columns]
    looks = tuple(_usual([row[i] for row in alike]) for i in range(columns))
    if Look.STAMP in looks:
        # Beside whole stamps, eight digits are the count of a register rather than a date.
        wide = [row for row in split if len(row) == columns]
        looks = tuple(_counted(kind, [row[i] for row in wide]) for i, kind in enumerate(looks))
    if Look.NUMBER not in looks and not _has_states([row for row in split if len(row) == columns], looks):
        return None
    sound = sum(kind is not Look.TEXT for row in alike for kind in row) / (columns * len(alike))
    score = (round(len(alike) / len(split), 1), round(sound, 2), delimiter != " ", columns)
    return Shape(delimiter, columns, looks, score)


def _counted(kind: Look, fields: Sequence[str]) -> Look:
    """Return NUMBER for a column of dates that are mostly bare digits, else the look it had."""
    digits = sum(field.strip().isdigit() for field in fields)
    return Look.NUMBER if kind is Look.DATE and 2 * digits > len(fields) else kind


def _has_states(rows: Sequence[Sequence[str]], looks: Sequence[Look]) -> bool:
    """Return whether a column holds words for both states of a contact."""
    states = ({state_of(row[i].strip()) for row in rows} for i, kind in enumerate(looks) if kind is Look.STATE)
    return any({0.0, 1.0} <= met for met in states)


def _is_stamped(row: Sequence[Look], delimiter: str) -> bool:
    has_stamp = Look.STAMP in row or Look.DATE in row
    counts_seconds = row[:1] == [Look.NUMBER]
    few_texts = sum(kind is Look.TEXT for kind in row) <= len(row) / 2
    # Several columns of text may tell meters and quantities apart; parted by blanks such a row would be a sentence.
    is_reading = has_stamp and Look.NUMBER in row and delimiter != " "
    return (has_stamp or counts_seconds) and len(row) > 1 and (few_texts or is_reading)


def _usual(kinds: Sequence[Look]) -> Look:
    told = [kind for kind in kinds if kind is not Look.EMPTY]
    return Counter(told).most_common(1)[0][0] if told else Look.EMPTY


def first_body_row(content: bytes, shape: Shape) -> int:
    """Return the index of the first line that looks like the body, 0 where none of the first 200 does."""
    for index, raw in enumerate(content.split(b"\n", _MOST_PREAMBLE)[:_MOST_PREAMBLE]):
        line = raw[:LONGEST_ROW].decode(errors="replace")
        if shape.fits(split_row(line, shape.delimiter)):
            return index
    return 0


def read_header(content: bytes, first: int, shape: Shape, name: str) -> Header:
    """Return the names above the body, which begins at line index ``first``; a row of units below the names is joined to them.

    Raises RecordError where the row above the body names fewer or more columns than the body has.
    """
    above = [line.decode(errors="replace") for line in content.split(b"\n", first)[:first]]
    rows = [_trimmed(split_row(line, shape.delimiter)) for line in above]
    widths = range(len(_trimmed_looks(shape.looks)), shape.columns + 1)
    last = next((i for i in range(first - 1, -1, -1) if rows[i]), None)
    if last is None or (len(rows[last]) not in widths and not _are_units(rows[last], shape)):
        if last is not None and _is_misfit(rows[last], shape):
            raise _misfit(name, last + 1, len(rows[last]), widths[0], above[last])
        return Header(tuple(f"column {i + 1}" for i in range(shape.columns)), (), None, tuple(above))
    fields = rows[last] + [""] * (shape.columns - len(rows[last]))
    start = last
    if last and len(rows[last - 1]) in widths and _are_units(fields, shape):
        start = last - 1
        pairs = zip(rows[start] + [""] * shape.columns, fields, strict=False)
        names = [f"{a} [{b.strip('[]() ')}]" if b and a else a or b for a, b in pairs]
    else:
        names = fields
    named = tuple(one or f"column {i + 1}" for i, one in enumerate(names))
    return Header(named, tuple(fields), start + 1, tuple(above[:start]))


def _trimmed(row: Sequence[str]) -> list[str]:
    """Return the fields without blanks around them and without empty ones at the end."""
    fields = [field.strip() for field in row]
    while fields and not fields[-1]:
        fields.pop()
    return fields


def _trimmed_looks(looks: Sequence[Look]) -> Sequence[Look]:
    width = len(looks)
    while width > 1 and looks[width - 1] is Look.EMPTY:
        width -= 1
    return looks[:width]


def _are_units(fields: Sequence[str], shape: Shape) -> bool:
    """Return whether a row holds units: known ones under readings, nothing or a pattern such as dd.mm.yyyy under stamps."""
    if not fields or len(fields) > shape.columns:
        return False
    bare = [field.strip("[]() ") for field in fields]
    under = [text for text, kind in zip(bare, shape.looks, strict=False) if kind not in _STAMPS and text]
    stamped = [text for text, kind in zip(bare, shape.looks, strict=False) if kind in _STAMPS]
    patterns = all(not text or _PATTERN.fullmatch(text) for text in stamped)
    return bool(under) and patterns and sum(bool(unit_in(f"[{text}]")) for text in under) * 2 >= len(under)


def _is_misfit(row: Sequence[str], shape: Shape) -> bool:
    """Return whether ``row`` is a header of the wrong width rather than a line of preamble."""
    names = [field for field in row if field and look(field) is Look.TEXT]
    return shape.delimiter != " " and len(names) == len(row) and len(row) >= max(2, (shape.columns + 1) // 2)


def _misfit(name: str, row: int, names: int, columns: int, line: str) -> RecordError:
    return RecordError.one(
        "record.header-width",
        Place(name, row),
        found=f"{names:,} names over {columns:,} columns: {quoted(line)}",
        wanted="one name for each column",
        next_step="Where commas both part the columns and mark the decimals, export again with semicolons; "
        "otherwise correct the row of names, or take it out.",
    )
