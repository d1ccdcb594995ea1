"""What keeps a text from being a table of readings: the first row that comes near to one, and what is wrong with it."""

import re
from collections.abc import Iterator, Sequence

from wattwright.core.errors import Place, RecordError, quoted
from wattwright.record.readers.shape import DELIMITERS, LONGEST_ROW, MOST_COLUMNS, split_row
from wattwright.record.readers.signs import Look, look
from wattwright.record.words import months

_LOOKED_AT = 200
_MONTHS = 2
_MONTH = re.compile(r"(?:0?[1-9]|1[0-2])[-/.](?:19|20)\d{2}|(?:19|20)\d{2}[-/.](?:0?[1-9]|1[0-2])")
_NAMED_MONTH = re.compile(r"([^\W\d_]{3,12})\.?[-/ ]{1,2}(?:(?:19|20)\d{2}|\d{2})")
_DATED = (Look.STAMP, Look.DATE)


def no_table(content: bytes, name: str, delimiters: Sequence[str]) -> RecordError:
    """Return the error for the text ``content``, in which none of ``delimiters`` gives rows with a stamp and a reading."""
    lines = [raw[:LONGEST_ROW].decode(errors="replace") for raw in content.split(b"\n", _LOOKED_AT)[:_LOOKED_AT]]
    told = next((error for sign in delimiters for error in (*_of_months(lines, sign, name), *_near(lines, sign, name))), None)
    if told is not None:
        return told
    *most, last = (DELIMITERS[sign] for sign in delimiters)
    parted = f"{', '.join(most)} or {last}" if most else last
    row, first = next(((row, line) for row, line in enumerate(lines, 1) if line.strip()), (1, ""))
    return _error(
        Place(name, row), quoted(first), f"rows with a date or time and at least one reading, parted by {parted}",
        "Check that this is the export of readings and not a summary or another file.",
    )  # fmt: skip


def _of_months(lines: Sequence[str], delimiter: str, name: str) -> Iterator[RecordError]:
    """Yield the error for rows of months, such as "01/2024", each with a number beside it."""
    found = []
    for row, line in enumerate(lines, 1):
        fields = [one.strip() for one in split_row(line, delimiter)]
        month = next((one for one in fields if _is_month(one)), "")
        if month and any(look(one) is Look.NUMBER for one in fields if one != month):
            found.append((row, month))
    if len(found) >= _MONTHS:
        yield RecordError.one(
            "record.months",
            Place(name, found[0][0]),
            found=f"{quoted(found[0][1])}, a month without a day, in {len(found):,} of the first rows",
            wanted="readings of intervals of a day at most, each with its date; rows of months are monthly sums or bills",
            next_step="Export the interval readings of the meter. Keep this file to compare their monthly sums with.",
        )


def _is_month(text: str) -> bool:
    named = _NAMED_MONTH.fullmatch(text)
    return months(named[1]) is not None if named else _MONTH.fullmatch(text) is not None


def _near(lines: Sequence[str], delimiter: str, name: str) -> Iterator[RecordError]:
    """Yield the error for the first row that has too many columns, or a stamp and beside it nothing that is a number."""
    names: list[str] = []
    for row, line in enumerate(lines, 1):
        fields = [one.strip() for one in split_row(" ".join(line.split()) if delimiter == " " else line, delimiter)]
        if len(fields) > MOST_COLUMNS:
            yield _error(
                Place(name, row),
                f"{len(fields):,} columns",
                f"{MOST_COLUMNS:,} columns at most",
                "Export fewer columns, or the readings below one another.",
            )
        looks = [look(field) for field in fields]
        if not any(kind in _DATED for kind in looks):
            names = fields if any(fields) else names
        elif delimiter != " " and Look.NUMBER not in looks:
            yield _without_number(Place(name, row), fields, looks, names)


def _without_number(place: Place, fields: Sequence[str], looks: Sequence[Look], names: Sequence[str]) -> RecordError:
    """Return the error for a row of a stamp and no number: the text that stands where a reading should."""
    at = next((i for i, kind in enumerate(looks) if kind in (Look.TEXT, Look.STATE)), None)
    if at is None:
        return _error(
            place,
            f"{quoted(', '.join(field for field in fields if field))} and no reading beside it",
            "a number beside the date and time",
            "Check that the export holds the readings and not their times alone.",
        )
    column = names[at] if len(names) == len(fields) and names[at] else f"column {at + 1}"
    return _error(
        Place(place.file, place.line, column),
        quoted(fields[at]),
        "a number alone, without unit or brackets; no row of the file holds one beside its date",
        "Export the readings as plain numbers, their unit in the name of the column, such as P [kW].",
    )


def _error(place: Place, found: str, wanted: str, next_step: str) -> RecordError:
    return RecordError.one("record.no-table", place, found=found, wanted=wanted, next_step=next_step)
