"""Totals side by side: tariffs or options, each named and figured at its bar."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import partial
from typing import Any

import altair as alt

from wattwright.charts import parts
from wattwright.charts.hatch import Box, boxes_path, hatch_path
from wattwright.charts.palette import BASIS_DASHES, light
from wattwright.charts.picture import COLUMN_PX, NARROW_PX, Caption, Picture
from wattwright.charts.reading import Plot, Reading
from wattwright.charts.words import ENGLISH, ChartWords
from wattwright.core.basis import Basis
from wattwright.core.errors import OwnFault

__all__ = ["Bar", "bar_compare"]

_ROW = 40
_BAR = 13


@dataclass(frozen=True, slots=True)
class Bar:
    """One total: name, value (zero or more), the figure as printed with its unit, its basis; `chosen` is the one in use."""

    name: str
    value: float
    text: str
    basis: Basis = Basis.MEASURED
    chosen: bool = False


def bar_compare(caption: Caption, bars: Sequence[Bar], words: ChartWords = ENGLISH) -> Picture:
    """Level bars from zero, the name above each and the figure behind it; what is estimated, simulated or assumed is hatched.

    Raises OwnFault if there is no bar or a value is below zero or not a number.
    """
    if not bars or not all(bar.value >= 0 for bar in bars):
        raise OwnFault(f"picture '{caption.id}': wanted at least one bar, each of zero or more")
    highest = max(bar.value for bar in bars) or 1.0
    behind = round(max(len(bar.text) for bar in bars) * 6.4) + 10

    def drawn(width: int) -> dict[str, Any]:
        return parts.finished(parts.layered(_layers(bars, highest, width, width - behind), width, _ROW * len(bars)), words)

    return caption.picture(drawn(COLUMN_PX - 6), COLUMN_PX, drawn(NARROW_PX - 6), Reading(partial(_told, bars)))


def _told(bars: Sequence[Bar]) -> tuple[Plot, ...]:
    return (Plot([""], [[one.text] for one in bars], lines=[one.name for one in bars]),)


def _layers(bars: Sequence[Bar], highest: float, width: int, longest: int) -> list[alt.Chart]:
    x, y = parts.pixels(width, _ROW * len(bars))
    layers: list[alt.Chart] = []
    names, figures = [], []
    for i, bar in enumerate(bars):
        box = Box(0.0, i * _ROW + 17.0, bar.value / highest * longest, i * _ROW + 17.0 + _BAR)
        layers += _bar(box, bar)
        weight = 600 if bar.chosen else 400
        names.append({"x": 0, "y": i * _ROW + 13, "text": bar.name, "weight": weight})
        figures.append({"x": box.right + 6, "y": box.top + _BAR / 2 + 0.5, "text": bar.text, "weight": weight})
    for weight in (400, 600):
        layers.append(parts.label([r for r in names if r["weight"] == weight], x, y, baseline="bottom", fontWeight=weight))
        layers.append(parts.label([r for r in figures if r["weight"] == weight], x, y, baseline="middle", fontWeight=weight))
    zero = "".join(f"M0,{i * _ROW + 14}v{_BAR + 6}" for i in range(len(bars)))
    return [*layers, parts.shape(zero, stroke=light("ink"), strokeWidth=0.8)]


def _bar(box: Box, bar: Bar) -> list[alt.Chart]:
    colour = light("accent") if bar.chosen else light("quiet")
    outline = boxes_path([box])
    if not BASIS_DASHES[bar.basis]:
        return [parts.shape(outline, filled=True, fill=colour, strokeWidth=0)]
    strokes = hatch_path([box], 3.6, rising=bar.basis is not Basis.ESTIMATED)
    return [
        parts.shape(outline, filled=True, fill=colour, fillOpacity=0.14, stroke=colour, strokeWidth=0.9),
        parts.shape(strokes, stroke=colour, strokeWidth=0.9),
    ]
