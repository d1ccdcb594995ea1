"""Stamps: text columns into local or UTC seconds, the order of day and month settled over the whole file."""

import re
from dataclasses import dataclass

import numpy as np
import polars as pl
from numpy.typing import NDArray

from wattwright.core.errors import Fault, Place, RecordError, quoted
from wattwright.record.readers.signs import Look, look
from wattwright.record.readers.table import Table

DAY_S = 86_400
NONE = np.iinfo(np.int64).min
"""Stands for a stamp that could not be read."""

_SEPARATED = re.compile(r"(\d{1,4})([-/.])(\d{1,2})[-/.](\d{1,4})")
_NAMED = re.compile(r"(\d{1,2})([- ])([A-Za-z]{3,9})([- ,]+)(\d{2,4})")
_NAMED_FIRST = re.compile(r"([A-Za-z]{3,9}) (\d{1,2})(,? )(\d{4})")
_COMPACT = re.compile(r"\d{8}")
_CLOCK = re.compile(r"(\d{1,2})([:.h]?)(\d{2})(?:([:]?)(\d{2})([.,]\d+)?)?( ?)([AaPp]\.?[Mm]\.?)?")
_OFFSET = re.compile(r" ?(Z|UTC|GMT|[+-]\d{2}(?::?\d{2})?)$")
_MOST_FORMATS = 4
_MOST_FAULTS = 20


@dataclass(frozen=True, slots=True)
class Stamps:
    """One stamp per row.

    ``seconds`` shape (n,): local seconds, or UTC seconds where ``utc``; ``format`` in words; ``columns`` their indices;
    ``has_24`` whether midnight was written as 24:00 (then already moved to the next day); ``second`` the other end of each
    interval where the file gives both.
    """

    seconds: NDArray[np.int64]
    utc: bool
    format: str
    columns: tuple[int, ...]
    has_24: bool
    second: NDArray[np.int64] | None = None


def read_stamps(table: Table, date_order: str = "") -> Stamps:
    """Return the stamps of ``table``; ``date_order`` ("day first", "month first", "year first") is settled if empty.

    Raises RecordError when there is no stamp column, a stamp cannot be read, or the order of day and month stays open.
    """
    looks = [_column_look(table.body[str(i)]) for i in range(table.body.width)]
    whole = [i for i, kind in enumerate(looks) if kind is Look.STAMP]
    dates = [i for i, kind in enumerate(looks) if kind is Look.DATE]
    times = [i for i, kind in enumerate(looks) if kind is Look.TIME]
    if whole:
        stamps = _parsed(table, table.body[str(whole[0])], date_order, (whole[0],))
        if len(whole) > 1:
            other = _parsed(table, table.body[str(whole[1])], date_order, (whole[1],))
            return Stamps(stamps.seconds, stamps.utc, stamps.format, (whole[0], whole[1]), stamps.has_24, other.seconds)
        return stamps
    if dates and times:
        return _dated(table, dates[0], times, date_order)
    if _is_epoch(table.body["0"]):
        return _epoch(table)
    if dates:
        return _parsed(table, table.body[str(dates[0])], date_order, (dates[0],))
    raise RecordError.one(
        "record.no-stamps",
        Place(table.name, int(table.rows[0])),
        found=quoted(" | ".join(str(field) for field in table.body.row(0))),
        wanted="a column with dates or times, or seconds since 1970",
        next_step="Export the readings together with their times.",
    )


def _dated(table: Table, date_column: int, times: list[int], date_order: str) -> Stamps:
    day = table.body[str(date_column)].str.strip_chars()
    columns = (date_column, times[0])
    joined = day + " " + table.body[str(times[0])].str.strip_chars()
    stamps = _parsed(table, joined, date_order, columns)
    if len(times) == 1:
        return stamps
    other = _parsed(table, day + " " + table.body[str(times[1])].str.strip_chars(), date_order, columns)
    # An interval that ends after midnight ends on the next day.
    ends = np.where(other.seconds <= stamps.seconds, other.seconds + DAY_S, other.seconds)
    return Stamps(stamps.seconds, stamps.utc, stamps.format, (*columns, times[1]), stamps.has_24, ends)


