"""Stamps made plain before they are read: the first time of a range, and offsets from UTC that stand apart or in letters."""

import re
from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime
from zoneinfo import ZoneInfo

import numpy as np
import polars as pl

from wattwright.core.errors import RecordError, quoted
from wattwright.record.readers.signs import HALF, Look, look, without_weekday
from wattwright.record.readers.table import Table
from wattwright.record.words import has_word, plain, words

_RANGE = rf"^\s*(.*?\d{{1,2}}[:.h]\d{{2}}(?::\d{{2}})?(?:{HALF})?)(\s*[-–—]\s*)(\S.*?)\s*$"
_LETTERS = re.compile(r"^(.*\d) ?([A-Z]{3,5})$")
_ZONES = {
    "WET": "+00:00", "WEST": "+01:00", "CET": "+01:00", "MEZ": "+01:00", "CEST": "+02:00", "MESZ": "+02:00", "EET": "+02:00",
    "EEST": "+03:00", "NST": "-03:30", "NDT": "-02:30", "ADT": "-03:00", "EST": "-05:00", "EDT": "-04:00", "CDT": "-05:00",
    "MST": "-07:00", "MDT": "-06:00", "PST": "-08:00", "PDT": "-07:00", "AKST": "-09:00", "AKDT": "-08:00", "AEST": "+10:00",
    "AEDT": "+11:00", "ACST": "+09:30", "ACDT": "+10:30", "NZST": "+12:00", "NZDT": "+13:00",
}  # fmt: skip
"""Letters of zones that mean one offset only (IANA time zone database); others, such as CST or IST, are asked about."""
_PLAIN = ("UTC", "GMT")
_YEARS = range(2000, 2027)
_MOST_OFFSETS = 3
"""A record shows the offsets of winter and summer, and seldom a third; the ends of intervals are many more."""
_WIDEST_H, _PARTS = 14, (0, 30, 45)
"""Offsets go up to 14 hours in halves and quarters of one (IANA time zone database)."""


def with_plain_stamps(table: Table, zone: str = "UTC", clock: str = "") -> Table:
    """Return ``table`` with ranges as their first time, zone letters as offsets, and a column of offsets behind its stamps.

    Letters that several zones use mean the site's own ``zone`` (IANA) where it uses them. Others are taken off where a person
    said what the ``clock`` is; raises RecordError where nobody did.
    """
    for i in range(table.body.width):
        if table.is_typed(i) or _look(table, i) not in (Look.STAMP, Look.TIME, Look.DATE):
            continue
        table = _without_weekdays(table, i)
        if _look(table, i) is Look.DATE:
            continue
        table = _without_letters(_without_ends(table, i), i, zone, clock)
    return _with_offsets(_with_times_of_digits(table))


def _look(table: Table, column: int) -> Look:
    kinds = [look(text) for text in table.sample(column, 50)]
    return max(dict.fromkeys(kinds), key=kinds.count, default=Look.EMPTY)


def _with_times_of_digits(table: Table) -> Table:
    """Return the table with times of day written as bare digits, such as 0030 or 30 beside a date, as times.

    Only a column that is called so counts, in a table that has several rows for each date and no other time.
    """
    looks = [_look(table, i) for i in range(table.body.width)]
    if Look.DATE not in looks or Look.STAMP in looks or Look.TIME in looks:
        return table
    if 2 * table.text(looks.index(Look.DATE)).n_unique() > table.body.height:
        return table
    for i, kind in enumerate(looks):
        if kind is not Look.NUMBER or not has_word(plain(table.names[i]), words("stamps")["clock"]):
            continue
        digits = table.text(i).str.strip_chars().str.strip_suffix(".0")
        longest = int(digits.str.len_chars().max() or 0)  # type: ignore[arg-type]  # lengths are whole numbers
        if not 3 <= longest <= len("HHMMSS") or not digits.str.contains(r"^\d+$").all():
            continue
        padded = digits.str.zfill(4 if longest <= len("HHMM") else 6)
        if padded.str.contains(r"^(?:(?:[01]\d|2[0-3])[0-5]\d|2400)(?:[0-5]\d)?$").all():
            times = padded.str.slice(0, 2) + ":" + padded.str.slice(2, 2)
            seconds = padded.str.slice(4)
            with_seconds = times + ":" + seconds if longest > len("HHMM") else times
            return _changed(table, i, with_seconds, table.names)
    return table


def _without_weekdays(table: Table, column: int) -> Table:
    """Return the table without days of the week before its dates."""
    if not any(without_weekday(text.strip()) != text.strip() for text in table.sample(column, 50)):
        return table
    texts = table.text(column).str.strip_chars()
    known = {text: without_weekday(text) for text in texts.unique().to_list()}
    return _changed(table, column, texts.replace_strict(known, return_dtype=pl.String), table.names)


