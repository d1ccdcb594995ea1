"""Which number of a date is the day: settled over the whole file, or asked."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from wattwright.core.errors import RecordError, quoted
from wattwright.record.readers.dates import ORDERS, DateText
from wattwright.record.readers.table import Table


@dataclass(frozen=True, slots=True)
class Order:
    """The order of day, month and year, and what shows it where no date alone does: the breaks of this and the next order."""

    order: str
    breaks: int = 0
    other: str = ""
    other_breaks: int = 0


@dataclass(frozen=True, slots=True)
class DateColumn:
    """The distinct dates of a column, the row index at which each first stands, and the column indices they came from."""

    dates: Sequence[DateText]
    rows: Sequence[int]
    columns: tuple[int, ...]
    clocked: bool


def settle_order(table: Table, column: DateColumn) -> Order:
    """Return the one order in which all dates of the file exist and follow one another.

    Raises RecordError when no order fits all dates, or when two fit them equally well.
    """
    dates = [date for date in column.dates if date.open]
    if not dates:
        return Order("year first")
    # With points between, the year never stands first in two digits.
    orders = ORDERS if all(date.short and date.words != "." for date in dates) else ORDERS[:2]
    days = {order: [date.day(order) for date in dates] for order in orders}
    fitting = {order: sorted({day for day in found if day is not None}) for order, found in days.items() if None not in found}
    if not fitting:
        # A day that exists in no order is a damaged stamp and is told as one; the order is judged by the others.
        sound = [i for i in range(len(dates)) if any(found[i] is not None for found in days.values())]
        return _judged_without(table, column, dates, sound)
    if len({tuple(found) for found in fitting.values()}) == 1 or len(fitting) == 1:
        return Order(next(iter(fitting)))
    ranked = sorted(fitting, key=lambda order: _breaks(fitting[order]))
    best, other = ranked[0], ranked[1]
    if not column.clocked or _breaks(fitting[best]) == _breaks(fitting[other]):
        raise _open(table, column, dates[0], best, other)
    return Order(best, _breaks(fitting[best]), other, _breaks(fitting[other]))


def _judged_without(table: Table, column: DateColumn, dates: Sequence[DateText], sound: Sequence[int]) -> Order:
    if len(sound) < len(dates):
        kept = DateColumn([dates[i] for i in sound], [column.rows[i] for i in sound], column.columns, column.clocked)
        return settle_order(table, kept) if sound else Order(ORDERS[0])
    raise _contradictory(table, column)


def _breaks(days: Sequence[int]) -> int:
    """Return how often a day (sorted, since 1970) is not followed by the next one."""
    return int((np.diff(np.array(days)) != 1).sum())


def _contradictory(table: Table, column: DateColumn) -> RecordError:
    pairs = [(date, row) for date, row in zip(column.dates, column.rows, strict=True) if date.open]
    only = {order: [row for date, row in pairs if _only(date, order)] for order in ORDERS[:2]}
    (first, row), (other, other_row) = sorted(((order, min(rows)) for order, rows in only.items()), key=lambda one: one[1])
    shown = quoted(_text(table, column, row))
    return RecordError.one(
        "record.date-order",
        table.place(other_row, column.columns),
        found=f"{quoted(_text(table, column, other_row))}, which can only be {other}",
        wanted=f"one order throughout; row {table.rows.number(row):,} has {shown}, which can only be {first}",
        next_step="Look whether two files with different date orders were joined.",
    )


def _only(date: DateText, order: str) -> bool:
    return [one for one in ORDERS[:2] if date.day(one) is not None] == [order]


def _text(table: Table, column: DateColumn, row: int) -> str:
    return " ".join(str(table.text(i)[row]).strip() for i in column.columns)


def _open(table: Table, column: DateColumn, date: DateText, best: str, other: str) -> RecordError:
    row = next(row for one, row in zip(column.dates, column.rows, strict=True) if one is date)
    first, second = (_day_text(date, order) for order in (best, other))
    return RecordError.one(
        "record.date-order-open",
        table.place(row, column.columns),
        found=quoted(_text(table, column, row)),
        wanted=f"dates that show whether this is {first} or {second}; nothing in the file does",
        next_step=f'Say which it is: --date-order "{best}" or --date-order "{other}".',
        field="date_order",
        choices=(best, other),
    )


def _day_text(date: DateText, order: str) -> str:
    return str(np.datetime64(date.day(order) or 0, "D"))
