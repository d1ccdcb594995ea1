"""The day's shape: median, mean and band over the local clock, one panel per day type or season."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import partial
from typing import Any

import altair as alt
import numpy as np
from numpy.typing import ArrayLike

from wattwright.charts import parts
from wattwright.charts.palette import BASIS_DASHES, light
from wattwright.charts.picture import COLUMN_PX, FULL_PX, NARROW_PX, Caption, Picture
from wattwright.charts.reading import Plot, Reading, joined, kilowatts
from wattwright.charts.words import ENGLISH, ChartWords
from wattwright.core.basis import Basis

__all__ = ["DayPanel", "day_profile"]

_GAP = 38
_BAND = 0.22
_MEAN_DASH = (1.5, 2.5)


@dataclass(frozen=True, slots=True)
class DayPanel:
    """One day type: its name, and median, band edges and, if wanted, mean in W for n equal parts of the local day (n,).

    Sunrise and sunset, both in hours of the local clock, shade the night.
    """

    name: str
    median_w: ArrayLike
    low_w: ArrayLike
    high_w: ArrayLike
    mean_w: ArrayLike | None = None
    sunrise_h: float | None = None
    sunset_h: float | None = None


def day_profile(
    caption: Caption,
    panels: Sequence[DayPanel],
    low_pct: float = 10.0,
    high_pct: float = 90.0,
    role: str = "demand",
    basis: Basis = Basis.MEASURED,
    words: ChartWords = ENGLISH,
) -> Picture:
    """Day profiles as small multiples on one scale: median as line, band between the two percentiles as tint, mean dotted.

    Up to two panels stand in the text column, more over the whole width, three to a row. Raises OwnFault if there is no panel
    or the arrays of a panel differ in length.
    """
    parts.same_length(caption.id, len(panels), {"panels": np.zeros(len(panels))} if panels else {})
    for panel in panels:
        arrays = {"low": panel.low_w, "high": panel.high_w, "mean": panel.median_w if panel.mean_w is None else panel.mean_w}
        parts.same_length(caption.id, len(parts.as_floats(panel.median_w)), arrays)
    unit, per = parts.power_unit(*(panel.high_w for panel in panels), *(panel.low_w for panel in panels))
    # A mean may lie outside the band where few days are far from the rest.
    drawn_w = [parts.as_floats(v) for p in panels for v in (p.low_w, p.high_w, p.median_w if p.mean_w is None else p.mean_w)]
    bottom, top = parts.span(min(map(np.nanmin, drawn_w)) / per, max(map(np.nanmax, drawn_w)) / per)
    style = _Style(per, bottom, top, words.power.format(unit=unit), words.local_time, role, basis)
    entries = _entries(low_pct, high_pct, role, basis, any(panel.mean_w is not None for panel in panels), words)

    def drawn(width_px: int, columns: int) -> dict[str, Any]:
        room = (width_px - parts.LEFT_PX - parts.RIGHT_PX - (columns - 1) * _GAP) // columns
        plots = [
            _panel(panel, style, room, first=i % columns == 0, foot=i + columns >= len(panels)) for i, panel in enumerate(panels)
        ]
        key = parts.key(entries, width_px - parts.LEFT_PX - parts.RIGHT_PX)
        return parts.finished(alt.vconcat(*parts.rows(plots, columns, _GAP), key, spacing=14), words)

    width = COLUMN_PX if len(panels) <= 2 else FULL_PX
    return caption.picture(
        drawn(width, min(len(panels), 3)), width, drawn(NARROW_PX, 1), Reading(partial(_told, panels, low_pct, high_pct, words))
    )


def _told(panels: Sequence[DayPanel], low_pct: float, high_pct: float, words: ChartWords) -> tuple[Plot, ...]:
    """Each part of the day with its median, mean and band."""
    found = []
    named = words.band.format(low=words.figure(low_pct), high=words.figure(high_pct))
    for panel in panels:
        means = [None] * len(parts.as_floats(panel.median_w)) if panel.mean_w is None else parts.as_floats(panel.mean_w).tolist()
        rows = zip(*(parts.as_floats(v).tolist() for v in (panel.median_w, panel.low_w, panel.high_w)), means, strict=True)
        cells = [
            joined(
                f"{words.median} {_kw(median, words)}", "" if mean is None else f"{words.mean} {_kw(mean, words)}",
                f"{named} {words.reaches.format(low=_kw(low, words), high=_kw(high, words))}",
            )
            for median, low, high, mean in rows
        ]  # fmt: skip
        minutes = [1440 * i // len(cells) for i in range(len(cells) + 1)]
        columns = [f"{panel.name}, {m // 60:02d}:{m % 60:02d}" for m in minutes[:-1]]
        found.append(Plot(columns, [cells], [m / 60 for m in minutes]))
    return tuple(found)


def _kw(power_w: float, words: ChartWords) -> str:
    return words.missing if np.isnan(power_w) else kilowatts(power_w, words.decimal_mark)


@dataclass(frozen=True, slots=True)
class _Style:
    """What all panels share: watts to the unit, ends of the power axis, axis titles, role and basis of the lines."""

    per: float
    bottom: float
    top: float
    power: str
    time: str
    role: str
    basis: Basis


def _entries(low: float, high: float, role: str, basis: Basis, means: bool, words: ChartWords) -> list[parts.Key]:
    entries = [
        parts.Key(words.median, light(role), BASIS_DASHES[basis]),
        parts.Key(words.band.format(low=words.figure(low), high=words.figure(high)), light(role), tint=_BAND),
    ]
    return [entries[0], parts.Key(words.mean, light("heat"), _MEAN_DASH), entries[1]] if means else entries


def _panel(panel: DayPanel, style: _Style, width: int, first: bool, foot: bool) -> alt.LayerChart:
    """One panel; the first of a row figures the power axis, the foot of a column names the time axis."""
    per, role = style.per, style.role
    x = alt.X("h:Q", axis=parts.clock_axis(style.time if foot else None), scale=alt.Scale(domain=[0, 24], nice=False))
    y = parts.value_scale(style.top, style.power if first else None, bottom=style.bottom)
    low, high = _steps(panel.low_w, per), _steps(panel.high_w, per)
    band = [{"h": h, "p": a, "q": b} for (h, a), (_, b) in zip(low, high, strict=True)]
    area = alt.Chart(parts.data(band)).mark_area(interpolate="step-after", color=light(role), opacity=_BAND, line=False)
    layers: list[alt.Chart] = [*_night(panel, style, x, y), area.encode(x=x, y=y, y2=alt.Y2("q:Q"))]
    layers += parts.zero_line(style.bottom, y)
    lines: list[tuple[ArrayLike, dict[str, Any]]] = [
        (panel.median_w, {"color": light(role), "strokeDash": list(BASIS_DASHES[style.basis]), "strokeWidth": 1.4})
    ]
    if panel.mean_w is not None:
        lines.append((panel.mean_w, _line(light("heat"), _MEAN_DASH)))
    for values, look in lines:
        rows = [{"h": h, "p": p} for h, p in _steps(values, per)]
        layers.append(alt.Chart(parts.data(rows)).mark_line(interpolate="step-after", **look).encode(x=x, y=y))
    return parts.layered([*layers, parts.over(panel.name, "ink")], width, 130)


def _line(colour: str, pattern: tuple[float, ...]) -> dict[str, Any]:
    return {"color": colour, "strokeDash": list(pattern), "strokeWidth": 1.35}


def _steps(values: ArrayLike, per: float) -> list[tuple[float, float]]:
    """(hour, value) at the start of each part of the day, and the last value again at 24 h, where its step ends."""
    array = parts.as_floats(values) / per
    hours = np.arange(len(array)) * 24.0 / len(array)
    return [*zip(hours.tolist(), array.tolist(), strict=True), (24.0, float(array[-1]))]


def _night(panel: DayPanel, style: _Style, x: alt.X, y: alt.Y) -> list[alt.Chart]:
    if panel.sunrise_h is None or panel.sunset_h is None:
        return []
    spans = [(0.0, panel.sunrise_h), (panel.sunset_h, 24.0)]
    rows = [{"h": a, "g": b, "p": style.bottom, "q": style.top} for a, b in spans]
    shade = alt.Chart(parts.data(rows)).mark_rect(color=light("quiet"), opacity=0.09)
    return [shade.encode(x=x, x2=alt.X2("g:Q"), y=y, y2=alt.Y2("q:Q"))]