def _without_ends(table: Table, column: int) -> Table:
    """Return the table with the first time of each range, and a name that says so; a few offsets behind a time are no ends."""
    some = [match for text in table.sample(column, 50) if (match := re.match(_RANGE, text))]
    texts = table.text(column)
    if 2 * len(some) < min(50, len(texts)):
        return table
    parts = texts.str.extract_groups(_RANGE).struct.unnest()
    ends = parts["3"].drop_nulls()
    is_parted = some[0][2] != some[0][2].strip()
    if not is_parted and ends.n_unique() <= _MOST_OFFSETS:
        return table
    names = list(table.names)
    names[column] = f"{names[column]}, start"
    made = pl.select(pl.when(parts["1"].is_not_null()).then(parts["1"]).otherwise(texts)).to_series()
    return _changed(table, column, made, names)


def _without_letters(table: Table, column: int, zone: str, clock: str) -> Table:
    """Return the table with the offset from UTC in place of the letters of a zone that mean one offset."""
    if not any(_LETTERS.match(text.strip()) for text in table.sample(column, 50)):
        return table
    texts = table.text(column).str.strip_chars()
    letters = texts.str.extract(_LETTERS.pattern, 2)
    known = _ZONES | _letters_of(zone)
    offsets = letters.replace_strict(list(known), list(known.values()), default=None, return_dtype=pl.String)
    bare = texts.str.extract(_LETTERS.pattern, 1)
    doubtful = letters.is_not_null() & offsets.is_null() & ~letters.is_in(_PLAIN)
    if doubtful.any():
        row = int(doubtful.arg_max() or 0)
        if not clock:
            raise _open_letters(table, row, column, str(letters[row]))
        return _changed(table, column, pl.select(pl.when(letters.is_null()).then(texts).otherwise(bare)).to_series(), table.names)
    made = pl.select(pl.when(offsets.is_not_null()).then(bare + offsets).otherwise(texts)).to_series()
    return _changed(table, column, made, table.names)


def _letters_of(zone: str) -> dict[str, str]:
    """Return the letters that a zone has for its own clock in winter and summer, with their offsets."""
    days = [datetime(year, month, 1, tzinfo=ZoneInfo(zone)) for year in _YEARS for month in (1, 7)]
    return {day.tzname() or "": day.isoformat()[-6:] for day in days}


def _open_letters(table: Table, row: int, column: int, letters: str) -> RecordError:
    return RecordError.one(
        "record.zone-letters",
        table.place(row, [column]),
        found=quoted(str(table.text(column)[row]).strip()),
        wanted=f"an offset from UTC, such as +02:00, or letters that mean one clock; {letters} stands for several, or for none "
        "that is known here",
        next_step='Say which clock it is: clock = "site" with the site\'s zone, "standard time" or "UTC", in the job file under '
        "this file's layout, or --clock.",
        field="clock",
        choices=("site", "standard time", "UTC"),
    )


def _changed(table: Table, column: int, texts: pl.Series, names: Sequence[str]) -> Table:
    body = table.body.with_columns(texts.alias(str(column)))
    return replace(table, body=body, header=replace(table.header, names=tuple(names)))


def _with_offsets(table: Table) -> Table:
    """Return the table with the offsets of a column called so behind its stamps, where these carry none."""
    stamps = [i for i in range(table.body.width) if not table.is_typed(i) and _look(table, i) is Look.STAMP]
    called = [i for i, name in enumerate(table.names) if has_word(plain(name), words("stamps")["offset"])]
    if len(stamps) != 1 or not called or called[0] == stamps[0]:
        return table
    offsets = _offsets(table, called[0])
    if offsets is None or any(re.search(r"(?:Z|[+-]\d\d(?::?\d\d)?)$", one.strip()[10:]) for one in table.sample(stamps[0], 50)):
        return table
    kept = [i for i in range(table.body.width) if i != called[0]]
    body = table.body.with_columns((table.text(stamps[0]).str.strip_chars() + offsets).alias(str(stamps[0])))
    names, fields = table.names, table.header.fields
    header = replace(table.header, names=tuple(names[i] for i in kept), fields=tuple(fields[i] for i in kept if i < len(fields)))
    return replace(table, header=header, body=pl.DataFrame({str(n): body[str(i)] for n, i in enumerate(kept)}))


def _offsets(table: Table, column: int) -> pl.Series | None:
    """Return the offsets in a column as +HH:MM: written as +0300, +03:00 or 3; None where it holds anything else."""
    digits = table.text(column).str.strip_chars().str.replace(":", "").str.replace("\N{MINUS SIGN}", "-")
    numbers = digits.cast(pl.Float64, strict=False).fill_null(float("nan")).to_numpy()
    if not np.isfinite(numbers).all() or (numbers != np.rint(numbers)).any():
        return None
    held = np.where(np.abs(numbers) <= _WIDEST_H, 100 * numbers, numbers).astype(np.int64)
    if (np.abs(held) > 100 * _WIDEST_H).any() or not np.isin(np.abs(held) % 100, _PARTS).all():
        return None
    texts = {int(one): f"{'-' if one < 0 else '+'}{abs(one) // 100:02d}:{abs(one) % 100:02d}" for one in np.unique(held).tolist()}
    return pl.Series([texts[one] for one in held.tolist()])
