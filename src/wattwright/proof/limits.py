"""What a baseline can carry: what limits it, and which of the time after is like a time that it saw."""

from math import sqrt

import numpy as np
from numpy.typing import NDArray

from wattwright.core.findings import Finding
from wattwright.core.series import Floats
from wattwright.proof import kinds
from wattwright.proof.fitness import autocorrelations
from wattwright.proof.models.record import Grain, UseRecord

_YEAR_D, _LOOSE = 330.0, 0.20
_SEASON_D, _DAYS_OF_YEAR = 31.0, 365.2425
"""A day is of a season that was seen where one of the baseline lies within a month of it; common practice, no source."""
_WIDER = 0.1
"""By so much of its range temperatures may pass those of the baseline. Guideline 14 has a tenth of the values; from memory."""
_DAY_S = 86_400
_WEEK, _LAGS = 7, 28
"""Days a week apart are looked at, and sums of four weeks; common practice, no source."""


def limits(record: UseRecord, model: str, unseen_cv_rmse: float, residual_kwh: Floats) -> tuple[Finding, ...]:
    """Return what limits a baseline that left ``residual_kwh``, shape (n,).

    Less than a year of it, a model that is off by much on weeks left out, and days that are alike at a week's distance.
    """
    found = []
    if record.span_days < _YEAR_D:
        found.append(kinds.PART_OF_YEAR.at("baseline", days=round(record.span_days)))
    if record.grain is not Grain.HOUR and unseen_cv_rmse > _LOOSE:
        found.append(kinds.LOOSE_MODEL.at("baseline", model=model, cv=unseen_cv_rmse))
    if record.grain is Grain.DAY and len(record) >= 2 * _LAGS:
        alike, told, spread = weekly(residual_kwh)
        if alike > told:
            found.append(kinds.WEEKLY.at("baseline", alike=alike, told=told, spread=spread))
    return tuple(found)


def weekly(residual_kwh: Floats) -> tuple[float, float, float]:
    """Return how alike days a week apart are, how alike they may be by chance, and how sums of four weeks spread.

    By chance and neighbours: r^7 and two standard errors of a first-order process, sqrt((1 + r^2) / (1 - r^2) / n) (Bartlett's
    formula, from memory). The spread is a share of that which likeness of neighbours alone would make. ``residual_kwh`` are of
    eight weeks of days or more, shape (n,).
    """
    alike = autocorrelations(residual_kwh, _LAGS - 1)
    first = min(max(float(alike[0]), 0.0), 0.99)
    error = sqrt((1 + first**2) / (1 - first**2) / len(residual_kwh))
    lags = np.arange(1, _LAGS)
    weights = 1 - lags / _LAGS
    spread = sqrt(max(1 + 2 * float(weights @ alike), 0.0) / (1 + 2 * float(weights @ first**lags)))
    return float(alike[_WEEK - 1]), first**_WEEK + 2 * error, spread


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
