"""Number columns that may be parsed as numbers at once, since nothing in the file lets their decimal mark be doubted."""

import re
from collections.abc import Sequence
from dataclasses import dataclass

from wattwright.record.readers.shape import Shape
from wattwright.record.readers.signs import MISSING_SIGNS, NUMBER, Look
from wattwright.record.words import has_word, plain, words

_SAMPLE = 60
_WHOLE = re.compile(r"-?(?:0|[1-9]\d{0,11})")
"""A whole number that no one wrote as a name or a count of nanoseconds: without noughts before it, and short."""
_WIDEST = 12
"""Wider tables may hold a day in each row, and are turned as text."""


@dataclass(frozen=True, slots=True)
class Plan:
    """The decimal mark of a body of text, and the columns that may be parsed with it."""

    decimal: str
    columns: tuple[int, ...]


def plan_of(text: bytes, start: int, rows: tuple[int, Sequence[str]], shape: Shape) -> Plan | None:
    """Return which columns of the plain body from ``start`` in ``text`` (no quotes) are surely numbers; None for none.

    ``rows`` is how many there are and the names of their columns. Where commas part the columns, decimals carry a point.
    Elsewhere one of the two marks must be absent from all numbers, and a number must show that the other one marks decimals.
    """
    if shape.columns > _WIDEST:
        return None
    lines, names = rows
    sample = [line.decode(errors="replace").split(shape.delimiter) for line in _sample(text, start) if line.strip()]
    sample = [row for row in sample if len(row) == shape.columns]
    # Numbers that tell meters apart stay text.
    labels = [i for i, name in enumerate(names) if has_word(plain(name), words("label")["meter"])]
    numeric = [i for i in range(1, shape.columns) if shape.looks[i] is Look.NUMBER and i not in labels]
    others = [i for i in range(shape.columns) if i not in numeric]
    if shape.delimiter == ",":
        return _plan(".", sample, numeric, certain=True)
    if text.find(b",", start) < 0:
        return _plan(".", sample, numeric, certain=False)
    dots = {sum(row[i].count(".") for i in others) for row in sample}
    # As many points as the stamps hold leave none for the numbers.
    if len(dots) == 1 and text.count(b".", start) == dots.pop() * lines:
        return _plan(",", sample, numeric, certain=False)
    return None


def _sample(text: bytes, start: int) -> list[bytes]:
    half = (start + len(text)) // 2
    head, middle = text[start : start + (1 << 16)], text[half : half + (1 << 16)]
    return [*head.split(b"\n")[:_SAMPLE], *middle.split(b"\n")[1:_SAMPLE]]


def _plan(mark: str, rows: "list[list[str]]", numeric: "list[int]", *, certain: bool) -> Plan | None:
    columns, shown = [], certain
    for i in numeric:
        fields = [row[i] for row in rows]
        marked = [field for field in fields if field.count(mark) == 1]
        numbers = all(NUMBER.fullmatch(field) or field.lower() in MISSING_SIGNS for field in fields)
        if numbers and (2 * len(marked) > len(fields) or (certain and all(_WHOLE.fullmatch(field) for field in fields))):
            columns.append(i)
            # Three digits behind the mark could be thousands, any other count could not; nor could a nought before it.
            shown = shown or any(len(field.partition(mark)[2]) != 3 or field.lstrip("+-")[:1] == "0" for field in marked)
    return Plan(mark, tuple(columns)) if columns and shown else None
