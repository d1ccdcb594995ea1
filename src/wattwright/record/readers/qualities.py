"""Columns of quality codes (NAESB REQ.21), each for the readings that stand before it."""

from collections.abc import Mapping, Sequence

import numpy as np
from numpy.typing import NDArray

from wattwright.core.quality import Quality
from wattwright.record.readers.numbers import Numbers
from wattwright.record.words import plain, words

Codes = NDArray[np.uint8]
_KNOWN = np.array([int(code) for code in Quality])


def qualities_in(read: Mapping[int, Numbers], names: Sequence[str]) -> dict[int, Codes]:
    """Return the quality codes (n,) of columns by index, from columns called so that hold nothing but such codes.

    A column of codes goes with all columns between it and the one of codes before it.
    """
    out: dict[int, Codes] = {}
    waiting: list[int] = []
    for column in sorted(read):
        if not is_quality(read[column], names[column]):
            waiting.append(column)
            continue
        codes = np.nan_to_num(read[column].values, nan=float(Quality.VALID)).astype(np.uint8)
        for one in waiting:
            out[one] = np.where(np.isnan(read[one].values), np.uint8(Quality.MISSING), codes)
        waiting = []
    return out


def is_quality(numbers: Numbers, name: str) -> bool:
    """Return whether a column holds quality codes: its name begins with such a word, and each number is a code."""
    flat = plain(name)
    if numbers.unread or not any(flat == word or flat.startswith(f"{word} ") for word in words("beside")["quality"]):
        return False
    return bool(np.isin(numbers.values[~np.isnan(numbers.values)], _KNOWN).all())
