"""Load-duration curve: for how much of the time the power lay above a value."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import altair as alt
import numpy as np
from numpy.typing import ArrayLike

from wattwright.charts import parts
from wattwright.charts.lines import Line, line_style
from wattwright.charts.picture import COLUMN_PX, NARROW_PX, Caption, Picture
from wattwright.charts.words import ENGLISH, ChartWords

__all__ = ["duration_curve"]

_HEIGHT = 190
_GAP = 30
_UPPER_AT_PCT = 22.0
_LOWER_TO_PCT = 72.0


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
    title = words.power.format(unit=unit)

    def drawn(width_px: int) -> dict[str, Any]:
        inner = width_px - parts.LEFT_PX - parts.RIGHT_PX
        inset_px = 0 if inset_pct is None else round(inner * 0.26)
        main_px = inner - (_GAP + inset_px if inset_px else 0)
        panels = [_panel(share, curves, per, ends, 100.0, main_px, title, words)]
        if inset_pct is not None:
            panels.append(_panel(share, curves, per, ends, inset_pct, inset_px, None, words))
        plots = parts.row(panels, _GAP)
        if len(curves) <= 2:
            return parts.finished(plots, words)
        # Three names or more find no place at the lines, so they stand under the picture, each with its stroke.
        styles = [(curve, line_style(curve, alone=False)) for curve in curves]
        entries = [parts.Key(curve.name, style["color"], tuple(style.get("strokeDash", ()))) for curve, style in styles]
        return parts.finished(alt.vconcat(plots, parts.key(entries, inner), spacing=14), words)

    return caption.picture(drawn(COLUMN_PX), COLUMN_PX, drawn(NARROW_PX))


def _panel(
    share: parts.Floats,
    curves: Sequence[Line],
    per: float,
    ends: tuple[float, float],
    end_pct: float,
    width: int,
    y_title: str | None,
    words: ChartWords,
) -> alt.LayerChart:
    inset = y_title is None
    heading = words.top_share.format(share=words.figure(end_pct)) if inset else words.all_time
    x_axis = parts.level_axis(words.share_of_time if not inset else "%", tickCount=2 if inset else 5)
    x = alt.X("s:Q", axis=x_axis, scale=alt.Scale(domain=[0, end_pct], nice=False))
    bottom, top = ends
    y = parts.value_scale(top, y_title, bottom=bottom)
    layers: list[alt.Chart] = parts.zero_line(bottom, y)
    within = share <= end_pct
    for curve in curves:
        power = parts.as_floats(curve.power_w) / per
        rows = [{"s": s, "p": p} for s, p in zip(share[within], power[within], strict=True)]
        layers.append(alt.Chart(parts.data(rows)).mark_line(**line_style(curve, len(curves) == 1)).encode(x=x, y=y))
    layers.append(parts.over(heading))
    if not inset and len(curves) == 2:
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
