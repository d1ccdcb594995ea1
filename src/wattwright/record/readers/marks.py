"""Numbers that stand for "no reading": one far outside all others, again and again, that loggers write for want of a value."""

from dataclasses import dataclass, replace

import numpy as np

from wattwright.record.readers.numbers import Numbers

_BELOW = (-99.0, -999.0, -999.9, -999.99, -9999.0, -9999.9, -9999.99, -99999.0, -999999.0, -32768.0, -2147483648.0)
_ABOVE = (9999.0, 9999.9, 9999.99, 99999.0, 999999.0, 32767.0, 65535.0, 6553.5, 2147483647.0, 4294967295.0)
"""Nines, and the ends of whole numbers of 16 and 32 bits with and without a sign: common practice, no source."""
_FAR = 5.0
_NEAR = 0.1
_LEAST_TIMES, _LEAST_OTHERS = 2, 10


@dataclass(frozen=True, slots=True)
class Mark:
    """A number that was taken for "no reading", how often it stands in a column, and its first row (index)."""

    value: float
    count: int
    row: int


def without_marks(numbers: Numbers) -> tuple[Numbers, tuple[Mark, ...]]:
    """Return ``numbers`` with NaN for each known mark that stands twice or more and far outside all others; it stays as written.

    Below, no other number comes to a tenth of the mark; above, the mark is five times the largest other number.
    """
    values, marks = numbers.values, []
    while (mark := _mark(values)) is not None:
        at = values == mark
        marks.append(Mark(mark, int(at.sum()), int(np.argmax(at))))
        values = np.where(at, np.nan, values)
    return (replace(numbers, values=values, written=numbers.raw), tuple(marks)) if marks else (numbers, ())


def _mark(values: "np.typing.NDArray[np.float64]") -> float | None:
    low, high = float(np.fmin.reduce(values, initial=np.inf)), float(np.fmax.reduce(values, initial=-np.inf))
    for mark in {low, high} & {*_BELOW, *_ABOVE}:
        others = values[(values != mark) & ~np.isnan(values)]
        if len(others) < _LEAST_OTHERS or int((values == mark).sum()) < _LEAST_TIMES:
            continue
        # Beside one mark the other end may hold another, so each is judged by its own side alone.
        if float(others.min()) > _NEAR * mark if mark < 0 else mark > _FAR * float(others.max()):
            return mark
    return None
