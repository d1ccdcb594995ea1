"""When a load found in a record runs, as hours of the survey: spans of the day, by type of day and season where they differ."""

import datetime as dt
from collections.abc import Iterator, Sequence
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from wattwright.core.calendar import DAY_TYPES, SEASONS, Days
from wattwright.core.clock import DAY_S, SiteClock
from wattwright.demand.switched.analyse import SwitchedLoad
from wattwright.demand.switched.times import SLOT_S, Floats, Window

MOST_WINDOWS: Final = 3
_MOST_LINES: Final = 6
"""Lines that a person still reads; with more the seasons are taken together, then the types of day."""
_LIKE: Final = 0.1
"""Shares of the time on that differ by no more than this are one line: common practice, no source."""
_LEAST: Final = 0.01
"""A load that is on less than this in a span is left out of it: the survey holds shares in whole percent."""


def windows_of(load: SwitchedLoad) -> list[Window]:
    """Return the parts of the day in which a load is mostly on, the few with most of it, by the clock."""
    most = sorted(load.times.windows, key=lambda one: -one.share)[:MOST_WINDOWS]
    return sorted(most, key=lambda one: one.begins_s)


def hours_of(load: SwitchedLoad, days: Days, clock: SiteClock) -> list[dict[str, Any]]:
    """Return when a load runs as entries of its ``hours``, in shares of whole percent that were seen in each span.

    Types of day and seasons stand apart only where they differ; those that were not read are as the most of the rest. ``days``
    are those of the record.
    """
    windows = windows_of(load)
    seen = [_seen(load, one, days, clock) for one in windows]
    lines: list[dict[str, Any]] = []
    for by_type, by_season in ((True, True), (True, False), (False, False)):
        pairs = zip(windows, seen, strict=True)
        lines = [line for window, (on, read) in pairs for line in _lines(window, on, read, by_type=by_type, by_season=by_season)]
        if len(lines) <= _MOST_LINES:
            break
    return lines


def _seen(load: SwitchedLoad, window: Window, days: Days, clock: SiteClock) -> tuple[Floats, Floats]:
    """Return how long a load was on in a span and how long was read, in steps, each of shape (day types, seasons)."""
    series = load.power_w
    at = series.start_s + series.step_s * np.arange(len(load.share), dtype=np.int64)
    day = np.clip(days.index_of(at), 0, len(days) - 1)
    slot = clock.parts(at).minute * 60 // SLOT_S
    # A step of an hour is four quarter hours alike, as where the spans come from.
    slots = (slot[:, None] + np.arange(max(1, series.step_s // SLOT_S))) % (DAY_S // SLOT_S)
    weight = _inside(window)[slots].mean(axis=1) * ~np.isnan(load.share)
    cell = days.day_type[day].astype(np.int64) * len(SEASONS) + days.season[day]
    shape = len(DAY_TYPES), len(SEASONS)

    def by_cell(weights: Floats) -> Floats:
        return np.asarray(np.bincount(cell, weights=weights, minlength=shape[0] * shape[1]).reshape(shape), np.float64)

    return by_cell(weight * np.nan_to_num(load.share)), by_cell(weight)


def _inside(window: Window) -> NDArray[np.bool_]:
    """Return which quarter hours of the day lie in a span, shape (96,)."""
    at, size = np.arange(DAY_S // SLOT_S) * SLOT_S, (window.ends_s - window.begins_s) % DAY_S
    return np.asarray((at - window.begins_s) % DAY_S < (size or DAY_S))


def _lines(window: Window, on: Floats, read: Floats, *, by_type: bool, by_season: bool) -> Iterator[dict[str, Any]]:
    for types in _alike(on, read) if by_type else [list(range(len(DAY_TYPES)))]:
        on_there, read_there = on[types].sum(axis=0), read[types].sum(axis=0)
        every = [list(range(len(SEASONS)))]
        for seasons in _alike(on_there[:, None], read_there[:, None]) if by_season else every:
            share = on_there[seasons].sum() / max(read_there[seasons].sum(), 1e-9)
            if share >= _LEAST:
                yield {**_span(window), **_named("days", DAY_TYPES, types), **_named("seasons", SEASONS, seasons), **_duty(share)}


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


def _duty(share: float) -> dict[str, Any]:
    return {"duty": f"{min(100, round(100 * share))} %"}
