"""A stretch that was simulated: power against the limit, what the stores held, what was fed and ran, all on one clock."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace
from functools import partial

import altair as alt
import numpy as np
from numpy.typing import ArrayLike

from wattwright.charts import parts
from wattwright.charts.palette import light
from wattwright.charts.peaks import Limit
from wattwright.charts.picture import FULL_PX, NARROW_PX, Caption, Picture
from wattwright.charts.reading import Plot, Reading, Zoom, joined, kilowatts, with_unit
from wattwright.charts.words import ENGLISH, ChartWords
from wattwright.core.errors import OwnFault

__all__ = ["Contact", "Store", "Stretch", "simulated_stretch"]

_POWER_PX, _STORE_PX, _ROW_PX = 150, 84, 38
_BAR_PX = 11
_GAP = 22
_MOST_STEPS, _LONG_H = 1500, 49.0
"""Steps that are drawn at most; of a longer time one to a pixel, since more make one black band."""
_PLACES = 480
"""So many places are read out at most."""
_LEAST_STEPS = 15
"""A stretch of fewer is not drawn larger."""
_SAME = 1e-6
"""Hours this share of a step apart are one: those of steps are products, those of switchings are not, and neither is exact."""


@dataclass(frozen=True, slots=True)
class Stretch:
    """The clock below all panels: its length, hours; figured places (hours, words); and the nights, each (hours, hours).

    `figured` gives the places for a part of it, from one hour to another, and `named` the words of an hour as it is read out;
    without them nothing is read out.
    """

    length_h: float
    ticks: Sequence[tuple[float, str]]
    nights: Sequence[tuple[float, float]] = ()
    figured: Callable[[float, float], Sequence[tuple[float, str]]] | None = None
    named: Callable[[float], str] | None = None


@dataclass(frozen=True, slots=True)
class Store:
    """What a store held: its name with the unit, values at the ends of n steps, role, and wanted values (words, value)."""

    name: str
    values: ArrayLike
    role: str
    wanted: Sequence[tuple[str, float]] = ()


@dataclass(frozen=True, slots=True)
class Contact:
    """A load's row: when it was fed and when it ran, (hours, hours), and its switchings (hour, number in the table, cause)."""

    name: str
    role: str
    fed: Sequence[tuple[float, float]]
    runs: Sequence[tuple[float, float]]
    marks: Sequence[tuple[float, str, str]] = field(default=())


def simulated_stretch(
    caption: Caption,
    stretch: Stretch,
    site_w: ArrayLike,
    rest_w: ArrayLike,
    stores: Sequence[Store],
    contacts: Sequence[Contact],
    limits: Sequence[Limit] = (),
    words: ChartWords = ENGLISH,
) -> Picture:
    """Power of the site (n,) with the rest of it as an area and limits as lines; a panel for each store; a row for each load.

    A row shows when a load was fed as an outline and when it ran as a bar. Raises OwnFault where arrays differ in length.
    """
    site, rest = parts.as_floats(site_w), parts.as_floats(rest_w)
    parts.same_length(caption.id, len(site), {"rest": rest, **{one.name: one.values for one in stores}})
    if not stretch.length_h > 0:
        raise OwnFault(f"picture '{caption.id}': a stretch of {stretch.length_h} h cannot be drawn")
    run = _Run(stretch, site, rest, tuple(stores), tuple(contacts), tuple(limits))
    step_h, zoom = stretch.length_h / len(site), None
    if stretch.figured is not None and len(site) > _LEAST_STEPS:
        part = partial(_part, caption, run, words)
        zoom = Zoom(0.0, stretch.length_h, step_h, _LEAST_STEPS * step_h, part)
    return _picture(caption, run, words, zoom)


