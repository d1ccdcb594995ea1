"""Bars by month: energy, the bill by group of lines, and energy with the highest power under it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import partial
from typing import Any

import altair as alt
import numpy as np
from numpy.typing import ArrayLike

from wattwright.charts import parts
from wattwright.charts.lines import spread
from wattwright.charts.palette import light, part_shades
from wattwright.charts.picture import FULL_PX, NARROW_PX, Caption, Picture
from wattwright.charts.reading import Plot, Reading, joined
from wattwright.charts.words import ENGLISH, ChartWords
from wattwright.core.errors import OwnFault
from wattwright.core.show import THIN

__all__ = ["Group", "monthly_bars", "monthly_energy_and_peak"]

_BAR = 0.62
_HEIGHT = 180
_NAME_PX = 6.0


@dataclass(frozen=True, slots=True)
class Group:
    """One part of each month's bar: its name and a value of zero or more per month (NaN for none)."""

    name: str
    values: ArrayLike


def monthly_bars(
    caption: Caption,
    months: Sequence[str],
    groups: Sequence[Group],
    axis_title: str,
    totals: Sequence[str],
    words: ChartWords = ENGLISH,
) -> Picture:
    """A bar per month, stacked from its groups, darkest at the foot; the printed total above it, the groups named at the right.

    `months` are the labels, `totals` the figures as printed; `axis_title` names quantity and unit. Credits (values below zero)
    cannot be stacked: raises OwnFault for them, for differing lengths and for more than seven groups.
    """
    parts.same_length(caption.id, len(months), {g.name: g.values for g in groups} | {"totals": np.zeros(len(totals))})
    values = np.array([np.nan_to_num(parts.as_floats(g.values)) for g in groups])
    if (values < 0).any():
        raise OwnFault(f"picture '{caption.id}': a stacked bar cannot show values below zero; show credits in a table")
    ends = np.cumsum(values, axis=0)
    top = parts.nice_top(float(ends[-1].max()) * 1.02)
    several = len(groups) > 1
    margin = round(max(len(g.name) for g in groups) * _NAME_PX) + 16 if several else 0

    def drawn(width_px: int) -> dict[str, Any]:
        width = width_px - parts.LEFT_PX - margin
        x, y = _axes(months, axis_title, top, width)
        layers = [_bars(ends, values, len(groups), x, y)]
        if width / len(months) >= 26:
            layers.append(_above(ends[-1], totals, x, y))
        if several:
            layers += _names(groups, ends, values, top, len(months), x, y)
        return parts.finished(parts.layered(layers, width, _HEIGHT), words)

    return caption.picture(
        drawn(FULL_PX),
        FULL_PX,
        drawn(NARROW_PX),
        Reading(partial(_parts_told, months, groups, values, totals, axis_title, words)),
    )


def _parts_told(
    months: Sequence[str], groups: Sequence[Group], values: parts.Floats, totals: Sequence[str], title: str, words: ChartWords
) -> tuple[Plot, ...]:
    """Each month with its total and, of several, its parts, all in the unit of the axis."""
    unit = title.rpartition(", ")[2]

    def each(of: list[float]) -> list[str]:
        shown = zip(groups, of, strict=True) if len(groups) > 1 else ()
        return [f"{one.name} {words.amount(part)}{THIN}{unit}" for one, part in shown]

    cells = [joined(f"{total}{THIN}{unit}", *each(of)) for total, of in zip(totals, values.T.tolist(), strict=True)]
    return (Plot(months, [cells]),)


def _axes(
    months: Sequence[str],
    title: str,
    top: float,
    width: int,
    few: bool = False,
    named: bool = True,
    bottom: float = 0.0,
) -> tuple[alt.X, alt.Y]:
    return name_axis(months, width, named), parts.value_scale(top, title, few, bottom)


