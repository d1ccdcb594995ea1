"""Columns of text by their distinct texts: a year of minutes shows 365 dates and 1,440 times of day, and each is read once."""

import re
from dataclasses import dataclass

import numpy as np
import polars as pl
from numpy.typing import NDArray

from wattwright.record.readers.signs import DATE_PATTERN

Codes = NDArray[np.int32]
Block = NDArray[np.uint8]
_SPLIT = re.compile(rf"({DATE_PATTERN})([T ,]*\d.*)")
_BEGINS = re.compile(r"[T ,]*\d")
_WIDEST = 40
_CHUNK = 1 << 16
_DIGITS = 10
_MOST_KEYS = 1 << 22
"""Texts that could differ in more ways than this are looked up one by one."""


@dataclass(frozen=True, slots=True, eq=False)
class Distinct:
    """The distinct ``texts`` of a column, blanks around them left out, in the order in which they first stand, at rows ``first``.

    ``codes`` (shape (n,)) tells for each row which of them it is.
    """

    texts: list[str]
    codes: Codes
    first: list[int]


def distinct(text: pl.Series) -> Distinct:
    """Return the distinct texts of a column without nulls."""
    found = _in_chunks(text, None)
    return _looked_up(text) if found is None else found[0]


def split(text: pl.Series) -> tuple[Distinct, Distinct]:
    """Return the dates and the times of day of a column of whole stamps; empty texts where a text is no stamp."""
    match = _SPLIT.fullmatch(text[0])
    if match is not None:
        pair = _in_chunks(text, match.end(1))
        if pair is None or not _all_dates(pair[0], match[2]):
            pair = _parted(text, match[2][0])
        if pair is not None and _all_dates(pair[0], match[2]):
            return pair[0], pair[1]
    stripped = text.str.strip_chars()
    day = stripped.str.extract(rf"^({DATE_PATTERN})[T ,]*\d.*$").fill_null("")
    return distinct(day), distinct(stripped.str.extract(rf"^{DATE_PATTERN}([T ,]*\d.*)$").fill_null(""))


def _all_dates(days: Distinct, clock: str) -> bool:
    """Return whether each text is a date and nothing else when a time of day follows it."""
    matches = ((day, _SPLIT.fullmatch(day + clock)) for day in days.texts)
    return all(match is not None and match.end(1) == len(day) for day, match in matches)


def _parted(text: pl.Series, sign: str) -> list[Distinct] | None:
    """Return both parts of stamps parted by the first ``sign`` in each; None where one lacks it or has no time behind it."""
    parts = text.str.splitn(sign, 2).struct.unnest()
    if parts.to_series(1).null_count():
        return None
    both = [distinct(part) for part in parts]
    return both if all(_BEGINS.match(one) for one in both[1].texts) else None


def _in_chunks(text: pl.Series, at: int | None) -> list[Distinct] | None:
    """Return the column by its distinct texts, or cut ``at`` a place into two columns where all texts are of one width.

    None where the texts are wide, differ in width though they are to be cut, or differ in too many ways.
    """
    lengths = text.str.len_bytes().to_numpy()
    width = int(lengths.max())
    if width > _WIDEST or (at is not None and int(lengths.min()) < width):
        return None
    columns = [_Merged() for _ in range(1 if at is None else 2)]
    for start in range(0, len(text), _CHUNK):
        block = _block(text.slice(start, _CHUNK), width)
        parts = () if block is None else (block,) if at is None else (block[:, :at], block[:, at:])
        if not parts or not all(merged.take(part, start) for merged, part in zip(columns, parts, strict=True)):
            return None
    return [merged.whole() for merged in columns]


def _block(text: pl.Series, width: int) -> Block | None:
    """Return the letters of a column, shape (n, width), shorter texts filled with blanks before them; None for odd letters."""
    joined = str(text.str.pad_start(width).str.join("").item())
    # With letters of several bytes, rows would not be as wide as they look.
    if not width or not joined.isascii() or len(joined) != width * len(text):
        return None
    return np.frombuffer(joined.encode(), np.uint8).reshape(len(text), width)


class _Merged:
    """The distinct texts of chunks of a column, gathered into those of the whole column."""

    def __init__(self) -> None:
        self.known: dict[str, int] = {}
        self.first: list[int] = []
        self.codes: list[Codes] = []

    def take(self, block: Block, start: int) -> bool:
        """Take in the rows of ``block``, which begin at row ``start``; False where they could differ in too many ways."""
        found = _keyed(block)
        if found is None:
            return False
        rows, codes = found
        number = np.zeros(len(rows), np.int32)
        for i, row in enumerate(rows.tolist()):
            one = block[row].tobytes().decode().strip()
            number[i] = self.known.setdefault(one, len(self.known))
            if len(self.first) < len(self.known):
                self.first.append(start + row)
        self.codes.append(number[codes])
        return True

    def whole(self) -> Distinct:
        """Return the column as one."""
        return Distinct(list(self.known), np.concatenate(self.codes), self.first)


def _keyed(block: Block) -> tuple[Codes, Codes] | None:
    """Return where each distinct row of ``block`` first stands, in their order, and which of them each row is.

    Letters that vary make the digits of a key, small enough to be looked up in a table; None where it would be too large.
    """
    keys, count = np.zeros(len(block), np.int32), 1
    for place in range(block.shape[1]):
        letters = np.ascontiguousarray(block[:, place])
        low, high = int(letters.min()), int(letters.max())
        if low == high:
            continue
        kinds = high - low + 1
        if kinds > _DIGITS:
            met = np.bincount(letters, minlength=256) > 0
            kinds, low = int(met.sum()), 0
            letters = (np.cumsum(met) - 1).astype(np.uint8)[letters]
        count *= kinds
        if count > _MOST_KEYS:
            return None
        keys *= np.int32(kinds)
        keys += letters
        keys -= np.int32(low)
    table = np.full(count, -1, np.int32)
    # Written from behind, each key keeps the row where it first stands.
    table[keys[::-1]] = np.arange(len(keys) - 1, -1, -1, dtype=np.int32)
    used = np.flatnonzero(table >= 0)
    used = used[np.argsort(table[used])]
    first = table[used]
    table[used] = np.arange(len(used), dtype=np.int32)
    return first, table[keys]


def _looked_up(text: pl.Series) -> Distinct:
    text = text.str.strip_chars()
    texts = text.unique(maintain_order=True)
    codes = text.replace_strict(texts, pl.Series(range(len(texts)), dtype=pl.Int32), return_dtype=pl.Int32).to_numpy()
    first = np.full(len(texts), len(text), np.int64)
    np.minimum.at(first, codes, np.arange(len(text)))
    return Distinct(texts.to_list(), codes, first.tolist())
