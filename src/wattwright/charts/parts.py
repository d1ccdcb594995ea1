"""What the picture makers share: data, axes, labels and the unit of a power axis."""

from __future__ import annotations

import textwrap
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Self

import altair as alt
import numpy as np
from numpy.typing import ArrayLike, NDArray

from wattwright.charts.palette import light
from wattwright.charts.words import ChartWords
from wattwright.core.errors import OwnFault

__all__ = [
    "CHARACTER_PX",
    "LEFT_PX",
    "RIGHT_PX",
    "Floats",
    "Key",
    "across",
    "as_floats",
    "clock_axis",
    "data",
    "down",
    "down_to",
    "finished",
    "key",
    "label",
    "layered",
    "level_axis",
    "nice_top",
    "over",
    "pixels",
    "power_unit",
    "row",
    "rows",
    "same_length",
    "shape",
    "span",
    "ticks",
    "value_scale",
    "wrapped",
    "zero_line",
]

Floats = NDArray[np.float64]
"""An array of floats."""

CHARACTER_PX = 5.7
"""Mean breadth of a character of a label; where words must be placed before they are drawn."""

RIGHT_PX = 14
"""Room right of a plot for the half of the last figure of its level axis that stands beyond it."""

LEFT_PX = 30
"""Room left of every plot for the figures of its upright axis, the same in all pictures so that they align."""


def as_floats(values: ArrayLike) -> Floats:
    """The values as a float array of any shape; NaN stands for missing."""
    return np.asarray(values, dtype=np.float64)


def power_unit(*powers_w: ArrayLike) -> tuple[str, float]:
    """Unit of a power axis and the watts to one of it: W if all is within 1 kW of zero, else kW; gaps do not count."""
    tops = [float(np.nanmax(np.abs(array))) for p in powers_w if (array := as_floats(p)).size and not np.isnan(array).all()]
    return ("W", 1.0) if max(tops, default=0.0) < 1000.0 else ("kW", 1000.0)


def same_length(picture: str, wanted: int, arrays: Mapping[str, ArrayLike]) -> None:
    """Raise OwnFault if there is no array, or one has another length than `wanted`."""
    if not arrays:
        raise OwnFault(f"picture '{picture}': nothing to draw; give at least one series")
    for name, array in arrays.items():
        if (got := len(as_floats(array))) != wanted:
            raise OwnFault(f"picture '{picture}': '{name}' has {got} values, wanted {wanted}; give one value per place")


def row(panels: Sequence[alt.LayerChart], gap_px: int) -> alt.HConcatChart | alt.LayerChart:
    """Panels side by side, their plots `gap_px` apart; one panel alone stays a plain plot."""
    return panels[0] if len(panels) == 1 else alt.hconcat(*panels, spacing=gap_px, bounds="flush")


def rows(panels: Sequence[alt.LayerChart], columns: int, gap_px: int) -> list[alt.HConcatChart | alt.LayerChart]:
    """Panels in rows of `columns`, in reading order."""
    return [row(panels[i : i + columns], gap_px) for i in range(0, len(panels), columns)]


def wrapped(text: str, width_px: float) -> list[str]:
    """The text in lines of about `width_px`, broken between words."""
    return textwrap.wrap(text, max(int(width_px / CHARACTER_PX), 8)) if text else []


def nice_top(highest: float) -> float:
    """The end of an axis from zero: the next 1, 1.5, 2, 2.5, 3, 4, 5, 6 or 8 times a power of ten at or above `highest`."""
    if not highest > 0.0:
        return 1.0
    decade = 10.0 ** np.floor(np.log10(highest))
    steps = (1.0, 1.5, 2.0, 2.5, 3.0, 4.0, 5.0, 6.0, 8.0, 10.0)
    return float(decade * next((s for s in steps if s * decade >= highest * (1 - 1e-9)), 10.0))


class Rows(alt.InlineData):
    """Inline chart data that nobody changes once they are made, so that all copies of a chart hold the same.

    For each layer and each panel that a chart is set into, altair copies everything in it and checks data against its schema
    whenever they are wrapped: row by row that took most of the time of a picture.
    """

    _class_is_valid_at_instantiation = False

    def __deepcopy__(self, memo: object) -> Self:
        """These data themselves."""
        return self


def data(rows: Iterable[dict[str, Any]]) -> Rows:
    """Rows as inline chart data; floats are cut to six significant digits and NaN becomes a gap."""
    return Rows(values=[{key: _plain(value) for key, value in row.items()} for row in rows])


def _plain(value: Any) -> Any:
    if isinstance(value, float | np.floating):
        return None if np.isnan(value) else float(f"{value:.6g}")
    return int(value) if isinstance(value, np.integer) else value