@dataclass(frozen=True, slots=True, eq=False)
class _Run:
    """All that is drawn of a stretch; it begins `begin_h` after the whole of which it may be a part."""

    stretch: Stretch
    site_w: parts.Floats
    rest_w: parts.Floats
    stores: tuple[Store, ...]
    contacts: tuple[Contact, ...]
    limits: tuple[Limit, ...]
    begin_h: float = 0.0

    def part(self, low: int, high: int) -> _Run:
        """From one step to another."""
        step_h = self.stretch.length_h / len(self.site_w)
        begin, end, same = low * step_h, high * step_h, _SAME * step_h

        def cut(spans: Sequence[tuple[float, float]]) -> list[tuple[float, float]]:
            return [(max(a, begin) - begin, min(b, end) - begin) for a, b in spans if a < end - same and b > begin + same]

        figured = self.stretch.figured
        ticks = [] if figured is None else [(at - begin, text) for at, text in figured(begin, end)]
        stores = tuple(replace(one, values=parts.as_floats(one.values)[low:high]) for one in self.stores)
        contacts = tuple(
            replace(
                one, fed=cut(one.fed), runs=cut(one.runs),
                marks=[
                    (at - begin, number, cause) for at, number, cause in one.marks if begin - same <= at <= end + same
                ],
            )
            for one in self.contacts
        )  # fmt: skip
        stretch = replace(self.stretch, length_h=end - begin, ticks=ticks, nights=cut(self.stretch.nights))
        return replace(
            self, stretch=stretch, site_w=self.site_w[low:high], rest_w=self.rest_w[low:high], stores=stores, contacts=contacts,
            begin_h=begin,
        )  # fmt: skip


def _part(caption: Caption, run: _Run, words: ChartWords, low_h: float, high_h: float) -> Picture:
    """The stretch from one hour to another."""
    step_h = run.stretch.length_h / len(run.site_w)
    low, high = round(low_h / step_h), round(high_h / step_h)
    named = run.stretch.named or words.figure
    shown = words.shown.format(first=named(low * step_h), last=named(high * step_h))
    return _picture(caption.of_part(shown), run.part(low, high), words, None)


def _told(run: _Run, words: ChartWords) -> tuple[Plot, ...]:
    """Each place with the highest power in it, what the stores held at its end, and what ran."""
    named = run.stretch.named
    if named is None:
        return ()
    count, length_h = min(len(run.site_w), _PLACES), run.stretch.length_h
    starts = np.arange(count) * len(run.site_w) // count
    site, rest = (np.maximum.reduceat(one, starts).tolist() for one in (run.site_w, run.rest_w))
    ends = [*(starts[1:] - 1).tolist(), len(run.site_w) - 1]
    held = [parts.as_floats(one.values)[ends].tolist() for one in run.stores]
    edges = [*(starts * length_h / len(run.site_w)).tolist(), length_h]
    same = _SAME * length_h / len(run.site_w)
    cells = []
    for k in range(count):
        running = [one.name for one in run.contacts if any(a < edges[k + 1] - same and b > edges[k] + same for a, b in one.runs)]
        cells.append(
            joined(
                f"{words.site} {kilowatts(site[k], words.decimal_mark)}",
                f"{words.rest_of_site} {kilowatts(rest[k], words.decimal_mark)}",
                *(with_unit(one.name, words.figure(round(values[k], 1))) for one, values in zip(run.stores, held, strict=True)),
                f"{words.runs}: {', '.join(running)}" if running else "",
            )
        )
    columns = [named(run.begin_h + at) for at in edges[:-1]]
    over = 1 + len(run.stores) + bool(run.contacts)
    return (Plot(columns, [cells], [run.begin_h + at for at in edges], over=over),)


