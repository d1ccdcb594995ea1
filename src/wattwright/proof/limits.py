"""What a baseline can carry: what limits it, and which of the time after is like a time that it saw."""

import numpy as np
from numpy.typing import NDArray

from wattwright.core.findings import Finding
from wattwright.proof import kinds
from wattwright.proof.models.record import Grain, UseRecord

_YEAR_D, _LOOSE = 330.0, 0.20
_SEASON_D, _DAYS_OF_YEAR = 31.0, 365.2425
"""A day is of a season that was seen where one of the baseline lies within a month of it; common practice, no source."""
_WIDER = 0.1
"""By so much of its range temperatures may pass those of the baseline. Guideline 14 has a tenth of the values; from memory."""
_DAY_S = 86_400


def limits(record: UseRecord, model: str, unseen_cv_rmse: float) -> tuple[Finding, ...]:
    """Return what limits a baseline: less than a year of it, and a model that is off by much on weeks left out."""
    found = []
    if record.span_days < _YEAR_D:
        found.append(kinds.PART_OF_YEAR.at("baseline", days=round(record.span_days)))
    if record.grain is not Grain.HOUR and unseen_cv_rmse > _LOOSE:
        found.append(kinds.LOOSE_MODEL.at("baseline", model=model, cv=unseen_cv_rmse))
    return tuple(found)


def like_before(before: UseRecord, after: UseRecord) -> NDArray[np.bool_]:
    """Return which stretches of ``after`` are of a season, and where it is known of a warmth, that ``before`` saw, (n,)."""
    seen = _near(before.year_share, after.year_share)
    if before.has_temperature and after.has_temperature:
        low, high = float(before.mean_c.min()), float(before.mean_c.max())
        margin = _WIDER * (high - low)
        seen &= (after.mean_c >= low - margin) & (after.mean_c <= high + margin)
    return seen


def _near(before: NDArray[np.float64], after: NDArray[np.float64]) -> NDArray[np.bool_]:
    """Return which places in the year lie within a month of one of ``before``, shape (n,)."""
    around = np.sort(np.concatenate([before - 1, before, before + 1]))
    place = np.clip(np.searchsorted(around, after), 1, len(around) - 1)
    apart = np.minimum(np.abs(after - around[place - 1]), np.abs(around[place] - after))
    return np.asarray(apart * _DAYS_OF_YEAR <= _SEASON_D)


def within(kept: UseRecord, finer: UseRecord) -> NDArray[np.bool_]:
    """Return which stretches of ``finer`` begin within one of ``kept``, shape (n,)."""
    place = np.searchsorted(kept.starts_s, finer.starts_s, side="right") - 1
    ends_s = kept.starts_s + np.rint(kept.days * _DAY_S).astype(np.int64)
    return (place >= 0) & (finer.starts_s < ends_s[np.clip(place, 0, None)])
