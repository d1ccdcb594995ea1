"""Whether a site is used otherwise after the measures: what it draws at the least, and how many of its days are empty."""

import numpy as np

from wattwright.core.clock import SiteClock
from wattwright.core.findings import Finding
from wattwright.core.series import Floats, Series
from wattwright.proof import kinds
from wattwright.proof.choose import Baseline
from wattwright.proof.models.record import UseRecord

_DAY_S = 86_400
_EMPTY, _MORE_EMPTY = 0.6, 0.05
_OTHER, _OTHER_W, _SCATTER = 0.15, 20.0, 2.0
_LOWEST = 10.0
"""Of a day the lowest tenth of its readings tells what is always on; common practice, no source."""


def other_use(before_w: Series, after_w: Series, found: Baseline, reporting: UseRecord, clock: SiteClock) -> tuple[Finding, ...]:
    """Return whether base load or empty days are clearly others after than before, of powers in W and days of the model."""
    told = []
    before, after = (_least_w(one, clock) for one in (before_w, after_w))
    if len(before) and len(after):
        was_w, is_w = float(np.median(before)), float(np.median(after))
        spread_w = float(np.median(np.abs(before - was_w)))
        if abs(is_w - was_w) > max(_OTHER * was_w, _OTHER_W, _SCATTER * spread_w):
            told.append(kinds.OCCUPANCY.at("record", before=was_w, after=is_w))
    shares = [float((one.energy_kwh < _EMPTY * found.fitted.predict(one)).mean()) for one in (found.record, reporting)]
    if shares[1] - shares[0] > _MORE_EMPTY:
        told.append(kinds.EMPTY_DAYS.at("record", before=shares[0], after=shares[1]))
    return tuple(told)


def _least_w(power: Series, clock: SiteClock) -> Floats:
    """Return the lowest tenth of the readings of each day that has enough of them, W, shape (days,)."""
    if power.step_s > 3600:
        return np.zeros(0)
    day = clock.local_s(power.times_s) // _DAY_S
    _, begins = np.unique(day, return_index=True)
    parts = np.split(power.values, begins[1:])
    enough = 0.9 * _DAY_S / power.step_s
    return np.array([np.percentile(one[~np.isnan(one)], _LOWEST) for one in parts if (~np.isnan(one)).sum() >= enough])
