"""The power of a load that a sub-meter sees alone, beside the one that the plan was made with."""

import numpy as np

from wattwright.core.findings import Finding
from wattwright.core.series import Series
from wattwright.job import kinds
from wattwright.proof.seal import SealedLoad

_SAME, _STANDBY, _FEWEST = 0.12, 0.02, 60
"""Plates and meters differ by so much; up to so small a share it does not run; of fewer readings nothing is told.

Common practice, no source.
"""
_SHOWS_STEPS_S = 300
_FULL = 0.75
"""Of the readings in which a load runs the upper ones are whole ones: the lower are those in which it began or ended."""


def level_found(power: Series, load: SealedLoad) -> tuple[Finding, ...]:
    """Return that a load runs at another power than planned; ``power`` is that of its own meter in W.

    Readings of five minutes or less show what it draws. Means of longer ones lie below that, and show only whether it is more.
    """
    runs = power.values[power.values > _STANDBY * load.rating_w]
    if load.rating_w <= 0 or len(runs) < _FEWEST:
        return ()
    is_short = power.step_s <= _SHOWS_STEPS_S
    level_w = float(np.quantile(runs, _FULL))
    share = level_w / load.rating_w
    if abs(share - 1) <= _SAME or (share < 1 and not is_short):
        return ()
    return (kinds.OTHER_LEVEL.at(load.name, load=load.name, level=level_w, share=share, rating=load.rating_w),)
