"""Spans: values over stretches of any length, such as paid bills, each with its quality and raw reading."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray


@dataclass(frozen=True, slots=True, eq=False)
class Spans:
    """Totals over [start, end) stretches in the order of their starts.

    All arrays have shape (n,): ``starts_s`` and ``ends_s`` in UTC seconds, ``values`` in the unit the owner states,
    ``quality`` codes of core.quality, ``raw`` the numbers as read.
    """

    starts_s: NDArray[np.int64]
    ends_s: NDArray[np.int64]
    values: NDArray[np.float64]
    quality: NDArray[np.uint8]
    raw: NDArray[np.float64]

    def __post_init__(self) -> None:
        """Check shapes, order and positive lengths; raises ValueError."""
        lengths = {len(a) for a in (self.starts_s, self.ends_s, self.values, self.quality, self.raw)}
        if len(lengths) != 1:
            raise ValueError("all arrays of spans must have the same length")
        if np.any(self.ends_s <= self.starts_s) or np.any(np.diff(self.starts_s) < 0):
            raise ValueError("spans must have positive lengths and stand in the order of their starts")

    def __len__(self) -> int:
        """Return the number of spans."""
        return len(self.values)

    @property
    def overlaps(self) -> NDArray[np.int64]:
        """Return the indices of spans that begin before an earlier one has ended."""
        if len(self) < 2:
            return np.zeros(0, np.int64)
        reached = np.maximum.accumulate(self.ends_s)[:-1]
        return np.flatnonzero(self.starts_s[1:] < reached) + 1

    def within(self, start_s: int, end_s: int) -> float:
        """Return the total over [start_s, end_s), each span giving its share by time."""
        shared = np.minimum(self.ends_s, end_s) - np.maximum(self.starts_s, start_s)
        share = np.maximum(shared, 0) / (self.ends_s - self.starts_s)
        return float(np.sum(np.nan_to_num(self.values) * share))
