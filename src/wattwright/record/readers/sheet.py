"""One sheet as delimited text, so that preamble, names, units and footers are judged as in any other file."""

import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from datetime import date
from typing import Literal

import numpy as np
import polars as pl
from numpy.typing import NDArray

from wattwright.core.clock import DAY_S
from wattwright.core.errors import Place, RecordError, quoted
from wattwright.record.readers.signs import Look, look
from wattwright.record.readers.table import Table

Kind = Literal["string", "float"] | None
_STAMP = re.compile(r"\d{4}-\d\d-\d\d \d\d:\d\d:\d\d(?:\.\d+)?")
_WRITTEN = r"^\s*\d{1,2}[-/.]\d{1,2}[-/.]\d{2,4}(?:\s.*)?$"
_FEWEST_MIXED = 3
"""Fewer dates of the other kind are a remark above the readings, or one cell written by hand: common practice, no source."""
_NO_DAY = ("1899-12-30 ", "1899-12-31 ", "1900-01-00 ", "1904-01-01 ")
_THOUSANDS = re.compile(r"-?[1-9]\d{0,2}\.\d{3}")
_FIRST_DAY, _LAST_DAY = date(1980, 1, 1), date(2100, 12, 31)
_STAMPED = (Look.STAMP, Look.DATE)


@dataclass(frozen=True, slots=True)
class Sheet:
    """A sheet by its name: ``load`` gives its cells as one kind ("string", "float", None for their own) after so many rows."""

    name: str
    load: Callable[[Kind, int], pl.DataFrame]
    epoch: str


def text_of_cells(sheet: Sheet, cells: pl.DataFrame, name: str) -> bytes:
    """Return the cells of a sheet (as text) as lines with tabs between; the row of a cell is its line.

    Numbers come with all their digits, instants and days as text, counts of days since the epoch as instants. Raises RecordError
    where a column mixes numbers with text that marks decimals otherwise so that both could be meant, or real dates with text.
    """
    numbers = sheet.load("float", 0)
    texts = [_with_digits(cells[one], numbers[two], name) for one, two in zip(cells.columns, numbers.columns, strict=True)]
    for text in texts:
        _refuse_mixed_dates(text, name)
    texts = [_of_days(text) for text in texts]
    if not any(_mostly(text, _STAMPED) for text in texts):
        texts = _with_counted_days(texts, [numbers[one] for one in numbers.columns], sheet.epoch)
    frame = pl.DataFrame(
        {str(i): text.str.replace_all(r"[\t\r\n]+", " ").str.replace_all('"', "'") for i, text in enumerate(texts)}
    )
    lines = frame.select(pl.concat_str(pl.all(), separator="\t")).to_series()
    return ("\n".join(lines.to_list()) + "\n").encode()


def _with_digits(text: pl.Series, number: pl.Series, name: str) -> pl.Series:
    """Return a column as text, each number with all its digits and with the decimal mark of the text beside it."""
    filled = text.fill_null("")
    exact = number.is_not_null() & filled.str.contains(".", literal=True)
    if not exact.any():
        return filled
    whole = pl.select(pl.when(exact).then(number.cast(pl.String)).otherwise(filled)).to_series()
    commas = filled.str.contains(r"^\s*[-+]?[\d.' ]*,\d+\s*$")
    if not commas.any():
        return whole
    for row in np.flatnonzero(exact.to_numpy()).tolist():
        if _THOUSANDS.fullmatch(str(filled[row])):
            raise RecordError.one(
                "record.decimal-mixed",
                Place(name, row + 1),
                found=quoted(filled[row]),
                wanted=f"one decimal mark throughout; row {int(commas.arg_max() or 0) + 1:,} has a comma",
                next_step="Turn the text of that column into numbers, or export the readings as CSV.",
            )
    return pl.select(pl.when(exact).then(whole.str.replace(".", ",", literal=True)).otherwise(whole)).to_series()


def _refuse_mixed_dates(text: pl.Series, name: str) -> None:
    """Raise RecordError for a column of real dates and of dates written as text: a program took some of them by another order."""
    real, written = text.str.contains(rf"^{_STAMP.pattern}$"), text.str.contains(_WRITTEN)
    if min(int(real.sum()), int(written.sum())) < _FEWEST_MIXED:
        return
    row, other = int(written.arg_max() or 0), int(real.arg_max() or 0)
    raise RecordError.one(
        "record.dates-mixed",
        Place(name, row + 1),
        found=f"{quoted(text[row])} as text, while row {other + 1:,} holds {quoted(text[other])} as a real date",
        wanted=f"dates of one kind; {int(real.sum()):,} cells are real dates and {int(written.sum()):,} are text",
        next_step="Most likely day and month were exchanged in the real dates when the text was brought in. "
        "Export the readings again as CSV, or bring them in again with the right order of day and month.",
    )


