"""The share of each long interval for which a load of known level was on: what a step of a quarter of an hour can still tell.

A mean over a long interval holds the rest of the site and some share of the load. How often the rest is found at each level
is worked out together with the shares (deconvolution without negative shares, by expectation and maximisation). How likely each
share is depends on the hour of the day and on the interval before.

That takes the rest of every interval for itself. To follow it from one interval to the next beside a second load errs elsewhere.
So what is told is the mean of three: by levels alone, by levels on what the second load leaves, and beside it.
"""

import numpy as np
from numpy.typing import NDArray

from wattwright.demand.switched.beside import beside, other_level_w
from wattwright.demand.switched.shares_kernels import between_all

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
SHARES = np.array([0.0, 0.5, 1.0])
HOURS = 24
_BIN, _SMOOTH = 1 / 40, 1 / 10
"""The rest's levels are counted in bins of this share of the load's, and smoothed over so much of it."""
_ROUNDS = 25
_BELOW = 1e-6
"""A reading lower than the load alone is as unlikely as this beside one that is not."""
_USUAL = 5.0
"""Intervals that the chance over the whole day weighs in that of an hour."""


def shares_on(power_w: Floats, hour: Ints, level_w: float) -> Floats:
    """Return the expected share of each interval for which a load of ``level_w`` was on, shape (n,); NaN where nothing was read.

    ``power_w`` (n,) is the site's, W; ``hour`` (n,) that of the day, 0 to 23.
    """
    present = ~np.isnan(power_w)
    power, hour = power_w[present], hour[present]
    other_w = other_level_w(power, hour, level_w)
    both = beside(power, hour, (level_w, other_w)).share
    left = np.maximum(power - other_w * both[:, 1], 0.0)
    found = np.full(len(power_w), np.nan)
    found[present] = (_by_levels(power, hour, level_w) + _by_levels(left, hour, level_w) + both[:, 0]) / 3.0
    return found


def _by_levels(power: Floats, hour: Ints, level_w: float) -> Floats:
    """Return the share of each interval by how often the rest is at each level, W and shape (n,), no gaps."""
    width = _BIN * level_w
    rest = power[:, None] - level_w * SHARES
    below = rest < 0.0
    at = np.maximum(rest / width, 0.0).astype(np.int64)
    bins = int(at.max()) + 1
    chance = np.where(rest > 0.8 * np.percentile(power, 3), np.array([0.6, 0.1, 0.3]), 0.0) + 1e-9
    chance /= chance.sum(axis=1, keepdims=True)
    moves = np.full((3, 3), 0.1) + 0.7 * np.eye(3)
    usual = np.tile(chance.mean(axis=0), (HOURS, 1))
    for _ in range(_ROUNDS):
        levels = _smooth(np.bincount(at.ravel(), weights=np.where(below, 0.0, chance).ravel(), minlength=bins)) / width
        seen = levels[at] * np.where(below, _BELOW, 1.0)
        seen *= usual[hour] / np.maximum(chance.mean(axis=0), _BELOW)
        chance, made = between_all(seen / seen.max(axis=1, keepdims=True), moves)
        moves = (made + 1.0) / (made + 1.0).sum(axis=1, keepdims=True)
        usual = _by_hour(chance, hour)
    return np.asarray(chance @ SHARES)


def _smooth(count: NDArray[np.number]) -> Floats:
    """Return counts as smoothed shares of their sum."""
    reach = int(4 * _SMOOTH / _BIN)
    bell = np.exp(-0.5 * (np.arange(-reach, reach + 1) * _BIN / _SMOOTH) ** 2)
    smooth = np.convolve(count, bell / bell.sum())[reach : reach + len(count)] + 0.02
    return np.asarray(smooth / smooth.sum())


def _by_hour(chance: Floats, hour: Ints) -> Floats:
    """Return how likely each share is in each hour of the day, (HOURS, 3)."""
    whole = chance.mean(axis=0)
    sums = np.column_stack([np.bincount(hour, weights=chance[:, k], minlength=HOURS) for k in range(3)])
    return np.asarray((sums + _USUAL * whole) / (np.bincount(hour, minlength=HOURS)[:, None] + _USUAL))
