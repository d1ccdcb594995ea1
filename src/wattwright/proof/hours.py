"""Planned against found where readings are too long for steps, or a sub-meter sees the load alone: the energy of its hours.

Hours in which the plan holds a load off are held against those after, in which it lets it run.
"""

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from wattwright.core.clock import DAY_S, SiteClock
from wattwright.core.findings import Finding
from wattwright.core.series import Floats, Series, over_windows
from wattwright.proof import kinds
from wattwright.proof.course import Acted, Course, untold
from wattwright.proof.edges import Group, groups
from wattwright.proof.seal import SealedLoad

Ints = NDArray[np.int64]
_WEEK = 7
_FEWEST_WEEKS = 8
_SURE = 4.0
"""A mean of weeks counts as another one from so many of its standard errors on."""
_NEAR_D, _YEAR_D, _FEWEST_LIKE = 15.0, 364.0, 3
"""Days of the baseline count as like times within so many days of the same week of the year."""
_LEFT = 0.3
_IDLE, _STANDBY = 0.05, 0.02
"""A load that is held off may still draw so much of its energy, and of its rating: common practice, no source."""


@dataclass(frozen=True, slots=True, eq=False)
class _Days:
    """The hours about the planned moments: ``at_s``, and the mean power while held off and while let run, W, shape (n,)."""

    at_s: Ints
    held_w: Floats
    let_w: Floats

    @property
    def moved_w(self) -> Floats:
        """Return by how much more is drawn while let run than while held off, shape (n,)."""
        return self.let_w - self.held_w


def _days(group: Group, power: Series) -> _Days:
    """Return the hours about the planned moments of a group that were read whole."""
    held_w = _mean_w(power, group.edges_s - group.held_s, group.edges_s)
    let_w = _mean_w(power, group.edges_s, group.until_s)
    read = ~np.isnan(held_w) & ~np.isnan(let_w)
    return _Days(group.edges_s[read], held_w[read], let_w[read])


