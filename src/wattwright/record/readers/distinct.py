"""Columns of text by their distinct texts: a year of minutes shows 365 dates and 1,440 times of day, and each is read once."""

import re
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
import polars as pl
from numpy.typing import NDArray

from wattwright.record.readers.signs import DATE_PATTERN

Codes = NDArray[np.int32] | NDArray[np.uint16]
Block = NDArray[np.uint8]
_SPLIT = re.compile(rf"({DATE_PATTERN})([T ,]*\d.*)")
_BEGINS = re.compile(r"[T ,]*\d")
_WIDEST = 40
_NOTHING = "\0"
_FILLED = b"\0 \t"
_CHUNK = 11 * 1440
_DIGITS = 10
_SHORT = 1 << 16
"""So many texts have codes of two bytes, which need half the memory."""
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
    found = _in_chunks(text, _whole)
    return _looked_up(text) if found is None else found[0]


def split(text: pl.Series) -> tuple[Distinct, Distinct]:
    """Return the dates and the times of day of a column of whole stamps; empty texts where a text is no stamp."""
    match = _SPLIT.fullmatch(text[0])
    if match is not None:
        at, sign = match.end(1), match[2][0]
        for way in (lambda part: _cut(part, at), lambda part: _parted(part, sign)):
            pair = _in_chunks(text, way)
            if pair is not None and _all_stamps(pair[0], pair[1], match[2]):
                return pair[0], pair[1]
    stripped = text.str.strip_chars()
    day = stripped.str.extract(rf"^({DATE_PATTERN})[T ,]*\d.*$").fill_null("")
    return distinct(day), distinct(stripped.str.extract(rf"^{DATE_PATTERN}([T ,]*\d.*)$").fill_null(""))


def _all_stamps(days: Distinct, clocks: Distinct, clock: str) -> bool:
    """Return whether each date is one and nothing else when a time of day follows it, and each time of day begins as one."""
    matches = ((day, _SPLIT.fullmatch(day + clock)) for day in days.texts)
    dated = all(match is not None and match.end(1) == len(day) for day, match in matches)
    return dated and all(_BEGINS.match(one) for one in clocks.texts)


def _whole(text: pl.Series) -> list[Block] | None:
    """Return the letters of a column; None for odd ones."""
    block = _block(text)
    return None if block is None else [block]


def _cut(text: pl.Series, at: int) -> list[Block] | None:
    """Return the letters before and behind a place; None where not all texts are of one width."""
    lengths = text.str.len_bytes().to_numpy()
    block = _block(text) if at < lengths[0] and (lengths == lengths[0]).all() else None
    return None if block is None else [block[:, :at], block[:, at:]]


def _parted(text: pl.Series, sign: str) -> list[Block] | None:
    """Return the letters before and behind the first ``sign`` of each text; None where one lacks it."""
    block = _block(text)
    if block is None:
        return None
    signs = block == ord(sign)
    at = signs.argmax(axis=1)
    if not signs[np.arange(len(block)), at].all():
        return None
    behind = np.where(np.arange(block.shape[1]) > at[:, None], block, np.uint8(0))
    before = np.zeros_like(block)
    for place in np.flatnonzero(np.bincount(at)).tolist():
        rows = at == place
        before[rows, block.shape[1] - place :] = block[rows, :place]
    return [before, behind]


def _in_chunks(text: pl.Series, way: Callable[[pl.Series], list[Block] | None]) -> list[Distinct] | None:
    """Return a column by its distinct texts as one or more columns of letters, into which ``way`` turns each chunk of it.

    None where a chunk cannot be turned, or where its rows differ in too many ways. Chunk by chunk little memory is needed.
    """
    merged: list[_Merged] = []
    for start in range(0, len(text), _CHUNK):
        blocks = way(text.slice(start, _CHUNK))
        if blocks is None:
            return None
        merged = merged or [_Merged(len(text)) for _ in blocks]
        if not all(one.take(block, start) for one, block in zip(merged, blocks, strict=True)):
            return None
    return [one.whole() for one in merged]


def _block(text: pl.Series) -> Block | None:
    """Return the letters of texts, shape (n, width), shorter ones filled with noughts before them; None for wide or odd ones."""
    lengths = text.str.len_bytes().to_numpy()
    width = int(lengths.max())
    if not 0 < width <= _WIDEST:
        return None
    even = text if int(lengths.min()) == width else text.str.pad_start(width, _NOTHING)
    joined = str(even.str.join("").item())
    # With letters of several bytes, rows would not be as wide as they look.
    if not joined.isascii() or len(joined) != width * len(text):
        return None
    return np.frombuffer(joined.encode(), np.uint8).reshape(len(text), width)


class _Merged:
    """The distinct texts of chunks of a column of so many rows, gathered into those of the whole column."""

    def __init__(self, rows: int) -> None:
        self.known: dict[bytes, int] = {}
        self.first: list[int] = []
        self.codes: Codes = np.zeros(rows, np.uint16)
        self._told: tuple[tuple[int, bytes], Codes] = ((0, b""), np.zeros(0, np.int32))

    def take(self, block: Block, start: int) -> bool:
        """Take in the rows of ``block``, which begin at row ``start``; False where they could differ in too many ways."""
        found = _keyed(block)
        if found is None:
            return False
        rows, codes = found
        texts = np.ascontiguousarray(block[rows])
        # Chunks are whole days of minutes, so most bring the times of day that the one before brought.
        if (told := (block.shape[1], texts.tobytes())) != self._told[0]:
            listed = texts.view(f"S{block.shape[1]}").ravel().tolist()
            self._told = told, np.array([self.known.setdefault(one.strip(_FILLED), len(self.known)) for one in listed], np.int32)
        number = self._told[1]
        if len(self.known) > _SHORT and self.codes.dtype == np.uint16:
            self.codes = self.codes.astype(np.int32)
        for i in np.flatnonzero(number >= len(self.first)).tolist():
            if number[i] == len(self.first):
                self.first.append(start + int(rows[i]))
        self.codes[start : start + len(codes)] = number[codes]
        return True

    def whole(self) -> Distinct:
        """Return the column as one."""
        return Distinct([one.decode() for one in self.known], self.codes, self.first)


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
