"""The record at a glance: time of day against days, one hue from light to dark, what is missing hatched."""

from __future__ import annotations

import datetime as dt
from functools import partial
from typing import Any

import altair as alt
import numpy as np
from numpy.typing import ArrayLike

from wattwright.charts import parts
from wattwright.charts.hatch import Box, boxes_path, hatch_path, merged_boxes
from wattwright.charts.palette import CLASSES, light
from wattwright.charts.picture import FULL_PX, NARROW_PX, Caption, Picture
from wattwright.charts.reading import Plot, Reading, Zoom, kilowatts
from wattwright.charts.words import ENGLISH, ChartWords
from wattwright.core.errors import OwnFault

__all__ = ["class_edges", "day_places", "month_starts", "year_heat"]

_LEFT = 38
_HEIGHT = 192
_KEY_TOP = _HEIGHT + 34
_FEW_DAYS, _LEAST_DAYS = 62, 7
"""Of so few days the day of the month is named; fewer than the least are not drawn larger."""


def class_edges(highest: float) -> list[float]:
    """Edges (8 of them, from 0) of seven equal classes that hold `highest`, at the least round step that does."""
    count = len(CLASSES)
    step = parts.nice_top(highest / count)
    return [round(step * i, 10) for i in range(count + 1)]


def month_starts(first_day: dt.date, days: int) -> list[tuple[int, dt.date]]:
    """(index, date) of the first of each month among `days` days from `first_day`; the first day counts as one."""
    dates = [first_day + dt.timedelta(days=i) for i in range(days)]
    return [(i, date) for i, date in enumerate(dates) if i == 0 or date.day == 1]


def day_places(first_day: dt.date, days: int, width_px: float, words: ChartWords) -> tuple[list[int], list[tuple[float, str]]]:
    """Where ticks stand under a picture of days (index), and its names (index of their middle, text) where there is room.

    Of many days the months are named, of few the days themselves, as many as fit.
    """
    scale = width_px / days
    if days <= _FEW_DAYS:
        every = next((n for n in (1, 2, 7, 14) if n * scale >= 46), 28)
        shown = [(i, first_day + dt.timedelta(days=i)) for i in range(0, days, every)]
        return [*range(days + 1)], [(i + 0.5, f"{date.day} {words.months[date.month - 1]}") for i, date in shown]
    starts = month_starts(first_day, days)
    ends = [i for i, _ in starts[1:]] + [days]
    names = [
        ((a + b) / 2, words.months[date.month - 1])
        for (a, date), b in zip(starts, ends, strict=True)
        if (b - a) * scale >= 18 and (30 * scale >= 22 or date.month % 3 == 1)
    ]
    return [*(i for i, _ in starts), days], names


def year_heat(
    caption: Caption,
    power_w: ArrayLike,
    first_day: dt.date,
    highest_w: float | None = None,
    words: ChartWords = ENGLISH,
) -> Picture:
    """Heat map of power by day (level) and local time of day (down, midnight first).

    `power_w` (days, rows) in W: rows are equal parts of the local day (24, 48 or 96), NaN is missing, at most 1100 days. On the
    days when clocks change the caller gives the hour that does not exist as missing and the hour that happens twice as a mean.
    `highest_w` fixes the end of the classes, so that two pictures can be compared; power above it takes the last class.
    Power below zero (export) is no class of the scale: it has its own colour and strokes, named in the key.
    Raises OwnFault if the array is not of two dimensions or all missing.
    """
    power = parts.as_floats(power_w)
    if power.ndim != 2 or np.isnan(power).all():
        raise OwnFault(f"picture '{caption.id}': wanted power by day and time of day, got shape {power.shape}")
    unit, per = parts.power_unit(power)
    scale = unit, per, class_edges((float(np.nanmax(power)) if highest_w is None else highest_w) / per)
    zoom = None
    if len(power) > _LEAST_DAYS:
        zoom = Zoom(0.0, float(len(power)), 1.0, float(_LEAST_DAYS), partial(_part, caption, power, first_day, scale, words))
    return _days(caption, power, first_day, scale, words, zoom)


_Scale = tuple[str, float, list[float]]
"""Unit, watts to one of it, and the edges of the classes: those of the whole picture, also where a stretch of it is drawn."""


def _days(
    caption: Caption, power: parts.Floats, first_day: dt.date, scale: _Scale, words: ChartWords, zoom: Zoom | None, begin: int = 0
) -> Picture:
    unit, per, edges = scale

    def drawn(width_px: int) -> dict[str, Any]:
        width = width_px - _LEFT - 4
        frame = _frame(first_day, len(power), width, words)
        layers = [*_cells(power / per, edges, width), *frame, *_key(edges, unit, width, words, bool((power < 0).any()))]
        return parts.finished(parts.layered(layers, width, _HEIGHT), words)

    reading = Reading(partial(_told, power, first_day, words, begin), zoom)
    return caption.picture(drawn(FULL_PX), FULL_PX, drawn(NARROW_PX), reading)