def _of_days(text: pl.Series) -> pl.Series:
    """Return instants that are only days as dates, and those that are only times of day as such; other text as it is."""
    stamped = text.str.contains(rf"^{_STAMP.pattern}$")
    if not stamped.any():
        return text
    told = text.filter(stamped)
    if told.str.slice(0, 11).is_in(_NO_DAY).all():
        return pl.select(pl.when(stamped).then(text.str.slice(11)).otherwise(text)).to_series()
    if told.str.slice(10).is_in([" 00:00:00"]).all():
        return pl.select(pl.when(stamped).then(text.str.slice(0, 10)).otherwise(text)).to_series()
    return text


def _mostly(text: pl.Series, kinds: Sequence[Look]) -> bool:
    told = [kind for one in text.head(300).to_list() if (kind := look(one)) is not Look.EMPTY]
    return bool(told) and 2 * sum(kind in kinds for kind in told) > len(told)


def _with_counted_days(texts: list[pl.Series], numbers: list[pl.Series], epoch: str) -> list[pl.Series]:
    """Return the columns, the first that counts days as instants, and one of parts of a day beside whole days as times."""
    base = date.fromisoformat(epoch)
    held = [number.to_numpy() for number in numbers]
    counted = next((i for i, values in enumerate(held) if _counts_days(values, base)), None)
    if counted is None:
        return texts
    out, days = list(texts), held[counted]
    whole = bool((days[~np.isnan(days)] % 1 == 0).all())
    out[counted] = _instants(texts[counted], days, base, "D" if whole else "s")
    if whole:
        parts = (i for i, one in enumerate(held) if i != counted and _is_part_of_day(one))
        clock = next(parts, None)
        if clock is not None:
            out[clock] = _instants(texts[clock], held[clock], base, "time")
    return out


def _counts_days(values: NDArray[np.float64], base: date) -> bool:
    told = values[~np.isnan(values)]
    if len(told) < 3 or 2 * len(told) < len(values):
        return False
    within = (told >= (_FIRST_DAY - base).days) & (told <= (_LAST_DAY - base).days)
    steps = np.diff(told) * 1440
    even = np.abs(steps - np.rint(steps)) < 0.01
    return bool(within.all()) and bool((steps >= -90).all()) and bool(even.all()) and bool((steps > 0).any())


def _is_part_of_day(values: NDArray[np.float64]) -> bool:
    told = values[~np.isnan(values)]
    minutes = told * 1440
    return len(told) > 2 and bool(((told >= 0) & (told < 1)).all()) and bool((np.abs(minutes - np.rint(minutes)) < 0.01).all())


def _instants(text: pl.Series, days: NDArray[np.float64], base: date, kind: str) -> pl.Series:
    """Return counts of days as text: to the second ("s"), as dates ("D") or as times of day ("time"); other cells stay."""
    is_number = ~np.isnan(days)
    seconds = np.rint(np.where(is_number, days, 0.0) * DAY_S).astype(np.int64)
    start = np.datetime64(base, "s") if kind != "time" else np.datetime64("1970-01-01", "s")
    told = np.datetime_as_string(start + seconds.astype("timedelta64[s]"), unit="D" if kind == "D" else "s")
    shown = [one[11:] if kind == "time" else one.replace("T", " ") for one in told.tolist()]
    return pl.select(pl.when(pl.Series(is_number)).then(pl.Series(shown)).otherwise(text)).to_series()


def with_numbers(table: Table, sheet: Sheet) -> Table:
    """Return ``table`` with columns whose cells below the names are all numbers held as numbers."""
    first = table.rows.number(0)
    own = sheet.load(None, first - 1)
    rows = table.rows.numbers - first
    columns = {}
    for i in range(table.body.width):
        held = own[own.columns[i]] if i < own.width else None
        numeric = held is not None and held.dtype.is_numeric() and not _mostly(table.text(i), (*_STAMPED, Look.TIME))
        columns[str(i)] = held.gather(rows).cast(pl.Float64) if held is not None and numeric else table.body[str(i)]
    return replace(table, body=pl.DataFrame(columns))


def named_by_all_rows(table: Table, cells: pl.DataFrame) -> Table:
    """Return ``table`` with names of two rows joined: a cell that was merged over several columns stands before each of them."""
    row = table.header.row
    if row is None or row < 2:
        return table
    above = [str(cell or "").strip() for cell in cells.row(row - 2)][: len(table.names)]
    stamped = [not table.is_typed(i) and _mostly(table.text(i), (*_STAMPED, Look.TIME)) for i in range(len(table.names))]
    if not any(text and not stamp and look(text) is Look.TEXT for text, stamp in zip(above, stamped, strict=False)):
        return table
    names, over = [], ""
    for i, name in enumerate(table.names):
        own = above[i] if i < len(above) else ""
        over = own if stamped[i] else own or over
        bare = table.header.fields[i] if i < len(table.header.fields) else ""
        names.append(f"{over} {name}".strip() if bare or not over else over)
        over = "" if stamped[i] else over
    return replace(table, header=replace(table.header, names=tuple(names)))
