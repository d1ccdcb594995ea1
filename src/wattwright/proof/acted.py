"""Planned against found: which of the planned time programmes a record after the measures shows at work, and what went wrong.

A load that was held off and is let run makes a step of its rating at a moment that the plan names. Where that step is seen day
after day the programme acts; where it ceases, moves or changes its size, something is otherwise.
"""

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import comb

import numpy as np
from numpy.typing import NDArray

from wattwright.core.clock import SiteClock
from wattwright.core.series import Floats, Series
from wattwright.proof import kinds
from wattwright.proof.course import Acted, Course, untold
from wattwright.proof.edges import Group, groups, rises, scatter_w, steps_w, sums_of
from wattwright.proof.hours import by_hours
from wattwright.proof.seal import SealedLoad

Bools = NDArray[np.bool_]
Ints = NDArray[np.int64]
FEWEST, MOST = 7, 35
"""A running median is of so many planned moments at least, of more where much else switches; beyond that nothing is told."""
_LONGEST_STEP_S, _MOST_MOVED_S, _MOVE_S, _MOST_LOADS = 300, 6 * 3600, 300, 4
_SAME, _MOVED, _TWINS = 0.12, 0.75, 0.12
_ABSENT = 0.25
"""A step of so small a share of a rating is none; between it and the rating something else switches at the same moments."""
_MOST_DAYS, _BUSY, _CHANCE = 2 / 3, 0.95, 0.01
_YEAR_OF_WEEKS_S = 364 * 86_400
_SURE = 4.0
"""A median counts as another one from so many of its standard errors on: seldom by chance in a year of them."""
_MEDIAN = 1.2533
"""The standard error of a median over that of a mean: the root of half of pi, for normal scatter."""
_SHARP_S = 600
_OFTEN, _BY_HAND, _SCATTERED = 0.5, 2, 3


@dataclass(frozen=True, slots=True, eq=False)
class _Seen:
    """The steps at the moments of a group that were read: ``step_w``, their running median, and which loads they hold.

    The median is of ``spell`` moments; ``error_w`` is its standard error.

    Shapes (n,), (n,), (n, loads) for each moment alone, (n, loads) by the median, (n,) where that is no sum of its loads, and
    (n, loads) where another sum as near as this one says otherwise of a load, and where it is seen to run until it is held off.
    """

    group: Group
    power: Series
    at_s: Ints
    held_s: Ints
    spell: int
    error_w: float
    step_w: Floats
    median_w: Floats
    alone: Bools
    holds: Bools
    other: Bools
    either: Bools
    falls: Bools
    before: Series | None


def acted(
    power: Series, loads: Sequence[SealedLoad], clock: SiteClock, holidays: frozenset[dt.date] = frozenset(),
    before: Series | None = None,
) -> tuple[Acted, ...]:  # fmt: skip
    """Return what became of each load that a time programme was planned for; ``power`` is that of the whole site in W.

    ``before`` is its power before the measures, by which a step that was always there is told from a load whose times moved.
    Loads that the plan holds by other rules are left out. Readings longer than five minutes show no steps; of them the energy of
    the hours is held against that before.
    """
    made = list[Acted]()
    for group in groups(loads, power, clock, holidays):
        if power.step_s > _LONGEST_STEP_S:
            made += by_hours(group, power, before, clock, holidays)
            continue
        seen = _seen(group, power, before)
        made += map(untold, group.loads) if seen is None else [_told(seen, place) for place in range(len(group.loads))]
    return tuple(made)


def _seen(group: Group, power: Series, before: Series | None) -> _Seen | None:
    """Return what is seen of a group; None where the moments are too few for what else switches beside them."""
    steps, scatter_of_one_w = steps_w(power, group.edges_s), _MEDIAN * scatter_w(power, group.edges_s)
    read, least_w = ~np.isnan(steps), float(group.ratings_w.min())
    needed = int(np.ceil((2 * _SURE * scatter_of_one_w / least_w) ** 2)) if least_w > 0 else MOST + 1
    spell = max(FEWEST, needed + 1 - needed % 2)
    if spell > MOST or read.sum() < 2 * spell or len(group.loads) > _MOST_LOADS:
        return None
    step_w, error_w = steps[read], scatter_of_one_w / np.sqrt(spell)
    median_w, fall_w = _running(step_w, spell), _running(-steps_w(power, group.until_s)[read], spell)
    sums, holds = sums_of(group)
    far = np.abs(median_w[:, None] - sums)
    nearest, near_w = far.argmin(axis=1), max(_SAME * sums[-1], _SURE * error_w)
    alone = np.abs(step_w[:, None] - sums).argmin(axis=1)
    other = far.min(axis=1) > near_w
    # Of sums that lie within the tolerance of the nearest one, each may be what ran.
    as_near = (far <= far.min(axis=1, keepdims=True) + _TWINS * group.ratings_w.min())[:, :, None]
    either = (as_near & (holds[None] != holds[nearest][:, None])).any(axis=1)
    fell = np.abs(np.nan_to_num(fall_w)[:, None] - sums).argmin(axis=1)
    return _Seen(
        group, power, group.edges_s[read], group.held_s[read], spell, error_w, step_w, median_w, holds[alone], holds[nearest],
        other, either, holds[fell], before,
    )  # fmt: skip