def _picture(caption: Caption, run: _Run, words: ChartWords, zoom: Zoom | None) -> Picture:
    stretch, stores, contacts = run.stretch, run.stores, run.contacts

    def drawn(width_px: int) -> dict[str, object]:
        width = width_px - parts.LEFT_PX - parts.RIGHT_PX
        most = width if stretch.length_h > _LONG_H else _MOST_STEPS
        # Of many steps a picture shows the highest of each stretch of them, so that no peak is lost.
        panels = [_power(stretch, _fewer(run.site_w, np.max, most), _fewer(run.rest_w, np.max, most), run.limits, width, words)]
        panels += [
            _store(stretch, replace(one, values=_fewer(parts.as_floats(one.values), np.mean, most)), width) for one in stores
        ]
        panels += [_rows(stretch, contacts, width)] if contacts else []
        entries = [parts.Key(words.rest_of_site, light("other"), tint=0.35)]
        entries += (
            [parts.Key(words.fed, light("rule"), tint=0.3), parts.Key(words.runs, light(contacts[0].role), tint=0.9)]
            if contacts
            else []
        )
        return parts.finished(alt.vconcat(*panels, parts.key(entries, width), spacing=_GAP), words)

    return caption.picture(drawn(FULL_PX), FULL_PX, drawn(NARROW_PX), Reading(partial(_told, run, words), zoom))


