"""What can be read out of a picture, place by place, and how a stretch of it is drawn larger."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from math import ceil, floor
from typing import TYPE_CHECKING, Any

from wattwright.core.errors import OwnFault

if TYPE_CHECKING:
    from wattwright.charts.picture import Picture
    from wattwright.charts.table import Table

__all__ = ["Plot", "Reading", "Zoom", "joined", "kilowatts", "reading_json", "with_unit"]

_ON_STEP = 1e-6
"""So near to a step, as a share of it, an end lies on it."""


@dataclass(frozen=True, slots=True)
class Plot:
    """The words of one plot of a picture, or of `over` plots that follow one another and share their level axis.

    `cells` are the words of each place, one row of them for each of `lines` (from the top; one row where there are none), each
    with as many as there are `columns`: what is read out is column, line and cell. `edges` are where the columns begin and the
    last one ends, in the units in which a stretch is asked for (k + 1,); `even` says that the columns are drawn equally broad all
    the same. `tops` are where the rows begin and the last one ends, as shares of the plot's height (r + 1,), equal rows where
    there are none. With `at_marks` the places are the plot's own points, in the order in which they are drawn.
    A plot without cells, such as a key, has nothing to be read out.
    """

    columns: Sequence[str] = ()
    cells: Sequence[Sequence[str]] = ()
    edges: Sequence[float] = ()
    lines: Sequence[str] = ()
    tops: Sequence[float] = ()
    over: int = 1
    even: bool = False
    at_marks: bool = False

    def __post_init__(self) -> None:
        """Refuse rows, columns and edges that do not belong together."""
        fits = all(len(row) == len(self.columns) for row in self.cells)
        fits &= not self.lines or len(self.lines) == len(self.cells)
        fits &= not self.edges or len(self.edges) == len(self.columns) + 1
        fits &= not self.tops or len(self.tops) == len(self.cells) + 1
        if not fits:
            raise OwnFault("words of a plot: wanted one cell for each column in each row, and one edge more than columns")


@dataclass(frozen=True, slots=True)
class Zoom:
    """How a stretch from `first` to `last` is drawn larger: `part` makes the picture between two ends, in the same units.

    Ends are taken in whole steps of `every`, never nearer to each other than `least`. `figures` makes the table of what is drawn
    between two ends, where the picture that `part` makes has none of its own.
    """

    first: float
    last: float
    every: float
    least: float
    part: Callable[[float, float], Picture]
    figures: Callable[[float, float], Table] | None = None

    def ends(self, begin: float, end: float) -> tuple[float, float] | None:
        """The ends of a stretch that is asked for in whole steps and within the picture, None where it is none of it."""
        if not (begin < end and begin < self.last and end > self.first):
            return None
        # What is asked for may be any number at all: it is cut before it is rounded.
        begin, end = max(begin, self.first), min(end, self.last)
        # A tenth of a percent is no binary number: an end that lies on a step but for that stays on it.
        low = self.first + self.every * floor((begin - self.first) / self.every + _ON_STEP)
        high = self.first + self.every * ceil((end - self.first) / self.every - _ON_STEP)
        low = max(min(low, self.last - self.least), self.first)
        return low, min(max(high, low + self.least), self.last)


@dataclass(frozen=True, slots=True)
class Reading:
    """What is read out of a picture: `plots` makes the words of its plots, in the order in which they are drawn.

    The words are made only when somebody asks for them. `zoom` draws a stretch of the picture larger, where that makes sense.
    """

    plots: Callable[[], Sequence[Plot]]
    zoom: Zoom | None = field(default=None)


def reading_json(picture: Picture, zoom: Zoom | None) -> dict[str, Any]:
    """What a page's script reads out of a picture: its words, and how far the `zoom` of the whole picture goes."""
    plots = () if picture.reading is None else picture.reading.plots()
    told: dict[str, Any] = {"title": picture.title, "alt": picture.alt, "step": picture.step}
    told["plots"] = [
        {
            "columns": list(one.columns), "cells": [list(row) for row in one.cells], "edges": list(one.edges),
            "lines": list(one.lines), "tops": list(one.tops), "over": one.over, "even": one.even, "marks": one.at_marks,
        }
        for one in plots
    ]  # fmt: skip
    told["zoom"] = None if zoom is None else {"first": zoom.first, "last": zoom.last, "every": zoom.every}
    return told


def joined(*parts: str) -> str:
    """The parts that are not empty, with commas between them."""
    return ", ".join(part for part in parts if part)


def with_unit(title: str, figure: str) -> str:
    """A figure under the title of its axis, the unit after the last comma put behind it: "left over, kWh" and "2" to words."""
    name, _, unit = title.rpartition(", ")
    return f"{name} {figure}\N{NARROW NO-BREAK SPACE}{unit}" if name else f"{title} {figure}"


def kilowatts(power_w: float, mark: str) -> str:
    """A power in kW with three decimals and the given decimal mark; hundreds are asked for at once."""
    return f"{power_w / 1000:.3f}\N{NARROW NO-BREAK SPACE}kW".replace(".", mark).replace("-", "\N{MINUS SIGN}")
