"""Planned against found: which of the planned time programmes a record after the measures shows at work, and what went wrong.

A load that was held off and is let run makes a step of its rating at a moment that the plan names. Where that step is seen day
after day the programme acts; where it ceases, moves or changes its size, something is otherwise.
"""

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass, replace
from enum import StrEnum

import numpy as np
from numpy.typing import NDArray

from wattwright.core.clock import SiteClock
from wattwright.core.findings import Finding
from wattwright.core.series import Floats, Series
from wattwright.proof import kinds
from wattwright.proof.edges import Group, groups, rises, scatter_w, steps_w, sums_of
from wattwright.proof.seal import SealedLoad

Bools = NDArray[np.bool_]
Ints = NDArray[np.int64]
FEWEST, MOST = 7, 35
"""A running median is of so many planned moments at least, of more where much else switches; beyond that nothing is told."""
_LONGEST_STEP_S, _MOST_MOVED_S, _MOVE_S, _MOST_LOADS = 300, 6 * 3600, 300, 4
_SAME, _MOVED = 0.12, 0.5
_SURE = 4.0
"""A median counts as another one from so many of its standard errors on: seldom by chance in a year of them."""
_MEDIAN = 1.2533
"""The standard error of a median over that of a mean: the root of half of pi, for normal scatter."""
_SHARP_S = 600
_OFTEN, _BY_HAND, _SCATTERED = 0.5, 2, 3


class Course(StrEnum):
    """What became of a planned programme."""

    KEPT = "acts as planned"
    BY_HAND = "acts, but for some days"
    MOVED = "acts at other times"
    REPLACED = "acts on another power"
    STUCK_ON = "no longer holds it off"
    LOST = "no longer seen to act"
    UNTOLD = "cannot be told"


@dataclass(frozen=True, slots=True)
class Acted:
    """A planned load against the record: its course, and the step that was seen, ``level_w`` (0 where none).

    Of ``moments`` at which the plan lets it run after it was held off, it was ``seen`` to begin at so many. ``since_s`` is when
    it began to be otherwise (UTC seconds, 0 where it did not), ``moved_s`` by how much its times moved.
    """

    load: str
    course: Course
    rating_w: float
    level_w: float
    moments: int
    seen: int
    since_s: int
    moved_s: int
    findings: tuple[Finding, ...]


