"""One date or one time of day as a person or a logger writes it, into plain numbers."""

import re
from dataclasses import dataclass
from datetime import date
from functools import lru_cache

from wattwright.core.calendar import day_number
from wattwright.record.readers.signs import AFTERNOON, HALF_DAY, OFFSET
from wattwright.record.words import months

FIRST_YEAR, LAST_YEAR = 1970, 2100
"""Years in which a meter can have logged; a stamp outside them is a damaged one or a clock never set."""

ORDERS = ("day first", "month first", "year first")
_PLACES = {"day first": (2, 1, 0), "month first": (2, 0, 1), "year first": (0, 1, 2)}
_NUMBERS = re.compile(r"(\d{1,4})([-/.])(\d{1,2})[-/.](\d{1,4})")
_NAMED = re.compile(r"(\d{1,2})[-/. ]{1,2}([^\W\d_]{3,12})\.?[-/, ]{1,2}(\d{4}|\d{2})")
_NAMED_FIRST = re.compile(r"([^\W\d_]{3,12})\.? (\d{1,2}),? (\d{4})")
_COMPACT = re.compile(r"(\d{4})(\d{2})(\d{2})")
_CLOCK = re.compile(
    r"[T ,]*(\d{1,2})(?:([:.h]?)(\d{2})(?:([:.]?)(\d{2})(?:[.,](\d{1,9}))?)?)?"
    rf"(?:{HALF_DAY})?({OFFSET})?"
)


@dataclass(frozen=True, slots=True)
class DateText:
    """Three numbers of a date in the order written, whether that order is ``open``, and the pattern in words.

    Where the order is not open the numbers are year, month, day. ``short`` tells a year of two digits.
    """

    numbers: tuple[int, int, int]
    open: bool
    short: bool
    words: str

    def day(self, order: str) -> int | None:
        """Return the days since 1970-01-01 in ``order`` (one of ORDERS), None where the calendar has no such day."""
        year, month, day = (self.numbers[i] for i in _PLACES[order if self.open else "year first"])
        year += 2000 if self.short and self.open else 0
        try:
            return day_number(date(year, month, day)) if FIRST_YEAR <= year <= LAST_YEAR else None
        except ValueError:
            return None

    def pattern(self, order: str) -> str:
        """Return the pattern in words, in ``order``."""
        if not self.open:
            return self.words
        long = "YY" if self.short else "YYYY"
        parts = {"day first": ("DD", "MM", long), "month first": ("MM", "DD", long), "year first": (long, "MM", "DD")}
        return self.words.join(parts[order])


@dataclass(frozen=True, slots=True)
class ClockText:
    """A time of day: seconds since midnight, the offset from UTC where one stands, midnight as 24:00, the pattern in words."""

    seconds: int
    offset_s: int | None
    is_24: bool
    words: str


def read_date(text: str) -> DateText | None:
    """Return the date in ``text``, or None where there is none in the years a meter can have logged."""
    if match := _NUMBERS.fullmatch(text):
        return _of_numbers(match[1], match[3], match[4], match[2])
    if match := _COMPACT.fullmatch(text):
        return _within((int(match[1]), int(match[2]), int(match[3])), "YYYYMMDD")
    if match := _NAMED.fullmatch(text):
        day, name, year, words = match[1], match[2], match[3], "DD month YYYY"
    elif match := _NAMED_FIRST.fullmatch(text):
        day, name, year, words = match[2], match[1], match[3], "month DD, YYYY"
    else:
        return None
    month = months(name)
    return _within((int(year) + (2000 if len(year) == 2 else 0), month, int(day)), words) if month else None


def _of_numbers(first: str, second: str, last: str, sign: str) -> DateText | None:
    numbers = (int(first), int(second), int(last))
    if len(first) == 4 and len(last) <= 2:
        return _within(numbers, f"YYYY{sign}MM{sign}DD")
    if len(first) > 2 or len(last) not in (2, 4) or not (len(last) == 2 or FIRST_YEAR <= numbers[2] <= LAST_YEAR):
        return None
    return DateText(numbers, open=True, short=len(last) == 2, words=sign)


def _within(numbers: tuple[int, int, int], words: str) -> DateText | None:
    return DateText(numbers, open=False, short=False, words=words) if FIRST_YEAR <= numbers[0] <= LAST_YEAR else None


@lru_cache(maxsize=100_000)
def read_clock(text: str) -> ClockText | None:
    """Return the time of day in ``text``: 24 or 12 hours, with or without seconds and offset; None where there is none."""
    match = _CLOCK.fullmatch(text)
    if match is None or not (match[3] or match[7]):
        return None
    hour, minute, second = int(match[1]), int(match[3] or 0), int(match[5] or 0)
    half = (match[7] or "").lower()
    # Nought o'clock stands for twelve with some, and can mean nothing else.
    if half and not 0 <= hour <= 12:
        return None
    hour = hour % 12 + (12 if half in AFTERNOON else 0) if half else hour
    is_24 = (hour, minute, second) == (24, 0, 0)
    if not is_24 and not (hour < 24 and minute < 60 and second < 60):
        return None
    seconds = 3600 * hour + 60 * minute + second + round(float(f"0.{match[6] or 0}"))
    return ClockText(seconds, _offset(match[8]), is_24, _clock_words(match))


def _offset(text: str | None) -> int | None:
    digits = re.sub(r"\D", "", text or "")
    digits = digits.zfill(len(digits) + len(digits) % 2)
    if not digits:
        return None if not text else 0
    seconds = 3600 * int(digits[:2]) + 60 * int(digits[2:] or 0)
    return -seconds if text and "-" in text else seconds


def _clock_words(match: "re.Match[str]") -> str:
    half = match[7]
    words = "hh" if half else "HH"
    words += f"{match[2] or ''}MM" if match[3] else ""
    words += f"{match[4] or ''}SS" if match[5] else ""
    words += " AM/PM" if half else ""
    return words + (" with offset" if match[8] else "")
