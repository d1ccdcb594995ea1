"""Load-duration curve: for how much of the time the power lay above a value."""

from __future__ import annotations

from collections.abc import Sequence
from functools import partial
from typing import Any

import altair as alt
import numpy as np
from numpy.typing import ArrayLike

from wattwright.charts import parts
from wattwright.charts.lines import Line, line_style
from wattwright.charts.picture import COLUMN_PX, NARROW_PX, Caption, Picture
from wattwright.charts.reading import Plot, Reading, Zoom, joined, kilowatts
from wattwright.charts.words import ENGLISH, ChartWords

__all__ = ["duration_curve"]

_HEIGHT = 190
_GAP = 30
_UPPER_AT_PCT = 22.0
_LOWER_TO_PCT = 72.0
_PLACES, _PLACES_INSET = 200, 100
"""So many places are read out of each plot."""
_EVERY_PCT, _LEAST_PCT = 0.1, 0.5


def duration_curve(
    caption: Caption,
    share_pct: ArrayLike,
    curves: Sequence[Line],
    inset_pct: float | None = 1.0,
    words: ChartWords = ENGLISH,
) -> Picture:
    """Duration curves over the share of the time, and beside them the busiest `inset_pct` % drawn wide.

    `share_pct` (n,) ascends from 0 to 100 %; each curve's `power_w` (n,) descends. Dense points near 0 % make a good inset.
    Raises OwnFault if there is no curve or a curve's length differs from that of `share_pct`.
    """
    share = parts.as_floats(share_pct)
    parts.same_length(caption.id, len(share), {curve.name: curve.power_w for curve in curves})
    unit, per = parts.power_unit(*(curve.power_w for curve in curves))
    drawn_w = [parts.as_floats(curve.power_w) for curve in curves]
    ends = parts.span(min(map(np.nanmin, drawn_w)) / per, max(map(np.nanmax, drawn_w)) / per)
    scale = words.power.format(unit=unit), per, ends
    zoom = Zoom(0.0, 100.0, _EVERY_PCT, _LEAST_PCT, partial(_part, caption, share, curves, scale, words))
    return _curves(caption, share, curves, scale, words, (0.0, 100.0), inset_pct, zoom)


_Scale = tuple[str, float, tuple[float, float]]
"""Title, watts to the unit and ends of the power axis: those of the whole picture, also where a stretch of it is drawn."""


def _curves(
    caption: Caption, share: parts.Floats, curves: Sequence[Line], scale: _Scale, words: ChartWords,
    between: tuple[float, float], inset_pct: float | None, zoom: Zoom | None,
) -> Picture:  # fmt: skip
    title, per, ends = scale

    def drawn(width_px: int) -> dict[str, Any]:
        inner = width_px - parts.LEFT_PX - parts.RIGHT_PX
        inset_px = 0 if inset_pct is None else round(inner * 0.26)
        main_px = inner - (_GAP + inset_px if inset_px else 0)
        panels = [_panel(share, curves, per, ends, between, main_px, title, words)]
        if inset_pct is not None:
            panels.append(_panel(share, curves, per, ends, (0.0, inset_pct), inset_px, None, words))
        plots = parts.row(panels, _GAP)
        if len(curves) <= 2:
            return parts.finished(plots, words)
        # Three names or more find no place at the lines, so they stand under the picture, each with its stroke.
        styles = [(curve, line_style(curve, alone=False)) for curve in curves]
        entries = [parts.Key(curve.name, style["color"], tuple(style.get("strokeDash", ()))) for curve, style in styles]
        return parts.finished(alt.vconcat(plots, parts.key(entries, inner), spacing=14), words)

    insets = () if inset_pct is None else ((0.0, inset_pct),)
    reading = Reading(partial(_told, share, curves, words, (between, *insets)), zoom)
    return caption.picture(drawn(COLUMN_PX), COLUMN_PX, drawn(NARROW_PX), reading)


