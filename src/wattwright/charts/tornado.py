"""What moves a figure most: the band of each source while it alone is unsure, the widest above."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import altair as alt

from wattwright.charts import parts
from wattwright.charts.palette import light
from wattwright.charts.picture import COLUMN_PX, NARROW_PX, Caption, Picture
from wattwright.charts.words import ENGLISH, ChartWords
from wattwright.core.errors import OwnFault

__all__ = ["Reach", "tornado_bars"]

_ROW = 36
_BAR = 12
_TOP = 17
_FOOT = 20
_APART_PX = 48.0


@dataclass(frozen=True, slots=True)
class Reach:
    """How far one source moves the figure: low and high end of its band, and both as they are printed."""

    name: str
    low: float
    high: float
    low_text: str
    high_text: str


def tornado_bars(
    caption: Caption, reaches: Sequence[Reach], middle: tuple[float, str], title: str, words: ChartWords = ENGLISH
) -> Picture:
    """Level bars from low to high, the name above each and the ends beside it.

    A line stands at ``middle``, where nothing is unsure, with its text under it.

    Nought is drawn too where the bars lie about it. Raises OwnFault if there is no bar, or a low end lies above its high end.
    """
    if not reaches or not all(one.low <= one.high for one in reaches):
        raise OwnFault(f"picture '{caption.id}': wanted at least one bar, its low end first")
    ends = [middle[0], *(one.low for one in reaches), *(one.high for one in reaches)]
    spare = 0.04 * (max(ends) - min(ends)) or 0.1 * abs(middle[0]) or 1.0
    domain = (min(ends) - spare, max(ends) + spare)
    beside = round(max(max(len(one.low_text), len(one.high_text)) for one in reaches) * 6.4) + 8

    def drawn(width: int) -> dict[str, Any]:
        height = _ROW * len(reaches) + _FOOT
        plot = parts.layered(_layers(reaches, middle, domain, width, beside), width, height)
        heading = alt.Chart(parts.data([{"text": title}])).mark_text(align="left", baseline="bottom", color=light("quiet"))
        named = heading.encode(x=alt.value(0), y=alt.value(-4), text="text:N")
        return parts.finished(alt.layer(plot, named), words)

    return caption.picture(drawn(COLUMN_PX - 6), COLUMN_PX, drawn(NARROW_PX - 6))


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
    names = [{"x": at(middle[0]) + 4, "y": i * _ROW + _TOP - 3, "text": one.name} for i, one in enumerate(reaches)]
    lows = [{"x": at(one.low) - 5, "y": top, "text": one.low_text} for one, top in zip(reaches, level, strict=True)]
    highs = [{"x": at(one.high) + 5, "y": top, "text": one.high_text} for one, top in zip(reaches, level, strict=True)]
    layers.append(parts.label(names, x, y, baseline="bottom"))
    layers.append(parts.label(lows, x, y, baseline="middle", align="right"))
    layers.append(parts.label(highs, x, y, baseline="middle"))
    line, foot = at(middle[0]), height - _FOOT + 3
    layers.append(parts.shape(f"M{line:.1f},2V{foot}", stroke=light("ink"), strokeWidth=0.8))
    feet = [{"x": line, "y": height, "text": middle[1]}]
    if domain[0] < 0.0 < domain[1]:
        layers.append(parts.shape(f"M{at(0.0):.1f},2V{foot}", stroke=light("stop"), strokeWidth=0.8, strokeDash=[3, 3]))
        feet += [{"x": at(0.0), "y": height, "text": "0"}] if abs(at(0.0) - line) > _APART_PX else []
    layers.append(parts.label(feet, x, y, baseline="bottom", align="center"))
    return layers
