"""How good each reading is: the quality codes of NAESB REQ.21 (ESPI), and how they combine."""

from enum import IntEnum

import numpy as np
from numpy.typing import NDArray


class Quality(IntEnum):
    """QualityOfReading of NAESB REQ.21 ESPI, and ``MISSING`` (ours) for a reading that is not there."""

    VALID = 0
    MANUALLY_EDITED = 7
    ESTIMATED_REFERENCE_DAY = 8
    ESTIMATED_LINEAR = 9
    QUESTIONABLE = 10
    DERIVED = 11
    PROJECTED = 12
    MIXED = 13
    RAW = 14
    WEATHER_NORMALISED = 15
    OTHER = 16
    VALIDATED = 17
    VERIFIED = 18
    REVENUE = 19
    MISSING = 255


ESTIMATED = frozenset({Quality.ESTIMATED_REFERENCE_DAY, Quality.ESTIMATED_LINEAR, Quality.PROJECTED})
"""The codes under which a value was not read but filled in."""


def is_estimated(quality: NDArray[np.uint8]) -> NDArray[np.bool_]:
    """Return which readings were filled in rather than read; shape as ``quality``."""
    return np.isin(quality, [int(code) for code in ESTIMATED])