def span(lowest: float, highest: float) -> tuple[float, float]:
    """Both ends of an axis that holds `lowest`, `highest` and zero.

    Without values below zero it runs from 0 to the `nice_top`; else both ends are whole steps of the few ticks it then has.
    """
    if not lowest < 0.0:
        return 0.0, nice_top(highest)
    step = _step(nice_top(max(highest, -lowest)), few=True)
    below, above = (float(np.ceil(max(part, 0.0) / step - 1e-9)) * step for part in (-lowest, highest))
    return -float(f"{below:.6g}"), float(f"{above:.6g}")


def ticks(top: float, few: bool = False, bottom: float = 0.0) -> list[float]:
    """Round places from `bottom` to `top` (a `span`), zero and both ends among them; three to six if `few`."""
    step = _step(nice_top(max(top, -bottom)), few or bottom < 0.0)
    first, last = (round(end / step) for end in (bottom, top))
    return [float(f"{step * i:.6g}") for i in range(first, last + 1)]


def _step(top: float, few: bool) -> float:
    decade = 10.0 ** np.floor(np.log10(top) + 1e-9)
    steps = {1.0: 0.2, 1.5: 0.5, 2.0: 0.5, 2.5: 0.5, 3.0: 1.0, 4.0: 1.0, 5.0: 1.0, 6.0: 1.0, 8.0: 2.0}
    fewer = {1.0: 0.5, 2.0: 1.0, 4.0: 2.0, 5.0: 2.5, 6.0: 2.0, 8.0: 4.0}
    lead = round(float(top / decade), 1)
    step = fewer.get(lead, steps[lead]) if few else steps[lead]
    return float(step * decade)


def value_scale(top: float, title: str | None, few: bool = False, bottom: float = 0.0) -> alt.Y:
    """Upright encoding of field `p` from `bottom` to `top` (a `span`).

    The title stands level above the figures; where it is None there are only the rules.
    """
    axis = alt.Axis(
        title=title,
        titleX=-LEFT_PX,
        titleY=-9,
        titleBaseline="bottom",
        labels=title is not None,
        minExtent=LEFT_PX if title is not None else 0,
        values=ticks(top, few, bottom),
    )
    return alt.Y("p:Q", axis=axis, scale=alt.Scale(domain=[bottom, top], nice=False))


def zero_line(bottom: float, y: alt.Y) -> list[alt.Chart]:
    """The line of zero across a plot whose axis goes below it; none where the axis begins there."""
    if not bottom < 0.0:
        return []
    return [alt.Chart(data([{"p": 0.0}])).mark_rule(color=light("ink"), strokeWidth=0.8).encode(y=y)]


def level_axis(title: str | None, **more: Any) -> alt.Axis:
    """Level axis with its title under it."""
    return alt.Axis(title=title, labelFlush=False, **more)


def clock_axis(title: str | None, every_h: int = 6) -> alt.Axis:
    """Level axis of the local clock, 0 to 24 h, figured every `every_h` hours as 00:00, 06:00 and so on."""
    return level_axis(title, values=list(range(0, 25, every_h)), labelExpr="(datum.value < 10 ? '0' : '') + datum.value + ':00'")


def label(
    rows: Iterable[dict[str, Any]], x: alt.X | alt.XDatum, y: alt.Y | alt.YDatum, role: str = "ink", **mark: Any
) -> alt.Chart:
    """Direct labels: the field `text` of each row at its place, in a role's colour."""
    text = alt.Chart(data(rows)).mark_text(**{"align": "left", "color": light(role), **mark})
    chart: alt.Chart = text.encode(x=x, y=y, text=alt.Text("text:N"))
    return chart


def limit_line(name: str, at: float, y: alt.Y, *, named: bool = True) -> list[alt.Chart]:
    """A limit as a thin line across the plot, named above its left end with a rim of paper where anything may cross the name."""
    source = alt.Chart(data([{"p": at, "text": name}]))
    rule = source.mark_rule(color=light("stop"), strokeWidth=0.8).encode(y=y)
    texts = [
        source.mark_text(align="left", baseline="bottom", dx=2, dy=-2, **look).encode(x=across(0), y=y, text=alt.Text("text:N"))
        for look in ({"color": light("paper"), "stroke": light("paper"), "strokeWidth": 3}, {"color": light("stop")})
    ]
    return [rule, *texts] if named else [rule]


def over(text: str, role: str = "quiet") -> alt.Chart:
    """A panel's name over its right end, level with the title of the upright axis."""
    mark = alt.Chart(data([{"text": text}])).mark_text(align="right", baseline="bottom", color=light(role))
    chart: alt.Chart = mark.encode(x=across("width"), y=down(-9), text=alt.Text("text:N"))
    return chart


