"""Sums over all steps of a run that a score asks for, in one pass each."""

import numpy as np
from numpy.typing import NDArray

from wattwright.core.kernels import kernel

Floats = NDArray[np.float64]


@kernel
def longest_below(values: Floats, limit: float) -> int:
    """Return the most steps in a row, of ``values`` (n,), that lie below ``limit``."""
    longest = row = 0
    for value in values:
        row = row + 1 if value < limit else 0
        longest = max(longest, row)
    return longest