def name_axis(names: Sequence[str], width: int, named: bool = True) -> alt.X:
    """Names at 0, 1, 2, ... with a bar's breadth of paper at both ends; one label in three where they would touch."""
    every = 1 if width / len(names) >= 22 else 3
    shown = [i for i in range(len(names)) if i % every == 0]
    told = "[" + ",".join(_quoted(name) for name in names) + "][datum.value]"
    axis = alt.Axis(title=None, values=shown, labelExpr=told, ticks=False, labelPadding=6, labels=named)
    return alt.X("m:Q", axis=axis, scale=alt.Scale(domain=[-0.5, len(names) - 0.5], nice=False, zero=False))


def _quoted(text: str) -> str:
    """The text as a string of the chart language's expressions."""
    return "'" + text.replace("\\", "\\\\").replace("'", "\\'") + "'"


def _bars(ends: parts.Floats, values: parts.Floats, groups: int, x: alt.X, y: alt.Y) -> alt.Chart:
    shades = part_shades(groups)
    rows = [
        {"m": m - _BAR / 2, "n": m + _BAR / 2, "p": ends[g, m] - values[g, m], "b": ends[g, m], "colour": shades[g]}
        for g in range(groups)
        for m in range(ends.shape[1])
        if values[g, m] > 0
    ]
    # A line of paper between the parts keeps them apart in print without colour.
    mark = alt.Chart(parts.data(rows)).mark_rect(stroke=light("paper"), strokeWidth=0.6 if groups > 1 else 0)
    chart: alt.Chart = mark.encode(x=x, x2=alt.X2("n:Q"), y=y, y2=alt.Y2("b:Q"), fill=alt.Fill("colour:N", scale=None))
    return chart


def _above(heights: parts.Floats, texts: Sequence[str], x: alt.X, y: alt.Y) -> alt.Chart:
    rows = [{"m": m, "p": height, "text": text} for m, (height, text) in enumerate(zip(heights, texts, strict=True))]
    return parts.label(rows, x, y, align="center", baseline="bottom", dy=-3)


def _names(
    groups: Sequence[Group], ends: parts.Floats, values: parts.Floats, top: float, months: int, x: alt.X, y: alt.Y
) -> list[alt.Chart]:
    """The groups' names beside the last bar, moved apart where thin parts lie close, each with a thin line to its part."""
    centres = (ends - values / 2)[:, -1]
    places = spread(centres.tolist(), top * 14 / _HEIGHT)
    places = places - min(0.0, float(places.min()) - top * 5 / _HEIGHT)
    edge, start = months - 1 + _BAR / 2, months - 0.5
    rows = [{"m": edge, "n": start, "p": c, "b": p} for c, p in zip(centres, places, strict=True)]
    lines = alt.Chart(parts.data(rows)).mark_rule(color=light("rule"), strokeWidth=0.6)
    words = [{"m": start, "p": p, "text": g.name} for g, p in zip(groups, places, strict=True)]
    return [lines.encode(x=x, x2=alt.X2("n:Q"), y=y, y2=alt.Y2("b:Q")), parts.label(words, x, y, baseline="middle", dx=4)]


def monthly_energy_and_peak(
    caption: Caption,
    months: Sequence[str],
    energy_kwh: ArrayLike,
    energy_texts: Sequence[str],
    peak_w: ArrayLike,
    peak_texts: Sequence[str],
    words: ChartWords = ENGLISH,
) -> Picture:
    """Two panels under one another over the same months: energy as bars, the highest power as marked points on stems.

    Energy below zero (more given than taken) hangs from the line of zero.
    `energy_kwh` and `peak_w` are (months,), NaN where there is no record; the texts are the figures as printed (there: a dash).
    Raises OwnFault for differing lengths.
    """
    energy, peak = parts.as_floats(energy_kwh), parts.as_floats(peak_w)
    texts = {"energy texts": np.zeros(len(energy_texts)), "peak texts": np.zeros(len(peak_texts))}
    parts.same_length(caption.id, len(months), {"energy": energy, "peak": peak} | texts)
    unit, per = parts.power_unit(peak)

    def drawn(width_px: int) -> dict[str, Any]:
        width = width_px - parts.LEFT_PX - 4
        upper = _energy_panel(months, np.nan_to_num(energy), energy_texts, width, words)
        lower = _peak_panel(months, peak / per, peak_texts, width, words.peak.format(unit=unit))
        return parts.finished(alt.vconcat(upper, lower, spacing=26), words)

    cells = [f"{used} kWh, {top} {unit}" for used, top in zip(energy_texts, peak_texts, strict=True)]
    reading = Reading(partial(_both_told, months, cells))
    return caption.picture(drawn(FULL_PX), FULL_PX, drawn(NARROW_PX), reading)


