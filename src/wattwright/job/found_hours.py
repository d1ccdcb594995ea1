"""When a load found in a record runs, as hours of the survey: spans of the day, by type of day and season where they differ.

The spans fill the day and each line holds the share seen in it, so that the lines add up to the energy that was found.
"""

import datetime as dt
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from wattwright.core.calendar import DAY_TYPES, SEASONS, Days
from wattwright.core.clock import DAY_S, SiteClock
from wattwright.demand.switched.analyse import SwitchedLoad
from wattwright.demand.switched.times import SLOT_S, Floats, Window

MOST_WINDOWS: Final = 3
"""So many spans in which it is mostly on leave as many between them: ``_MOST_LINES`` at most with all else taken together."""
_MOST_LINES: Final = 6
"""Lines that a person still reads; with more the rest of the day is told alike, then the seasons, then the types of day."""
_LIKE: Final = 0.1
"""Shares of the time on that differ by no more than this are one line: common practice, no source."""
_LEFT_OUT: Final = 0.01
"""Lines that hold less than this of the energy together are left out: common practice, no source."""
_ADDS_UP: Final = 0.03
"""So near the energy found the lines come, or they are written with one digit more: common practice, no source."""
_TOGETHER, _BY_TYPE, _BY_BOTH = range(3)
_GRAINS: Final = (
    (_BY_BOTH, _BY_BOTH),
    (_BY_BOTH, _TOGETHER),
    (_BY_TYPE, _BY_TYPE),
    (_BY_TYPE, _TOGETHER),
    (_TOGETHER, _TOGETHER),
)
"""How finely the spans it is mostly on are told, and the rest of the day, from the finest on."""


@dataclass(frozen=True, slots=True)
class _Line:
    """A span on some types of day in some seasons: steps of full power seen in it, and steps that were read."""

    window: Window
    types: list[int]
    seasons: list[int]
    on: float
    read: float

    def duty(self, digits: int) -> float:
        """Return the share of the time at full power, in percent of so many digits that count, never more than all of it."""
        return min(100.0, float(f"{100 * self.on / self.read:.{digits}g}"))

    def entry(self, digits: int) -> dict[str, Any]:
        """Return the line as an entry of ``hours``."""
        named = {**_named("days", DAY_TYPES, self.types), **_named("seasons", SEASONS, self.seasons)}
        return {**_span(self.window), **named, "duty": f"{self.duty(digits):g} %"}


def windows_of(load: SwitchedLoad) -> list[Window]:
    """Return the parts of the day in which a load is mostly on, the few with most of it, by the clock."""
    most = sorted(load.times.windows, key=lambda one: -one.share)[:MOST_WINDOWS]
    return sorted(most, key=lambda one: one.begins_s)


def hours_of(load: SwitchedLoad, days: Days, clock: SiteClock) -> list[dict[str, Any]]:
    """Return when a load runs as entries of its ``hours``, which add up to the energy found over the time that was read.

    A line for each span in which it is mostly on, and for each between them, with the share of full power seen there. Types of
    day and seasons stand apart only where they differ; those that were not read are as the most of the rest (``unread``).
    ``days`` are those of the record.
    """
    windows = windows_of(load)
    mostly, rest = ([(one, *_seen(load, one, days, clock)) for one in spans] for spans in (windows, _between(windows)))
    told = (_worth_telling([*_told(mostly, fine), *_told(rest, coarse)]) for fine, coarse in _GRAINS)
    lines = next(one for one in told if len(one) <= _MOST_LINES)
    found = sum(float(on.sum()) for _, on, _ in (*mostly, *rest))
    held = sum(one.duty(2) / 100 * one.read for one in lines)
    return [one.entry(2 if abs(held - found) <= _ADDS_UP * found else 3) for one in lines]


def unread(load: SwitchedLoad, days: Days) -> list[str]:
    """Return the types of day and the seasons of which no step was read, whose hours are therefore those of the rest."""
    series = load.power_w
    read = _day_of(series.start_s + series.step_s * np.flatnonzero(~np.isnan(load.share)), days)
    kinds = ((DAY_TYPES, days.day_type), (SEASONS, days.season))
    return [str(names[one]) for names, at in kinds for one in range(len(names)) if not np.any(at[read] == one)]