def _mean_w(power: Series, begins_s: Ints, ends_s: Ints) -> Floats:
    """Return the mean power of spans in W, those of whole readings alone; NaN where a part was not read, shape (n,)."""
    step = power.step_s
    first = -(-(begins_s - power.start_s) // step) * step + power.start_s
    last = (ends_s - power.start_s) // step * step + power.start_s
    told = np.full(len(begins_s), np.nan)
    for place, (begin_s, end_s) in enumerate(zip(first.tolist(), last.tolist(), strict=True)):
        if power.start_s <= begin_s < end_s <= power.end_s:
            window = over_windows(power, np.array([begin_s, end_s], np.int64))
            told[place] = window.mean[0] if window.covered_s[0] >= end_s - begin_s else np.nan
    return told


def by_hours(
    group: Group, power: Series, before: Series | None, clock: SiteClock, holidays: frozenset[dt.date]
) -> list[Acted]:  # fmt: skip
    """Return what the hours of a whole site show of the loads of a group, held against like times ``before`` the measures.

    Loads that are let run together are judged together: a finding tells what they do, and of each alone nothing is told.
    """
    nothing = [untold(one) for one in group.loads]
    was = next((one for one in groups(group.loads, before, clock, holidays)), None) if before is not None else None
    if was is None or before is None:
        return nothing
    after, like = _days(group, power), _days(was, before)
    usual = _like(after.at_s, like, clock)
    told = ~np.isnan(usual)
    weeks = _weeks(after.moved_w[told] - usual[told])
    if len(weeks) < _FEWEST_WEEKS:
        return nothing
    moved_w = float(weeks.mean())
    error_w = _error_w(weeks, _weeks(like.moved_w))
    names, count = ", ".join(one.name for one in group.loads), int(told.sum())
    since = _since(weeks)
    if since is not None:
        first_s, was_w, is_w = int(after.at_s[told][_WEEK * since]), float(weeks[:since].mean()), float(weeks[since:].mean())
        finding = kinds.HOURS_LOST.at(names, load=names, first=first_s, moved=was_w, left=is_w)
        return _of_group(group, Course.LOST, count, moved_w, first_s, finding)
    if moved_w > _SURE * error_w:
        finding = kinds.HOURS_SHOW.at(names, load=names, moved=moved_w, error=error_w)
        return _of_group(group, Course.BY_HOURS, count, moved_w, 0, finding)
    finding = kinds.HOURS_UNTOLD.at(names, load=names, moved=moved_w, error=error_w, least=_SURE * error_w)
    return _of_group(group, Course.UNTOLD, count, 0.0, 0, finding)


def _of_group(group: Group, course: Course, count: int, moved_w: float, since_s: int, finding: Finding) -> list[Acted]:
    """Return the loads of a group, the finding with the first: what is seen of several together is told of none of them."""
    told = course if len(group.loads) == 1 else Course.UNTOLD
    level_w = moved_w if told is course else 0.0
    made = [replace(_seen(one, told, count, level_w), since_s=since_s) for one in group.loads]
    return [replace(made[0], findings=(finding,)), *made[1:]]


def _seen(load: SealedLoad, course: Course, moments: int, moved_w: float) -> Acted:
    return Acted(load.name, course, load.rating_w, max(moved_w, 0.0), moments, 0, 0, 0, ())


def _like(at_s: Ints, like: _Days, clock: SiteClock) -> Floats:
    """Return the mean of what like days before drew more while let run, NaN where there are too few, W, shape (n,)."""
    found = np.full(len(at_s), np.nan)
    if not len(like.at_s):
        return found
    ends, were_ends = (clock.parts(one).weekday >= 5 for one in (at_s, like.at_s))
    for place, at in enumerate(at_s.tolist()):
        apart = np.abs((at - like.at_s) / DAY_S % _YEAR_D)
        near = (np.minimum(apart, _YEAR_D - apart) <= _NEAR_D) & (were_ends == ends[place])
        if near.sum() >= _FEWEST_LIKE:
            found[place] = like.moved_w[near].mean()
    return found


def _weeks(of: Floats) -> Floats:
    """Return means of seven in turn, shape (n // 7,); days near one another are too alike to count alone."""
    whole = len(of) // _WEEK * _WEEK
    weeks: Floats = of[:whole].reshape(-1, _WEEK).mean(axis=1)
    return weeks


def _error_w(weeks: Floats, before: Floats) -> float:
    """Return the standard error of a mean of weeks, with that of the like weeks before, W."""
    # Seasons of the weeks before are no scatter: what is next to each other is held against each other.
    was = float((np.diff(before) ** 2).mean()) / 2 if len(before) > 1 else 0.0
    return float(np.sqrt(weeks.var(ddof=1) / len(weeks) + was / max(min(len(before), len(weeks)), 1)))


def _since(weeks: Floats) -> int | None:
    """Return from which week on little is left of what the hours showed before, None where that is not so.

    Both sides must differ by so much that the best of many splits seldom does by chance.
    """
    best = (0.0, 0)
    for split in range(4, len(weeks) - 3):
        first, rest = weeks[:split], weeks[split:]
        spread = np.sqrt(first.var(ddof=1) / len(first) + rest.var(ddof=1) / len(rest))
        clear = float((first.mean() - rest.mean()) / spread) if spread > 0 else 0.0
        acted = first.mean() > _SURE * first.std(ddof=1) / np.sqrt(len(first))
        if acted and rest.mean() < _LEFT * first.mean():
            best = max(best, (clear, split))
    return best[1] if best[0] > _SURE + 1 else None


def metered(power: Series, loads: Sequence[SealedLoad], clock: SiteClock, holidays: frozenset[dt.date]) -> tuple[Acted, ...]:
    """Return what a sub-meter that sees one planned load alone shows of its programme, at readings of any length up to an hour.

    ``loads`` are those that this meter measures alone; where it is more than one, none can be told from the other and nothing is
    said. While held off a load draws next to nothing.
    """
    if len(loads) != 1:
        return tuple(untold(one) for one in loads)
    return tuple(_metered(group, power) for group in groups(loads, power, clock, holidays))


def _metered(group: Group, power: Series) -> Acted:
    (load,), days = group.loads, _days(group, power)
    count = len(days.at_s)
    weeks = count // _WEEK
    if not weeks:
        return untold(load, count)
    held_w, let_w = _weeks(days.held_w), _weeks(days.let_w)
    idle = held_w <= np.maximum(_IDLE * let_w, _STANDBY * load.rating_w)
    drawn = let_w > _STANDBY * load.rating_w
    base = _seen(load, Course.KEPT, count, float(let_w[idle].mean()) if idle.any() else 0.0)
    seen = int(((days.let_w > _STANDBY * load.rating_w) & (days.held_w <= _IDLE * days.let_w)).sum())
    base = replace(base, seen=seen)
    bad = np.flatnonzero(~idle | ~drawn)
    # The last week that was as planned ends what is told: one odd week is no course.
    first = 0 if not (idle & drawn).any() else int(np.flatnonzero(idle & drawn)[-1]) + 1
    if not len(bad) or first >= weeks:
        return base
    first_s = int(days.at_s[_WEEK * first])
    if not drawn[first:].any() and idle[first:].all():
        course, told = (Course.LOST, kinds.LOST) if first else (Course.NEVER, kinds.NEVER)
        finding = told.at(load.name, load=load.name, first=first_s, count=count - _WEEK * first)
        return replace(base, course=course, since_s=first_s, findings=(finding,))
    finding = kinds.HELD_DRAWS.at(load.name, load=load.name, first=first_s, power=float(held_w[first:].mean()))
    course = Course.STUCK_ON if first else Course.NEVER
    return replace(base, course=course, since_s=first_s, findings=(finding,))