def _column_look(column: pl.Series) -> Look:
    step = max(1, len(column) // 50)
    kinds = [look(str(text)) for text in column.gather_every(step).head(60)]
    told = [kind for kind in kinds if kind is not Look.EMPTY]
    return max(set(told), key=told.count) if told else Look.EMPTY


def _is_epoch(column: pl.Series) -> bool:
    numbers = column.head(50).str.strip_chars().cast(pl.Float64, strict=False)
    return bool(numbers.is_not_null().all()) and bool(numbers.is_between(3e8, 4e12).all())


def _epoch(table: Table) -> Stamps:
    text = table.body["0"].str.strip_chars()
    numbers = text.cast(pl.Float64, strict=False)
    _refuse_unread(table, text, numbers.is_null().to_numpy(), (0,), "seconds since 1970, as in the other rows")
    values = numbers.to_numpy()
    milli = bool(np.median(values) > 1e11)
    seconds = np.rint(values / (1000 if milli else 1)).astype(np.int64)
    return Stamps(seconds, True, f"{'milliseconds' if milli else 'seconds'} since 1970 in UTC", (0,), False)


def _parsed(table: Table, column: pl.Series, date_order: str, columns: tuple[int, ...]) -> Stamps:
    text = column.str.strip_chars()
    order = date_order or _settled_order(table, text, columns)
    seconds, utc, formats, has_24 = _by_formats(text, order)
    _refuse_unread(table, text, seconds == NONE, columns, "a date and time as in the other rows")
    named = f"{', '.join(dict.fromkeys(formats))}" + (f" ({order})" if order != "year first" else "")
    return Stamps(seconds, utc, named, columns, has_24)


def _refuse_unread(table: Table, text: pl.Series, bad: NDArray[np.bool_], columns: tuple[int, ...], wanted: str) -> None:
    rows = np.flatnonzero(bad)
    if not len(rows):
        return
    name = " and ".join(table.names[i] for i in columns)
    more = f" {len(rows) - _MOST_FAULTS:,} more rows are like this." if len(rows) > _MOST_FAULTS else ""
    raise RecordError(
        Fault(
            "record.stamp",
            Place(table.name, int(table.rows[i]), name),
            quoted(text[int(i)] or "") if text[int(i)] else "nothing",
            wanted,
            ("Correct the row or take it out." + more) if index == 0 else "",
        )
        for index, i in enumerate(rows[:_MOST_FAULTS])
    )


def _by_formats(text: pl.Series, order: str) -> tuple[NDArray[np.int64], bool, list[str], bool]:
    """Return the seconds by the few formats the column uses, each found from the first stamp the earlier ones could not read."""
    late, has_24 = _without_24(text)
    seconds = np.full(len(text), NONE, np.int64)
    formats: list[str] = []
    utc = False
    for _ in range(_MOST_FORMATS):
        left = np.flatnonzero(seconds == NONE)
        told = next((format_of(str(late[int(i)]), order) for i in left[:1]), None)
        if told is None:
            break
        pattern, words = told
        read = _strptime(late, pattern)
        seconds = np.where(seconds == NONE, read, seconds)
        if (seconds[left] == NONE).all():
            break
        formats.append(words)
        utc = utc or pattern.endswith("%z")
    return np.where((seconds != NONE) & has_24, seconds + DAY_S, seconds), utc, formats, bool(has_24.any())


def _without_24(text: pl.Series) -> tuple[pl.Series, NDArray[np.bool_]]:
    """Return the column with 24:00 written as 00:00, and which rows had it."""
    has_24 = text.str.contains(r"[T ]24[:.h]?00").fill_null(value=False)
    if not has_24.any():
        return text, np.zeros(len(text), np.bool_)
    return text.str.replace(r"([T ])24([:.h]?00)", "${1}00${2}"), has_24.to_numpy()


def _strptime(text: pl.Series, pattern: str) -> NDArray[np.int64]:
    if "%p" in pattern:
        text = text.str.replace(r"(?i)([ap])\.?m\.?$", "${1}m").str.to_uppercase()
    if pattern.endswith("%z"):
        text = text.str.replace(r" ?(Z|UTC|GMT)$", "+00:00").str.replace(r" ?([+-]\d{2}):?(\d{2})$", "${1}:${2}")
        text = text.str.replace(r" ?([+-]\d{2})$", "${1}:00")
    parsed = text.str.to_datetime(pattern, strict=False, time_unit="us", exact=True)
    micro = parsed.to_physical()
    return np.where(micro.is_null().to_numpy(), NONE, np.rint(micro.fill_null(0).to_numpy() / 1e6).astype(np.int64))


def format_of(stamp: str, order: str) -> tuple[str, str] | None:
    """Return the parsing pattern of one stamp and the pattern in words, or None when it is no stamp."""
    offset = _OFFSET.search(stamp)
    body = stamp[: offset.start()] if offset and ":" in stamp[: offset.start()] else stamp
    zoned = len(body) < len(stamp)
    date = _date_format(body, order)
    if date is None:
        return None
    pattern, words, used = date
    rest = body[used:]
    gap = re.match(r"[T ,]*", rest)
    between = gap.group() if gap else ""
    clock = rest[len(between) :]
    if clock:
        told = _clock_format(clock)
        if told is None:
            return None
        pattern, words = pattern + between + told[0], f"{words}{'T' if between == 'T' else ' '}{told[1]}"
    return (pattern + "%z", words + " with offset") if zoned else (pattern, words)


def _date_format(text: str, order: str) -> tuple[str, str, int] | None:
    """Return pattern, words and length of the date at the head of ``text``."""
    if match := _SEPARATED.match(text):
        first, sign, _, last = match.groups()
        if len(first) == 4:
            return f"%Y{sign}%m{sign}%d", f"YYYY{sign}MM{sign}DD", match.end()
        year, long = ("%Y", "YYYY") if len(last) == 4 else ("%y", "YY")
        a, b = ("%m", "%d") if order == "month first" else ("%d", "%m")
        say = {"%d": "DD", "%m": "MM"}
        return f"{a}{sign}{b}{sign}{year}", f"{say[a]}{sign}{say[b]}{sign}{long}", match.end()
    if match := _NAMED.match(text):
        _, sign, month, second, year = match.groups()
        named = "%b" if len(month) == 3 else "%B"
        return f"%d{sign}{named}{second}{'%Y' if len(year) == 4 else '%y'}", f"DD{sign}month{sign}year", match.end()
    if match := _NAMED_FIRST.match(text):
        return f"{'%b' if len(match[1]) == 3 else '%B'} %d{match[3]}%Y", "month DD, YYYY", match.end()
    if match := _COMPACT.match(text):
        return "%Y%m%d", "YYYYMMDD", match.end()
    return None


def _clock_format(text: str) -> tuple[str, str] | None:
    match = _CLOCK.fullmatch(text)
    if match is None:
        return None
    _, sign, _, second_sign, seconds, fraction, blank, half = match.groups()
    hour, words = ("%I", "hh") if half else ("%H", "HH")
    pattern, words = f"{hour}{sign}%M", f"{words}{sign or ''}MM"
    if seconds:
        pattern, words = f"{pattern}{second_sign}%S", f"{words}{second_sign}SS"
    if fraction:
        pattern += "%.f"
    return (f"{pattern}{blank}%p", f"{words}{blank}AM/PM") if half else (pattern, words)


def _settled_order(table: Table, text: pl.Series, columns: tuple[int, ...]) -> str:
    """Return which of day and month stands first, from every date in the file."""
    sample = str(next((t for t in text.head(50) if t), ""))
    match = _SEPARATED.match(sample)
    if match is None or len(match[1]) == 4:
        return "year first"
    unique = text.str.extract_groups(r"^(?P<a>\d{1,2})[-/.](?P<b>\d{1,2})[-/.]").struct.unnest().cast(pl.Int64)
    firsts, seconds = unique["a"].max(), unique["b"].max()
    if isinstance(firsts, int) and isinstance(seconds, int):
        if firsts > 12 and seconds > 12:
            raise _contradictory(table, text, unique["b"], columns)
        if firsts > 12 or seconds > 12:
            return "day first" if firsts > 12 else "month first"
    breaks = {order: _breaks(text, order) for order in ("day first", "month first")}
    if breaks["day first"] == breaks["month first"]:
        raise _open_order(table, text, columns)
    return min(breaks, key=lambda order: breaks[order])


def _breaks(text: pl.Series, order: str) -> int:
    """Return how often the step between neighbouring rows is not the usual one, when read in this order."""
    seconds, *_ = _by_formats(text, order)
    steps = np.diff(seconds[seconds != NONE])
    if not len(steps):
        return 0
    values, counts = np.unique(steps, return_counts=True)
    return int(len(steps) - counts.max()) + int((values <= 0).sum())


def _contradictory(table: Table, text: pl.Series, second: pl.Series, columns: tuple[int, ...]) -> RecordError:
    row = int((second > 12).arg_true()[0])
    return RecordError.one(
        "record.date-order",
        Place(table.name, int(table.rows[row]), " and ".join(table.names[i] for i in columns)),
        found=quoted(text[row]),
        wanted="day and month in one order throughout; other rows have a first number above 12, this one a second",
        next_step="Look whether two files with different date orders were joined.",
    )


def _open_order(table: Table, text: pl.Series, columns: tuple[int, ...]) -> RecordError:
    return RecordError.one(
        "record.date-order-open",
        Place(table.name, int(table.rows[0]), " and ".join(table.names[i] for i in columns)),
        found=quoted(text[0]),
        wanted="dates that show which number is the day; here both orders give an equally regular record",
        next_step='Say which it is: --date-order "day first" or --date-order "month first".',
    )
