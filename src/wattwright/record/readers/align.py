"""Columns that each have their own stamps, brought into rows that they share."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from wattwright.core.quality import Quality
from wattwright.record.readers.rows import Rows

Ints = NDArray[np.int64]


@dataclass(frozen=True, slots=True, eq=False)
class Line:
    """Readings of one column, all of shape (n,): row numbers in the file, starts in UTC seconds, values, quality codes."""

    numbers: Ints
    starts_s: Ints
    values: NDArray[np.float64]
    quality: NDArray[np.uint8]


def align(lines: Sequence[Line], name: str) -> tuple[Rows, Ints, tuple[NDArray[np.float64], ...], tuple[NDArray[np.uint8], ...]]:
    """Return rows in the order of time with, per column, values and quality: NaN and MISSING where a column has no reading.

    A start that a column gives twice makes a second row; columns that give it once stand in both, so that only those that
    differ contradict themselves.
    """
    deepest = max(_most_alike(line.starts_s) for line in lines)
    keys = [_keyed(line.starts_s, deepest) for line in lines]
    every = np.unique(np.concatenate([key for key, _ in keys]))
    numbers = np.zeros(len(every), np.int64)
    values, quality = [], []
    for line, (key, order) in zip(lines, keys, strict=True):
        at = np.searchsorted(every, key)
        numbers[at[::-1]] = line.numbers[order][::-1]
        held, codes = np.full(len(every), np.nan), np.full(len(every), int(Quality.MISSING), np.uint8)
        held[at], codes[at] = line.values[order], line.quality[order]
        for again in np.flatnonzero(~np.isin(every, key) & (every % deepest > 0)).tolist():
            held[again], codes[again] = held[again - 1], codes[again - 1]
        values.append(held)
        quality.append(codes)
    return Rows(numbers, (name,)), every // deepest, tuple(values), tuple(quality)


def _most_alike(starts_s: Ints) -> int:
    return int(np.unique(starts_s, return_counts=True)[1].max())


def _keyed(starts_s: Ints, deepest: int) -> tuple[Ints, Ints]:
    """Return a key for each reading in the order of time, equal starts numbered, and that order."""
    order = np.argsort(starts_s, kind="stable")
    ordered = starts_s[order]
    first = np.concatenate([[True], np.diff(ordered) > 0])
    begun = np.maximum.accumulate(np.where(first, np.arange(len(ordered)), 0))
    return ordered * deepest + (np.arange(len(ordered)) - begun), order
