"""How far the highest hours of two times lie apart by chance: told by the highest hours of four-week blocks of the baseline."""

import numpy as np

from wattwright.core.clock import DAY_S
from wattwright.core.findings import Finding
from wattwright.core.series import Floats
from wattwright.proof import kinds
from wattwright.proof.limits import ROUNDING
from wattwright.proof.models.record import UseRecord
from wattwright.proof.uncertainty import student

BLOCK_D = 28
FEWEST = 8
"""So many blocks tell how much their highest hours scatter; common practice, no source."""
_READ = 0.9
"""A block counts where so much of it was read; common practice, no source."""
_FEW = 0.25
_RARE = 8.0
"""Blocks are few up to this share of all, and stand apart from so many scales of the rest on; common practice, no source.

Of Gumbel's law the k-th gap from above is on the mean the scale over k, and passes so many means once in 3,000.
"""


def half_width_w(record: UseRecord, told_kwh: Floats, confidence: float) -> float | Finding:
    """Return half the width of the band of a difference of two highest hours, W, or the finding why it cannot be told.

    ``record`` are the hours of a baseline, ``told_kwh`` what its model tells of them, both of shape (n,). By the law of Gumbel
    1958 (Statistics of Extremes, from memory) highest values scatter by a scale b that no length of time changes: b = root of 6
    over pi times their standard deviation. The difference of two is logistic of the same scale, so half the width is
    b ln((1 + c) / (1 - c)); wider by Student's t over the normal quantile, since few blocks show their own scatter badly.
    """
    highest_w, above_w = block_maxima_w(record, told_kwh)
    if len(above_w) < FEWEST:
        return kinds.HIGHEST_SHORT.at("money", count=len(above_w), needed=FEWEST)
    few = _apart(highest_w, above_w)
    if few:
        return kinds.HIGHEST_RARE.at("money", count=few, blocks=len(above_w))
    badly = student(confidence, len(above_w) - 1) / student(confidence, np.inf)
    return scale_w(above_w) * badly * float(np.log((1 + confidence) / (1 - confidence)))


def block_maxima_w(record: UseRecord, told_kwh: Floats) -> tuple[Floats, Floats]:
    """Return the highest hour of each block, and by how much it passes the highest that the model tells, W, shape (blocks,) each.

    The model takes off what seasons and weather make, which both times are held against already.
    """
    block = (record.starts_s - record.starts_s[0]) // (BLOCK_D * DAY_S)
    counts = np.bincount(block)
    first = np.flatnonzero(np.diff(block, prepend=-1))
    is_read = counts[counts > 0] >= _READ * BLOCK_D * 24
    highest, told = (1000 * np.maximum.reduceat(one, first)[is_read] for one in (record.energy_kwh, told_kwh))
    return highest, highest - told


def scale_w(maxima_w: Floats) -> float:
    """Return the scale of Gumbel's law of such maxima, shape (blocks,), by their standard deviation, W."""
    return float(maxima_w.std(ddof=1)) * float(np.sqrt(6)) / np.pi


def _apart(highest_w: Floats, above_w: Floats) -> int:
    """Return how many blocks stand apart from the rest, that of the highest hour of all among them; nought where none or many do.

    What stands apart and is not the highest, as a site that is heated does in summer, moves no highest hour.
    """
    order = np.argsort(-above_w)
    above, least_w = above_w[order], ROUNDING * float(highest_w.max())
    for few in range(1, int(_FEW * len(order)) + 1):
        if few * (above[few - 1] - above[few]) > max(_RARE * scale_w(above[few:]), least_w):
            return few if np.argmax(highest_w) in order[:few] else 0
    return 0
