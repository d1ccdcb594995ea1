"""Which levels may be those of a load: sizes of step that go up and down more often than steps of other sizes near by."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
_GRID, _WIDTHS = 0.01, (0.04, 0.012)
"""Sizes are held one per cent apart; steps are counted within four per cent, and within one for loads that never waver."""
_SIDE = (0.12, 0.3)
"""Steps that differ by these shares are the neighbours that a size is held against."""
_LEAST, _SIGNIFICANT = 4.0, 4.5
"""A size counts from so many steps each way above its neighbours, and so many standard deviations, both ways together."""
_PEAK = 0.1
"""Of sizes within this share of one another only the clearest is taken."""
SIGMAS, LEAST_W = 3.0, 50.0
"""A step counts from three standard deviations of the usual changes, and no less than this: common practice, no source."""


@dataclass(frozen=True, slots=True)
class Candidate:
    """A size of step in W and how far its steps stand out, in standard deviations of its neighbours' count."""

    level_w: float
    clear: float


def least_level_w(power_w: Floats) -> float:
    """Return the smallest level that steps between intervals can tell from the noise, W; inf without changes to judge by."""
    change = np.abs(np.diff(power_w))
    change = change[~np.isnan(change)]
    if len(change) < 2:
        return float("inf")
    # Two thirds of the changes of a normal noise are smaller than its standard deviation; here of the quieter half of all.
    return max(LEAST_W, SIGMAS * float(np.quantile(change, 0.34)))


def site_steps(power_w: Floats) -> Floats:
    """Return the steps across intervals, W, one for each place where they are largest: rises positive, falls negative."""
    across = np.full(len(power_w), np.nan)
    across[1:-1] = power_w[2:] - power_w[:-2]
    size = np.abs(across)
    with np.errstate(invalid="ignore"):
        highest = (size[1:-1] > size[:-2]) & (size[1:-1] >= size[2:])
    return np.asarray(across[1:-1][highest & np.isfinite(across[1:-1])])


def candidates(power_w: Floats, least_w: float, most: int) -> tuple[Candidate, ...]:
    """Return up to ``most`` sizes of step that may be levels of loads, first those that are clear and large."""
    steps = site_steps(power_w)
    top = float(np.max(np.abs(steps), initial=0.0))
    if not least_w < top:
        return ()
    levels = np.exp(np.arange(np.log(least_w), np.log(top) + _GRID, _GRID))
    rises, falls = (np.sort(np.log(side[side > 0.0])) for side in (steps, -steps))
    tried = [_each_way(rises, falls, np.log(levels), width) for width in _WIDTHS]
    count, clear = (np.max(one, axis=0) for one in zip(*tried, strict=True))
    order = [k for k in np.argsort(-clear, kind="stable") if count[k] >= _LEAST and clear[k] >= _SIGNIFICANT]
    taken: list[int] = []
    for k in order:
        if all(abs(np.log(levels[k] / levels[one])) > _PEAK for one in taken):
            taken.append(int(k))
    # Of two sizes as clear as each other the larger moves more power, and is tried first.
    taken = sorted(taken, key=lambda k: -float(clear[k] * levels[k]))[:most]
    return tuple(Candidate(float(levels[k]), float(clear[k])) for k in taken)


def _each_way(rises: Floats, falls: Floats, at: Floats, wide: float) -> tuple[Floats, Floats]:
    """Return by how many the rarer of steps up and down stand out about each level, and both in standard deviations."""
    up, down = (_standing_out(one, at, wide) for one in (rises, falls))
    count = np.minimum(up[0], down[0])
    return count, np.where(count >= _LEAST, up[1] + down[1], 0.0) / np.sqrt(2.0)


def _standing_out(sizes: Floats, at: Floats, wide: float) -> tuple[Floats, Floats]:
    """Return how many of ``sizes`` (logarithms, in order) lie about each level beyond its neighbours, and in their deviations."""

    def within(low: float, high: float) -> Floats:
        return np.asarray(np.searchsorted(sizes, at + high) - np.searchsorted(sizes, at + low), np.float64)

    here = within(-wide, wide)
    near, far = _SIDE
    usual = (within(-far, -near) + within(near, far)) * wide / (far - near)
    return here - usual, (here - usual) / np.sqrt(usual + 1.0)
