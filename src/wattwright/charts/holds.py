"""How long the supply holds in an outage, by the hour it begins: a panel per season, line and tint for each set of rules."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import partial
from typing import Any

import altair as alt
import numpy as np
from numpy.typing import ArrayLike

from wattwright.charts import parts
from wattwright.charts.palette import light
from wattwright.charts.picture import FULL_PX, NARROW_PX, Caption, Picture
from wattwright.charts.reading import Plot, Reading, joined
from wattwright.charts.words import ENGLISH, ChartWords

__all__ = ["Holding", "HoldsPanel", "holds_by_hour"]

_GAP = 38
_HOUR_S = 3600.0
_LEAST_H = 0.5
"""The axis never ends below this."""
_HEIGHT = 130
_TINT = 0.2
_LOOKS: tuple[tuple[str, tuple[float, ...]], ...] = (("demand", (5.0, 2.5)), ("battery", (1.5, 2.0)))
"""Role and dash of each set of rules: all are simulated, so none is a whole line."""


@dataclass(frozen=True, slots=True)
class Holding:
    """How long the supply holds under one set of rules, s: least, middle and most for each hour of the day (24,)."""

    low_s: ArrayLike
    middle_s: ArrayLike
    high_s: ArrayLike


@dataclass(frozen=True, slots=True)
class HoldsPanel:
    """One season: its name, and a holding for each set of rules."""

    name: str
    holdings: Sequence[Holding]


def holds_by_hour(
    caption: Caption, panels: Sequence[HoldsPanel], names: Sequence[str], followed_s: float, words: ChartWords = ENGLISH
) -> Picture:
    """Small multiples of how long the supply holds, the middle of the days as a line, the least and the most as a tint.

    ``names`` are those of the sets of rules, two at most; the axis ends at ``followed_s`` at most, so far outages were followed.
    Raises OwnFault where there is no panel or lengths differ.
    """
    parts.same_length(caption.id, len(panels), {"panels": np.zeros(len(panels))} if panels else {})
    for panel in panels:
        parts.same_length(caption.id, len(names), {panel.name: np.zeros(len(panel.holdings))})
    highest = max(float(np.max(parts.as_floats(one.high_s))) for panel in panels for one in panel.holdings) / _HOUR_S
    top = min(parts.nice_top(max(highest, _LEAST_H)), max(followed_s / _HOUR_S, _LEAST_H))
    entries = [parts.Key(name, light(role), pattern) for name, (role, pattern) in zip(names, _LOOKS, strict=False)]

    def drawn(width_px: int, columns: int) -> dict[str, Any]:
        room = (width_px - parts.LEFT_PX - parts.RIGHT_PX - (columns - 1) * _GAP) // columns
        plots = [
            _panel(panel, top, words, room, first=i % columns == 0, foot=i + columns >= len(panels))
            for i, panel in enumerate(panels)
        ]
        key = parts.key(entries, width_px - parts.LEFT_PX - parts.RIGHT_PX)
        return parts.finished(alt.vconcat(*parts.rows(plots, columns, _GAP), key, spacing=14), words)

    return caption.picture(
        drawn(FULL_PX, min(len(panels), 2)), FULL_PX, drawn(NARROW_PX, 1), Reading(partial(_told, panels, names, words))
    )


def _told(panels: Sequence[HoldsPanel], names: Sequence[str], words: ChartWords) -> tuple[Plot, ...]:
    """Each hour with how long the supply holds under each set of rules, in the middle and from the least to the most."""

    def hours(one: Holding, at: int) -> str:
        low, middle, high = (
            words.figure(round(float(parts.as_floats(v)[at]) / _HOUR_S, 1)) for v in (one.low_s, one.middle_s, one.high_s)
        )
        return f"{middle} h ({words.reaches.format(low=low, high=high)} h)"

    found = []
    for panel in panels:
        count = len(parts.as_floats(panel.holdings[0].middle_s))
        cells = [
            joined(*(f"{name} {hours(one, at)}" for name, one in zip(names, panel.holdings, strict=True))) for at in range(count)
        ]
        columns = [f"{panel.name}, {at * 24 // count:02d}:00" for at in range(count)]
        found.append(Plot(columns, [cells]))
    return tuple(found)


def _panel(panel: HoldsPanel, top: float, words: ChartWords, width: int, first: bool, foot: bool) -> alt.LayerChart:
    x = alt.X("h:Q", axis=parts.clock_axis(words.outage_begins if foot else None), scale=alt.Scale(domain=[0, 24], nice=False))
    y = parts.value_scale(top, words.holds if first else None)
    layers: list[alt.Chart] = []
    for one, (role, pattern) in zip(panel.holdings, _LOOKS, strict=False):
        band = [{"h": h, "p": a, "q": b} for (h, a), (_, b) in zip(_steps(one.low_s), _steps(one.high_s), strict=True)]
        area = alt.Chart(parts.data(band)).mark_area(interpolate="step-after", color=light(role), opacity=_TINT, line=False)
        layers.append(area.encode(x=x, y=y, y2=alt.Y2("q:Q")))
        rows = [{"h": h, "p": p} for h, p in _steps(one.middle_s)]
        line = alt.Chart(parts.data(rows)).mark_line(
            interpolate="step-after", color=light(role), strokeDash=list(pattern), strokeWidth=1.5
        )
        layers.append(line.encode(x=x, y=y))
    return parts.layered([*layers, parts.over(panel.name, "ink")], width, _HEIGHT)


def _steps(values: ArrayLike) -> list[tuple[float, float]]:
    """(hour of the day, hours it holds) at each hour, and the last value again at 24 h, where its step ends."""
    array = parts.as_floats(values) / _HOUR_S
    return [*enumerate(array.tolist()), (float(len(array)), float(array[-1]))]
