"""What moves a figure most: the band of each source while it alone is unsure, the widest above."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import partial
from typing import Any

import altair as alt

from wattwright.charts import parts
from wattwright.charts.palette import light
from wattwright.charts.picture import COLUMN_PX, NARROW_PX, Caption, Picture
from wattwright.charts.reading import Plot, Reading
from wattwright.charts.words import ENGLISH, ChartWords
from wattwright.core.errors import OwnFault

__all__ = ["Reach", "tornado_bars"]

_ROW = 36
_BAR = 12
_TOP = 17
_FOOT = 20
_APART_PX = 48.0
_LETTER_PX = 6.4
_GAP_PX = 5


@dataclass(frozen=True, slots=True)
class Reach:
    """How far one source moves the figure: low and high end of its band, both as they are printed, and what half lie below."""

    name: str
    low: float
    high: float
    low_text: str
    high_text: str
    median: float | None = None


def tornado_bars(
    caption: Caption, reaches: Sequence[Reach], middle: tuple[float, str], title: str, words: ChartWords = ENGLISH
) -> Picture:
    """Level bars from low to high, the name above each and the ends beside it.

    A line stands at ``middle``, where nothing is unsure, with its text under it; a short one in each bar at its own middle.

    Nought is drawn too where the bars lie about it. Raises OwnFault if there is no bar, or a low end lies above its high end.
    """
    if not reaches or not all(one.low <= one.high for one in reaches):
        raise OwnFault(f"picture '{caption.id}': wanted at least one bar, its low end first")
    ends = [middle[0], *(one.low for one in reaches), *(one.high for one in reaches)]
    spare = 0.04 * (max(ends) - min(ends)) or 0.1 * abs(middle[0]) or 1.0
    domain = (min(ends) - spare, max(ends) + spare)
    beside = round(max(max(len(one.low_text), len(one.high_text)) for one in reaches) * _LETTER_PX) + 8

    def drawn(width: int) -> dict[str, Any]:
        height = _ROW * len(reaches) + _FOOT
        plot = parts.layered(_layers(reaches, middle, domain, width, beside), width, height)
        heading = alt.Chart(parts.data([{"text": title}])).mark_text(align="left", baseline="bottom", color=light("quiet"))
        named = heading.encode(x=parts.across(0), y=parts.down(-4), text=alt.Text("text:N"))
        return parts.finished(alt.layer(plot, named), words)

    return caption.picture(drawn(COLUMN_PX - 6), COLUMN_PX, drawn(NARROW_PX - 6), Reading(partial(_told, reaches, words)))


def _told(reaches: Sequence[Reach], words: ChartWords) -> tuple[Plot, ...]:
    """Each source with both ends of its band."""
    tops = [_ROW * i / (_ROW * len(reaches) + _FOOT) for i in range(len(reaches) + 1)]
    cells = [[words.reaches.format(low=one.low_text, high=one.high_text)] for one in reaches]
    return (Plot([""], cells, lines=[one.name for one in reaches], tops=tops),)


def _layers(
    reaches: Sequence[Reach], middle: tuple[float, str], domain: tuple[float, float], width: int, beside: int
) -> list[alt.Chart]:  # fmt: skip
    height = _ROW * len(reaches) + _FOOT
    x, y = parts.pixels(width, height)

    def at(value: float) -> float:
        return beside + (value - domain[0]) / (domain[1] - domain[0]) * (width - 2 * beside)

    layers: list[alt.Chart] = []
    outline = "".join(
        f"M{at(one.low):.1f},{i * _ROW + _TOP}H{at(one.high):.1f}v{_BAR}H{at(one.low):.1f}v{-_BAR}"
        for i, one in enumerate(reaches)
    )
    layers.append(
        parts.shape(outline, filled=True, fill=light("accent"), fillOpacity=0.25, stroke=light("accent"), strokeWidth=0.9)
    )
    level = [i * _ROW + _TOP + _BAR / 2 + 0.5 for i in range(len(reaches))]
    halves = "".join(f"M{at(one.median):.1f},{i * _ROW + _TOP}v{_BAR}" for i, one in enumerate(reaches) if one.median is not None)
    if halves:
        layers.append(parts.shape(halves, stroke=light("accent"), strokeWidth=1.6))
    names = [{"x": 0, "y": i * _ROW + _TOP - 3, "text": one.name} for i, one in enumerate(reaches)]
    lows = [{"x": at(one.low) - _GAP_PX, "y": top, "text": one.low_text} for one, top in zip(reaches, level, strict=True)]
    highs = [{"x": at(one.high) + _GAP_PX, "y": top, "text": one.high_text} for one, top in zip(reaches, level, strict=True)]
    layers.append(parts.label(names, x, y, baseline="bottom"))
    layers.append(parts.label(lows, x, y, baseline="middle", align="right"))
    layers.append(parts.label(highs, x, y, baseline="middle"))
    line, foot = at(middle[0]), height - _FOOT + 3
    layers.append(parts.shape(_line(line, reaches, at, foot), stroke=light("ink"), strokeWidth=0.8))
    feet = [{"x": line, "y": height, "text": middle[1]}]
    if domain[0] < 0.0 < domain[1]:
        layers.append(parts.shape(_line(at(0.0), reaches, at, foot), stroke=light("stop"), strokeWidth=0.8, strokeDash=[3, 3]))
        feet += [{"x": at(0.0), "y": height, "text": "0"}] if abs(at(0.0) - line) > _APART_PX else []
    layers.append(parts.label(feet, x, y, baseline="bottom", align="center"))
    return layers


def _line(x: float, reaches: Sequence[Reach], at: Callable[[float], float], foot: float) -> str:
    """Return an upright line at ``x`` that leaves out the rows in which a figure stands there: it strikes none through."""
    path, top = "", 2.0
    for i, one in enumerate(reaches):
        low, high = at(one.low) - _GAP_PX, at(one.high) + _GAP_PX
        struck = low - _LETTER_PX * len(one.low_text) <= x <= low or high <= x <= high + _LETTER_PX * len(one.high_text)
        if struck:
            begins = i * _ROW + _TOP - 1
            path += f"M{x:.1f},{top:g}V{begins:g}"
            top = begins + _BAR + 3.0
    return path + f"M{x:.1f},{top:g}V{foot:g}"
