"""Figures of a picture as comma-separated text."""

import csv
import io
import math

from wattwright.charts.table import Cell, Column, Marked, Table

_ACTIVE = ("=", "+", "-", "@", "\t", "\r")
"""A spreadsheet takes text that begins so for a formula."""


def as_csv(table: Table) -> str:
    """The table as text: one line of heads with their units, numbers in full with a point, missing ones empty (RFC 4180)."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow([_plain(_head(one)) for one in table.columns])
    writer.writerows([_cell(cell) for cell in row] for row in table.rows)
    return out.getvalue()


def _head(column: Column) -> str:
    return f"{column.head} [{column.unit}]" if column.unit else column.head


def _cell(cell: Cell) -> str:
    if isinstance(cell, Marked) and cell.value is not None:
        return f"{cell.value:.10g}" if math.isfinite(cell.value) else ""
    return _plain(cell.text if isinstance(cell, Marked) else cell)


def _plain(text: str) -> str:
    """The text, with an apostrophe before what a spreadsheet would work out."""
    return f"'{text}" if text.startswith(_ACTIVE) else text
