"""The loads that switch behind a site's power, one after another, each on what the others leave."""

from collections.abc import Callable
from dataclasses import dataclass
from functools import partial

import numpy as np
from numpy.typing import NDArray

from wattwright.core.progress import SILENT, Progress
from wattwright.demand.switched.alike import told_from_alike
from wattwright.demand.switched.bumps import second_level_w
from wattwright.demand.switched.clocked import clocked_loads
from wattwright.demand.switched.decode import EVEN, Decoded, When, decode, expected_f1
from wattwright.demand.switched.rest import busyness
from wattwright.demand.switched.shares import shares_on
from wattwright.demand.switched.steps import candidates, least_level_w

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
LEAST_GAIN = 40.0
"""A load counts when the record is more likely with it by this in natural logarithms: some 17 powers of ten."""
LEAST_SWITCHINGS, LEAST_SURE = 5.0, 0.7
"""And when it switched on and off so often, and is on with so high a chance, on the mean, where it is taken to be on."""
LEAST_EACH, LEAST_EACH_OFTEN, OFTEN = 3.5, 1.0, 0.06
"""And when it gains so much with each run; less is enough if it is on for a sixteenth of the time or more. Appliances that are
seldom on and happen to be of like size pass for one load otherwise."""
_MOST_CANDIDATES, _MOST_LOADS = 8, 8
_SCREEN = 3
_TRIED, _STRETCHES = 90_000, 6
"""Levels are tried on so many intervals at most, in so many stretches through the seasons; what counts is decoded on all."""
_EXACT_S = 300
"""In steps longer than this single switchings are blurred, and only shares of intervals are told."""
_SAME = 0.15
"""A level found by heaps that differs from one found by steps by less than this share is taken for the same."""


@dataclass(frozen=True, slots=True, eq=False)
class Seen:
    """A load: its level in W, the expected share of each interval for which it was on, and the chance that it was, (n,) each."""

    level_w: float
    share: Floats
    chance: Floats


def is_exact(step_s: int) -> bool:
    """Return whether a step is short enough for single switchings to be seen."""
    return step_s <= _EXACT_S


def seen_loads(power_w: Floats, step_s: int, hour: Ints, progress: Progress = SILENT) -> tuple[Seen, ...]:
    """Return the loads that switch behind a power (W, shape (n,), NaN in gaps), the largest by energy first.

    ``hour`` (n,) is the hour of the local day.
    """
    if is_exact(step_s):
        return tuple(Seen(one.level_w, one.share, one.chance) for one in found_loads(power_w, hour, progress))
    seen: list[Seen] = []
    for one in clocked_loads(power_w, step_s, hour, least_level_w(power_w)):
        seen.append(Seen(one.level_w, one.chance, one.chance))
        power_w = power_w - one.level_w * one.chance
    levels = [one.level_w for one in found_loads(power_w, hour, progress)]
    heap = second_level_w(power_w, least_level_w(power_w))
    if heap is not None and all(abs(heap - one) > _SAME * one for one in levels):
        levels.append(heap)
    rest_w = power_w - min(0.0, float(np.nanmin(power_w))) if levels else power_w
    for level in levels:
        share = shares_on(rest_w, hour, level)
        seen.append(Seen(level, share, share))
        rest_w = rest_w - level * share
    return tuple(sorted(seen, key=lambda one: -one.level_w * float(np.nansum(one.share))))


def found_loads(power_w: Floats, hour: Ints, progress: Progress = SILENT) -> tuple[Decoded, ...]:
    """Return the loads whose steps stand out of a power (W, shape (n,), NaN in gaps), the largest by energy first."""
    if len(power_w) < 3 or np.isnan(power_w).all():
        return ()
    power_w = power_w - min(0.0, float(np.nanmin(power_w)))
    when = When(busyness(power_w), hour)
    least_w = least_level_w(power_w)
    taken: list[Decoded] = []
    rest_w = power_w
    for round_ in range(_MOST_LOADS):
        best = _best(rest_w, when, least_w, partial(_after, progress, round_))
        if best is None:
            break
        taken.append(best)
        rest_w = rest_w - best.level_w * best.part
    again = _once_more(power_w, when, taken, progress)
    return tuple(sorted(again, key=lambda one: -one.level_w * float(one.chance.sum())))


