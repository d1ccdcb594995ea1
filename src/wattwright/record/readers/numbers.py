"""Numbers: text columns into floats, the decimal mark settled over the whole file, every other text reported."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import polars as pl
from numpy.typing import NDArray

from wattwright.core.errors import Fault, Place, RecordError, quoted
from wattwright.record.readers.signs import MISSING_SIGNS
from wattwright.record.readers.table import Table

_MOST_FAULTS = 20
_GROUPED = r"^[+-]?[1-9]\d{0,2}[,.]\d{3}$"


@dataclass(frozen=True, slots=True)
class Numbers:
    """One column of floats, NaN where no number stands.

    ``signs`` are the signs for "no reading" that were met and how often; ``unread`` the rows (index) whose text is no number.
    """

    values: NDArray[np.float64]
    signs: tuple[tuple[str, int], ...]
    unread: tuple[int, ...]


def settle_decimal(table: Table, columns: Sequence[int]) -> str:
    """Return the decimal mark of ``columns``, "." or ",".

    Raises RecordError when every number with a mark could be thousands as well as decimals.
    """
    comma = point = False
    grouped: tuple[int, int] | None = None
    for column in columns:
        text = table.body[str(column)].str.strip_chars()
        marked = text.filter(text.str.contains(r"\d[.,]\d"))
        told = marked.filter(~marked.str.contains(_GROUPED))
        last = told.str.extract(r"([.,])[^.,]*$")
        comma, point = comma or bool((last == ",").any()), point or bool((last == ".").any())
        if not len(told) and len(marked) and grouped is None and bool(marked.str.contains(",").all()):
            grouped = (column, int(text.str.contains(_GROUPED).arg_true()[0]))
    if comma and point:
        # Both end a number somewhere: the one that never stands twice in a number is the decimal mark.
        return "," if table.delimiter != "," and not _twice(table, columns, ",") else "."
    if comma or point:
        return "," if comma else "."
    if grouped is not None:
        raise _open_decimal(table, *grouped)
    return "."


def _twice(table: Table, columns: Sequence[int], sign: str) -> bool:
    return any(bool((table.body[str(c)].str.count_matches(sign, literal=True) > 1).any()) for c in columns)


def _open_decimal(table: Table, column: int, row: int) -> RecordError:
    return RecordError.one(
        "record.decimal-open",
        Place(table.name, int(table.rows[row]), table.names[column]),
        found=quoted(table.body[str(column)][row]),
        wanted="numbers that show whether the comma is a decimal mark; here it may also part thousands",
        next_step='Say which it is: --decimal "," or --decimal ".".',
    )


def read_numbers(table: Table, column: int, decimal: str) -> Numbers:
    """Return column ``column`` as floats by the decimal mark ``decimal``; text that is no number is listed, not raised."""
    text = table.body[str(column)]
    values = text.cast(pl.Float64, strict=False) if decimal == "." else None
    if values is None or values.null_count() or not values.is_finite().all():
        other = "." if decimal == "," else ","
        plain = text.str.strip_chars().str.replace_all(r"(\d)[ \u00a0\u202f'](\d{3})", "${1}${2}")
        # Thousands are taken out only where they stand in threes: "1.234,5" must not become 1.2345.
        grouped = plain.str.contains(rf"^[+-]?\d{{1,3}}(?:\{other}\d{{3}})+(?:\{decimal}\d*)?$")
        plain = pl.select(pl.when(grouped).then(plain.str.replace_all(other, "", literal=True)).otherwise(plain)).to_series()
        plain = plain.str.replace(decimal, ".", literal=True) if decimal == "," else plain
        foreign = plain.str.contains(other, literal=True) if decimal == "." else text.str.contains(r"\..*,.*\.")
        values = pl.select(pl.when(~foreign).then(plain.cast(pl.Float64, strict=False))).to_series()
        values = pl.select(pl.when(values.is_finite()).then(values)).to_series()
    if not values.null_count():
        return Numbers(values.to_numpy().copy(), (), ())
    gone = values.is_null()
    words = text.filter(gone).str.strip_chars().str.to_lowercase()
    is_sign = words.is_in(sorted(MISSING_SIGNS))
    signs = words.filter(is_sign).value_counts(sort=True)
    met = tuple((str(sign), int(count)) for sign, count in signs.iter_rows())
    unread = gone.arg_true().filter(~is_sign)
    return Numbers(values.fill_null(float("nan")).to_numpy().copy(), met, tuple(int(i) for i in unread))


def refuse_unread(table: Table, column: int, unread: Sequence[int]) -> None:
    """Raise RecordError naming the rows of ``column`` whose text is no number; return when there is none."""
    if not unread:
        return
    more = len(unread) - _MOST_FAULTS
    step = 'Correct the row, or count such entries as missing with unreadable = "missing".'
    raise RecordError(
        Fault(
            "record.number",
            Place(table.name, int(table.rows[i]), table.names[column]),
            quoted(table.body[str(column)][i]),
            "a number",
            (step + (f" {more:,} more rows are like this." if more > 0 else "")) if index == 0 else "",
        )
        for index, i in enumerate(unread[:_MOST_FAULTS])
    )
