"""The highest peaks, each with the hours around it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import altair as alt
import numpy as np
from numpy.typing import ArrayLike

from wattwright.charts import parts
from wattwright.charts.palette import light
from wattwright.charts.picture import FULL_PX, NARROW_PX, Caption, Picture
from wattwright.charts.words import ENGLISH, ChartWords

__all__ = ["Limit", "PeakPanel", "peaks_around"]

_GAP = 26


@dataclass(frozen=True, slots=True)
class PeakPanel:
    """One peak: the day as printed, minutes from the peak's interval start (n,) ascending, power in W (n,), the peak's value
    and time as printed, and what ran then (may be empty)."""

    day: str
    minutes: ArrayLike
    power_w: ArrayLike
    peak: str
    ran: str = ""


@dataclass(frozen=True, slots=True)
class Limit:
    """A thin labelled line across every panel: what it is, and its power in W."""

    name: str
    power_w: float


def peaks_around(
    caption: Caption, panels: Sequence[PeakPanel], limit: Limit | None = None, words: ChartWords = ENGLISH
) -> Picture:
    """Small multiples of the power around each peak, on one scale, the peak marked with its value, time and what ran.

    Three to a row. Each interval is drawn as the step it is. Raises ValueError if there is no panel or a panel's arrays differ.
    """
    parts.same_length(caption.id, len(panels), {"panels": np.zeros(len(panels))} if panels else {})
    for panel in panels:
        parts.same_length(caption.id, len(parts.as_floats(panel.minutes)), {panel.day: panel.power_w})
    limits = [limit.power_w] if limit else []
    unit, per = parts.power_unit(*(panel.power_w for panel in panels), limits)
    highest = max([float(np.nanmax(parts.as_floats(p.power_w))) for p in panels] + limits) / per
    # Room above the peaks for two lines of words.
    top = parts.nice_top(highest * 1.25)
    title = words.power.format(unit=unit)

    def drawn(width_px: int, columns: int) -> dict[str, Any]:
        room = (width_px - columns * parts.LEFT_PX - (columns - 1) * _GAP) // columns
        plots = [_panel(panel, limit, per, top, room, title, words) for panel in panels]
        return parts.finished(alt.vconcat(*parts.rows(plots, columns, _GAP), spacing=22))

    columns = min(3, len(panels))
    return caption.picture(drawn(FULL_PX, columns), FULL_PX, drawn(NARROW_PX, 1))


def _panel(
    panel: PeakPanel, limit: Limit | None, per: float, top: float, width: int, title: str, words: ChartWords
) -> alt.LayerChart:
    minutes, power = parts.as_floats(panel.minutes), parts.as_floats(panel.power_w) / per
    step = float(np.median(np.diff(minutes))) if len(minutes) > 1 else 1.0
    end = float(minutes[-1]) + step
    x_axis = parts.level_axis(words.minutes_from_peak, tickCount=5)
    x = alt.X("t:Q", axis=x_axis, scale=alt.Scale(domain=[float(minutes[0]), end], nice=False, zero=False))
    y = alt.Y("p:Q", axis=parts.value_axis(title), scale=alt.Scale(domain=[0, top], nice=False))
    rows = [{"t": t, "p": p} for t, p in zip([*minutes, end], [*power, power[-1]], strict=True)]
    line = alt.Chart(parts.data(rows)).mark_line(interpolate="step-after", color=light("demand"), strokeWidth=1.3)
    at = int(np.nanargmax(np.where(np.abs(minutes) == np.abs(minutes).min(), power, -np.inf)))
    spot = [{"t": float(minutes[at]) + step / 2, "p": power[at]}]
    dot = alt.Chart(parts.data(spot)).mark_point(shape="diamond", filled=True, size=42, color=light("stop"), opacity=1)
    texts = [text for text in (panel.peak, panel.ran) if text]
    name = {"baseline": "bottom", "align": "center", "dy": -8 - 13 * (len(texts) - 1), "lineHeight": 13}
    lines = parts.label([{**spot[0], "text": texts}], x, y, **name)
    layers: list[alt.Chart] = [*_limit(limit, per, x, y), line.encode(x=x, y=y), dot.encode(x=x, y=y), lines]
    return parts.layered([*layers, parts.over(panel.day, "ink")], width, 130)


def _limit(limit: Limit | None, per: float, x: alt.X, y: alt.Y) -> list[alt.Chart]:
    if limit is None:
        return []
    rows = parts.data([{"p": limit.power_w / per}])
    rule = alt.Chart(rows).mark_rule(color=light("stop"), strokeWidth=0.8).encode(y=y)
    name = alt.Chart(parts.data([{"p": limit.power_w / per, "text": limit.name}]))
    text = name.mark_text(align="right", baseline="top", dy=3, color=light("stop"))
    return [rule, text.encode(x=alt.value("width"), y=y, text="text:N")]
