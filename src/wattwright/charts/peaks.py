"""The highest peaks, each with the hours around it."""

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
from wattwright.charts.reading import Plot, Reading, kilowatts
from wattwright.charts.words import ENGLISH, ChartWords

__all__ = ["Limit", "PeakPanel", "peaks_around"]

_GAP = 36
_HEIGHT = 150
_LINE = 13
_STEPS_MIN = (1, 2, 5, 10, 15, 30, 60, 120, 180, 360, 720, 1440)


@dataclass(frozen=True, slots=True)
class PeakPanel:
    """One peak: the day as printed, the power around it, the peak's value and time as printed, and what ran then (or "").

    `minutes` (n,) ascend from the start of the peak's interval, which is 0; `power_w` (n,) is in W.
    """

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

    Three to a row. Each interval is drawn as the step it is. Raises OwnFault if there is no panel or a panel's arrays differ.
    """
    parts.same_length(caption.id, len(panels), {"panels": np.zeros(len(panels))} if panels else {})
    for panel in panels:
        parts.same_length(caption.id, len(parts.as_floats(panel.minutes)), {panel.day: panel.power_w})
    limits = [limit.power_w] if limit else []
    unit, per = parts.power_unit(*(panel.power_w for panel in panels), limits)
    highest = max([float(np.nanmax(parts.as_floats(p.power_w))) for p in panels] + limits) / per
    lowest = min(float(np.nanmin(parts.as_floats(p.power_w))) for p in panels) / per
    title = words.power.format(unit=unit)

    def drawn(width_px: int, columns: int) -> dict[str, Any]:
        room = (width_px - parts.LEFT_PX - parts.RIGHT_PX - (columns - 1) * _GAP) // columns
        texts = [[panel.peak, *parts.wrapped(panel.ran, room)] for panel in panels]
        # The words of a peak stand above the limit and every peak, so the axis ends that much higher.
        room_share = (max(map(len, texts)) * _LINE + 10) / _HEIGHT
        bottom, top = _ends(lowest, highest, room_share)
        style = _Style(per, bottom, top, highest, title, words.minutes_from_peak, limit)
        plots = [
            _panel(panel, text, style, room, first=i % columns == 0, foot=i + columns >= len(panels))
            for i, (panel, text) in enumerate(zip(panels, texts, strict=True))
        ]
        return parts.finished(alt.vconcat(*parts.rows(plots, columns, _GAP), spacing=20), words)

    columns = min(3, len(panels))
    return caption.picture(drawn(FULL_PX, columns), FULL_PX, drawn(NARROW_PX, 1), Reading(partial(_told, panels, words)))


def _told(panels: Sequence[PeakPanel], words: ChartWords) -> tuple[Plot, ...]:
    """Each interval around a peak, by its distance from it."""
    found = []
    for panel in panels:
        minutes, power = parts.as_floats(panel.minutes), parts.as_floats(panel.power_w)
        columns = [f"{panel.day}, {at:+g} min".replace("-", "\N{MINUS SIGN}").replace("+0 ", "0 ") for at in minutes.tolist()]
        cells = [words.missing if np.isnan(one) else kilowatts(one, words.decimal_mark) for one in power.tolist()]
        found.append(Plot(columns, [cells], [*minutes.tolist(), float(minutes[-1]) + _step_of(minutes)]))
    return tuple(found)


def _step_of(minutes: parts.Floats) -> float:
    return float(np.median(np.diff(minutes))) if len(minutes) > 1 else 1.0


def _ends(lowest: float, highest: float, room_share: float) -> tuple[float, float]:
    """Ends of the power axis that leave `room_share` of its length free above `highest`."""
    bottom, top = parts.span(lowest, highest / (1 - room_share))
    # Below zero the axis is longer, and so is the room its share asks for.
    while top - highest < room_share * (top - bottom) * (1 - 1e-9):
        bottom, top = parts.span(lowest, max(top * 1.05, (highest - room_share * bottom) / (1 - room_share)))
    return bottom, top


@dataclass(frozen=True, slots=True)
class _Style:
    """What all panels share: watts to the unit, ends of the power axis, the highest thing drawn, axis titles, the limit."""

    per: float
    bottom: float
    top: float
    highest: float
    power: str
    time: str
    limit: Limit | None


def _panel(panel: PeakPanel, text: list[str], style: _Style, width: int, first: bool, foot: bool) -> alt.LayerChart:
    """One peak; the first of a row figures the power axis, the foot of a column names the time axis."""
    minutes, power = parts.as_floats(panel.minutes), parts.as_floats(panel.power_w) / style.per
    step = _step_of(minutes)
    start, end = float(minutes[0]), float(minutes[-1]) + step
    x_axis = parts.level_axis(style.time if foot else None, values=_minute_ticks(start, end))
    x = alt.X("t:Q", axis=x_axis, scale=alt.Scale(domain=[start, end], nice=False, zero=False))
    y = parts.value_scale(style.top, style.power if first else None, bottom=style.bottom)
    rows = [{"t": t, "p": p} for t, p in zip([*minutes, end], [*power, power[-1]], strict=True)]
    line = alt.Chart(parts.data(rows)).mark_line(interpolate="step-after", color=light("demand"), strokeWidth=1.3)
    at = int(np.abs(minutes).argmin())
    words_at = style.highest + (style.top - style.bottom) * 7 / _HEIGHT
    spot = {"t": float(minutes[at]) + step / 2, "p": power[at], "q": words_at}
    dot = alt.Chart(parts.data([spot])).mark_point(shape="diamond", filled=True, size=42, color=light("stop"), opacity=1)
    stem = alt.Chart(parts.data([spot])).mark_rule(color=light("rule"), strokeWidth=0.6).encode(x=x, y=y, y2=alt.Y2("q:Q"))
    above: dict[str, Any] = {"baseline": "bottom", "align": "center", "dy": -1 - _LINE * (len(text) - 1), "lineHeight": _LINE}
    lines = parts.label([{"t": spot["t"], "p": words_at, "text": text}], x, y, **above)
    marks: list[alt.Chart] = [stem, line.encode(x=x, y=y), dot.encode(x=x, y=y), lines]
    return parts.layered(
        [*parts.zero_line(style.bottom, y), *_limit(style, first, x, y), *marks, parts.over(panel.day, "ink")], width, _HEIGHT
    )


def _minute_ticks(start: float, end: float) -> list[int]:
    """Round minutes within the panel, the peak's 0 among them, five at most."""
    step = next((s for s in _STEPS_MIN if (end - start) / s <= 5), _STEPS_MIN[-1])
    return list(range(int(np.ceil(start / step)) * step, int(end) + 1, step))


def _limit(style: _Style, named: bool, x: alt.X, y: alt.Y) -> list[alt.Chart]:
    """The limit as a thin line, named under it at the left in the first panel of a row."""
    if style.limit is None:
        return []
    row = {"p": style.limit.power_w / style.per, "text": style.limit.name}
    rule = alt.Chart(parts.data([row])).mark_rule(color=light("stop"), strokeWidth=0.8).encode(y=y)
    text = alt.Chart(parts.data([row])).mark_text(align="left", baseline="top", dx=2, dy=3, color=light("stop"))
    return [rule, text.encode(x=parts.across(0), y=y, text=alt.Text("text:N"))] if named else [rule]
