"""Whether finer readings can be of the supply that a record is of: where not, nothing is told from them."""

import numpy as np

from wattwright.core.findings import Finding
from wattwright.core.series import Floats
from wattwright.demand.within import kinds
from wattwright.demand.within.asked import Asked, Finer
from wattwright.demand.within.courses import measured_courses

_OTHER_SIZE = 20.0
"""How many times larger or smaller the middle of a finer stretch is where it must be of another unit or supply."""
_BESIDE = 1.25
"""How many times larger or smaller it is where both were read at once: what two meters of one supply never differ by."""
_FEWEST_BOTH = 10
"""Intervals that both must hold, so that they are compared one by one."""


def other_supply(asked: Asked) -> Finding | None:
    """Return why the finer readings cannot be of the record's supply, None where they can or where there are none."""
    fine = asked.finer
    if fine is None:
        return None
    step = asked.power.step_s
    own = measured_courses(fine.power, asked.power.start_s, step, asked.clock)
    read = asked.power.present
    theirs, ours = own.mean_w, asked.power.values[read]
    if not len(theirs) or not len(ours):
        return None
    at_once, here, there = np.intersect1d(own.start_s, asked.power.times_s[read], return_indices=True)
    ratio = _ratio(theirs[here], ours[there])
    if len(at_once) >= _FEWEST_BOTH and np.isfinite(ratio) and not 1 / _BESIDE <= ratio <= _BESIDE:
        return kinds.OTHER_SUPPLY.at(fine.name, name=fine.name, count=len(at_once), ratio=ratio)
    return _of_other_size(fine, theirs, ours)


def _of_other_size(fine: Finer, theirs: Floats, ours: Floats) -> Finding | None:
    """Return why the sizes tell two supplies, or units, apart: by their middles, where those say anything."""
    if not theirs.any() and ours.any():
        return kinds.OTHER_SIZE.at(fine.name, name=fine.name, ratio=0.0)
    middle, other = float(np.median(theirs)), float(np.median(ours))
    if middle * other == 0.0:
        # Off for more than half of the time: that may be the season.
        return None
    ratio = middle / other
    # With PV a middle may lie on either side; what never gives back, beside what always does, is turned round.
    turned = ratio < 0 and (theirs.max() <= 0 or ours.max() <= 0)
    if turned or not 1 / _OTHER_SIZE <= abs(ratio) <= _OTHER_SIZE:
        return kinds.OTHER_SIZE.at(fine.name, name=fine.name, ratio=ratio)
    return None


def _ratio(theirs: Floats, ours: Floats) -> float:
    """Return the middle of what finer readings are of the record's, NaN where the record holds only noughts."""
    some = ours != 0
    return float(np.median(theirs[some] / ours[some])) if some.any() else float("nan")
