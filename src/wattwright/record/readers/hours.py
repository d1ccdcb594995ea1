"""Tables with the date in one column and the number of the hour in another, turned into tables with stamps."""

from dataclasses import replace

import numpy as np
import polars as pl
from numpy.typing import NDArray

from wattwright.core.clock import DAY_S, SiteClock
from wattwright.record.readers.dates import read_date
from wattwright.record.readers.edges import edges_of
from wattwright.record.readers.order import DateColumn, settle_order
from wattwright.record.readers.signs import Look, look
from wattwright.record.readers.table import Table
from wattwright.record.words import has_word, plain, words

Ints = NDArray[np.int64]
_HOUR = 3600


def with_hours(table: Table, clock: SiteClock, date_order: str) -> Table:
    """Return ``table`` with stamps where it has a date and an hour from 0 to 23 or 1 to 24 apart, else as it is.

    Hours that run to 25 on a long day, or without a gap to 23 on a short one, count on from midnight and are placed by
    ``clock``; all others are hours of the clock, of which 24 is the midnight that ends the day.
    """
    looks = [_looks(table, i) for i in range(table.body.width)]
    if Look.STAMP in looks or Look.TIME in looks or Look.DATE not in looks:
        return table
    day = looks.index(Look.DATE)
    hours = {i: found for i in range(table.body.width) if i != day and (found := _hours(table, i)) is not None}
    if not hours:
        return table
    hour, numbers = next(iter(hours.items()))
    stamps = _counted(table, day, numbers, clock, date_order)
    numbered = "" if stamps is None else "a date and the number of the hour, counted from midnight"
    if stamps is None:
        texts = pl.Series([f" {number:02d}:00" for number in range(25)])
        stamps = table.text(day).str.strip_chars() + texts.gather(np.minimum(numbers, 24))
    kept = [i for i in range(table.body.width) if i not in (day, hour)]
    names = (f"{table.names[day]} {table.names[hour]}", *(table.names[i] for i in kept))
    body = pl.DataFrame({"0": stamps, **{str(n): table.body[str(i)] for n, i in enumerate(kept, 1)}})
    header = replace(table.header, names=names)
    return replace(table, header=header, body=body, numbered=numbered, edges=edges_of(table))


def _looks(table: Table, column: int) -> Look:
    kinds = [look(text) for text in table.sample(column, 50)]
    return max(dict.fromkeys(kinds), key=kinds.count, default=Look.EMPTY)


def _hours(table: Table, column: int) -> Ints | None:
    """Return the hours in a column that is called so and holds nothing else, shape (n,); None where it does not."""
    if not has_word(plain(table.names[column]), words("clock")["hour"]):
        return None
    # The two hours that the clock shows twice are told apart by letters: 3A and 3B.
    numbers = (
        table.text(column)
        .str.strip_chars()
        .str.replace(r"^(\d{1,2})[ABab]$", "$1")
        .cast(pl.Float64, strict=False)
        .fill_null(-1.0)
        .to_numpy()
    )
    whole = np.rint(numbers)
    if not len(whole) or (whole != numbers).any() or whole.min() < 0 or whole.max() > 25 or whole.max() - whole.min() > 24:
        return None
    return whole.astype(np.int64) if whole.max() > whole.min() else None


def _counted(table: Table, day: int, numbers: Ints, clock: SiteClock, date_order: str) -> pl.Series | None:
    """Return stamps with the offset from UTC where the hours count on from midnight on days of 23 or 25 hours, else None."""
    dates = [read_date(text.strip()) for text in table.text(day).to_list()]
    known = [(one, row) for row, one in enumerate(dates) if one is not None]
    if len(known) < len(dates):
        return None
    order = (
        date_order or settle_order(table, DateColumn([d for d, _ in known], [r for _, r in known], (day,), clocked=True)).order
    )
    days = [one.day(order) for one, _ in known]
    if any(one is None for one in days):
        return None
    local = DAY_S * np.array(days, np.int64)
    midnights, ends = clock.resolve(local).first_s, clock.resolve(local + DAY_S).first_s
    lasts = (ends - midnights) // _HOUR
    first = int(numbers.min())
    # The hours of one day, counted: all of 1 to 25, or of 1 to 23 with none left out, and never one of them twice.
    for length in (23, 25):
        for start in np.unique(local[lasts == length]).tolist():
            held = np.sort(numbers[local == start])
            if len(held) == length and bool((held == first + np.arange(length)).all()):
                instants = midnights + (numbers - first) * _HOUR
                stamps = np.datetime_as_string(instants.astype("datetime64[s]")).tolist()
                return pl.Series(stamps).str.replace("T", " ") + "Z"
    return None
