"""Stamps: text columns into the seconds they show, each distinct date and time of day read once."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
import polars as pl
from numpy.typing import NDArray

from wattwright.core.clock import DAY_S
from wattwright.core.errors import RecordError, quoted
from wattwright.record.readers.dates import FIRST_YEAR, LAST_YEAR, ClockText, DateText, read_clock, read_date
from wattwright.record.readers.distinct import Codes, Distinct, distinct, split
from wattwright.record.readers.order import DateColumn, Order, settle_order
from wattwright.record.readers.signs import Look, look
from wattwright.record.readers.stated_clock import clock_in
from wattwright.record.readers.table import Table

Ints = NDArray[np.int64]
_EPOCH_UNITS = ((1e17, 1e9, "nanoseconds"), (1e14, 1e6, "microseconds"), (1e11, 1e3, "milliseconds"), (3e8, 1.0, "seconds"))
_CHUNK = 1 << 16
_WANTED = f"a date and time between {FIRST_YEAR} and {LAST_YEAR}, written as in the other rows"


@dataclass(frozen=True, slots=True)
class Stamps:
    """One stamp per row, shape (n,).

    ``local`` are the seconds since 1970 that the digits show; ``utc`` the UTC seconds where the file gives them, by an offset, by
    counting since 1970 or by the column's name; ``lengths`` the seconds to the other end where each row gives both.
    ``format`` is the pattern in words, ``columns`` the indices; ``dated`` tells that there are days only, ``has_24`` that
    midnight stands as 24:00, ``counted`` that there are no digits of a clock at all, ``numbered`` that intervals were counted
    from each midnight. ``clock_why`` says in words where ``utc`` comes from, empty where ``format`` tells it.
    """

    local: Ints
    utc: Ints | None
    lengths: Ints | None
    format: str
    columns: tuple[int, ...]
    order: Order
    dated: bool = False
    has_24: bool = False
    counted: bool = False
    numbered: bool = False
    clock_why: str = ""

    def part(self, rows: slice | Ints) -> "Stamps":
        """Return the stamps of some rows, in their order."""
        utc = None if self.utc is None else self.utc[rows]
        lengths = None if self.lengths is None else self.lengths[rows]
        return replace(self, local=self.local[rows], utc=utc, lengths=lengths)


@dataclass(frozen=True, slots=True)
class _Column:
    """One column of stamps, or a date and a time column: seconds shown and offsets (None where there are none)."""

    local: Ints
    offsets: Ints | None
    format: str
    has_24: bool
    order: Order


def read_stamps(table: Table, date_order: str = "") -> Stamps:
    """Return the stamps of ``table``; ``date_order`` ("day first", "month first", "year first") is settled if empty.

    Raises RecordError when there is no stamp column, a stamp cannot be read, or the order of day and month stays open.
    """
    looks = [_column_look(table.sample(i, 50)) for i in range(table.body.width)]
    whole = [i for i, kind in enumerate(looks) if kind is Look.STAMP]
    dates = [i for i, kind in enumerate(looks) if kind is Look.DATE]
    times = [i for i, kind in enumerate(looks) if kind is Look.TIME]
    if whole:
        stamps = _whole(table, whole, date_order)
        return replace(stamps, numbered=True, format=table.numbered) if table.numbered else stamps
    if dates and times:
        return _dated_and_timed(table, dates[0], times[:2], date_order)
    counting = next((i for i in range(table.body.width) if _counts_seconds(table, i)), None)
    if counting is not None:
        return _counted(table, counting)
    if dates:
        only = _read(table, distinct(table.text(dates[0])), None, (dates[0],), date_order)
        return Stamps(only.local, None, None, only.format, (dates[0],), only.order, dated=True)
    raise RecordError.one(
        "record.no-stamps",
        table.rows.place(0),
        found=quoted(" | ".join(str(cell) for cell in table.body.row(0))),
        wanted="a column with dates and times, or with seconds since 1970",
        next_step="Export the readings together with their times.",
    )


def _column_look(texts: Sequence[str]) -> Look:
    kinds = [look(text) for text in texts]
    told = [kind for kind in kinds if kind is not Look.EMPTY]
    return max(dict.fromkeys(told), key=told.count) if told else Look.EMPTY


def _whole(table: Table, whole: Sequence[int], date_order: str) -> Stamps:
    """Return stamps whose columns hold date and time: the one in UTC if any is, else the first, with the second as other end."""
    in_utc = next((i for i in whole if (told := clock_in(table.names[i])) and (told.offset_s, told.zone) == (0, "")), None)
    first = whole[0] if in_utc is None else in_utc
    one = _read_whole(table, first, date_order)
    utc = one.local if in_utc is not None and one.offsets is None else _utc(one)
    if in_utc is not None or len(whole) == 1:
        why = "" if in_utc is None else f"UTC, since the column is called {quoted(table.names[in_utc])}"
        return Stamps(one.local, utc, None, one.format, (first,), one.order, has_24=one.has_24, clock_why=why)
    two = _read_whole(table, whole[1], date_order or (one.order.order if one.order.order != "year first" else ""))
    lengths = two.local - one.local if utc is None or two.offsets is None else two.local - two.offsets - utc
    return _with_ends(one, (first, whole[1]), lengths)


def _utc(one: _Column) -> Ints | None:
    if one.offsets is None:
        return None
    return one.local - one.offsets if one.offsets.any() else one.local


def _dated_and_timed(table: Table, date_column: int, times: Sequence[int], date_order: str) -> Stamps:
    day = distinct(table.text(date_column))
    one = _read(table, day, distinct(table.text(times[0])), (date_column, times[0]), date_order)
    columns = (date_column, times[0])
    if len(times) == 1:
        return Stamps(one.local, _utc(one), None, one.format, columns, one.order, has_24=one.has_24)
    two = _read(table, day, distinct(table.text(times[1])), (date_column, times[1]), one.order.order)
    # An interval that ends after midnight ends on the next day.
    lengths = np.where(two.local <= one.local, two.local + DAY_S, two.local) - one.local
    return _with_ends(one, (*columns, times[1]), lengths)


def _with_ends(one: _Column, columns: tuple[int, ...], lengths: Ints) -> Stamps:
    """Return the stamps as starts with their lengths, turned round if the ends stand first.

    Another column of stamps that is no constant stretch away is no other end and is left aside.
    """
    usual = int(np.median(lengths)) if len(lengths) else 0
    steady = bool(len(lengths)) and float((lengths == usual).mean()) > 0.9
    if not steady or usual == 0 or abs(usual) > DAY_S:
        return Stamps(one.local, _utc(one), None, one.format, columns[:-1], one.order, has_24=one.has_24)
    shift = np.minimum(lengths, 0)
    utc = _utc(one)
    utc = None if utc is None else utc + shift
    return Stamps(one.local + shift, utc, np.abs(lengths), one.format, columns, one.order, has_24=one.has_24)


def _counts_seconds(table: Table, column: int) -> bool:
    """Return whether a column counts seconds (or their thousandths, ...) since 1970 upwards."""
    numbers = table.text(column).str.strip_chars().head(200).cast(pl.Float64, strict=False)
    if numbers.null_count() or not numbers.is_between(_EPOCH_UNITS[-1][0], 4.1e18).all():
        return False
    values = numbers.to_numpy()
    years = values / next(unit for least, unit, _ in _EPOCH_UNITS if values[0] >= least) / (365.25 * DAY_S)
    steps = np.diff(values)
    return bool((years < LAST_YEAR - FIRST_YEAR).all()) and bool((steps > 0).all() or (steps < 0).all())


def _counted(table: Table, column: int) -> Stamps:
    numbers = table.text(column).str.strip_chars().cast(pl.Float64, strict=False)
    values = numbers.fill_null(float("nan")).to_numpy()
    median = float(np.nanmedian(values))
    unit, words = next((unit, words) for least, unit, words in _EPOCH_UNITS if median >= least)
    far = ~((values >= 0) & (values / unit < (LAST_YEAR - FIRST_YEAR) * 366 * DAY_S))
    _refuse(table, np.flatnonzero(far), (column,), f"{words} since 1970, as in the other rows")
    seconds = np.rint(values / unit).astype(np.int64)
    return Stamps(seconds, seconds, None, f"{words} since 1970 in UTC", (column,), Order("year first"), counted=True)


def _read_whole(table: Table, column: int, date_order: str) -> _Column:
    day, clock = split(table.text(column))
    return _read(table, day, clock, (column,), date_order)


def _read(table: Table, day: Distinct, clock: Distinct | None, columns: tuple[int, ...], date_order: str) -> _Column:
    """Return the seconds of date texts and time texts; raises RecordError for those that are none."""
    dates = [read_date(text) for text in day.texts]
    known = [(date, row) for date, row in zip(dates, day.first, strict=True) if date is not None]
    column = DateColumn([date for date, _ in known], [row for _, row in known], columns, clock is not None)
    order = Order(date_order) if date_order else settle_order(table, column)
    days = [None if date is None else date.day(order.order) for date in dates]
    local = np.zeros(len(day.codes), np.int64)
    _add_looked_up(local, [DAY_S * (one or 0) for one in days], day.codes)
    bad = _none_among(days, day.codes)
    clocks: list[ClockText | None] = [ClockText(0, None, False, "")]
    clock_codes: Codes = np.zeros(len(local) if clock is None else 0, np.int32)
    if clock is not None:
        clocks, clock_codes = [read_clock(text) for text in clock.texts], clock.codes
        bad = np.union1d(bad, _none_among(clocks, clock_codes))
        _add_looked_up(local, [one.seconds if one else 0 for one in clocks], clock_codes)
    _refuse(table, bad, columns, _WANTED)
    told = [one for one in clocks if one is not None]
    offsets = _offsets(table, told, clock_codes, columns)
    return _Column(local, offsets, _in_words(known, told, order), any(one.is_24 for one in told), order)


def _add_looked_up(seconds: Ints, known: Sequence[int], codes: Codes) -> None:
    """Add to ``seconds`` (n,) what ``codes`` (n,) stand for; part by part, since numpy copies the codes it looks up."""
    amounts = np.array(known, np.int64)
    for low in range(0, len(codes), _CHUNK):
        seconds[low : low + _CHUNK] += amounts[codes[low : low + _CHUNK]]


def _none_among(read: Sequence[object], codes: Codes) -> Ints:
    """Return the rows whose text reads as nothing."""
    nothing = [code for code, one in enumerate(read) if one is None]
    return np.flatnonzero(np.isin(codes, nothing)) if nothing else np.zeros(0, np.int64)


def _in_words(known: "Sequence[tuple[DateText, int]]", clocks: Sequence[ClockText], order: Order) -> str:
    """Return the patterns met, in words, with the order where it had to be settled."""
    days = list(dict.fromkeys(date.pattern(order.order) for date, _ in known))[:3]
    times = list(dict.fromkeys(one.words for one in clocks if one.words))[:3]
    words = " or ".join(days) + (f" {' or '.join(times)}" if times else "")
    return words + (f" ({order.order})" if any(date.open for date, _ in known) else "")


def _offsets(table: Table, clocks: Sequence[ClockText], codes: Codes, columns: tuple[int, ...]) -> Ints | None:
    if all(one.offset_s is None for one in clocks):
        return None
    bare = _none_among([one.offset_s for one in clocks], codes)
    _refuse(table, bare, columns, "an offset from UTC behind the time, as in the other rows")
    told = np.array([one.offset_s for one in clocks], np.int64)
    return np.broadcast_to(told[0], codes.shape) if (told == told[0]).all() else told[codes]


def _refuse(table: Table, bad: Ints, columns: tuple[int, ...], wanted: str) -> None:
    if len(bad):
        raise RecordError(table.faults(bad.tolist(), columns, "record.stamp", wanted, "Correct the row or take it out."))
