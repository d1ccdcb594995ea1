"""Tables with a row for each day and a column for each interval, turned into a row for each interval."""

import re
from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import polars as pl

from wattwright.core.clock import DAY_S, SiteClock
from wattwright.core.findings import Finding
from wattwright.core.quantity import Quantity
from wattwright.record import kinds
from wattwright.record.measures import measure
from wattwright.record.readers.dates import read_clock, read_date
from wattwright.record.readers.edges import edges_of
from wattwright.record.readers.order import DateColumn, settle_order
from wattwright.record.readers.rows import Rows
from wattwright.record.readers.shape import Header
from wattwright.record.readers.signs import HALF, MISSING_SIGNS, Look, look
from wattwright.record.readers.stated_clock import clock_in
from wattwright.record.readers.table import Table
from wattwright.record.units import unit_in
from wattwright.record.words import has_word, plain, words

_CLOCK = re.compile(r"(?:\D*\b)?(\d{1,2})[:.h](\d{2})(?::00)?\s*[A-Za-z*]?(?:\s*[-–]\s*\d{1,2}[:.h]\d{2})?")
_HALF_DAY = re.compile(rf"(\d{{1,2}}(?:[:.]\d{{2}})?{HALF})(?:\s*[-–]\s*\d{{1,2}}(?:[:.]\d{{2}})?(?:{HALF})?)?")
_ORDINAL = re.compile(r"[A-Za-z_ ]{0,12}?(\d{1,4})")
_POWERS = (Quantity.ACTIVE_POWER, Quantity.REACTIVE_POWER, Quantity.APPARENT_POWER)
_FEWEST = 20
_PER_DAY = (24, 48, 72, 96, 144, 288, 720, 1440)
READINGS = "readings"
"""The name of the column of readings in a table that was turned."""
NUMBERED = "a row for each day, a column for each interval, numbered from midnight"


def unfolded(table: Table, clock: SiteClock, date_order: str) -> tuple[Table, tuple[Finding, ...]]:
    """Return ``table`` with a row for each interval where it has a row for each day, else as it is, and what was left out.

    Columns named by a time of day are read by the clock; columns that are numbered count on from midnight, so that the 23rd or
    25th hour falls where the site's clock has it. Raises RecordError where the dates cannot be read.
    """
    spread = _intervals(table)
    if len(spread) < _FEWEST:
        return table, ()
    day = next((i for i in range(table.body.width) if i not in spread and _looks(table, i) is Look.DATE), None)
    if day is None:
        return table, ()
    names = [table.names[i] for i in spread]
    texts = [table.text(i).str.strip_chars() for i in spread]
    named = _by_name(table, day, names)
    stamps = named or _by_number(table, day, names, texts, clock, date_order)
    if stamps is None:
        return table, ()
    kept = [i for i in range(table.body.width) if i not in spread and i != day]
    daily = [i for i in kept if _is_of_the_day(table, i)]
    kept = [i for i in kept if i not in daily]
    turned = replace(_turned(table, kept, stamps, texts), numbered="" if named else NUMBERED, edges=edges_of(table))
    return turned, tuple(kinds.OF_THE_DAY.at("columns", column=table.names[i]) for i in daily)


def _is_of_the_day(table: Table, column: int) -> bool:
    """Return whether a column beside the intervals holds an energy or a power of the whole day, such as its total."""
    name = table.names[column]
    unit = measure(unit_in(name))
    called = has_word(plain(name), (*words("site")["whole"], *(one for known in words("extreme").values() for one in known)))
    is_power = called or (unit is not None and unit[0] in _POWERS)
    return is_power and all(look(text) in (Look.NUMBER, Look.EMPTY) for text in table.sample(column, 50))


def _intervals(table: Table) -> list[int]:
    """Return the columns that hold an interval each: named by a time of day, or numbered without a gap."""
    clocked = [i for i, name in enumerate(table.names) if _clock_in(name)]
    if len(clocked) >= _FEWEST:
        return clocked
    numbered = [(int(match[1]), i) for i, name in enumerate(table.names) if (match := _ORDINAL.fullmatch(name))]
    runs = [i for order, (number, i) in enumerate(numbered) if number == order + numbered[0][0]]
    return runs if len(runs) == len(numbered) and numbered and numbered[0][0] in (0, 1) else []