def _running(step_w: Floats, spell: int) -> Floats:
    """Return the median of each ``spell`` steps about a moment, what was not read left out, shape (n,)."""
    around = np.lib.stride_tricks.sliding_window_view(np.pad(step_w, spell // 2, mode="reflect"), spell)
    few = (~np.isnan(around)).sum(axis=1) < FEWEST // 2
    told: Floats = np.full(len(step_w), np.nan)
    told[~few] = np.nanmedian(around[~few], axis=1)
    return told


def _told(seen: _Seen, place: int) -> Acted:
    """Return what became of one load of a group."""
    load, holds = seen.group.loads[place], seen.holds[:, place]
    rest_w = seen.holds @ seen.group.ratings_w - holds * load.rating_w
    acting = holds & ~seen.other
    level_w = float(np.median((seen.median_w - rest_w)[acting])) if acting.any() else 0.0
    base = Acted(load.name, Course.KEPT, load.rating_w, level_w, len(holds), int(seen.alone[:, place].sum()), 0, 0, ())
    # What is still seen to run until it is held off runs, whatever switches beside it at its beginning.
    still = seen.falls[:, place]
    another, gone = _longest(seen.other & ~still, seen.spell), _longest(~holds & ~seen.other, seen.spell)
    if _longest(seen.either[:, place] & ~still, seen.spell) is not None:
        return untold(load, base.moments)
    again = seen.holds[:, place] & ~seen.other | still
    if another is not None:
        # What was replaced does not come back.
        back = _longest(again[another.stop :], seen.spell) is not None
        return untold(load, base.moments) if back else _replaced(base, seen, another)
    if gone is not None:
        return _gone(base, seen, place, gone)
    return _by_hand(base, seen, place)


def _longest(of: Bools, spell: int) -> slice | None:
    """Return the longest run of moments for which ``of`` holds, None where it is shorter than ``spell``."""
    edges = np.flatnonzero(np.diff(np.concatenate([[False], of, [False]]).astype(np.int8)))
    begins, ends = edges[::2], edges[1::2]
    if not len(begins):
        return None
    best = int(np.argmax(ends - begins))
    return slice(int(begins[best]), int(ends[best])) if ends[best] - begins[best] >= spell else None


def _replaced(base: Acted, seen: _Seen, spell: slice) -> Acted:
    first_s, found_w = int(seen.at_s[spell][0]), float(np.median(seen.step_w[spell]))
    names = ", ".join(one.name for one in seen.group.loads)
    told = kinds.REPLACED.at(base.load, load=names, rating=float(seen.group.ratings_w.sum()), level=found_w, first=first_s)
    return replace(base, course=Course.REPLACED, level_w=found_w, since_s=first_s, findings=(told,))


def _gone(base: Acted, seen: _Seen, place: int, spell: slice) -> Acted:
    """Return a load that is not seen to begin at the planned moments."""
    first_s = int(seen.at_s[spell][0])
    moved_s = _moved_s(seen, spell, base.rating_w)
    if moved_s:
        way = "later" if moved_s > 0 else "earlier"
        told = kinds.MOVED.at(base.load, load=base.load, moved=abs(moved_s), way=way, first=first_s)
        return replace(base, course=Course.MOVED, since_s=first_s, moved_s=moved_s, findings=(told,))
    gone = ~seen.holds[:, place] & ~seen.other & ~seen.falls[:, place]
    really = _longest(gone, seen.spell)
    if really is None:
        return _by_hand(base, seen, place)
    left_w = seen.step_w[really] - seen.holds[really] @ seen.group.ratings_w
    if abs(float(np.median(left_w))) > _ABSENT * base.rating_w + 2 * seen.error_w:
        return untold(seen.group.loads[place], base.moments)
    return _lost(base, seen, place, really)


def _lost(base: Acted, seen: _Seen, place: int, spell: slice) -> Acted:
    """Return a load of which nothing is seen at the planned moments, nor at the same ones moved."""
    first_s, count = int(seen.at_s[spell][0]), int(spell.stop - spell.start)
    if _longest(seen.holds[:, place] & ~seen.other | seen.falls[:, place], FEWEST) is None:
        told = kinds.NEVER.at(base.load, load=base.load, count=len(seen.at_s), first=int(seen.at_s[0]))
        return replace(base, course=Course.NEVER, level_w=0.0, since_s=int(seen.at_s[0]), findings=(told,))
    often = _rises_while_held(seen, base.rating_w)
    kept = np.delete(np.arange(len(seen.at_s)), np.arange(spell.start, spell.stop))
    usual = float(often[kept].mean()) if often is not None and len(kept) >= FEWEST else 0.0
    if often is not None and float(often[spell].mean()) >= usual + _OFTEN:
        told = kinds.STUCK_ON.at(base.load, load=base.load, first=first_s, count=count)
        return replace(base, course=Course.STUCK_ON, since_s=first_s, findings=(told,))
    acts = seen.holds[:, place] & ~seen.other | seen.falls[:, place]
    if _longest(acts[spell.stop :], seen.spell) is not None:
        told = kinds.PAUSED.at(base.load, load=base.load, first=first_s, last=int(seen.at_s[spell][-1]), count=count)
        return replace(base, findings=(told,))
    told = kinds.LOST.at(base.load, load=base.load, first=first_s, count=count)
    return replace(base, course=Course.LOST, since_s=first_s, findings=(told,))


def _moved_s(seen: _Seen, spell: slice, rating_w: float) -> int:
    """Return by how many seconds the moments of a spell must be moved to find the step of a load, 0 where nowhere."""
    grid_s, kept = max(_MOVE_S, seen.power.step_s), np.delete(seen.at_s, np.arange(spell.start, spell.stop))
    moves = [one for one in range(-_MOST_MOVED_S, _MOST_MOVED_S + 1, grid_s) if one]
    # A step that was always there at that hour, in the rest of the record or a year before, is another load's.
    usual = np.array(
        [
            [_usual_w(seen.power, seen.at_s[spell] + one), _usual_w(seen.power, kept + one), _before_w(seen, spell, one)]
            for one in moves
        ]
    )
    found = usual[:, 0] - np.clip(usual[:, 1:], 0.0, None).max(axis=1)
    best = int(np.argmax(found))
    # A clock switches within minutes; people are not so sharp.
    beside = [_usual_w(seen.power, seen.at_s[spell] + moves[best] + one) for one in (-_SHARP_S, _SHARP_S)]
    steps = steps_w(seen.power, seen.at_s[spell] + moves[best])
    if float((steps[~np.isnan(steps)] >= rating_w / 2).mean()) < _MOST_DAYS:
        return 0  # as a pump on some weekdays
    if max(beside) > found[best] / 2 or abs(found[best] - rating_w) > (1 - _MOVED) * rating_w + seen.error_w:
        return 0
    return moves[best] if found[best] >= max(_MOVED * rating_w, _SURE * seen.error_w) else 0


def _before_w(seen: _Seen, spell: slice, move_s: int) -> float:
    """Return the median step at the same moments a year before, on the same weekdays, W; nought where that was not read."""
    return 0.0 if seen.before is None else _usual_w(seen.before, seen.at_s[spell] + move_s - _YEAR_OF_WEEKS_S)


def _usual_w(power: Series, at_s: Ints) -> float:
    """Return the median step at instants, W; nought where fewer than a few were read."""
    told = steps_w(power, at_s)
    told = told[~np.isnan(told)]
    return float(np.median(told)) if len(told) >= FEWEST else 0.0


def _rises_while_held(seen: _Seen, level_w: float) -> Ints | None:
    """Return how often the power rose by a level while the plan held the load off before each moment, shape (n,)."""
    rose = rises(seen.power, level_w)
    if rose is None:
        return None
    sums = np.concatenate([[0], np.cumsum(rose)])
    ends = (seen.at_s - seen.power.start_s) // seen.power.step_s
    begins = np.clip(ends - seen.held_s // seen.power.step_s, 0, None)
    # The step at the moment itself, or of a neighbour's that is a reading early, is none of these.
    found: Ints = sums[np.clip(ends - 1, 0, None)] - sums[begins]
    return found


def _by_hand(base: Acted, seen: _Seen, place: int) -> Acted:
    """Return a load that acts, and on which days it was let run while the plan held it off."""
    often, missed = _rises_while_held(seen, base.rating_w), ~seen.alone[:, place] & ~seen.falls[:, place]
    if often is None or not missed.any():
        return base
    other_days = often[~missed] if (~missed).any() else np.zeros(1)
    enough = max(float(np.median(other_days)) + _BY_HAND, float(np.quantile(other_days, _BUSY)))
    by_hand = np.flatnonzero(missed & (often >= enough))
    # A busy house has such rises on days on which the load began as planned, too.
    usual = max(float((other_days >= enough).mean()), 1 - _BUSY)
    if len(by_hand) < _SCATTERED or _at_least(len(by_hand), int(missed.sum()), usual) > _CHANCE:
        return base
    first_s = int(seen.at_s[by_hand[0]])
    told = kinds.BY_HAND.at(base.load, load=base.load, days=len(by_hand), first=first_s)
    return replace(base, course=Course.BY_HAND, since_s=first_s, findings=(told,))


def _at_least(count: int, of: int, share: float) -> float:
    """Return the chance of ``count`` or more of so many where each is one with the chance ``share``."""
    return sum(comb(of, k) * share**k * (1 - share) ** (of - k) for k in range(count, of + 1))
