"""Columns of cells, of which a file knows text from numbers, into a table."""

from collections.abc import Mapping, Sequence

import numpy as np
import polars as pl

from wattwright.core.errors import Place, RecordError
from wattwright.record.measures import UNITS
from wattwright.record.readers.rows import Rows
from wattwright.record.readers.shape import MOST_COLUMNS, Header
from wattwright.record.readers.table import Table

_STAMP = "%Y-%m-%d %H:%M:%S"
_EPOCH_S = 3e8
_UNIT_WORDS = ("unit", "units", "uom", "einheit", "unite", "unidad", "unita", "eenheid", "μοναδα")


def series_of(cells: Sequence[object]) -> pl.Series:
    """Return a column of cells (None, truth values, numbers, text) as numbers where all of them are, else as text."""
    kinds = {type(cell) for cell in cells if cell is not None}
    if kinds <= {bool, int} and all(abs(int(c)) < 1 << 62 for c in cells if isinstance(c, int)):
        return pl.Series(cells, dtype=pl.Int64, strict=False)
    if kinds <= {bool, int, float}:
        return pl.Series([None if c is None else float(str(c)) for c in cells], dtype=pl.Float64)
    return pl.Series(["" if c is None else c if isinstance(c, str) else repr(c) for c in cells], dtype=pl.String)


def table_of(columns: Mapping[str, pl.Series], name: str, counted: str) -> Table:
    """Return the table of ``columns`` by name; its rows are told by ``counted`` ("row", "item") and their number from 1.

    Raises RecordError where there are no rows or too many columns.
    """
    kept = {called: column for called, one in columns.items() if (column := _plain(one)) is not None}
    kept = _with_units(kept)
    height = max((len(column) for column in kept.values()), default=0)
    if not height or len(kept) > MOST_COLUMNS:
        raise RecordError.one(
            "record.no-table",
            Place(name),
            found=f"{len(kept):,} columns" if height else "no row of readings",
            wanted=f"rows with a date or time and at least one reading, {MOST_COLUMNS:,} columns at most",
            next_step="Check that this is the export of readings and not a summary or another file.",
        )
    body = pl.DataFrame({str(i): column for i, column in enumerate(kept.values())})
    header = Header(tuple(kept), (), None, ())
    return Table(name, "", header, body, Rows(np.arange(1, height + 1), (name,), counted=counted), (), ())


def _plain(column: pl.Series) -> pl.Series | None:
    """Return a column as text or numbers: instants in UTC, other dates as they stand; None for one of lists or bytes."""
    kind = column.dtype
    if isinstance(kind, pl.Datetime):
        whole = column.dt.round("1s")
        told = whole if kind.time_zone is None else whole.dt.convert_time_zone("UTC")
        return told.dt.strftime(_STAMP if kind.time_zone is None else f"{_STAMP}Z").fill_null("")
    if kind in (pl.Date, pl.Time, pl.Categorical, pl.Enum):
        return column.cast(pl.String).fill_null("")
    if kind == pl.String:
        return column.fill_null("")
    if kind == pl.Null:
        return pl.Series([""] * len(column), dtype=pl.String)
    if kind.is_decimal():
        return column.cast(pl.Float64)
    if kind == pl.Boolean:
        return column.cast(pl.Int64)
    return column if kind.is_numeric() else None


def _with_units(columns: Mapping[str, pl.Series]) -> dict[str, pl.Series]:
    """Return the columns, a unit that stands beside the numbers in a column of its own put behind their name."""
    out = dict(columns)
    for name, column in columns.items():
        stem, _, last = name.rpartition(" ")
        if last.lower() not in _UNIT_WORDS or column.dtype != pl.String or column.n_unique() != 1:
            continue
        unit = str(column[0]).strip()
        beside = [one for one in out if one.rpartition(" ")[0] == stem and _measures(out[one])]
        if unit in UNITS and len(beside) == 1:
            out = {f"{one} [{unit}]" if one == beside[0] else one: held for one, held in out.items() if one != name}
    return out


def _measures(column: pl.Series) -> bool:
    """Return whether a column holds numbers other than seconds counted since 1970."""
    return column.dtype != pl.String and not (column.cast(pl.Float64).min() or 0) >= _EPOCH_S  # type: ignore[operator]  # a minimum of floats is one
