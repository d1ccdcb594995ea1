"""Events: things that happened at an instant, each with its quality and raw text."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray


@dataclass(frozen=True, slots=True, eq=False)
class Events:
    """Instants in order. ``times_s`` UTC seconds and ``quality`` have shape (n,); ``kinds``, ``raw`` are tuples of n texts."""

    times_s: NDArray[np.int64]
    kinds: tuple[str, ...]
    quality: NDArray[np.uint8]
    raw: tuple[str, ...]

    def __post_init__(self) -> None:
        """Check lengths and order; raises ValueError."""
        if not len(self.times_s) == len(self.kinds) == len(self.quality) == len(self.raw):
            raise ValueError("all parts of events must have the same length")
        if np.any(np.diff(self.times_s) < 0):
            raise ValueError("events must stand in the order of their times")

    def __len__(self) -> int:
        """Return the number of events."""
        return len(self.times_s)

    def between(self, start_s: int, end_s: int) -> "Events":
        """Return the events in [start_s, end_s), UTC seconds."""
        low, high = np.searchsorted(self.times_s, [start_s, end_s])
        return Events(self.times_s[low:high], self.kinds[low:high], self.quality[low:high], self.raw[low:high])
