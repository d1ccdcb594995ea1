"""A saving over its weeks: what was used beside what would have been, and the saving as it adds up, each with its band."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import partial
from typing import Any

import altair as alt
import numpy as np

from wattwright.charts import parts
from wattwright.charts.palette import light
from wattwright.charts.picture import COLUMN_PX, NARROW_PX, Caption, Picture
from wattwright.charts.reading import Plot, Reading
from wattwright.charts.words import ENGLISH, ChartWords

__all__ = ["SavedWords", "Weeks", "saved_weeks"]

_HEIGHTS = 120, 110
_TINT = 0.25
_DASH = [4, 3]


@dataclass(frozen=True, slots=True)
class Weeks:
    """Energy in kWh, each of shape (weeks,): used, expected with its band, and the saving so far with its band.

    Weeks that were not read whole are NaN in the first four, and are left out.
    """

    used_kwh: parts.Floats
    expected_kwh: parts.Floats
    low_kwh: parts.Floats
    high_kwh: parts.Floats
    saved_kwh: parts.Floats
    saved_low_kwh: parts.Floats
    saved_high_kwh: parts.Floats


@dataclass(frozen=True, slots=True)
class SavedWords:
    """The words in the picture: axis titles, and the names of its lines."""

    week: str
    energy: str
    saved: str
    used: str
    expected: str
    band: str


def saved_weeks(caption: Caption, weeks: Weeks, told: SavedWords, words: ChartWords = ENGLISH) -> Picture:
    """Two panels over weeks: what was used (solid) beside what was expected (dashed, in its band), and the running saving.

    Raises OwnFault where the arrays differ in length.
    """
    arrays = {name: getattr(weeks, name) for name in Weeks.__slots__}
    parts.same_length(caption.id, len(weeks.used_kwh), arrays)

    def drawn(width_px: int) -> dict[str, Any]:
        inner = width_px - parts.LEFT_PX - parts.RIGHT_PX
        upper = _panel(
            told.energy, told.week, inner, _HEIGHTS[0], (weeks.low_kwh, weeks.high_kwh), "grid",
            ((weeks.used_kwh, "ink", []), (weeks.expected_kwh, "grid", _DASH)),
        )  # fmt: skip
        lower = _panel(
            told.saved, told.week, inner, _HEIGHTS[1], (weeks.saved_low_kwh, weeks.saved_high_kwh), "accent",
            ((weeks.saved_kwh, "accent", []),),
        )  # fmt: skip
        keys = [parts.Key(told.used, light("ink")), parts.Key(f"{told.expected}, {told.band}", light("grid"), tuple(_DASH))]
        return parts.finished(alt.vconcat(upper, parts.key(keys, inner), lower, spacing=16), words)

    return caption.picture(drawn(COLUMN_PX), COLUMN_PX, drawn(NARROW_PX), Reading(partial(_told, weeks, told, words)))


def _told(weeks: Weeks, told: SavedWords, words: ChartWords) -> tuple[Plot, ...]:
    """Each week of both panels; between them stands a key, of which there is nothing to read."""

    def kwh(value: float) -> str:
        return words.missing if np.isnan(value) else f"{words.figure(round(value, 1))} kWh"

    def band(low: float, high: float) -> str:
        return f"({words.reaches.format(low=kwh(low), high=kwh(high))})"

    columns = [f"{told.week} {i + 1}" for i in range(len(weeks.used_kwh))]
    upper = zip(*(one.tolist() for one in (weeks.used_kwh, weeks.expected_kwh, weeks.low_kwh, weeks.high_kwh)), strict=True)
    lower = zip(*(one.tolist() for one in (weeks.saved_kwh, weeks.saved_low_kwh, weeks.saved_high_kwh)), strict=True)
    used = [f"{told.used} {kwh(u)}, {told.expected} {kwh(e)} {band(low, high)}" for u, e, low, high in upper]
    saved = [f"{kwh(s)} {band(low, high)}" for s, low, high in lower]
    return Plot(columns, [used]), Plot(), Plot(columns, [saved])


def _panel(
    title: str, week: str, width: int, height: int, band: tuple[parts.Floats, parts.Floats], tint: str,
    lines: Sequence[tuple[parts.Floats, str, list[int]]],
) -> alt.LayerChart:  # fmt: skip
    """Return lines over their weeks, a band behind them."""
    every = np.concatenate([*band, *(values for values, _, _ in lines), np.zeros(1)])
    bottom, top = parts.span(float(np.nanmin(every)), float(np.nanmax(every)))
    count = len(band[0])
    x = alt.X("s:Q", axis=parts.level_axis(week, tickMinStep=1, format="d"), scale=alt.Scale(domain=[0, count], nice=False))
    y = parts.value_scale(top, title, few=True, bottom=bottom)
    rows = [{"s": k + 1, "p": low, "b": high} for k, (low, high) in enumerate(zip(*band, strict=True)) if not np.isnan(low)]
    source = alt.Chart(parts.data(rows))
    layers = [source.mark_area(color=light(tint), opacity=_TINT).encode(x=x, y=y, y2=alt.Y2("b:Q"))]
    for values, role, dash in lines:
        look: dict[str, Any] = {"color": light(role), "strokeWidth": 1.4, "strokeDash": dash}
        points = [{"s": k + 1, "p": one} for k, one in enumerate(values.tolist()) if not np.isnan(one)]
        layers.append(alt.Chart(parts.data(points)).mark_line(**look).encode(x=x, y=y))
    return parts.layered([*layers, *parts.zero_line(bottom, y)], width, height)
