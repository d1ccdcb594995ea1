"""What a baseline can carry: what limits it, and which of the time after is like a time that it saw."""

from dataclasses import dataclass
from math import sqrt

import numpy as np
from numpy.typing import NDArray

from wattwright.core.clock import SiteClock
from wattwright.core.findings import Finding
from wattwright.core.series import Floats, Series
from wattwright.proof import kinds
from wattwright.proof.fitness import autocorrelations
from wattwright.proof.models.record import Grain, UseRecord

_YEAR_D, _LOOSE = 330.0, 0.20
_SEASON_D, _DAYS_OF_YEAR = 31.0, 365.2425
"""A day is of a season that was seen where one of the baseline lies within a month of it; common practice, no source."""
_WIDER = 0.1
"""By so much of its range temperatures may pass those of the baseline. Guideline 14 has a tenth of the values; from memory."""
_DAY_S = 86_400
ROUNDING = 1e-9
"""What is left over is rounding where it is so small a share of the mean; no meter tells it. Common practice, no source."""
_WEEK, _LAGS = 7, 28
"""Days a week apart are looked at, and sums of four weeks; common practice, no source."""
_BETWEEN = (3, 4, 10, 11)
"""Days so far apart have a week's turn against them."""
_WHAT = {
    True: "comes each week, as shifts, a market day or a cleaning day",
    False: "moves from week to week, as weather, guests or a season's work",
}


def limits(record: UseRecord, model: str, unseen_cv_rmse: float, residual_kwh: Floats) -> tuple[Finding, ...]:
    """Return what limits a baseline that left ``residual_kwh``, shape (n,).

    Less than a year of it, a model that is off by much on weeks left out, and days that are alike at a week's distance.
    """
    found = []
    if record.span_days < _YEAR_D:
        found.append(kinds.PART_OF_YEAR.at("baseline", days=round(record.span_days)))
    if record.grain is not Grain.HOUR and unseen_cv_rmse > _LOOSE:
        found.append(kinds.LOOSE_MODEL.at("baseline", model=model, cv=unseen_cv_rmse))
    is_more = float(np.abs(residual_kwh).max()) > ROUNDING * float(record.energy_kwh.mean())
    if record.grain is Grain.DAY and len(record) >= 2 * _LAGS and is_more:
        at = at_week(residual_kwh)
        if at.alike > at.told:
            found.append(kinds.AT_WEEK.at("baseline", alike=at.alike, told=at.told, spread=at.spread, what=_WHAT[at.is_turn]))
    return tuple(found)


@dataclass(frozen=True, slots=True)
class AtWeek:
    """How ``alike`` days a week apart are, how alike they may be ``told`` by chance and neighbours, and what that does.

    ``spread`` is that of sums of four weeks, as a share of what likeness of neighbours alone would make. ``is_turn`` says whether
    a week stands out against the days between, as what comes each week does; else what is left over moves slowly.
    """

    alike: float
    told: float
    spread: float
    is_turn: bool


def at_week(residual_kwh: Floats) -> AtWeek:
    """Return how alike residuals a week apart are; ``residual_kwh`` are of eight weeks of days or more, shape (n,).

    By chance and neighbours: r^7 and two standard errors of a first-order process, sqrt((1 + r^2) / (1 - r^2) / n) (Bartlett's
    formula, from memory).
    """
    alike = autocorrelations(residual_kwh, _LAGS - 1)
    first = min(max(float(alike[0]), 0.0), 0.99)
    error = sqrt((1 + first**2) / (1 - first**2) / len(residual_kwh))
    lags = np.arange(1, _LAGS)
    weights = 1 - lags / _LAGS
    spread = sqrt(max(1 + 2 * float(weights @ alike), 0.0) / (1 + 2 * float(weights @ first**lags)))
    between = float(alike[np.array(_BETWEEN) - 1].mean())
    week = float(alike[_WEEK - 1])
    return AtWeek(week, first**_WEEK + 2 * error, spread, week > between + 2 * error)


def like_before(before: UseRecord, after: UseRecord) -> NDArray[np.bool_]:
    """Return which stretches of ``after`` are of a season, and where it is known of a warmth, that ``before`` saw, (n,)."""
    seen = _near(before.year_share, after.year_share)
    if before.has_temperature and after.has_temperature:
        low, high = float(before.mean_c.min()), float(before.mean_c.max())
        margin = _WIDER * (high - low)
        seen &= (after.mean_c >= low - margin) & (after.mean_c <= high + margin)
    return seen


def of_like_season(before: Series, after: UseRecord, clock: SiteClock) -> NDArray[np.int64]:
    """Return the days of a series, numbered since 1970 on the site's clock, that are of a season of ``after``."""
    days = np.unique(clock.local_s(before.times_s) // _DAY_S)
    of_year = (days % _DAYS_OF_YEAR / _DAYS_OF_YEAR).astype(np.float64)
    return days[_near(after.year_share, of_year)]


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
