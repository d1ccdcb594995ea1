"""Columns that say how good readings are: quality codes (NAESB REQ.21), or words and letters in several languages."""

from collections.abc import Container, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from wattwright.core.quality import Quality
from wattwright.record.readers.distinct import distinct
from wattwright.record.readers.numbers import Numbers
from wattwright.record.readers.signs import MISSING_SIGNS, state_of
from wattwright.record.readers.table import Table
from wattwright.record.words import plain, words

Codes = NDArray[np.uint8]
_KNOWN = np.array([int(code) for code in Quality])
_MOST_WORDS = 20
_LONGEST = 30
_MEANT = {
    "valid": Quality.VALID,
    "estimated": Quality.ESTIMATED_LINEAR,
    "missing": Quality.MISSING,
    "questionable": Quality.QUESTIONABLE,
    "edited": Quality.MANUALLY_EDITED,
}
_SAID = {
    Quality.VALID: "measured",
    Quality.ESTIMATED_LINEAR: "estimated",
    Quality.MISSING: "missing",
    Quality.QUESTIONABLE: "questionable",
    Quality.MANUALLY_EDITED: "edited by hand",
}


@dataclass(frozen=True, slots=True, eq=False)
class Worded:
    """A column of words for quality: the code of each row (n,), and what each word was taken for, as (word, meaning)."""

    codes: Codes
    said: tuple[tuple[str, str], ...]


def worded(table: Table, column: int) -> Worded | None:
    """Return the quality that a column of words or letters tells; None where it holds anything else.

    Full words are known by themselves, single letters only in a column called so. There a word that is not known beside others
    that are makes a reading questionable, and a blank says nothing against one.
    """
    if table.is_typed(column) or any(len(one.strip()) > _LONGEST for one in table.sample(column, 20)):
        return None
    found = distinct(table.text(column))
    name = plain(table.names[column])
    meant = {text: _code(text, name) for text in found.texts if len(found.texts) <= _MOST_WORDS and not _is_blank(text)}
    known = sum(code is not None for code in meant.values())
    if not known or (known < len(meant) and not is_called_quality(name)):
        return None
    sure = {text: Quality.QUESTIONABLE if code is None else code for text, code in meant.items()}
    codes = np.array([int(sure.get(text, Quality.VALID)) for text in found.texts], np.uint8)
    return Worded(codes[found.codes], tuple((text, _SAID[code]) for text, code in sure.items()))


def _is_blank(text: str) -> bool:
    return text.lower() in MISSING_SIGNS and plain(text) not in words("quality_word")["missing"]


def _code(text: str, name: str) -> Quality | None:
    """Return the quality that ``text`` means in a column of this plain name."""
    word = plain(text)
    if name in words("quality_column")["estimated"] and (state := state_of(text)) is not None:
        return Quality.ESTIMATED_LINEAR if state else Quality.VALID
    if len(word) == 1 and not is_called_quality(name):
        return None
    known = words("quality_letter" if len(word) == 1 else "quality_word")
    return next((_MEANT[key] for key, listed in known.items() if word in listed), None)


def is_called_quality(name: str) -> bool:
    """Return whether the plain ``name`` of a column begins or ends with a word for quality."""
    called: Iterable[str] = (*words("beside")["quality"], *words("quality_column")["name"])
    return any(name == word or name.startswith(f"{word} ") or name.endswith(f" {word}") for word in called)


def qualities_in(
    read: Mapping[int, Numbers], names: Sequence[str], worded: Mapping[int, Worded], kept: Container[int] = ()
) -> tuple[dict[int, Numbers], dict[int, Codes], frozenset[int]]:
    """Return the columns of readings without those of quality, their quality codes (n,) by index, and which had them as codes.

    A column of codes, or of words as in ``worded``, goes with all columns between it and the one of codes before it; where
    words stand before all readings, each goes with those after it. A reading that is said to be missing is none.
    Columns in ``kept`` are readings whatever they are called.
    """
    codes = {i: one.codes for i, one in worded.items()} | {
        i: np.nan_to_num(one.values, nan=float(Quality.VALID)).astype(np.uint8)
        for i, one in read.items()
        if i not in kept and is_quality(one, names[i])
    }
    readings = {i: one for i, one in read.items() if i not in codes}
    ahead = bool(worded) and bool(readings) and min(worded) < min(readings)
    out: dict[int, Codes] = {}
    coded: set[int] = set()
    for i, numbers in readings.items():
        beside = [k for k in codes if (k < i if ahead else k > i)]
        if not beside:
            continue
        column = max(beside) if ahead else min(beside)
        own = codes[column]
        coded |= set() if column in worded else {i}
        gone = (own == int(Quality.MISSING)) & ~np.isnan(numbers.values)
        if gone.any():
            readings[i] = replace(numbers, values=np.where(gone, np.nan, numbers.values), written=numbers.raw)
        out[i] = np.where(np.isnan(readings[i].values), np.uint8(Quality.MISSING), own)
    return readings, out, frozenset(coded)


def is_quality(numbers: Numbers, name: str) -> bool:
    """Return whether a column holds quality codes: its name begins with such a word, and each number is a code."""
    flat = plain(name)
    if numbers.unread or not any(flat == word or flat.startswith(f"{word} ") for word in words("beside")["quality"]):
        return False
    return bool(np.isin(numbers.values[~np.isnan(numbers.values)], _KNOWN).all())