def _between(windows: Sequence[Window]) -> list[Window]:
    """Return the rest of the day between spans that stand by the clock: a whole day where there are none."""
    if not windows:
        return [Window(0, DAY_S, 0.0)]
    following = pairwise((*windows, windows[0]))
    gaps = (Window(one.ends_s % DAY_S, behind.begins_s, 0.0) for one, behind in following)
    return [one for one in gaps if one.begins_s != one.ends_s]


def _worth_telling(lines: Sequence[_Line]) -> list[_Line]:
    """Return the lines without the least of them, as long as those together hold next to nothing, by the clock."""
    least_first = sorted(lines, key=lambda one: one.on)
    before = np.cumsum([one.on for one in least_first])
    kept = [one for one, held in zip(least_first, before, strict=True) if held > _LEFT_OUT * before[-1]]
    return sorted(kept, key=lambda one: (one.window.begins_s, one.types, one.seasons))


def _day_of(at: NDArray[np.int64], days: Days) -> NDArray[np.int64]:
    return np.clip(days.index_of(at), 0, len(days) - 1)


def _seen(load: SwitchedLoad, window: Window, days: Days, clock: SiteClock) -> tuple[Floats, Floats]:
    """Return how long a load drew its level in a span and how long was read, in steps, each of shape (day types, seasons).

    By its power and not by the time on: at another voltage it draws more or less, and it is the energy that is to add up.
    """
    series = load.power_w
    at = series.start_s + series.step_s * np.arange(len(load.share), dtype=np.int64)
    day = _day_of(at, days)
    slot = clock.parts(at).minute * 60 // SLOT_S
    # A step of an hour is four quarter hours alike, as where the spans come from.
    slots = (slot[:, None] + np.arange(max(1, series.step_s // SLOT_S))) % (DAY_S // SLOT_S)
    weight = _inside(window)[slots].mean(axis=1) * ~np.isnan(load.share)
    cell = days.day_type[day].astype(np.int64) * len(SEASONS) + days.season[day]
    shape = len(DAY_TYPES), len(SEASONS)

    def by_cell(weights: Floats) -> Floats:
        return np.asarray(np.bincount(cell, weights=weights, minlength=shape[0] * shape[1]).reshape(shape), np.float64)

    return by_cell(weight * np.nan_to_num(series.values) / load.level_w), by_cell(weight)


def _inside(window: Window) -> NDArray[np.bool_]:
    """Return which quarter hours of the day lie in a span, shape (96,)."""
    at, size = np.arange(DAY_S // SLOT_S) * SLOT_S, (window.ends_s - window.begins_s) % DAY_S
    return np.asarray((at - window.begins_s) % DAY_S < (size or DAY_S))


def _told(spans: Sequence[tuple[Window, Floats, Floats]], grain: int) -> list[_Line]:
    return [line for window, on, read in spans for line in _lines(window, on, read, grain)]


def _lines(window: Window, on: Floats, read: Floats, grain: int) -> Iterator[_Line]:
    for types in _alike(on, read) if grain != _TOGETHER else [list(range(len(DAY_TYPES)))]:
        on_there, read_there = on[types].sum(axis=0), read[types].sum(axis=0)
        every = [list(range(len(SEASONS)))]
        for seasons in _alike(on_there[:, None], read_there[:, None]) if grain == _BY_BOTH else every:
            yield _Line(window, types, seasons, float(on_there[seasons].sum()), float(read_there[seasons].sum()))


def _alike(on: Floats, read: Floats) -> list[list[int]]:
    """Return the rows in groups whose shares lie near each other in every column; one that was never read joins the first."""
    share = np.divide(on, read, out=np.full(on.shape, np.nan), where=read > 0)
    groups: list[list[int]] = []
    for at in np.argsort(-read.sum(axis=1), kind="stable").tolist():
        near = next((one for one in groups if not np.any(np.abs(share[one[0]] - share[at]) > _LIKE)), None)
        if near is None:
            groups.append([at])
        else:
            near.append(at)
    return sorted(sorted(one) for one in groups)


def _span(window: Window) -> dict[str, Any]:
    """Return beginning and end of a span; a whole day is what an entry without them means."""
    if (window.ends_s - window.begins_s) % DAY_S == 0:
        return {}
    begins, ends = (dt.time(one % DAY_S // 3600, one % 3600 // 60) for one in (window.begins_s, window.ends_s))
    return {"from": begins, "until": ends}


def _named(entry: str, names: Sequence[str], at: list[int]) -> dict[str, Any]:
    """Return which of the names an entry is to list; all of them is what is meant without it."""
    return {} if len(at) == len(names) else {entry: [str(names[one]) for one in at]}
