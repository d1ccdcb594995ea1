"""The clock that a file says it keeps: in the name of its stamps, in a line above the readings, or in a column of one zone."""

import re
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

from wattwright.core.clock import SiteClock
from wattwright.core.errors import InputError, quoted
from wattwright.record.readers.signs import DATE_PATTERN
from wattwright.record.readers.table import Table
from wattwright.record.words import has_word, plain, words

_OFFSET = re.compile(
    r"(?<![^\W_])(UTC|GMT)(?:(?:[ -]?offset\W{0,3})?? ?([+\-\u2212])(\d{1,2})(?::?(\d{2}))?)?(?![^\W_])(?!\W{0,3}offset)",
    re.IGNORECASE,
)
_ZONE = re.compile(r"(?<![\w/])[A-Z][A-Za-z]+(?:/[A-Z][\w+-]+){1,2}(?![\w/])")
_A_DATE = re.compile(rf"(?<!\d){DATE_PATTERN}(?!\d)")
_FARTHEST_H = 14
_LETTERS = re.compile(r"(?<![^\W_])[A-Z]{3,4}(?![^\W_])")
_STANDARD_H = {"WET": 0, "CET": 1, "MEZ": 1, "EET": 2, "EST": -5, "MST": -7, "PST": -8, "AKST": -9, "AEST": 10, "NZST": 12}
"""Letters that mean one zone's standard time (IANA time zone database), hours; those of summer come with the site's own clock."""


@dataclass(frozen=True, slots=True)
class Stated:
    """What a file says of its clock: seconds ahead of UTC, or an IANA zone, and where it says so.

    ``is_exact`` tells that it can be nothing else: an offset may also name the zone whose standard time it is.
    """

    offset_s: int
    zone: str
    is_exact: bool
    where: str


def stated_clock(table: Table, stamp_columns: Sequence[int]) -> Stated | None:
    """Return the clock that ``table`` says its stamps keep, None where it says nothing or more than one thing."""
    for i in stamp_columns:
        name = table.names[i]
        found = clock_in(name, why := f"the column is called {quoted(name)}") or _by_letters(name, why)
        if found is not None:
            return found
    for line in table.header.preamble:
        # A date in the line makes it the time of the export, which may be written by another clock.
        if has_word(plain(line), words("stamps")["clock"]) and not _A_DATE.search(line):
            text = line.strip().rstrip(";,\t ")[:80]
            if (found := clock_in(line, f"a line above the readings says {quoted(text)}")) is not None:
                return found
    return _in_column(table, stamp_columns)


def _by_letters(name: str, where: str) -> Stated | None:
    """Return the standard time whose letters stand in the name of a column, None where summer's or none do."""
    told = {_STANDARD_H[one] for one in _LETTERS.findall(name) if one in _STANDARD_H}
    if len(told) != 1 or has_word(plain(name), (*words("stamps")["site"], *words("season")["summer"])):
        return None
    return Stated(3600 * told.pop(), "", False, where)


def _in_column(table: Table, stamp_columns: Sequence[int]) -> Stated | None:
    """Return the clock that a column called so names, the same in all rows."""
    for i, name in enumerate(table.names):
        flat = plain(name)
        if i in stamp_columns or table.is_typed(i) or not (has_word(flat, words("stamps")["offset"]) or flat == "zone"):
            continue
        told = table.text(i).str.strip_chars().unique().to_list()
        if len(told) == 1 and (found := clock_in(told[0], f"the column {quoted(name)} says {quoted(told[0])}")) is not None:
            return found
    return None


@lru_cache(maxsize=1000)
def clock_in(text: str, where: str = "") -> Stated | None:
    """Return the one clock that ``text`` names: UTC, an offset from it, an IANA zone; None for none, several, or a local one."""
    if has_word(plain(text), (*words("stamps")["site"], *words("season")["summer"])):
        return None
    zones = {found for found in _ZONE.findall(text) if _is_zone(found)}
    if len(zones) == 1:
        return Stated(0, zones.pop(), True, where)
    told = {(_seconds(one), one[1].upper() == "UTC" and not one[2]) for one in _OFFSET.finditer(text)}
    if zones or len(told) != 1:
        return None
    offset_s, is_exact = told.pop()
    return None if offset_s is None else Stated(offset_s, "", is_exact, where)


def _seconds(found: "re.Match[str]") -> int | None:
    hours, minutes = int(found[3] or 0), int(found[4] or 0)
    if hours > _FARTHEST_H or minutes not in (0, 30, 45):
        return None
    return (-1 if found[2] in ("-", "\N{MINUS SIGN}") else 1) * (3600 * hours + 60 * minutes)


def _is_zone(name: str) -> bool:
    try:
        SiteClock(name)
    except InputError:
        return False
    return True