def _part(
    caption: Caption, power: parts.Floats, first_day: dt.date, scale: _Scale, words: ChartWords, low: float, high: float
) -> Picture:
    """The days from `low` to `high`, by their number."""
    begin, end = int(low), int(high)
    first, last = (first_day + dt.timedelta(days=i) for i in (begin, end - 1))
    told = caption.of_part(words.shown.format(first=first.isoformat(), last=last.isoformat()))
    return _days(told, power[begin:end], first, scale, words, None, begin)


def _told(power: parts.Floats, first_day: dt.date, words: ChartWords, begin: int) -> tuple[Plot, ...]:
    days, rows = power.shape
    columns = [(first_day + dt.timedelta(days=i)).isoformat() for i in range(days)]
    minutes = [1440 * i // rows for i in range(rows)]
    cells = [[words.missing if np.isnan(one) else kilowatts(one, words.decimal_mark) for one in row] for row in power.T.tolist()]
    return (Plot(columns, cells, range(begin, begin + days + 1), [f"{m // 60:02d}:{m % 60:02d}" for m in minutes]),)


def _cells(power: parts.Floats, edges: list[float], width: int) -> list[alt.Chart]:
    """Each class painted over the lighter ones below it, so that no seam of paper shows; then what is missing."""
    layers = []
    present = ~np.isnan(power)
    for shade, edge in zip(CLASSES, edges[:-1], strict=True):
        cells = present & (np.nan_to_num(power) >= edge)
        if cells.any():
            path = boxes_path(merged_boxes(cells, width, _HEIGHT), overlap_px=0.3)
            layers.append(parts.shape(path, filled=True, fill=shade.light, strokeWidth=0))
    if (power < 0).any():
        layers += _export(merged_boxes(power < 0, width, _HEIGHT))
    if not present.all():
        layers += _missing(merged_boxes(~present, width, _HEIGHT))
    return layers


def _export(boxes: list[Box]) -> list[alt.Chart]:
    """Power below zero: another hue, and strokes that fall where those of what is missing rise."""
    ground = parts.shape(boxes_path(boxes, overlap_px=0.3), filled=True, fill=light("pv"), fillOpacity=0.4, strokeWidth=0)
    return [ground, parts.shape(hatch_path(boxes, 3.2, rising=False), stroke=light("pv"), strokeWidth=0.8)]


def _missing(boxes: list[Box]) -> list[alt.Chart]:
    ground = parts.shape(boxes_path(boxes), filled=True, fill=light("rule"), fillOpacity=0.22, strokeWidth=0)
    return [ground, parts.shape(hatch_path(boxes, 3.2), stroke=light("quiet"), strokeWidth=0.7)]


def _frame(first_day: dt.date, days: int, width: int, words: ChartWords) -> list[alt.Chart]:
    """Hours at the left, months beneath with a tick at each first of the month."""
    x, y = parts.pixels(width, _HEIGHT)
    hours = [{"x": -5, "y": _HEIGHT * h / 24, "text": f"{h:02d}:00"} for h in range(0, 25, 6)]
    scale = width / days
    at, named = day_places(first_day, days, width, words)
    ticks = "".join(f"M{i * scale:.2f},{_HEIGHT}V{_HEIGHT + 5}" for i in at)
    names = [{"x": middle * scale, "y": _HEIGHT + 8, "text": text} for middle, text in named]
    title = [{"x": -_LEFT, "y": -9, "text": words.local_time_of_day}]
    return [
        parts.label(hours, x, y, align="right", baseline="middle"),
        parts.label(names, x, y, align="center", baseline="top"),
        parts.label(title, x, y, baseline="bottom"),
        parts.shape(ticks, stroke=light("rule"), strokeWidth=0.7),
    ]


def _key(edges: list[float], unit: str, width: int, words: ChartWords, exports: bool) -> list[alt.Chart]:
    """The classes as a band with their edges under it, and the hatching of what is missing and, if there is any, of export."""
    x, y = parts.pixels(width, _HEIGHT)
    bottom = _KEY_TOP + 10
    cell = 34 if width > 400 else 26
    swatches = [
        parts.shape(f"M{i * cell},{_KEY_TOP}h{cell}V{bottom}h-{cell}Z", filled=True, fill=s.light, strokeWidth=0)
        for i, s in enumerate(CLASSES)
    ]
    figures = [{"x": i * cell, "y": bottom + 4, "text": words.figure(edge)} for i, edge in enumerate(edges)]
    after = len(CLASSES) * cell
    # On a narrow picture the hatched sample goes to a line of its own.
    left, top = (after + 84, _KEY_TOP) if width > 400 else (0, bottom + 24)
    box = Box(left, top, left + cell, top + 10)
    other = Box(box.right + 90, top, box.right + 90 + cell, top + 10)
    named = [{"x": other.right + 6, "y": top + 5.5, "text": words.export}] if exports else []
    wordings = [
        *named,
        {"x": after + 8, "y": _KEY_TOP + 5.5, "text": words.power.format(unit=unit)},
        {"x": box.right + 6, "y": top + 5.5, "text": words.missing},
    ]
    return [
        *swatches,
        *_missing([box]),
        *(_export([other]) if exports else []),
        parts.label(figures, x, y, align="center", baseline="top"),
        parts.label(wordings, x, y, baseline="middle"),
    ]
