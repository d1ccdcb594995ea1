"""How the rest of a site moves from interval to interval: what a load's switchings have to stand out from.

The change of the rest is a mixture of three double exponential distributions (quiet, small and large changes) and of a jump to
any level the rest is found at, fitted by expectation and maximisation. How busy the neighbourhood of an interval is decides which
mixture holds there: a step in a quiet night says more than the same step while somebody cooks. Levels are smoothed over half the
load's own, so that the rest cannot learn the load. All sizes are shares of the load's level. Own method; the hidden Markov chain
and its training after Rabiner 1989 (Proc. IEEE 77(2):257), from memory.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
ZONES = 6
"""Degrees of busyness, each with as many intervals as the others."""
_ABOUT = 10
_BUSY = 0.6
"""How busy it is: below this share of the changes in so many intervals on either side lies the figure."""
_FLOORS = np.array([0.003, 0.01, 0.1])
"""The three kinds of change are never narrower than these shares of the load's level, so that none shrinks to a point."""
SPREADS = (0.002, 0.04)
"""A load's own step differs from its level by about so little to so much of it: voltage, warm and cold, rounding of the meter."""
_WIDE = 0.4
"""So many switchings meet another, smaller one in the same interval, and their step is off by as much as the widest spread."""
BIN, _LEVEL_BIN, _SMOOTH = 1 / 1000, 1 / 20, 1 / 2
_ROUNDS, _SAMPLE = 12, 5_000


def busyness(power_w: Floats) -> Ints:
    """Return the degree of busyness around each interval, 0 to ZONES - 1, shape (n,); gaps are left out."""
    n = len(power_w)
    change = np.abs(np.diff(power_w, prepend=power_w[:1]))
    seen = np.where(np.isnan(change), np.inf, change)
    beside = np.array([k for k in range(-_ABOUT, _ABOUT + 1) if abs(k) > 1])
    figure = np.empty(n)
    for first in range(0, n, 50_000):
        at = np.clip(np.arange(first, min(first + 50_000, n))[:, None] + beside, 1, n - 1)
        rank = int(_BUSY * (len(beside) - 1))
        figure[first : first + len(at)] = np.partition(seen[at], rank, axis=1)[:, rank]
    known = figure[np.isfinite(figure)]
    if len(known) == 0:
        return np.zeros(n, np.int64)
    return np.asarray(np.searchsorted(np.quantile(known, np.arange(1, ZONES) / ZONES), figure), np.int64)


@dataclass(frozen=True, slots=True, eq=False)
class Rest:
    """The moves of the rest about a load of ``level_w``.

    ``weight`` (ZONES, 4): share of the three kinds of change and of jumps; ``scale`` (ZONES, 3) their mean size in W; ``levels``
    (k,): density of the rest's level in 1/W, in bins of a twentieth of the load's.
    """

    level_w: float
    weight: Floats
    scale: Floats
    levels: Floats

    def at_level(self, rest_w: Floats) -> Floats:
        """Return the density of the rest's level, 1/W, shape as given; below nought that of nought."""
        return np.asarray(self.levels[np.clip(rest_w / (_LEVEL_BIN * self.level_w), 0, len(self.levels) - 1).astype(np.int64)])

    def moves(self, power_w: Floats, zone: Ints, spread: float) -> tuple[Floats, Floats]:
        """Return the densities ``clean`` and ``split`` of every move between off and on, (n, 4) each, for the chain.

        ``spread`` is how far the load's own steps differ from its level, as a share of it.
        """
        plain = self.changes(0.0)
        switching = (1.0 - _WIDE) * self.changes(spread) + _WIDE * self.changes(SPREADS[1])
        far = _mixture(self._sizes, self.weight * np.array([0.0, 0.0, 1.0, 1.0]), self.scale)
        into = tuple(self._into(power_w - is_on * self.level_w, zone) for is_on in range(2))
        clean = self._lagged(power_w, zone, 1, (plain, switching), into)
        split = self._lagged(power_w, zone, 2, (far, switching), into)
        known = ~np.isnan(clean[:, 0])
        between = self.between(power_w)
        return np.where(known[:, None], clean, 1.0), np.nan_to_num(split * between[:, None])

    def changes(self, spread: float) -> Floats:
        """Return the density of changes of the rest, 1/W, (ZONES, k) in bins of ``BIN`` of the load's level, jumps left out.

        ``spread``, a share of the level, blurs it: by so much the steps of what switched beside it differ from their size.
        """
        return _mixture(self._sizes, self.weight, np.hypot(self.scale, spread * self.level_w))

    def between(self, power_w: Floats) -> Floats:
        """Return the density of the reading before each, 1/W, if it may lie anywhere between its neighbours, else 0."""
        return _between(power_w, _FLOORS[1] * self.level_w)

    @property
    def _sizes(self) -> Floats:
        return np.asarray(BIN * self.level_w * (np.arange(int(8 / BIN)) + 0.5))

    def _into(self, rest_w: Floats, zone: Ints) -> tuple[Floats, Floats]:
        """Return how likely a rest is by its level alone: a factor for every move, and the density of a jump there, 1/W."""
        factor = np.ones(len(rest_w))
        with np.errstate(invalid="ignore"):
            below = rest_w < 0.0
        # A rest below nought is no rest: what is taken for the load's share was not all there.
        factor[below] = np.exp(rest_w[below] / (_LEVEL_BIN * self.level_w))
        return factor, self.weight[zone, 3] * self.at_level(np.nan_to_num(rest_w))

    def _lagged(
        self, power_w: Floats, zone: Ints, lag: int, tables: tuple[Floats, Floats], into: tuple[tuple[Floats, Floats], ...]
    ) -> Floats:
        """Return the densities of the four moves into each interval from that ``lag`` before; NaN beside a gap."""
        change = np.full(len(power_w), np.nan)
        change[lag:] = power_w[lag:] - power_w[:-lag]
        bins = tables[0].shape[1]
        row, fine = zone * bins, 1.0 / (BIN * self.level_w)
        known = ~np.isnan(change)
        change = np.where(known, change, 0.0)
        # From off to off and from on to on the load's level cancels out, so that both show the same change of the rest.
        seen = [self._looked_up(table, row, np.abs(change - step) * fine) for table, step in self._steps(tables)]
        found = np.empty((len(power_w), 4))
        for move, density in enumerate((seen[0], seen[1], seen[2], seen[0])):
            factor, jump = into[move % 2]
            found[:, move] = factor * (density + jump)
        found[~known] = np.nan
        return found

    def _steps(self, tables: tuple[Floats, Floats]) -> tuple[tuple[Floats, float], ...]:
        """Return the table and the step of the site's power that go with staying, switching on and switching off."""
        return (tables[0], 0.0), (tables[1], self.level_w), (tables[1], -self.level_w)

    @staticmethod
    def _looked_up(table: Floats, row: Ints, at: Floats) -> Floats:
        return np.asarray(table.ravel()[row + np.minimum(at, table.shape[1] - 1).astype(np.int64)])


