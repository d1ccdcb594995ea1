"""Shares of long intervals beside a rest that goes its own way, for a load alone or together with a second one.

The rest is held in levels, narrow where it is low. From which level it goes to which is fitted together with the shares (hidden
Markov chain, expectation and maximisation after Rabiner 1989, Proc. IEEE 77(2):257, from memory), so it is learnt that a quiet
site stays quiet and a busy one does not.
"""

from dataclasses import dataclass
from itertools import product

import numpy as np
from numpy.typing import NDArray

from wattwright.demand.switched.shares_kernels import beside_rest

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]
HOURS = 24
PARTS = np.array([0.0, 0.5, 1.0])
_BEGIN = np.array([0.65, 0.1, 0.25])
"""How often a load is off, on for half and on throughout an interval, to begin from."""
_STAYS, _RARE = 0.7, 0.05
"""It stays as it is so often; that it is on for half an interval and for half the next is so much rarer than any other move."""
_LEVELS, _LOW, _SMOOTH = 80, 0.1, 1.5
"""So many levels of the rest, even below a tenth of the load's and by ratio above, smoothed over so many."""
_KINDS = ((0.3, 0.03), (0.25, 0.1), (0.2, 0.5))
"""Shares of small, middling and large changes of the rest and their mean sizes, in the load's level, to begin from."""
_ROUNDS, _TRY_ROUNDS, _TRIED, _STRETCHES = 10, 4, 2_000, 4
"""Rounds of fitting; to try the level of a second load fewer, on so many intervals at most, in so many stretches."""
_BELOW = 1e-6
"""A reading lower than what is taken to be on is as unlikely as this beside one that is not."""
_USUAL, _FEW = 20.0, 2.0
"""Moves that the chance over the whole day weighs in that of an hour; changes from a level that weigh as much as all others."""
_OTHERS, _ALIKE = np.exp(np.arange(np.log(0.4), np.log(3.0), 0.05)), 0.13
"""Levels tried for a second load, by the first, five per cent apart, and none within so much of it."""


@dataclass(frozen=True, slots=True, eq=False)
class Beside:
    """The share of each interval for which each load was on, (n, loads), and the log likelihood of the readings."""

    share: Floats
    likely: float


@dataclass(frozen=True, slots=True, eq=False)
class _Held:
    """A record held in levels of the rest, beside loads whose shares in each of k states are ``part`` (k, loads).

    ``level`` (n, k): number of the rest's level in each state; ``below`` (n, k): where no rest would be left; ``middle_w`` and
    ``width_w`` (r,) of the levels.
    """

    part: Floats
    level: Ints
    below: Bools
    middle_w: Floats
    width_w: Floats

    def rests(self, chance: Floats) -> Floats:
        """Return how often the rest is at each level, (r,), when the states have these chances, (n, k)."""
        count = np.bincount(self.level.ravel(), np.where(self.below, 0.0, chance).ravel(), _LEVELS)
        often = _smoothed(count.astype(np.float64)) + 0.5
        return np.asarray(often / often.sum())


def beside(power_w: Floats, hour: Ints, levels_w: tuple[float, ...], rounds: int = _ROUNDS) -> Beside:
    """Return when loads of these levels were on behind a power (W, shape (n,), no gaps); ``hour`` (n,) is that of the day."""
    held, loads = _held(power_w, levels_w), len(levels_w)
    start, once = _all_of(_BEGIN, loads), _all_of(_once(), loads)
    chance = np.where(held.below, _BELOW, start)
    chance = chance / chance.sum(axis=1, keepdims=True)
    goes, moves = _first_goes(held, chance, levels_w[0]), np.tile(once, (HOURS, 1, 1))
    likely = 0.0
    for _ in range(rounds):
        weight = np.where(held.below, _BELOW, 1.0)
        weight[0] *= (held.rests(chance) / held.width_w)[held.level[0]]
        chance, made, gone, likely = beside_rest(held.level, weight, goes, moves, hour)
        usual = made.sum(axis=0) + once
        made += _USUAL * usual / usual.sum(axis=1, keepdims=True)
        moves = made / made.sum(axis=2, keepdims=True)
        gone = _smoothed(_smoothed(gone).T).T
        goes = np.asarray((gone + _FEW * held.rests(chance)) / (gone.sum(axis=1, keepdims=True) + _FEW) / held.width_w)
    return Beside(chance @ held.part, float(likely))


def other_level_w(power_w: Floats, hour: Ints, level_w: float) -> float:
    """Return the level of a second load, W, that makes the record likeliest beside one of ``level_w``; shapes as in beside."""
    some = np.arange(len(power_w))
    if len(power_w) > _TRIED:
        each = _TRIED // _STRETCHES
        some = (np.linspace(0, len(power_w) - each, _STRETCHES).astype(np.int64)[:, None] + np.arange(each)).ravel()
    others = [float(level_w * one) for one in _OTHERS if abs(np.log(one)) > _ALIKE]
    return max(others, key=lambda other: beside(power_w[some], hour[some], (level_w, other), _TRY_ROUNDS).likely)


def _held(power_w: Floats, levels_w: tuple[float, ...]) -> _Held:
    part, unit_w = np.array(list(product(PARTS, repeat=len(levels_w)))), levels_w[0]
    rest = power_w[:, None] - part @ np.array(levels_w)
    edge = np.geomspace(_LOW, float(power_w.max()) / unit_w + 2 * _LOW, _LEVELS + 1)
    ratio = np.maximum(rest, 0.0) / unit_w + _LOW
    level = (np.log(ratio / edge[0]) / np.log(edge[-1] / edge[0]) * _LEVELS).astype(np.int64)
    return _Held(part, level, rest < 0.0, unit_w * (0.5 * (edge[1:] + edge[:-1]) - _LOW), unit_w * np.diff(edge))


def _once() -> Floats:
    """Return how one load moves between off, half and on, (3, 3), to begin from."""
    moves = _STAYS * np.eye(3) + (1.0 - _STAYS) / 3.0
    moves[1, 1] *= _RARE
    return np.asarray(moves / moves.sum(axis=1, keepdims=True))


def _all_of(one: Floats, loads: int) -> Floats:
    """Return what holds for each of some loads for all of them together: every state of one with every state of the next."""
    whole = one
    for _ in range(loads - 1):
        whole = np.asarray(np.kron(whole, one), np.float64)
    return whole


def _first_goes(held: _Held, chance: Floats, level_w: float) -> Floats:
    """Return the density of the rest's going from level to level, 1/W, (r, r), before any was seen: small changes and jumps."""
    change = np.abs(held.middle_w - held.middle_w[:, None]) / level_w
    near = sum(share * np.exp(-change / size) / (2.0 * size * level_w) for share, size in _KINDS)
    return np.asarray(near + (1.0 - sum(share for share, _ in _KINDS)) * held.rests(chance) / held.width_w)


def _smoothed(count: Floats) -> Floats:
    """Return counts (r, ...) smoothed over their first axis, with nothing lost at its ends."""
    reach = int(4 * _SMOOTH)
    bell = np.exp(-0.5 * (np.arange(-reach, reach + 1) / _SMOOTH) ** 2)
    ends = np.concatenate([count[reach - 1 :: -1], count, count[: -reach - 1 : -1]])
    return np.asarray(sum(one * ends[k : k + len(count)] for k, one in enumerate(bell / bell.sum())))
