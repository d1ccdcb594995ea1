"""Bands of what is not known for certain, side by side, over what was read."""

from __future__ import annotations

from collections.abc import Sequence
from functools import partial
from typing import Any

import altair as alt
import numpy as np
from numpy.typing import ArrayLike

from wattwright.charts import parts
from wattwright.charts.lines import spread
from wattwright.charts.months import name_axis
from wattwright.charts.palette import light
from wattwright.charts.peaks import Limit
from wattwright.charts.picture import FULL_PX, NARROW_PX, Caption, Picture
from wattwright.charts.reading import Plot, Reading, Zoom, kilowatts
from wattwright.charts.words import ENGLISH, ChartWords

__all__ = ["banded_peaks"]

_BAR, _TICK = 0.42, 0.6
_HEIGHT = 200


def banded_peaks(
    caption: Caption,
    names: Sequence[str],
    bands_w: ArrayLike,
    read_w: ArrayLike,
    labels: tuple[str, str, str],
    limit: Limit | None = None,
    words: ChartWords = ENGLISH,
    told: Sequence[str] = (),
    edges: Sequence[float] = (),
    zoom: Zoom | None = None,
) -> Picture:
    """A bar from low to high for each span of time, a line at its middle, a diamond at the highest mean that was read.

    `names` are the spans; `bands_w` (3, spans) low, middle, high and `read_w` (spans,), in W; `labels` name band, middle and
    diamond at the right; `told` are the names as they are read out, where those are other ones. `edges` (spans + 1,) are where
    the spans begin and end, in the units of `zoom`. Raises OwnFault where lengths differ.
    """
    low, middle, high = np.atleast_2d(parts.as_floats(bands_w))
    read = parts.as_floats(read_w)
    parts.same_length(caption.id, len(names), {"low": low, "middle": middle, "high": high, "read": read})
    unit, per = parts.power_unit(high, [limit.power_w] if limit else [])
    top = parts.nice_top(max([float(np.nanmax(high)), *([limit.power_w] if limit else [])]) / per * 1.06)
    title = words.power.format(unit=unit)

    def drawn(width_px: int) -> dict[str, Any]:
        margin = 0 if width_px < FULL_PX else 120
        width = width_px - parts.LEFT_PX - parts.RIGHT_PX - margin
        x, y = name_axis(names, width), parts.value_scale(top, title)
        spans = range(len(names))
        bars = [{"m": k - _BAR / 2, "n": k + _BAR / 2, "p": low[k] / per, "b": high[k] / per} for k in spans]
        ticks = [{"m": k - _TICK / 2, "n": k + _TICK / 2, "p": middle[k] / per} for k in spans]
        spots = [{"m": k, "p": read[k] / per} for k in spans]
        layers = [
            alt.Chart(parts.data(bars))
            .mark_rect(fill=light("grid"), fillOpacity=0.28, stroke=light("grid"), strokeWidth=0.8)
            .encode(x=x, x2=alt.X2("n:Q"), y=y, y2=alt.Y2("b:Q")),
            alt.Chart(parts.data(ticks)).mark_rule(color=light("demand"), strokeWidth=1.6).encode(x=x, x2=alt.X2("n:Q"), y=y),
            alt.Chart(parts.data(spots))
            .mark_point(shape="diamond", filled=True, size=38, color=light("demand"), opacity=1)
            .encode(x=x, y=y),
            *(parts.limit_line(limit.name, limit.power_w / per, y, named=not margin) if limit else []),
        ]
        if margin:
            beside = [(labels[0], high[-1], "ink"), (labels[1], middle[-1], "ink"), (labels[2], read[-1], "ink")]
            beside += [(limit.name, limit.power_w, "stop")] if limit else []
            layers += _named([(text, at / per, role) for text, at, role in beside], top, len(names), x, y)
        return parts.finished(parts.layered(layers, width, _HEIGHT), words)

    return caption.picture(
        drawn(FULL_PX),
        FULL_PX,
        drawn(NARROW_PX),
        Reading(partial(_told, told or names, (low, middle, high, read), labels, words, edges), zoom),
    )


def _told(
    names: Sequence[str], values: Sequence[parts.Floats], labels: tuple[str, str, str], words: ChartWords, edges: Sequence[float]
) -> tuple[Plot, ...]:
    """Each span with its band and the highest mean that was read."""
    named = (words.low, labels[1], words.high, labels[2])
    cells = [
        ", ".join(
            f"{name} {words.missing if np.isnan(one) else kilowatts(one, words.decimal_mark)}"
            for name, one in zip(named, of, strict=True)
        )
        for of in zip(*(one.tolist() for one in values), strict=True)
    ]
    return (Plot(names, [cells], edges, even=True),)


def _named(rows: Sequence[tuple[str, float, str]], top: float, spans: int, x: alt.X, y: alt.Y) -> list[alt.Chart]:
    """Names beside the last span, each in its role's colour, moved apart where they would touch."""
    places = spread([at for _, at, _ in rows], top * 14 / _HEIGHT)
    told = [(role, {"m": spans - 0.5, "p": place, "text": text}) for place, (text, _, role) in zip(places, rows, strict=True)]
    return [parts.label([row], x, y, role, baseline="middle", dx=4) for role, row in told]