def _clock_in(name: str) -> str:
    """Return the time of day, HH:MM, that a column is called by, whatever unit stands behind it; an empty text for none."""
    head, _, last = name.strip().rpartition(" ")
    heads = (name, head.strip()) if unit_in(last) else (name,)
    found = next((match for one in heads if (match := _CLOCK.fullmatch(one))), None)
    if found is not None:
        return f"{int(found[1]):02d}:{found[2]}"
    half = next((match for one in heads if (match := _HALF_DAY.fullmatch(one.strip()))), None)
    told = read_clock(half[1]) if half is not None else None
    return "" if told is None else f"{told.seconds // 3600:02d}:{told.seconds % 3600 // 60:02d}"


def _looks(table: Table, column: int) -> Look:
    kinds = [look(text) for text in table.text(column).head(50).to_list()]
    return max(set(kinds), key=kinds.count)


def _by_name(table: Table, day: int, names: Sequence[str]) -> list[pl.Series] | None:
    """Return the stamps of each column as text, day and time of day; None where the columns are numbered."""
    times = [_clock_in(name) for name in names]
    days = table.text(day).str.strip_chars()
    return [days + f" {one}" for one in times] if all(times) else None


def _by_number(
    table: Table, day: int, names: Sequence[str], texts: Sequence[pl.Series], clock: SiteClock, date_order: str
) -> list[pl.Series] | None:
    """Return the stamps of numbered columns as text with the offset from UTC; None where their count makes no day."""
    filled = np.array([~text.str.to_lowercase().is_in(list(MISSING_SIGNS)).to_numpy() for text in texts])
    usual = int(np.median(filled.sum(axis=0)))
    per_day = next((count for count in _PER_DAY if abs(count - usual) <= count // 24 and count - count // 24 <= len(names)), None)
    dates = [read_date(text.strip()) for text in table.text(day).to_list()]
    known = [(one, row) for row, one in enumerate(dates) if one is not None]
    if per_day is None or len(known) < len(dates):
        return None
    column = DateColumn([d for d, _ in known], [r for _, r in known], (day,), clocked=True)
    told = date_order or settle_order(table, column).order
    numbers = [one.day(told) if one else None for one in dates]
    if any(number is None for number in numbers):
        return None
    midnights = clock.resolve(DAY_S * np.array(numbers, np.int64)).first_s
    step = DAY_S // per_day
    out = []
    for k in range(len(names)):
        instants = (midnights + k * step).astype("datetime64[s]")
        out.append(pl.Series(np.datetime_as_string(instants).tolist()).str.replace("T", " ") + "Z")
    return out


def _turned(table: Table, kept: Sequence[int], stamps: Sequence[pl.Series], texts: Sequence[pl.Series]) -> Table:
    """Return the long table: stamp, the columns kept, readings; cells without a reading where the day has none are left out."""
    height, width = table.body.height, len(stamps)
    order = np.arange(height * width).reshape(width, height).T.ravel()
    readings = pl.concat(list(texts)).gather(order)
    columns = {"0": pl.concat(list(stamps)).gather(order)}
    rows = np.repeat(np.arange(height), width)
    for number, i in enumerate(kept, 1):
        columns[str(number)] = table.text(i).gather(rows)
    columns[str(len(kept) + 1)] = readings
    filled = (readings != "").to_numpy()
    said = (*(name for name in table.names if _clock_in(name)), *table.header.preamble, *table.header.fields)
    unit = next((unit for line in said if (unit := unit_in(line))), "")
    # Where the name of the days tells their clock, that of the stamps goes on telling it.
    told = next((name for i, name in enumerate(table.names) if i not in kept and not _clock_in(name) and clock_in(name)), "")
    names = (f"stamp, {told}" if told else "stamp", *(table.names[i] for i in kept), f"{READINGS} [{unit}]" if unit else READINGS)
    header = Header(names, (), table.header.row, table.header.preamble)
    body = pl.DataFrame(columns).filter(pl.Series(filled))
    where = Rows(table.rows.numbers[rows][filled], (table.rows.names[0],), counted=table.rows.counted)
    return replace(table, header=header, body=body, rows=where)