@dataclass(frozen=True, slots=True, eq=False)
class _Seen:
    """The steps at the moments of a group that were read: ``step_w``, their running median, and which loads they hold.

    The median is of ``spell`` moments; ``error_w`` is its standard error.

    Shapes (n,), (n,), (n, loads) for each moment alone, (n, loads) by the median, and (n,) where that is no sum of its loads.
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


def acted(
    power: Series, loads: Sequence[SealedLoad], clock: SiteClock, holidays: frozenset[dt.date] = frozenset()
) -> tuple[Acted, ...]:  # fmt: skip
    """Return what became of each load that a time programme was planned for; ``power`` is that of the whole site in W.

    Loads that the plan holds by other rules are left out. Of the others nothing is told where readings are longer than five
    minutes.
    """
    made = list[Acted]()
    for group in groups(loads, power, clock, holidays):
        seen = _seen(group, power) if power.step_s <= _LONGEST_STEP_S else None
        made += map(_untold, group.loads) if seen is None else [_told(seen, place) for place in range(len(group.loads))]
    return tuple(made)


def _seen(group: Group, power: Series) -> _Seen | None:
    """Return what is seen of a group; None where the moments are too few for what else switches beside them."""
    steps, scatter_of_one_w = steps_w(power, group.edges_s), _MEDIAN * scatter_w(power, group.edges_s)
    read, least_w = ~np.isnan(steps), float(group.ratings_w.min())
    needed = int(np.ceil((2 * _SURE * scatter_of_one_w / least_w) ** 2)) if least_w > 0 else MOST + 1
    spell = max(FEWEST, needed + 1 - needed % 2)
    if spell > MOST or read.sum() < 2 * spell or len(group.loads) > _MOST_LOADS:
        return None
    step_w, error_w = steps[read], scatter_of_one_w / np.sqrt(spell)
    around = np.lib.stride_tricks.sliding_window_view(np.pad(step_w, spell // 2, mode="reflect"), spell)
    median_w = np.median(around, axis=1)
    sums, holds = sums_of(group)
    nearest = np.abs(median_w[:, None] - sums).argmin(axis=1)
    alone = np.abs(step_w[:, None] - sums).argmin(axis=1)
    other = np.abs(median_w - sums[nearest]) > max(_SAME * sums[-1], _SURE * error_w)
    return _Seen(
        group, power, group.edges_s[read], group.held_s[read], spell, error_w, step_w, median_w, holds[alone], holds[nearest],
        other,
    )  # fmt: skip


def _untold(load: SealedLoad) -> Acted:
    told = kinds.UNTOLD.at(load.name, load=load.name)
    return Acted(load.name, Course.UNTOLD, load.rating_w, 0.0, 0, 0, 0, 0, (told,))


def _told(seen: _Seen, place: int) -> Acted:
    """Return what became of one load of a group."""
    load, holds = seen.group.loads[place], seen.holds[:, place]
    rest_w = seen.holds @ seen.group.ratings_w - holds * load.rating_w
    acting = holds & ~seen.other
    level_w = float(np.median((seen.median_w - rest_w)[acting])) if acting.any() else 0.0
    base = Acted(load.name, Course.KEPT, load.rating_w, level_w, len(holds), int(seen.alone[:, place].sum()), 0, 0, ())
    another, gone = _longest(seen.other, seen.spell), _longest(~holds & ~seen.other, seen.spell)
    if another is not None:
        return _replaced(base, seen, another)
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
    """Return a load that is no longer seen to begin at the planned moments."""
    first_s, count = int(seen.at_s[spell][0]), int(spell.stop - spell.start)
    moved_s = _moved_s(seen, spell, base.rating_w)
    if moved_s:
        way = "later" if moved_s > 0 else "earlier"
        told = kinds.MOVED.at(base.load, load=base.load, moved=abs(moved_s), way=way, first=first_s)
        return replace(base, course=Course.MOVED, since_s=first_s, moved_s=moved_s, findings=(told,))
    often = _rises_while_held(seen, base.rating_w)
    kept = np.delete(np.arange(len(seen.at_s)), np.arange(spell.start, spell.stop))
    usual = float(often[kept].mean()) if often is not None and len(kept) >= FEWEST else 0.0
    if often is not None and float(often[spell].mean()) >= usual + _OFTEN:
        told = kinds.STUCK_ON.at(base.load, load=base.load, first=first_s, count=count)
        return replace(base, course=Course.STUCK_ON, since_s=first_s, findings=(told,))
    told = kinds.LOST.at(base.load, load=base.load, first=first_s, count=count)
    return replace(base, course=Course.LOST, since_s=first_s, findings=(told,))


def _moved_s(seen: _Seen, spell: slice, rating_w: float) -> int:
    """Return by how many seconds the moments of a spell must be moved to find the step of a load, 0 where nowhere."""
    grid_s, kept = max(_MOVE_S, seen.power.step_s), np.delete(seen.at_s, np.arange(spell.start, spell.stop))
    moves = [one for one in range(-_MOST_MOVED_S, _MOST_MOVED_S + 1, grid_s) if one]
    # A step that was always there at that hour is another load's.
    usual = np.array([(_usual_w(seen, seen.at_s[spell] + one), _usual_w(seen, kept + one)) for one in moves])
    found = np.minimum(usual[:, 0], usual[:, 0] - usual[:, 1])
    best = int(np.argmax(found))
    # A clock switches within minutes; people are not so sharp.
    beside = [_usual_w(seen, seen.at_s[spell] + moves[best] + one) for one in (-_SHARP_S, _SHARP_S)]
    if max(beside) > found[best] / 2:
        return 0
    return moves[best] if found[best] >= max(_MOVED * rating_w, _SURE * seen.error_w) else 0


def _usual_w(seen: _Seen, at_s: Ints) -> float:
    """Return the median step at instants, W; nought where fewer than a few were read."""
    told = steps_w(seen.power, at_s)
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
    often, missed = _rises_while_held(seen, base.rating_w), ~seen.alone[:, place]
    if often is None or not missed.any():
        return base
    usual = float(np.median(often[~missed])) if (~missed).any() else 0.0
    by_hand = np.flatnonzero(missed & (often >= usual + _BY_HAND))
    if len(by_hand) < _SCATTERED:
        return base
    first_s = int(seen.at_s[by_hand[0]])
    told = kinds.BY_HAND.at(base.load, load=base.load, days=len(by_hand), first=first_s)
    return replace(base, course=Course.BY_HAND, since_s=first_s, findings=(told,))
