"""What a baseline model leaves over: day by day, beside what it follows, and how far days are alike."""

from __future__ import annotations

from dataclasses import dataclass
from functools import partial
from typing import Any

import altair as alt
import numpy as np

from wattwright.charts import parts
from wattwright.charts.palette import light
from wattwright.charts.picture import COLUMN_PX, NARROW_PX, Caption, Picture
from wattwright.charts.reading import Plot, Reading, with_unit
from wattwright.charts.words import ENGLISH, ChartWords

__all__ = ["LeftOver", "LeftOverWords", "left_over"]

_HEIGHT, _ROOM = 100, 1.04
_LEAST_LAGS = 2


@dataclass(frozen=True, slots=True)
class LeftOver:
    """What was left over in kWh, shape (n,), ``day`` since the first, and what it stands ``beside`` (degC, or kWh as told).

    ``alike`` are the correlations with what was left one, two and more stretches before, shape (lags,); beyond ``chance`` none
    should lie where nothing is alike.
    """

    day: parts.Floats
    left_kwh: parts.Floats
    beside: parts.Floats
    alike: parts.Floats
    chance: float


@dataclass(frozen=True, slots=True)
class LeftOverWords:
    """The words in the picture: axis titles."""

    left: str
    day: str
    beside: str
    alike: str
    lag: str


def left_over(caption: Caption, of: LeftOver, told: LeftOverWords, words: ChartWords = ENGLISH) -> Picture:
    """Three panels: residuals over time, residuals beside what they might follow, and their correlation by lag.

    Raises OwnFault where the arrays differ in length, or there are fewer than two lags.
    """
    parts.same_length(caption.id, len(of.day), {"left_kwh": of.left_kwh, "beside": of.beside})
    parts.same_length(caption.id, max(len(of.alike), _LEAST_LAGS), {"alike": of.alike})

    def drawn(width_px: int) -> dict[str, Any]:
        inner = width_px - parts.LEFT_PX - parts.RIGHT_PX
        panels = [
            _points(of.day, of.left_kwh, (told.day, told.left), inner),
            _points(of.beside, of.left_kwh, (told.beside, told.left), inner),
            _bars(of.alike, of.chance, (told.lag, told.alike), inner),
        ]
        return parts.finished(alt.vconcat(*panels, spacing=18), words)

    return caption.picture(drawn(COLUMN_PX), COLUMN_PX, drawn(NARROW_PX), Reading(partial(_told, of, told, words)))


def _told(of: LeftOver, told: LeftOverWords, words: ChartWords) -> tuple[Plot, ...]:
    """Each point of the first two panels, each bar of the third."""
    found = []
    left = [with_unit(told.left, words.figure(round(one, 2))) for one in of.left_kwh.tolist()]
    for name, values in ((told.day, of.day), (told.beside, of.beside)):
        columns = [with_unit(name, words.figure(round(one, 2))) for one in values.tolist()]
        found.append(Plot(columns, [left], at_marks=True))
    count = len(of.alike)
    columns = [with_unit(told.lag, words.figure(i + 1)) for i in range(count)]
    cells = [with_unit(told.alike, words.figure(round(one, 2))) for one in of.alike.tolist()]
    # The axis begins a lag before the first bar and ends one after the last.
    return (*found, Plot(columns, [cells], [0.0, *(i + 1.5 for i in range(count - 1)), count + 1.0]))


def _points(x: parts.Floats, y: parts.Floats, titles: tuple[str, str], width: int) -> alt.LayerChart:
    """Return points about the line of zero."""
    bottom, top = parts.span(float(y.min()), float(y.max()))
    low, high = float(x.min()), float(x.max())
    across = alt.X("s:Q", axis=parts.level_axis(titles[0]), scale=alt.Scale(domain=[low, max(high, low + 1)], nice=False))
    upright = parts.value_scale(top, titles[1], few=True, bottom=bottom)
    rows = [{"s": float(one), "p": float(left)} for one, left in zip(x, y, strict=True)]
    points = alt.Chart(parts.data(rows)).mark_circle(size=7, color=light("accent"), opacity=0.7).encode(x=across, y=upright)
    return parts.layered([points, *parts.zero_line(bottom, upright)], width, _HEIGHT)


def _bars(alike: parts.Floats, chance: float, titles: tuple[str, str], width: int) -> alt.LayerChart:
    """Return a thin bar for each lag, and dashed lines of what chance alone makes."""
    least, most = min(float(alike.min()), -chance), max(float(alike.max()), chance)
    bottom, top = parts.span(least * _ROOM, min(most * _ROOM, 1.0))
    lags = np.arange(1, len(alike) + 1)
    scale = alt.Scale(domain=[0, len(alike) + 1], nice=False)
    across = alt.X("s:Q", axis=parts.level_axis(titles[0], tickMinStep=1, format="d"), scale=scale)
    upright = parts.value_scale(top, titles[1], few=True, bottom=bottom)
    rows = [{"s": int(lag), "p": float(one), "b": 0.0} for lag, one in zip(lags, alike, strict=True)]
    bars = (
        alt.Chart(parts.data(rows)).mark_rule(color=light("ink"), strokeWidth=2.5).encode(x=across, y=upright, y2=alt.Y2("b:Q"))
    )
    lines = [
        alt.Chart(parts.data([{"p": one}])).mark_rule(color=light("grid"), strokeDash=[4, 3]).encode(y=upright)
        for one in (-chance, chance)
    ]
    return parts.layered([*lines, bars, *parts.zero_line(bottom, upright)], width, _HEIGHT)
