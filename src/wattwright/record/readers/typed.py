"""Number columns that may be parsed as numbers at once, since nothing in the file lets their decimal mark be doubted."""

from dataclasses import dataclass

from wattwright.record.readers.shape import Shape
from wattwright.record.readers.signs import MISSING_SIGNS, NUMBER, Look

_SAMPLE = 60
_WIDEST = 12
"""Wider tables may hold a day in each row, and are turned as text."""


@dataclass(frozen=True, slots=True)
class Plan:
    """The decimal mark of a body of text, and the columns that may be parsed with it."""

    decimal: str
    columns: tuple[int, ...]


def plan_of(text: bytes, lines: int, shape: Shape) -> Plan | None:
    """Return which columns of the plain body ``text`` (so many lines, no quotes) are surely numbers; None for none.

    Where commas part the columns, decimals carry a point. Elsewhere one of the two marks must be absent from all numbers, and a
    number must show that the other one marks decimals.
    """
    if shape.columns > _WIDEST:
        return None
    rows = [line.decode(errors="replace").split(shape.delimiter) for line in _sample(text) if line.strip()]
    rows = [row for row in rows if len(row) == shape.columns]
    numeric = [i for i in range(1, shape.columns) if shape.looks[i] is Look.NUMBER]
    others = [i for i in range(shape.columns) if i not in numeric]
    if shape.delimiter == ",":
        return _plan(".", rows, numeric, certain=True)
    if b"," not in text:
        return _plan(".", rows, numeric, certain=False)
    dots = {sum(row[i].count(".") for i in others) for row in rows}
    # As many points as the stamps hold leave none for the numbers.
    if len(dots) == 1 and text.count(b".") == dots.pop() * lines:
        return _plan(",", rows, numeric, certain=False)
    return None


def _sample(text: bytes) -> list[bytes]:
    half = len(text) // 2
    return [*text[: 1 << 16].split(b"\n")[:_SAMPLE], *text[half : half + (1 << 16)].split(b"\n")[1:_SAMPLE]]


def _plan(mark: str, rows: "list[list[str]]", numeric: "list[int]", *, certain: bool) -> Plan | None:
    columns, shown = [], certain
    for i in numeric:
        fields = [row[i] for row in rows]
        marked = [field for field in fields if field.count(mark) == 1]
        plain = all(NUMBER.fullmatch(field) or field.lower() in MISSING_SIGNS for field in fields)
        if plain and 2 * len(marked) > len(fields):
            columns.append(i)
            # Three digits behind the mark could be thousands, any other count could not; nor could a nought before it.
            shown = shown or any(len(field.partition(mark)[2]) != 3 or field.lstrip("+-")[:1] == "0" for field in marked)
    return Plan(mark, tuple(columns)) if columns and shown else None