def _fewer(values: parts.Floats, pick: Callable[..., parts.Floats], most: int) -> parts.Floats:
    """Return at most so many values, each picked of as many that follow one another."""
    each = -(-len(values) // most)
    if each <= 1:
        return values
    padded = np.concatenate([values, np.full(-len(values) % each, values[-1])])
    return np.asarray(pick(padded.reshape(-1, each), axis=1), np.float64)


def _x(stretch: Stretch, *, figured: bool) -> alt.X:
    # A place is found by the text of its number: one that both sides write alike.
    ticks = [(f"{at:.4f}".rstrip("0").rstrip("."), text) for at, text in stretch.ticks]
    told = ", ".join(f"'{at}': '{text}'" for at, text in ticks)
    axis = parts.level_axis(None, values=[float(at) for at, _ in ticks], labelExpr=f"({{{told}}})[datum.value]", labels=figured)
    return alt.X("h:Q", axis=axis, scale=alt.Scale(domain=[0, stretch.length_h], nice=False, zero=False))


def _nights(stretch: Stretch, x: alt.X) -> list[alt.Chart]:
    if not stretch.nights:
        return []
    shade = alt.Chart(parts.data([{"h": a, "g": b} for a, b in stretch.nights])).mark_rect(color=light("quiet"), opacity=0.09)
    return [shade.encode(x=x, x2=alt.X2("g:Q"), y=parts.down(0), y2=parts.down_to("height"))]


def _hours(stretch: Stretch, count: int) -> list[float]:
    return list(np.linspace(0.0, stretch.length_h, count + 1))


def _power(
    stretch: Stretch, site: parts.Floats, rest: parts.Floats, limits: Sequence[Limit], width: int, words: ChartWords
) -> alt.LayerChart:
    drawn_w = [limit.power_w for limit in limits]
    unit, per = parts.power_unit(site, drawn_w)
    bottom, top = parts.span(float(np.nanmin(site)) / per, max([float(np.nanmax(site)), *drawn_w]) / per)
    x, y = _x(stretch, figured=True), parts.value_scale(top, words.power.format(unit=unit), bottom=bottom)
    hours = _hours(stretch, len(site))
    held, drawn = ([{"h": h, "p": p} for h, p in zip(hours, [*a / per, a[-1] / per], strict=True)] for a in (rest, site))
    area = alt.Chart(parts.data(held)).mark_area(interpolate="step-after", color=light("other"), opacity=0.35, line=False)
    line = alt.Chart(parts.data(drawn)).mark_line(interpolate="step-after", color=light("demand"), strokeWidth=1.0)
    layers = [*_nights(stretch, x), area.encode(x=x, y=y), *parts.zero_line(bottom, y)]
    layers += [line.encode(x=x, y=y), *(one for limit in limits for one in parts.limit_line(limit.name, limit.power_w / per, y))]
    return parts.layered([*layers, parts.over(words.site, "ink")], width, _POWER_PX)


def _store(stretch: Stretch, store: Store, width: int) -> alt.LayerChart:
    values = parts.as_floats(store.values)
    wanted = [value for _, value in store.wanted]
    low, high = min([float(np.nanmin(values)), *wanted]), max([float(np.nanmax(values)), *wanted])
    room = max(0.06 * (high - low), 0.5)
    x = _x(stretch, figured=False)
    axis = alt.Axis(title=None, minExtent=parts.LEFT_PX, tickCount=4)
    y = alt.Y("p:Q", axis=axis, scale=alt.Scale(domain=[low - room, high + room], nice=True, zero=False))
    rows = [{"h": h, "p": p} for h, p in zip(_hours(stretch, len(values))[1:], values, strict=True)]
    line = alt.Chart(parts.data(rows)).mark_line(color=light(store.role), strokeWidth=1.3).encode(x=x, y=y)
    layers: list[alt.Chart] = [*_nights(stretch, x)]
    for text, value in store.wanted:
        source = alt.Chart(parts.data([{"p": value, "text": text}]))
        layers.append(source.mark_rule(color=light("rule"), strokeWidth=0.8, strokeDash=[2, 2]).encode(y=y))
        words = source.mark_text(align="left", baseline="bottom", dx=2, dy=-1, color=light("quiet"))
        layers.append(words.encode(x=parts.across(0), y=y, text=alt.Text("text:N")))
    return parts.layered([*layers, line, parts.over(store.name, "ink")], width, _STORE_PX)


def _rows(stretch: Stretch, contacts: Sequence[Contact], width: int) -> alt.LayerChart:
    """One row for each load, its name over its left end; numbers stand over the switchings they tell of."""
    height = _ROW_PX * len(contacts)
    x = _x(stretch, figured=True)
    y = alt.Y("y:Q", axis=None, scale=alt.Scale(domain=[0, height], nice=False, zero=False, reverse=True))
    layers: list[alt.Chart] = [*_nights(stretch, x)]
    for place, one in enumerate(contacts):
        top = _ROW_PX * place + 13
        for spans, role, opacity in ((one.fed, "rule", 0.3), (one.runs, one.role, 0.9)):
            rows = [{"h": a, "g": b, "y": top, "e": top + _BAR_PX} for a, b in _merged(spans, stretch.length_h / width)]
            if rows:
                bar = alt.Chart(parts.data(rows)).mark_rect(color=light(role), opacity=opacity)
                layers.append(bar.encode(x=x, x2=alt.X2("g:Q"), y=y, y2=alt.Y2("e:Q")))
        names = [{"h": 0.0, "y": top - 2, "text": one.name}]
        layers.append(parts.label(names, x, y, baseline="bottom", dx=2))
        marks = [
            {"h": at, "y": top + _BAR_PX + 2, "text": text}
            for at, text in _apart(one, stretch.length_h, stretch.length_h / width)
        ]
        if marks:
            layers.append(parts.label(marks, x, y, "quiet", baseline="top"))
    return parts.layered(layers, width, height)


def _merged(spans: Sequence[tuple[float, float]], hours_px: float) -> list[tuple[float, float]]:
    """Return the spans with those joined that no eye could tell apart, each at least half a pixel wide."""
    found: list[tuple[float, float]] = []
    for begins, ends in spans:
        if found and begins - found[-1][1] < 0.5 * hours_px:
            found[-1] = (found[-1][0], max(found[-1][1], ends))
        else:
            found.append((begins, max(ends, begins + 0.5 * hours_px)))
    return found


def _apart(one: Contact, length_h: float, hours_px: float) -> list[tuple[float, str]]:
    """Return the words that have room beside one another: number and cause, else the number; the table has them all."""
    found: list[tuple[float, str]] = []
    free_h = 0.0
    for place, (at, number, cause) in enumerate(one.marks):
        until = one.marks[place + 1][0] if place + 1 < len(one.marks) else length_h
        for text in (f"{number} {cause}", number):
            wide_h = (parts.CHARACTER_PX * len(text) + 4) * hours_px
            if at >= free_h and (text == number or at + wide_h <= until):
                found.append((at, text))
                free_h = at + wide_h
                break
    return found
