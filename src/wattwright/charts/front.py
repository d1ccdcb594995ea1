"""Options as points: what each costs against what it leaves undone, the fronts they lie on, and the one that is quoted."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import partial
from typing import Any

import altair as alt

from wattwright.charts import parts
from wattwright.charts.palette import light
from wattwright.charts.picture import COLUMN_PX, NARROW_PX, Caption, Picture
from wattwright.charts.reading import Plot, Reading, with_unit
from wattwright.charts.words import ENGLISH, ChartWords
from wattwright.core.errors import OwnFault

__all__ = ["Front", "front_lines"]

_HEIGHT = 210
_SIZE = 34


@dataclass(frozen=True, slots=True)
class Front:
    """The points of one set of rules, the cheapest first: (cost, what is left) each; `chosen` is the place of the one quoted."""

    name: str
    points: tuple[tuple[float, float], ...]
    chosen: int | None = None


def front_lines(
    caption: Caption, fronts: Sequence[Front], cost_title: str, left_title: str, words: ChartWords = ENGLISH
) -> Picture:
    """Fronts as dotted lines through their points over cost; the point that is quoted is filled and named.

    Raises OwnFault if there is no front, or one without a point.
    """
    if not fronts or not all(one.points for one in fronts):
        raise OwnFault(f"picture '{caption.id}': wanted at least one front, each with a point")
    every = [point for one in fronts for point in one.points]
    costs, top = [cost for cost, _ in every], parts.nice_top(max(left for _, left in every))
    # Where all of them cost much, the axis begins near the cheapest: what counts is how they differ.
    spare = 0.06 * (max(costs) - min(costs)) or 0.1 * max(costs, default=1.0) or 1.0
    left, right = max(0.0, min(costs) - spare) if min(costs) > max(costs) / 3.0 else 0.0, max(costs) + spare

    def drawn(width_px: int) -> dict[str, Any]:
        inner = width_px - parts.LEFT_PX - parts.RIGHT_PX
        x = alt.X(
            "s:Q", axis=parts.level_axis(cost_title, tickCount=5), scale=alt.Scale(domain=[left, right], nice=True, zero=False)
        )
        y = parts.value_scale(top, left_title)
        layers: list[alt.Chart] = []
        for one, dash, role in zip(fronts, ([], [4, 3]), ("accent", "quiet"), strict=False):
            layers += _front(one, dash, role, x, y)
        keys = [
            parts.Key(one.name, light(role), tuple(dash))
            for one, dash, role in zip(fronts, ([], [4, 3]), ("accent", "quiet"), strict=False)
        ]
        plot = parts.layered(layers, inner, _HEIGHT)
        return parts.finished(alt.vconcat(plot, parts.key(keys, inner), spacing=14), words)

    return caption.picture(
        drawn(COLUMN_PX), COLUMN_PX, drawn(NARROW_PX), Reading(partial(_told, fronts[:2], (cost_title, left_title), words))
    )


def _told(fronts: Sequence[Front], titles: tuple[str, str], words: ChartWords) -> tuple[Plot, ...]:
    """Each point with both its figures, in the order in which they are drawn: the one that is quoted again after its front."""
    columns, cells = [], []
    for one in fronts:
        told = [
            "; ".join(with_unit(name, words.figure(round(v, 2))) for name, v in zip(titles, at, strict=True)) for at in one.points
        ]
        quoted = [] if one.chosen is None else [f"{told[one.chosen]}; {words.quoted}"]
        cells += [*told, *quoted]
        columns += [one.name] * (len(told) + len(quoted))
    return (Plot(columns, [cells], at_marks=True),)


def _front(one: Front, dash: list[int], role: str, x: alt.X, y: alt.Y) -> list[alt.Chart]:
    rows = [{"s": cost, "p": left} for cost, left in one.points]
    source = alt.Chart(parts.data(rows))
    look: dict[str, Any] = {"color": light(role), "strokeWidth": 1.3, "strokeDash": dash, "interpolate": "step-after"}
    layers = [source.mark_line(**look).encode(x=x, y=y)]
    ring: dict[str, Any] = {
        "size": _SIZE,
        "filled": True,
        "fill": light("paper"),
        "stroke": light(role),
        "strokeWidth": 1.2,
        "opacity": 1,
    }
    layers.append(source.mark_point(**ring).encode(x=x, y=y))
    if one.chosen is not None:
        dot = alt.Chart(parts.data([rows[one.chosen]]))
        layers.append(dot.mark_point(size=2 * _SIZE, filled=True, fill=light(role), opacity=1).encode(x=x, y=y))
    return layers
