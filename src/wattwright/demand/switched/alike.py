"""A load told from appliances of like size: a run whose two steps agree with each other better than with the load is another's.

A step that is a twentieth off may be the load's, if something else switched in the same interval. That it is off by as much
where the run ends is no chance any more. So beside the load a second thing may be on: an appliance of one of some sizes about the
load's own, every one as likely as the next, whose steps up and down are alike. How often any is begun is learnt by the hour.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from wattwright.demand.switched.alike_kernels import backward_alike, forward_alike
from wattwright.demand.switched.decode import (
    EVEN,
    ROUNDS,
    SETTLED,
    START_FALL,
    START_RISE,
    Decoded,
    When,
    part_on,
    rate,
    read_level,
)
from wattwright.demand.switched.rest import BIN, Rest, fit_rest

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
_GRID, _REACH = 0.01, 0.15
SIZES = 1.0 + _GRID * np.arange(-round(_REACH / _GRID), round(_REACH / _GRID) + 1)
"""Sizes of appliances that may be taken for a load, as shares of its level: a hundredth apart, up to so far from it."""
_BEGIN, _LASTS = START_RISE / 4, 15.0
"""First guesses: an appliance of like size starts a quarter as often as a load, and runs for so many intervals."""


@dataclass(frozen=True, slots=True, eq=False)
class Alike:
    """Densities of steps into and out of appliances of each size, (m, 2, k): from the interval before, and from the last but one.

    ``row`` (n,): which of them belongs to an interval, -1 where the power makes no step like theirs.
    """

    up: Floats
    down: Floats
    row: Ints


def steps_alike(power_w: Floats, zone: Ints, rest: Rest, spread: float) -> Alike:
    """Return the densities of steps of appliances about a load's size, by how the rest moves beside them.

    ``spread`` is that of the load's own steps: theirs are told no sharper, and no sharper than half of what lies between sizes.
    """
    between = np.nan_to_num(rest.between(power_w))
    table = rest.changes(max(spread, _GRID / 2))
    change = np.full((2, len(power_w)), np.nan)
    for lag in (1, 2):
        change[lag - 1, lag:] = (power_w[lag:] - power_w[:-lag]) / rest.level_w
    with np.errstate(invalid="ignore"):
        rows = np.flatnonzero((np.abs(np.abs(change) - 1.0) < _REACH + 3 * _GRID).any(axis=0))
    row = np.full(len(power_w), -1, np.int64)
    row[rows] = np.arange(len(rows))
    weight = np.stack([np.ones(len(rows)), between[rows]]) * ~np.isnan(change[:, rows])
    up, down = (
        _looked_up(table, zone[rows], np.abs(sign * np.nan_to_num(change[:, rows])[:, :, None] - SIZES)) * weight[:, :, None]
        for sign in (1.0, -1.0)
    )
    return Alike(up.transpose(1, 0, 2).copy(), down.transpose(1, 0, 2).copy(), row)


def _looked_up(table: Floats, zone: Ints, off: Floats) -> Floats:
    """Return the density (2, m, k) of steps that are so far ``off`` a size, as a share of the load's level."""
    return np.asarray(table[zone[None, :, None], np.minimum(off / BIN, table.shape[1] - 1).astype(np.int64)])


def told_from_alike(power_w: Floats, when: When, one: Decoded) -> Decoded:
    """Return a decoded load once more, its runs told from those of appliances of like size; its gain stays what it was.

    One whose own steps differ by more than the sizes are apart is returned as it is: whether two steps agree says nothing then.
    """
    if one.spread > _GRID:
        return one
    level_w, spread, chance = one.level_w, one.spread, one.chance
    rise = rate(one.rises, 1.0 - chance, when.hour, START_RISE)
    fall = rate(one.falls, chance, when.hour, START_FALL)
    begin, end, told = np.full(len(power_w), _BEGIN), 1.0 / _LASTS, np.zeros((len(power_w), 5))
    for _ in range(ROUNDS):
        rest = fit_rest(power_w - level_w * (chance > EVEN), when.zone, level_w)
        clean, split = rest.moves(power_w, when.zone, spread)
        like = steps_alike(power_w, when.zone, rest, spread)
        seen = (clean, split, rise, fall, like.up, like.down, like.row, begin, end)
        state, scale = forward_alike(*seen)
        told = np.clip(backward_alike(state, scale, *seen), 0.0, 1.0)
        moved, chance = float(np.abs(told[:, 0] - chance).mean()), told[:, 0]
        rise = rate(told[:, 1], 1.0 - chance, when.hour, START_RISE)
        fall = rate(told[:, 2], chance, when.hour, START_FALL)
        begin = rate(told[:, 4], 1.0 - chance - told[:, 3], when.hour, _BEGIN)
        end = float((told[:, 4].sum() + 1.0) / (told[:, 3].sum() + _LASTS))
        level_w, spread = read_level(power_w, told, level_w, one.level_w)
        if moved < SETTLED:
            break
    return Decoded(level_w, chance, told[:, 1], told[:, 2], part_on(power_w, chance > EVEN), one.gain, spread)