def _part(
    caption: Caption, share: parts.Floats, curves: Sequence[Line], scale: _Scale, words: ChartWords, low: float, high: float
) -> Picture:
    """The curves from `low` to `high` % of the time, the power axis as long as they need it."""
    title, per, _ = scale
    at = np.array([low, *share[(share > low) & (share < high)].tolist(), high])
    drawn = [np.interp(at, share, parts.as_floats(one.power_w)) / per for one in curves]
    scale = title, per, parts.span(float(np.nanmin(drawn)), float(np.nanmax(drawn)))
    shown = words.shown.format(first=words.figure(low), last=f"{words.figure(high)} %")
    return _curves(caption.of_part(shown), share, curves, scale, words, (low, high), None, None)


def _told(
    share: parts.Floats, curves: Sequence[Line], words: ChartWords, plots: Sequence[tuple[float, float]]
) -> tuple[Plot, ...]:
    """Each plot in equal parts of the time, the powers those at their middle."""
    found = []
    for k, (low, high) in enumerate(plots):
        edges = np.linspace(low, high, (_PLACES_INSET if k else _PLACES) + 1)
        middle = (edges[1:] + edges[:-1]) / 2
        powers = [np.interp(middle, share, parts.as_floats(one.power_w)) for one in curves]
        names = [one.name for one in curves] if len(curves) > 1 else [""]
        cells = [
            joined(*(f"{name} {kilowatts(one, words.decimal_mark)}".strip() for name, one in zip(names, at, strict=True)))
            for at in zip(*(one.tolist() for one in powers), strict=True)
        ]
        columns = [words.of_the_time.format(share=words.figure(round(at, 2))) for at in middle.tolist()]
        found.append(Plot(columns, [cells], edges.tolist()))
    return tuple(found)


def _panel(
    share: parts.Floats,
    curves: Sequence[Line],
    per: float,
    ends: tuple[float, float],
    between: tuple[float, float],
    width: int,
    y_title: str | None,
    words: ChartWords,
) -> alt.LayerChart:
    """The curves between two shares of the time, those at its ends read off the line between their neighbours."""
    inset, (low, high) = y_title is None, between
    heading = words.top_share.format(share=words.figure(high)) if inset else words.all_time
    if not inset and between != (0.0, 100.0):
        heading = words.of_the_time.format(share=words.reaches.format(low=words.figure(low), high=words.figure(high)))
    x_axis = parts.level_axis(words.share_of_time if not inset else "%", tickCount=2 if inset else 5)
    x = alt.X("s:Q", axis=x_axis, scale=alt.Scale(domain=[low, high], nice=False, zero=False))
    bottom, top = ends
    y = parts.value_scale(top, y_title, bottom=bottom)
    layers: list[alt.Chart] = parts.zero_line(bottom, y)
    within = np.unique([low, *share[(share > low) & (share < high)].tolist(), high])
    for curve in curves:
        power = np.interp(within, share, parts.as_floats(curve.power_w)) / per
        rows = [{"s": s, "p": p} for s, p in zip(within, power, strict=True)]
        layers.append(alt.Chart(parts.data(rows)).mark_line(**line_style(curve, len(curves) == 1)).encode(x=x, y=y))
    layers.append(parts.over(heading))
    if between == (0.0, 100.0) and len(curves) == 2:
        layers += _names(share, curves, per, x, y)
    return parts.layered(layers, width, _HEIGHT)


def _names(share: parts.Floats, curves: Sequence[Line], per: float, x: alt.X, y: alt.Y) -> list[alt.Chart]:
    """The names of two curves: of the higher above it, of the lower below it.

    A falling curve leaves room above it to the right and below it to the left, so the names lean that way.
    """
    ranked = sorted(curves, key=lambda c: float(np.interp(_LOWER_TO_PCT, share, parts.as_floats(c.power_w))))
    places = ((_LOWER_TO_PCT, {"align": "right", "baseline": "top", "dy": 5}), (_UPPER_AT_PCT, {"baseline": "bottom", "dy": -4}))
    layers = []
    for curve, (at, look) in zip(ranked, places, strict=True):
        power = float(np.interp(at, share, parts.as_floats(curve.power_w))) / per
        layers.append(parts.label([{"s": at, "p": power, "text": curve.name}], x, y, curve.role, **look))
    return layers