_AT_X: Any = alt.XValue
_AT_Y: Any = alt.YValue
_AT_Y2: Any = alt.Y2Value


def across(at_px: float | str) -> alt.XValue:
    """A fixed place from the left, px or "width"; made as what it is, since the library takes 10 ms to find out by itself."""
    place: alt.XValue = _AT_X(at_px)
    return place


def down(at_px: float | str) -> alt.YValue:
    """A fixed place from the top, px or "height"."""
    place: alt.YValue = _AT_Y(at_px)
    return place


def down_to(at_px: float | str) -> alt.Y2Value:
    """Where what begins at a fixed place ends, from the top, px or "height"."""
    place: alt.Y2Value = _AT_Y2(at_px)
    return place


def pixels(width: int, height: int) -> tuple[alt.X, alt.Y]:
    """Encodings of the fields `x` and `y` in px from the upper left corner, without axes."""
    x = alt.X("x:Q", axis=None, scale=alt.Scale(domain=[0, width], nice=False, zero=False))
    return x, alt.Y("y:Q", axis=None, scale=alt.Scale(domain=[0, height], nice=False, zero=False, reverse=True))


def shape(path: str, **mark: Any) -> alt.Chart:
    """One outline in px from the plot's upper left corner, as an SVG path: many cells for the price of one mark."""
    # A point's own outline is scaled by half the root of its size: four makes one px of the path one px of the plot.
    point = alt.Chart(data([{}])).mark_point(shape=path, size=4, opacity=1, **mark)
    chart: alt.Chart = point.encode(x=across(0), y=down(0))
    return chart


@dataclass(frozen=True, slots=True)
class Key:
    """One entry of a key: its words, and a sample as a stroke (dash pattern, colour) or as a tint (colour, opacity)."""

    text: str
    colour: str
    dash: tuple[float, ...] = ()
    tint: float = 0.0


def key(entries: Sequence[Key], width: int) -> alt.LayerChart:
    """Samples with their words, in as many lines as they need, where direct labels find no place."""
    places = _key_places([27 + CHARACTER_PX * len(entry.text) for entry in entries], width)
    height = places[-1][1] + 12
    x, y = pixels(width, height)
    layers: list[alt.Chart] = []
    for entry, (at, top) in zip(entries, places, strict=True):
        if entry.tint:
            box = f"M{at:g},{top + 1}h22v10h-22Z"
            layers.append(shape(box, filled=True, fill=entry.colour, fillOpacity=entry.tint, strokeWidth=0))
        else:
            stroke = f"M{at:g},{top + 6}h22"
            layers.append(shape(stroke, stroke=entry.colour, strokeWidth=1.3, strokeDash=list(entry.dash)))
        layers.append(label([{"x": at + 27, "y": top + 6.5, "text": entry.text}], x, y, baseline="middle"))
    return layered(layers, width, height)


def _key_places(breadths: Sequence[float], width: float) -> list[tuple[float, int]]:
    """Left edge and top of each entry, in px: from left to right, on a new line where it would pass the width."""
    places: list[tuple[float, int]] = []
    at, top = 0.0, 0
    for breadth in breadths:
        if at > 0 and at + breadth > width:
            at, top = 0.0, top + 17
        places.append((at, top))
        at += breadth + 16
    return places


def layered(layers: Sequence[alt.Chart], width: int, height: int) -> alt.LayerChart:
    """Layers over one plot of the given inner size in px, the later above the earlier."""
    chart = alt.LayerChart(layer=[_said(one) for one in layers])
    return chart.properties(width=width, height=height)


def _said(layer: alt.Chart) -> alt.Chart:
    """The layer with mark and encoding as plain values: an object of altair's holds a hundred settings that nobody made.

    They are copied along whenever the layer is set into something, which took half of the time of a picture.
    """
    said = layer.copy(deep=False)
    said.mark = layer.mark.to_dict(validate=False)
    said.encoding = layer.encoding.copy(deep=False)
    for channel, value in layer.encoding.to_dict(validate=False).items():
        said.encoding[channel] = value
    return said


def finished(chart: Any, words: ChartWords) -> dict[str, Any]:
    """The chart as a plain specification, without altair's own theme; of the `config` it keeps only the words' number marks.

    It is not held against the schema of the language here, which takes as long as all else; the tests do that for each picture.
    """
    spec: dict[str, Any] = chart.to_dict(validate=False)
    bare = {key: value for key, value in spec.items() if key not in ("config", "$schema")}
    return {**bare, "config": {"locale": words.number_locale()}}
