"""The course of a power over any stretch of its record: few columns, each with its least and greatest, drawn at once."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from wattwright.charts.downsample import minmax_columns
from wattwright.charts.palette import light
from wattwright.charts.picture import FULL_PX, NARROW_PX, Caption, Picture
from wattwright.charts.reading import Reading
from wattwright.charts.words import ENGLISH, ChartWords
from wattwright.core.errors import OwnFault

__all__ = ["MOST_COLUMNS", "Course", "Part", "course_picture", "part_of", "plot_px"]

_LEFT_PX, _RIGHT_PX, _HEIGHT_PX = 30, 14, 210
MOST_COLUMNS = 480
"""More would be finer than the pixels of the widest plot."""


@dataclass(frozen=True, slots=True, eq=False)
class Course:
    """A power in W (n,), NaN where missing, from `start_s` in UTC seconds at steps of `step_s`; which were estimated (n,)."""

    start_s: int
    step_s: int
    power_w: NDArray[np.float32]
    estimated: NDArray[np.bool_]

    @property
    def end_s(self) -> int:
        """Where the last interval ends, UTC seconds."""
        return self.start_s + self.step_s * len(self.power_w)


@dataclass(frozen=True, slots=True, eq=False)
class Part:
    """A stretch in columns: k + 1 edges, UTC seconds; least, greatest and mean power in W, whether any was estimated (k,).

    `peak_s` is where the reading with the greatest power begins; the start of the stretch where all is missing.
    """

    edges_s: NDArray[np.int64]
    least_w: NDArray[np.float64]
    greatest_w: NDArray[np.float64]
    mean_w: NDArray[np.float64]
    estimated: NDArray[np.bool_]
    step_s: int
    peak_s: int

    @property
    def is_whole(self) -> bool:
        """Whether each column is one reading, so that nothing was taken together."""
        return bool((np.diff(self.edges_s) == self.step_s).all())

    @property
    def peak(self) -> int | None:
        """The column of the greatest power, None where all is missing."""
        return None if np.isnan(self.greatest_w).all() else int(np.nanargmax(self.greatest_w))


def part_of(course: Course, from_s: int, until_s: int, columns: int = MOST_COLUMNS) -> Part:
    """The stretch [from_s, until_s) of a course in at most `columns` columns, each reading in exactly one: no peak is lost.

    What lies outside the record is left out; at least one reading is shown. Raises OwnFault for a course without readings.
    """
    count = len(course.power_w)
    if not count:
        raise OwnFault("a course without readings cannot be shown")
    low = min(max((from_s - course.start_s) // course.step_s, 0), count - 1)
    high = max(min(-((course.start_s - until_s) // course.step_s), count), low + 1)
    values = course.power_w[low:high].astype(np.float64)
    taken = minmax_columns(values, columns)
    begins = taken.edges[:-1]
    there = np.add.reduceat((~np.isnan(values)).astype(np.int64), begins)
    total = np.add.reduceat(np.nan_to_num(values), begins)
    mean = np.divide(total, there, out=np.full(len(begins), np.nan), where=there > 0)
    estimated = np.logical_or.reduceat(course.estimated[low:high], begins)
    edges = course.start_s + course.step_s * (low + taken.edges)
    at = low if not there.any() else low + int(np.nanargmax(values))
    peak_s = course.start_s + course.step_s * at
    return Part(edges, taken.least, taken.greatest, mean, estimated, course.step_s, peak_s)


def plot_px(*, narrow: bool) -> int:
    """Width of the plot itself, within the picture."""
    return (NARROW_PX if narrow else FULL_PX) - _LEFT_PX - _RIGHT_PX


def course_picture(
    caption: Caption,
    part: Part,
    ticks: Sequence[tuple[int, str]],
    peak: str,
    words: ChartWords = ENGLISH,
    nights: Sequence[tuple[float, float]] = (),
    reading: Reading | None = None,
) -> Picture:
    """The mean of each column as a line over the band from its least to its greatest; what is missing is shaded.

    `ticks` are places in UTC seconds with their words; `peak` the words at the greatest power; `nights` are
    shaded, (UTC seconds, UTC seconds). It is made without the library
    that the other pictures are made with: loading that takes longer than a person who zooms would wait.
    """
    powers = np.concatenate([part.least_w, part.greatest_w])
    known = powers[~np.isnan(powers)]
    unit, per = ("kW", 1000.0) if len(known) and float(np.abs(known).max()) >= 1000.0 else ("W", 1.0)

    def drawn(narrow: bool) -> dict[str, Any]:
        first, last = int(part.edges_s[0]), int(part.edges_s[-1])
        every = 2 if narrow and len(ticks) > 5 else 1
        told = ", ".join(f"'{at - first}': '{text}'" for at, text in ticks[::every])
        axis = {"title": None, "values": [at - first for at, _ in ticks[::every]], "labelExpr": f"({{{told}}})[datum.value]"}
        x = {"field": "t", "type": "quantitative", "axis": axis, "scale": {"domain": [0, last - first], "nice": False}}
        level = {"title": words.power.format(unit=unit), "titleX": -_LEFT_PX, "titleY": -9, "titleBaseline": "bottom",
                 "minExtent": _LEFT_PX, "tickCount": 5}  # fmt: skip
        y = {"field": "m", "type": "quantitative", "axis": level, "scale": {"zero": True, "nice": True}}
        layers = [*_night(part, nights, x), *_layers(part, x, y, per), *_peak(part, x, y, per, peak)]
        config = {"locale": words.number_locale()}
        return {"width": plot_px(narrow=narrow), "height": _HEIGHT_PX, "layer": layers, "config": config}

    return caption.picture(drawn(narrow=False), FULL_PX, drawn(narrow=True), reading)


def _night(part: Part, nights: Sequence[tuple[float, float]], x: dict[str, Any]) -> list[dict[str, Any]]:
    if not nights:
        return []
    rows = [{"t": down - float(part.edges_s[0]), "e": up - float(part.edges_s[0])} for down, up in nights]
    shade = {"type": "rect", "color": light("quiet"), "opacity": 0.09}
    return [{"data": {"values": rows}, "mark": shade, "encoding": {"x": x, "x2": {"field": "e"}}}]


def _layers(part: Part, x: dict[str, Any], y: dict[str, Any], per: float) -> list[dict[str, Any]]:
    times = (part.edges_s - part.edges_s[0]).tolist()
    rows = [
        {"t": at, "m": _figure(mean, per), "a": _figure(low, per), "g": _figure(high, per)}
        for at, mean, low, high in zip(times, _held(part.mean_w), _held(part.least_w), _held(part.greatest_w), strict=True)
    ]
    missing = np.isnan(part.mean_w)
    gaps = [{"t": times[i], "e": times[i + 1]} for i in np.flatnonzero(missing)]
    layers: list[dict[str, Any]] = []
    if gaps:
        shade = {"type": "rect", "color": light("rule"), "opacity": 0.22}
        layers.append({"data": {"values": gaps}, "mark": shade, "encoding": {"x": x, "x2": {"field": "e"}}})
    if not part.is_whole:
        band = {"type": "area", "interpolate": "step-after", "color": light("demand"), "opacity": 0.25, "line": False}
        spread = {"x": x, "y": {**y, "field": "a"}, "y2": {"field": "g"}}
        layers.append({"data": {"values": rows}, "mark": band, "encoding": spread})
    line = {"type": "line", "interpolate": "step-after", "color": light("demand"), "strokeWidth": 1.1}
    layers.append({"data": {"values": rows}, "mark": line, "encoding": {"x": x, "y": y}})
    return layers


def _held(values: NDArray[np.float64]) -> list[float]:
    """The values, the last one held to the end of its column."""
    return [*values.tolist(), float(values[-1])]


def _figure(value: float, per: float) -> float | None:
    return None if np.isnan(value) else round(value / per, 4)


def _peak(part: Part, x: dict[str, Any], y: dict[str, Any], per: float, told: str) -> list[dict[str, Any]]:
    at = part.peak
    if at is None:
        return []
    middle = float(part.edges_s[at] + part.edges_s[at + 1]) / 2 - float(part.edges_s[0])
    data = {"values": [{"t": middle, "m": _figure(float(part.greatest_w[at]), per), "text": told}]}
    right = middle > 0.6 * float(part.edges_s[-1] - part.edges_s[0])
    text = {"type": "text", "align": "right" if right else "left", "dx": -6 if right else 6, "dy": -6, "color": light("ink")}
    point = {"type": "point", "filled": True, "size": 22, "color": light("stop"), "opacity": 1}
    places = {"x": x, "y": y}
    return [
        {"data": data, "mark": point, "encoding": places},
        {"data": data, "mark": text, "encoding": {**places, "text": {"field": "text", "type": "nominal"}}},
    ]