def _both_told(months: Sequence[str], cells: Sequence[str]) -> tuple[Plot, ...]:
    return (Plot(months, [cells], over=2),)


def _energy_panel(
    months: Sequence[str], energy: parts.Floats, texts: Sequence[str], width: int, words: ChartWords
) -> alt.LayerChart:
    bottom, top = parts.span(*_roomy(energy))
    x, y = _axes(months, words.energy.format(unit="kWh"), top, width, few=True, named=False, bottom=bottom)
    rows = [{"m": m - _BAR / 2, "n": m + _BAR / 2, "p": 0.0, "b": e} for m, e in enumerate(energy.tolist()) if e]
    bars = alt.Chart(parts.data(rows)).mark_rect(fill=light("grid")).encode(x=x, x2=alt.X2("n:Q"), y=y, y2=alt.Y2("b:Q"))
    labels = _at_ends(energy, texts, x, y) if width / len(months) >= 26 else []
    return parts.layered([bars, *parts.zero_line(bottom, y), *labels], width, 110)


def _roomy(energy: parts.Floats) -> tuple[float, float]:
    """Lowest and highest value with room for the figure under or over it."""
    low, high = float(energy.min()), float(energy.max())
    room = 0.12 * (max(high, 0.0) - min(low, 0.0))
    return (low - room if low < 0 else low), high + room


def _at_ends(energy: parts.Floats, texts: Sequence[str], x: alt.X, y: alt.Y) -> list[alt.Chart]:
    """The figures over the bars, and under those that hang."""
    rows = [{"m": m, "p": e, "text": text} for m, (e, text) in enumerate(zip(energy.tolist(), texts, strict=True))]
    over, under = ([one for one in rows if (one["p"] < 0) is hangs] for hangs in (False, True))
    layers = [parts.label(over, x, y, align="center", baseline="bottom", dy=-3)] if over else []
    return [*layers, parts.label(under, x, y, align="center", baseline="top", dy=3)] if under else layers


def _peak_panel(months: Sequence[str], peak: parts.Floats, texts: Sequence[str], width: int, title: str) -> alt.LayerChart:
    known = np.flatnonzero(~np.isnan(peak))
    bottom, top = parts.span(float(peak[known].min(initial=0.0)), float(peak[known].max(initial=0.0)) * 1.08)
    x, y = _axes(months, title, top, width, few=True, bottom=bottom)
    rows = [{"m": float(m), "p": peak[m], "b": 0.0} for m in known]
    stems = alt.Chart(parts.data(rows)).mark_rule(color=light("ink"), strokeWidth=0.8).encode(x=x, y=y, y2=alt.Y2("b:Q"))
    heads = alt.Chart(parts.data(rows)).mark_point(shape="diamond", filled=True, size=42, color=light("ink"), opacity=1)
    heights = np.nan_to_num(peak).tolist()
    named = [{"m": m, "p": height, "text": text} for m, (height, text) in enumerate(zip(heights, texts, strict=True))]
    labels = [parts.label(named, x, y, align="center", dy=-10)]
    return parts.layered(
        [*parts.zero_line(bottom, y), stems, heads.encode(x=x, y=y), *(labels if width / len(months) >= 26 else [])], width, 90
    )
