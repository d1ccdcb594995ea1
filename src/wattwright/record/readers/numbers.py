"""Numbers: text columns into floats, the decimal mark settled over the whole file, every other text reported."""

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np
import polars as pl
from numpy.typing import NDArray

from wattwright.core.errors import RecordError, quoted
from wattwright.record.readers.signs import MISSING_SIGNS
from wattwright.record.readers.table import Table

_SAMPLE = 500
_GROUP = r"[ \u00a0\u202f'\u2019]"
_OPEN = re.compile(r"[+\-\u2212]?[1-9]\d{0,2}[.,]\d{3}")
_MARKED = re.compile(r"[+\-\u2212]?[\d \u00a0\u202f'\u2019]*([.,])(?:[\d.,]*([.,]))?\d*(?:[eE][+-]?\d+)?")


@dataclass(frozen=True, slots=True)
class Numbers:
    """One column of floats, NaN where no number stands.

    ``signs`` are the signs for "no reading" that were met and how often; ``unread`` the rows (index) whose text is no number;
    ``grouped`` the rows whose number carries marks between thousands; ``words`` the words of a contact, where they stood for it.
    ``written`` (n,) are the numbers as they stand in the file, where some of them are no readings.
    """

    values: NDArray[np.float64]
    signs: tuple[tuple[str, int], ...]
    unread: tuple[int, ...]
    grouped: tuple[int, ...]
    words: tuple[str, ...] = ()
    written: NDArray[np.float64] | None = None

    @property
    def raw(self) -> NDArray[np.float64]:
        """Return the numbers as they stand in the file, shape (n,)."""
        return self.values if self.written is None else self.written


def decimal_of(text: str) -> str:
    """Return the decimal mark that ``text`` shows: "." or ",", "?" where its one mark may part thousands, "" where none shows."""
    plain = text.strip()
    match = _MARKED.fullmatch(plain)
    if match is None:
        return ""
    if _OPEN.fullmatch(plain):
        return "?"
    first, last = match[1], match[2] or match[1]
    if plain.count(last) > 1:
        # A mark that stands twice parts thousands, so the decimals would carry the other one.
        return "." if last == "," else ","
    return last if first != last or plain.count(first) == 1 else ""


def settle_decimal(table: Table, columns: Sequence[int]) -> str:
    """Return the decimal mark of ``columns``, "." or ",".

    Raises RecordError when the numbers contradict one another, or when each of them could carry thousands as well as decimals.
    """
    columns = [i for i in columns if not table.is_typed(i)]
    if table.delimiter == "," and _no_commas(table, columns):
        # Were the comma the decimal mark, it could not part the columns as well.
        return "."
    shown: dict[str, tuple[int, int]] = {}
    for column in columns:
        for row, sign in _signs_of(table, column):
            shown.setdefault(sign, (column, row))
    if "." in shown and "," in shown:
        raise _mixed(table, shown["."], shown[","])
    told = next((sign for sign in (".", ",") if sign in shown), "")
    if not told and "?" in shown:
        raise _open(table, *shown["?"])
    return told or "."


def _no_commas(table: Table, columns: Sequence[int]) -> bool:
    """Return whether no reading holds a comma, as where commas part the columns and nothing is quoted."""
    return not any(bool(table.text(i).str.contains(",", literal=True).any()) for i in columns)