def fit_rest(rest_w: Floats, zone: Ints, level_w: float) -> Rest:
    """Return the moves of a rest (W, NaN in gaps) as they are seen, about a load of ``level_w``."""
    present = np.maximum(rest_w[~np.isnan(rest_w)], 0.0)
    levels = _levels(present, level_w)
    change = np.abs(np.diff(rest_w))
    known = np.flatnonzero(~np.isnan(change))
    made = Rest(level_w, np.zeros((ZONES, 4)), np.zeros((ZONES, 3)), levels)
    for one in range(ZONES):
        here = known[zone[known + 1] == one]
        here = here if len(here) >= 50 else known
        here = here[:: max(1, len(here) // _SAMPLE)]
        made.weight[one], made.scale[one] = _fit(change[here], made.at_level(rest_w[here + 1]), level_w)
    return made


def _levels(present: Floats, level_w: float) -> Floats:
    """Return the smoothed density of the rest's level, 1/W."""
    width = _LEVEL_BIN * level_w
    count = np.bincount((present / width).astype(np.int64), minlength=1).astype(np.float64)
    reach = int(4 * _SMOOTH / _LEVEL_BIN)
    bell = np.exp(-0.5 * (np.arange(-reach, reach + 1) * _LEVEL_BIN / _SMOOTH) ** 2)
    smooth = np.convolve(count, bell / bell.sum())[reach : reach + len(count)] + 0.5
    return np.asarray(smooth / (smooth.sum() * width))


def _fit(change: Floats, at_level: Floats, level_w: float) -> tuple[Floats, Floats]:
    """Return weights (4,) and mean sizes (3,) of the mixture that these changes (n,) come from."""
    weight, scale = np.array([0.5, 0.25, 0.15, 0.1]), level_w * np.array([0.004, 0.04, 0.4])
    for _ in range(_ROUNDS):
        parts = np.empty((4, len(change)))
        parts[:3] = (weight[:3] / (2.0 * scale))[:, None] * np.exp(-change / scale[:, None])
        parts[3] = weight[3] * at_level
        parts /= parts.sum(axis=0)
        held = parts.sum(axis=1)
        weight = (held + 1.0) / (held.sum() + 4.0)
        scale = np.maximum(parts[:3] @ change / np.maximum(held[:3], 1e-9), _FLOORS * level_w)
    return weight, scale


def _mixture(size: NDArray[np.floating], weight: Floats, scale: Floats) -> Floats:
    """Return the density of changes of these sizes, (ZONES, k), jumps left out."""
    parts = (weight[:, :3] / (2.0 * scale))[:, :, None] * np.exp(-size / scale[:, :, None])
    return np.asarray(parts.sum(axis=1))


def _between(power_w: Floats, least_w: float) -> Floats:
    """Return the density of the reading before each if it may lie anywhere between its neighbours, 1/W; 0 where it does not."""
    found = np.zeros(len(power_w))
    low, high = np.minimum(power_w[2:], power_w[:-2]), np.maximum(power_w[2:], power_w[:-2])
    inside = (power_w[1:-1] > low) & (power_w[1:-1] < high)
    found[2:] = np.where(inside, 1.0 / np.maximum(high - low, least_w), 0.0)
    return found
