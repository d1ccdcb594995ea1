"""A table as data: what stands beside a picture and what a paper prints."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from wattwright.core.basis import Basis
from wattwright.core.errors import OwnFault

__all__ = ["Cell", "Column", "Marked", "Table"]


@dataclass(frozen=True, slots=True)
class Marked:
    """A cell with more than its text: the basis mark raised after it, and the number itself for a workbook.

    `value` is the number in the column's unit, in full; None for words. `decimals` is how many the text shows.
    """

    text: str
    basis: Basis | None = None
    value: float | None = None
    decimals: int = 0


Cell = str | Marked
"""A table cell: text ready to print, with or without its own basis mark."""


@dataclass(frozen=True, slots=True)
class Column:
    """A table's column: head, unit (printed under the head), alignment, and the basis mark of the whole column."""

    head: str
    unit: str = ""
    align: Literal["left", "decimal"] = "decimal"
    basis: Basis | None = None


@dataclass(frozen=True, slots=True)
class Table:
    """Columns, rows of cells ready to print, caption and source; the last `totals` rows are set apart by a rule.

    Raises OwnFault if a row has more or fewer cells than there are columns.
    """

    columns: tuple[Column, ...]
    rows: tuple[tuple[Cell, ...], ...]
    caption: str
    source: str = ""
    totals: int = 0

    def __post_init__(self) -> None:
        """Refuse rows that do not fit the columns."""
        for number, row in enumerate(self.rows, start=1):
            if len(row) != len(self.columns):
                raise OwnFault(
                    f"table '{self.caption}': row {number} has {len(row)} cells, wanted {len(self.columns)}; "
                    "give every row one cell per column"
                )