def _signs_of(table: Table, column: int) -> Iterable[tuple[int, str]]:
    """Yield (row, what it shows) for a sample of a column, or for all its marked numbers where the sample shows nothing."""
    text = table.text(column)
    step = max(1, len(text) // _SAMPLE)
    sample = [(i * step, decimal_of(one)) for i, one in enumerate(text.gather_every(step).to_list())]
    told = [(row, sign) for row, sign in sample if sign]
    if any(sign != "?" for _, sign in told):
        return told
    marked = text.str.contains(r"[.,]").arg_true()
    return [(int(row), sign) for row, one in zip(marked, text.gather(marked), strict=True) if (sign := decimal_of(one))]


def _mixed(table: Table, point: tuple[int, int], comma: tuple[int, int]) -> RecordError:
    column, row = max(point, comma, key=lambda place: place[1])
    other = comma if (column, row) == point else point
    return RecordError.one(
        "record.decimal-mixed",
        table.place(row, [column]),
        found=quoted(table.text(column)[row]),
        wanted=f"one decimal mark throughout; row {table.rows.number(other[1]):,} has {quoted(table.text(other[0])[other[1]])}",
        next_step="Look whether two exports were joined, and export the readings again.",
    )


def _open(table: Table, column: int, row: int) -> RecordError:
    text = str(table.text(column)[row]).strip()
    whole = re.sub(r"[.,]", "", text)
    parts = text.replace(",", ".")
    return RecordError.one(
        "record.decimal-open",
        table.place(row, [column]),
        found=quoted(text),
        wanted=f"numbers that show whether this is {whole} or {parts}; no reading of the file does",
        next_step='Say which sign marks the decimals: --decimal "," or --decimal ".".',
        field="decimal",
        choices=(",", "."),
    )


def read_columns(table: Table, columns: Sequence[int], decimal: str) -> dict[int, Numbers]:
    """Return ``columns`` as floats by the decimal mark ``decimal``; text that is no number is listed, not raised."""
    typed = {i: _typed(table.body[str(i)]) for i in columns if table.is_typed(i)}
    columns = [i for i in columns if i not in typed]
    if not columns:
        return typed
    names = [str(i) for i in columns]
    plain = pl.col(names).str.strip_chars() if any(_has_blanks(table.text(i)) for i in columns) else pl.col(names)
    if decimal == ",":
        point = plain.str.contains(".", literal=True)
        comma = plain.str.replace(",", ".", literal=True)
        # A point among commas parts thousands, so such numbers must not be taken as they stand.
        plain = pl.when(~point).then(comma) if any(table.body.select(point.any()).row(0)) else comma
    floats = table.body.lazy().select(plain.cast(pl.Float64, strict=False)).collect()
    return typed | {i: _completed(table.text(i), floats[str(i)], decimal) for i in columns}


def _typed(numbers: pl.Series) -> Numbers:
    """Return a column that holds numbers already; what is not finite is no reading."""
    held = numbers.cast(pl.Float64)
    held = held.fill_null(float("nan")) if held.null_count() else held
    nothing = ~np.isfinite(held.to_numpy())
    values = held.to_numpy(writable=bool(nothing.any()))
    if nothing.any():
        values[nothing] = np.nan
    return Numbers(values, (("", int(nothing.sum())),) if nothing.any() else (), (), ())


def _has_blanks(text: pl.Series) -> bool:
    return any(one != one.strip() for one in text.head(20).to_list())


def _completed(text: pl.Series, floats: pl.Series, decimal: str) -> Numbers:
    """Return the numbers, those that the plain way could not read taken one by one."""
    values = floats.fill_null(float("nan")).to_numpy().copy()
    odd = np.flatnonzero(~np.isfinite(values))
    signs: dict[str, int] = {}
    unread: list[int] = []
    grouped: list[int] = []
    for row, one in zip(odd.tolist(), text.gather(odd).to_list(), strict=True):
        sign = one.strip().lower()
        values[row] = np.nan
        if sign in MISSING_SIGNS:
            signs[sign] = signs.get(sign, 0) + 1
        elif (number := read_number(one, decimal)) is None:
            unread.append(row)
        else:
            values[row] = number
            if _parts_thousands(one, decimal):
                grouped.append(row)
    met = tuple(sorted(signs.items(), key=lambda pair: -pair[1]))
    return Numbers(values, met, tuple(unread), tuple(grouped))


def _parts_thousands(text: str, decimal: str) -> bool:
    """Return whether a number carries marks between thousands: blanks, apostrophes or the mark that is not the decimal one."""
    plain = text.strip()
    return ("." if decimal == "," else ",") in plain or re.search(_GROUP, plain) is not None


def read_number(text: str, decimal: str) -> float | None:
    """Return the number in ``text`` by the decimal mark ``decimal``, marks between thousands allowed; None where it is none.

    Thousands are taken out only where they stand in threes, so that "1.234,5" never becomes 1.2345.
    """
    other = "." if decimal == "," else ","
    plain = text.strip().replace("\N{MINUS SIGN}", "-")
    number = rf"[+-]?(?:\d*|\d{{1,3}}(?:{_GROUP}\d{{3}})+|\d{{1,3}}(?:\{other}\d{{3}})+)(?:\{decimal}\d*)?(?:[eE][+-]?\d{{1,3}})?"
    if not re.fullmatch(number, plain) or not re.match(rf"[+-]?\{decimal}?\d", plain):
        return None
    value = float(re.sub(_GROUP, "", plain).replace(other, "").replace(decimal, "."))
    return value if np.isfinite(value) else None
