"""What a single field looks like: a stamp, a date, a time of day, a number, a sign for nothing, or text."""

import re
from enum import StrEnum
from functools import lru_cache

from wattwright.record.words import plain, words

_LONGEST_WORD = 20


class Look(StrEnum):
    """The look of one field."""

    STAMP = "date and time"
    DATE = "date"
    TIME = "time of day"
    NUMBER = "number"
    STATE = "state of a contact"
    EMPTY = "nothing"
    TEXT = "text"


# How loggers and exports write "no reading". General signs only.
MISSING_SIGNS = frozenset(
    {"", "?", "-", "--", "---", "*", "**", "#", "na", "n/a", "n.a.", "nan", "null", "none", "nil", "#n/a", "#na", "missing", "."}
)

_YEAR_FIRST = r"\d{4}[-/.]\d{1,2}[-/.]\d{1,2}"
_YEAR_LAST = r"\d{1,2}[-/.]\d{1,2}[-/.](?:\d{4}|\d{2})"
_MONTH = r"[^\W\d_]{3,12}\.?"
_MONTH_NAME = rf"\d{{1,2}}[-/. ]{{1,2}}{_MONTH}[-/, ]{{1,2}}(?:\d{{4}}|\d{{2}})|{_MONTH} \d{{1,2}},? \d{{4}}"
_COMPACT = r"(?:19|20)\d{2}(?:0[1-9]|1[0-2])(?:0[1-9]|[12]\d|3[01])"
# AM and PM, in Greek as well; some programs write a blank that does not break before them. The micro sign passes for a mu.
HALF_DAY = "[ \u00a0\u202f]?([AaPp\u03c0\u03a0\u03bc\u039c\u00b5])\\.?[ \u00a0\u202f]?[Mm\u03bc\u039c\u00b5]\\.?"
HALF = HALF_DAY.replace("(", "").replace(")", "")
AFTERNOON = "p\u03bc\u00b5"
"""What the first letter of PM may be, in small letters."""
_CLOCK = rf"(?:\d{{1,2}}[:.h]\d{{2}}(?:[:.]\d{{2}}(?:[.,]\d{{1,9}})?)?(?:{HALF})?|\d{{1,2}}{HALF})"
OFFSET = r"(?: ?(?:Z|(?:UTC|GMT)(?:[+-]\d{1,2}(?::?\d{2})?)?|[+-]\d{2}(?::?\d{2})?))"
_OFFSET = f"{OFFSET}?"
DATE_PATTERN = f"(?:{_YEAR_FIRST}|{_YEAR_LAST}|{_MONTH_NAME}|{_COMPACT})"

_ZONE_LETTERS = r"(?: ?[A-Z]{3,5})?"
# The other end of an interval behind a time, as some exports write it.
_TO = rf"(?:\s*[-\u2013\u2014]\s*(?:{DATE_PATTERN}[T ,]+)?{_CLOCK})?"

_WEEKDAY = re.compile(rf"([^\W\d_]{{2,14}})\.?,?\s+(?={DATE_PATTERN})")

DATE = re.compile(DATE_PATTERN)
TIME = re.compile((_CLOCK + _TO).replace("[:.h]", "[:h]"))
_DIGITS = r"(?:[01]\d|2[0-4])[0-5]\d(?:[0-5]\d)?"
STAMP = re.compile(f"(?:{DATE_PATTERN}[T ,]+{_CLOCK}(?:{_OFFSET}|{_ZONE_LETTERS}|{_TO})|{_COMPACT}[T ]?{_DIGITS}{_OFFSET})")
NUMBER = re.compile(r"[+\-\u2212]?(?:\d[\d.,' \u00a0\u202f\u2019]*|[.,]\d+)(?:[eE][+-]?\d+)?")


def without_weekday(text: str) -> str:
    """Return ``text`` without the name of a day of the week before a date, or as it is."""
    match = _WEEKDAY.match(text)
    return text[match.end() :] if match and plain(match[1]) in words("weekday")["any"] else text


def look(field: str) -> Look:
    """Return what ``field`` looks like, blanks around it ignored."""
    text = field.strip()
    text = without_weekday(text) if text[:1].isalpha() else text
    if text.lower() in MISSING_SIGNS:
        return Look.EMPTY
    if STAMP.fullmatch(text):
        return Look.STAMP
    # A bare eight-digit number is a date only if it reads as one of our time; elsewhere it is a count.
    if DATE.fullmatch(text):
        return Look.DATE
    if TIME.fullmatch(text):
        return Look.TIME
    if NUMBER.fullmatch(text):
        return Look.NUMBER
    return Look.STATE if state_of(text) is not None else Look.TEXT


@lru_cache(maxsize=10_000)
def state_of(field: str) -> float | None:
    """Return 1 where ``field`` is a word for a closed contact or what is on, 0 where for an open one, None elsewhere."""
    word = plain(field) if len(field) < _LONGEST_WORD else ""
    return next((float(state) for state, known in words("state").items() if word and word in known), None)
