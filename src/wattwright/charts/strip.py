"""How complete the record is, day by day, in pattern as well as colour."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator
from functools import partial
from itertools import pairwise
from typing import Any

import altair as alt
import numpy as np
from numpy.typing import ArrayLike

from wattwright.charts import parts
from wattwright.charts.hatch import Box, boxes_path, hatch_path
from wattwright.charts.heat import month_starts
from wattwright.charts.palette import light
from wattwright.charts.picture import FULL_PX, NARROW_PX, Caption, Picture
from wattwright.charts.reading import Plot, Reading, joined
from wattwright.charts.words import ENGLISH, ChartWords
from wattwright.core.errors import OwnFault

__all__ = ["completeness_strip"]

_HEIGHT = 40
_LEAST = 5e-4
"""Less of a day is rounded to nothing."""


def completeness_strip(
    caption: Caption,
    first_day: dt.date,
    estimated_share: ArrayLike,
    missing_share: ArrayLike,
    words: ChartWords = ENGLISH,
) -> Picture:
    """A strip over the days of the record: of each day's height, the share measured, estimated and missing (from the foot up).

    Both shares are (days,), 0 to 1, together at most 1. Raises OwnFault for differing lengths or shares beyond that.
    """
    estimated, missing = parts.as_floats(estimated_share), parts.as_floats(missing_share)
    parts.same_length(caption.id, len(estimated), {"missing": missing})
    if len(estimated) == 0 or (np.minimum(estimated, missing) < 0).any() or (estimated + missing > 1 + 1e-9).any():
        raise OwnFault(f"picture '{caption.id}': wanted shares of a day from 0 to 1, together at most 1, for at least one day")

    def drawn(width: int) -> dict[str, Any]:
        layers = [*_kinds(estimated, missing, width), *_months(first_day, len(estimated), width, words), *_key(width, words)]
        return parts.finished(parts.layered(layers, width, _HEIGHT), words)

    return caption.picture(
        drawn(FULL_PX - 6), FULL_PX, drawn(NARROW_PX - 6), Reading(partial(_told, first_day, estimated, missing, words))
    )


def _told(first_day: dt.date, estimated: parts.Floats, missing: parts.Floats, words: ChartWords) -> tuple[Plot, ...]:
    """Each day with the shares that are measured, estimated and missing."""
    columns = [(first_day + dt.timedelta(days=i)).isoformat() for i in range(len(estimated))]
    names = (words.present, words.estimated, words.missing)
    shares = zip((1 - estimated - missing).tolist(), estimated.tolist(), missing.tolist(), strict=True)
    cells = [
        joined(*(f"{name} {words.figure(round(100 * one, 1))} %" for name, one in zip(names, day, strict=True) if one > _LEAST))
        for day in shares
    ]
    return (Plot(columns, [cells]),)


def _runs(low: parts.Floats, high: parts.Floats, width: int) -> Iterator[Box]:
    """Boxes over neighbouring days of the same extent, to the hundredth of a day; shares are of the height, from the foot."""
    ends = np.round(np.stack([low, high]), 2)
    starts = [0, *(np.flatnonzero((np.diff(ends, axis=1) != 0).any(axis=0)) + 1).tolist(), ends.shape[1]]
    across = width / ends.shape[1]
    for a, b in pairwise(starts):
        if ends[1, a] > ends[0, a]:
            yield Box(a * across, _HEIGHT * (1 - ends[1, a]), b * across, _HEIGHT * (1 - ends[0, a]))


def _kinds(estimated: parts.Floats, missing: parts.Floats, width: int) -> list[alt.Chart]:
    measured = 1 - estimated - missing
    zero = np.zeros_like(measured)
    return [
        *_measured(list(_runs(zero, measured, width))),
        *_estimated(list(_runs(measured, measured + estimated, width))),
        *_missing(list(_runs(measured + estimated, zero + 1, width))),
    ]


def _filled(boxes: list[Box], role: str, opacity: float) -> list[alt.Chart]:
    if not boxes:
        return []
    return [parts.shape(boxes_path(boxes), filled=True, fill=light(role), fillOpacity=opacity, strokeWidth=0)]


def _measured(boxes: list[Box]) -> list[alt.Chart]:
    return _filled(boxes, "accent", 0.75)


def _estimated(boxes: list[Box]) -> list[alt.Chart]:
    dots = parts.shape(hatch_path(boxes, 3.2, rising=False), stroke=light("accent"), strokeWidth=1.1, strokeDash=[1.2, 1.8])
    return [*_filled(boxes, "accent", 0.16), dots] if boxes else []


def _missing(boxes: list[Box]) -> list[alt.Chart]:
    strokes = parts.shape(hatch_path(boxes, 3.2), stroke=light("stop"), strokeWidth=0.8)
    return [*_filled(boxes, "rule", 0.22), strokes] if boxes else []


def _months(first_day: dt.date, days: int, width: int, words: ChartWords) -> list[alt.Chart]:
    """A tick at each first of the month, the month's name in the middle where there is room, the year under its first month."""
    x, y = parts.pixels(width, _HEIGHT)
    starts = month_starts(first_day, days)
    scale = width / days
    ends = [i for i, _ in starts[1:]] + [days]
    names: list[dict[str, Any]] = []
    for (a, date), b in zip(starts, ends, strict=True):
        text = words.months[date.month - 1]
        half = len(text) * parts.CHARACTER_PX / 2
        centre = (a + b) / 2 * scale
        # Every month or every third: where not all fit, the quarters' first months do.
        fits = (b - a) * scale >= 2 * half + 2
        roomy = 30 * scale >= 2 * half + 5
        if fits and (roomy or date.month % 3 == 1):
            names.append({"x": centre, "y": _HEIGHT + 8, "text": text})
    years = [(a, date) for a, date in starts if a == 0 or date.month == 1]
    after = [a for a, _ in years[1:]] + [days]
    year_names = [
        {"x": a * scale, "y": _HEIGHT + 22, "text": str(date.year)}
        for (a, date), b in zip(years, after, strict=True)
        if (b - a) * scale >= 30
    ]
    ticks = "".join(f"M{i * scale:.2f},{_HEIGHT}V{_HEIGHT + 5}" for i in [s for s, _ in starts] + [days])
    return [
        parts.shape(ticks, stroke=light("rule"), strokeWidth=0.7),
        parts.label(names, x, y, align="center", baseline="top"),
        parts.label(year_names, x, y, "quiet", baseline="top"),
    ]


def _key(width: int, words: ChartWords) -> list[alt.Chart]:
    """Samples of the three patterns with their words, under the strip."""
    x, y = parts.pixels(width, _HEIGHT)
    top, at = _HEIGHT + 46.0, 0.0
    layers: list[alt.Chart] = []
    for draw, text in ((_measured, words.present), (_estimated, words.estimated), (_missing, words.missing)):
        layers += draw([Box(at, top, at + 26, top + 10)])
        layers.append(parts.label([{"x": at + 32, "y": top + 5.5, "text": text}], x, y, baseline="middle"))
        at += 32 + parts.CHARACTER_PX * len(text) + 18
    return layers