def _after(progress: Progress, rounds: int, part: float) -> None:
    """Report how far the search is; raises Cancelled to stop it."""
    progress.at("loads that switch", rounds + part, _MOST_LOADS)


def _best(rest_w: Floats, when: When, least_w: float, told: Callable[[float], None]) -> Decoded | None:
    """Return the load that explains most of what is left, None where none counts."""
    some = _blocks(len(rest_w))
    # That a load keeps hours helps to tell its runs from others', not to tell whether it is one: rare runs have hours by chance.
    any_hour = When(when.zone, np.zeros_like(when.hour))
    part, busy = rest_w[some], When(any_hour.zone[some], any_hour.hour[some])
    levels, tried = [one.level_w for one in candidates(rest_w, least_w, _MOST_CANDIDATES)], []
    for k, level in enumerate(levels):
        told(k / len(levels))
        tried.append(decode(part, busy, level, rounds=_SCREEN))
    for one in sorted(tried, key=lambda one: -one.gain):
        if one.gain < LEAST_GAIN / 2:
            return None
        whole = decode(rest_w, any_hour, one.level_w)
        if _counts(whole):
            return decode(rest_w, when, whole.level_w, whole.chance)
    return None


def _blocks(intervals: int) -> Ints:
    """Return the intervals on which levels are tried: all, or of a long record some stretches spread over it."""
    if intervals <= _TRIED:
        return np.arange(intervals)
    each = _TRIED // _STRETCHES
    first = np.linspace(0, intervals - each, _STRETCHES).astype(np.int64)
    return (first[:, None] + np.arange(each)).ravel()


def _counts(one: Decoded) -> bool:
    """Return whether a load is told surely enough to be named."""
    on = one.chance > 0.5
    sure = float(one.chance[on].mean()) if on.any() else 0.0
    switched = min(float(one.rises.sum()), float(one.falls.sum()))
    each = LEAST_EACH_OFTEN if float(one.chance.mean()) >= OFTEN else LEAST_EACH
    least = max(LEAST_GAIN, each * switched)
    return one.gain >= least and switched >= LEAST_SWITCHINGS and sure >= LEAST_SURE


def _once_more(power_w: Floats, when: When, taken: list[Decoded], progress: Progress) -> list[Decoded]:
    """Return the loads decoded once more, beside all the others and alone, each the mean of the two.

    The first ones did not know of the later, and an error in one spreads to those beside it; alone it does not. What the two
    disagree on was left over from larger ones, and is no load. Both are told from appliances of like size, which takes long: only
    once it is known which loads there are.
    """
    again = list(taken)
    for k, one in enumerate(taken if len(taken) > 1 else ()):
        progress.at("loads once more", k, 2 * len(taken))
        again[k] = decode(power_w - _others(again, one), when, one.level_w, one.chance, rounds=_SCREEN)
    again = [one for one in again if _counts(one)]
    means = []
    for k, one in enumerate(again):
        progress.at("loads once more", len(again) + k, 2 * len(again))
        beside = told_from_alike(power_w - _others(again, one), when, one)
        alone = decode(power_w, when, one.level_w) if len(taken) > 1 else one
        means.append(_mean(beside, told_from_alike(power_w, when, alone)))
    return [one for one in means if expected_f1(one.chance) >= LEAST_SURE]


def _others(loads: list[Decoded], but: Decoded) -> Floats:
    """Return the power of all loads but one, W, shape (n,)."""
    return sum((one.level_w * one.part for one in loads if one is not but), np.zeros_like(but.part))


def _mean(beside: Decoded, alone: Decoded) -> Decoded:
    """Return a load as the mean of what was seen of it beside others and alone."""
    chance = 0.5 * (beside.chance + alone.chance)
    # One of the two is of the same mind as their mean about every interval.
    part = np.where((beside.chance > EVEN) == (chance > EVEN), beside.part, alone.part)
    rises, falls = 0.5 * (beside.rises + alone.rises), 0.5 * (beside.falls + alone.falls)
    return Decoded(beside.level_w, chance, rises, falls, part, beside.gain, beside.spread)
