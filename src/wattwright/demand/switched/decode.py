"""One load decoded: when it was on, by a hidden chain over all intervals, and how much better that explains the record."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from wattwright.demand.switched.chain_kernels import backward, forward
from wattwright.demand.switched.rest import SPREADS, Rest, fit_rest

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
ROUNDS = 8
SETTLED = 5e-4
"""Another round is not worth while where the last one moved the chances by less than this on the mean."""
_NEAR = 0.12
"""Steps that differ from the level by less than this share are taken for the load's own when the level is read again."""
EVEN = 0.5
START_RISE, START_FALL = 0.004, 0.01
_FEW = 4
"""So few steps are not enough to read a level anew."""
_PRIOR = 100.0
"""Intervals that the first guess of a switching rate weighs, and the rate over the whole day in that of an hour."""
HOURS = 24


@dataclass(frozen=True, slots=True, eq=False)
class When:
    """What is known of each interval beside its power: the busyness around it and its hour of the day, shape (n,) both."""

    zone: Ints
    hour: Ints


@dataclass(frozen=True, slots=True, eq=False)
class Decoded:
    """A load of ``level_w``: the chance of being on, of switching on and of switching off in each interval, shape (n,) each.

    ``part`` (n,): share of each interval for which it was on if the likelier of on and off is taken; ``gain`` is the log
    likelihood over that of the same record without the load; ``spread`` how far its steps differ from its level, a share of it.
    """

    level_w: float
    chance: Floats
    rises: Floats
    falls: Floats
    part: Floats
    gain: float
    spread: float

    @property
    def share(self) -> Floats:
        """Return the expected share of each interval for which it was on, shape (n,).

        In an interval in which it switched that is the part of it that the reading shows, if it ran beside it at all.
        """
        is_part = (self.part > 0.0) & (self.part < 1.0)
        ran = np.maximum(np.append(self.chance[1:], 0.0), np.append(0.0, self.chance[:-1]))
        return np.where(is_part, self.part * ran, self.chance)


def decode(power_w: Floats, when: When, level_w: float, start: Floats | None = None, rounds: int = ROUNDS) -> Decoded:
    """Return the load of about ``level_w`` behind a power (W, shape (n,), NaN in gaps), its level read anew as it is found.

    ``start``: chance of being on to begin from, else where the power is high enough.
    """
    present = ~np.isnan(power_w)
    base = float(np.percentile(power_w[present], 2)) if present.any() else 0.0
    with np.errstate(invalid="ignore"):
        chance = (power_w > 1.25 * level_w + base).astype(np.float64) if start is None else start
    rise, fall = np.full(len(power_w), START_RISE), np.full(len(power_w), START_FALL)
    first_w, spread, zone = level_w, SPREADS[1], when.zone
    told, scale, rest = np.zeros((len(power_w), 3)), np.ones(len(power_w)), fit_rest(power_w, zone, level_w)
    for _ in range(rounds):
        rest = fit_rest(power_w - level_w * (chance > EVEN), zone, level_w)
        clean, split = rest.moves(power_w, zone, spread)
        state, scale = forward(clean, split, rise, fall)
        told = np.clip(backward(state, scale, clean, split, rise, fall), 0.0, 1.0)
        moved, chance = float(np.abs(told[:, 0] - chance).mean()), told[:, 0]
        rise = rate(told[:, 1], 1.0 - chance, when.hour, START_RISE)
        fall = rate(told[:, 2], chance, when.hour, START_FALL)
        level_w, spread = read_level(power_w, told, level_w, first_w)
        if moved < SETTLED:
            break
    gain = float(np.log(scale).sum()) - _without(power_w, zone, rest)
    return Decoded(level_w, chance, told[:, 1], told[:, 2], part_on(power_w, chance > EVEN), gain, spread)


def expected_f1(chance: Floats) -> float:
    """Return the F1 to expect of taking a load to be on where its chance (n,) is even or more: twice the hits over all on."""
    known = chance[~np.isnan(chance)]
    on = known >= 0.5
    return float(2.0 * known[on].sum() / max(on.sum() + known.sum(), 1e-9))


def rate(turned: Floats, could: Floats, hour: Ints, first: float) -> Floats:
    """Return how likely it is to switch in each interval, (n,), by how often it did in that hour of the day where it could."""
    usual = (turned.sum() + _PRIOR * first) / (could.sum() + _PRIOR)
    by_hour = (np.bincount(hour, turned, HOURS) + _PRIOR * usual) / (np.bincount(hour, could, HOURS) + _PRIOR)
    return np.asarray(by_hour[hour])


def _without(power_w: Floats, zone: Ints, like: Rest) -> float:
    """Return the log likelihood of the record if there is no load, on the scale of ``like``."""
    clean, split = fit_rest(power_w, zone, like.level_w).moves(power_w, zone, SPREADS[1])
    _, scale = forward(clean, split, np.zeros(len(power_w)), np.ones(len(power_w)))
    return float(np.log(scale).sum())


def read_level(power_w: Floats, told: Floats, level_w: float, first_w: float) -> tuple[float, float]:
    """Return the level, the middle of the steps where the load switched, and their spread as a share of it."""
    across = power_w[2:] - power_w[:-2]
    up, down = across[told[1:-1, 1] > EVEN], -across[told[1:-1, 2] > EVEN]
    steps = np.concatenate([up, down])
    near = steps[np.abs(steps - level_w) < _NEAR * level_w]
    if len(near) <= _FEW:
        return level_w, SPREADS[1]
    read = float(np.median(near))
    if abs(read - first_w) > 2 * _NEAR * first_w:
        return first_w, SPREADS[1]
    # 1.4826 median deviations are the standard deviation of a normal spread.
    return read, float(np.clip(1.4826 * np.median(np.abs(near - read)) / read, *SPREADS))


def part_on(power_w: Floats, on: NDArray[np.bool_]) -> Floats:
    """Return the share of each interval for which a load was on that switched where ``on`` says, shape (n,).

    A reading beside a switching that lies between its neighbours' shows by where it lies how long the load was on in it.
    """
    part = on.astype(np.float64)
    edges = np.flatnonzero(on[1:] != on[:-1]) + 1
    for k in (edges - 1, edges):
        at, rising = k[(k > 0) & (k < len(on) - 1)], on[edges[(k > 0) & (k < len(on) - 1)]]
        low, here, high = (np.where(rising, power_w[at + end], power_w[at - end]) for end in (-1, 0, 1))
        with np.errstate(invalid="ignore", divide="ignore"):
            share = (here - low) / (high - low)
            inside = (share > 0.0) & (share < 1.0)
        part[at[inside]] = share[inside]
    return part
