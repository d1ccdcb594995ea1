"""Lines of a picture: what they stand for, how their basis is drawn, and labels that do not touch."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from wattwright.charts.palette import BASIS_DASHES, dash, light
from wattwright.core.basis import Basis

__all__ = ["Line", "line_style", "spread"]


@dataclass(frozen=True, slots=True)
class Line:
    """One line: its name (the direct label), power in W (NaN for a gap), the series role, and the basis of its values."""

    name: str
    power_w: ArrayLike
    role: str = "demand"
    basis: Basis = Basis.MEASURED


def line_style(line: Line, alone: bool) -> dict[str, Any]:
    """Mark properties of a line: its role's colour, and a dash.

    Alone, the dash says the basis. In company it says the role, so that two lines differ without colour; what is simulated or
    assumed then has the role's dash with gaps twice as wide, what is estimated stays dotted.
    """
    pattern = BASIS_DASHES[line.basis] if alone else _in_company(line)
    return {"color": light(line.role), "strokeWidth": 1.3, **({"strokeDash": list(pattern)} if pattern else {})}


def _in_company(line: Line) -> tuple[float, ...]:
    role, basis = tuple(dash(line.role)), BASIS_DASHES[line.basis]
    if line.basis is Basis.ESTIMATED or not role:
        return basis
    return tuple(on_or_gap * (1 + i % 2) for i, on_or_gap in enumerate(role)) if basis else role


def spread(places: Sequence[float], gap: float) -> NDArray[np.float64]:
    """Places moved apart as little as needed so that neighbours are at least `gap` apart, their order kept.

    The least squares answer: groups that would touch are centred on their mean (pool adjacent violators).
    """
    order = np.argsort(np.asarray(places, dtype=np.float64), kind="stable")
    level = [float(places[i]) - rank * gap for rank, i in enumerate(order)]
    blocks: list[tuple[float, int]] = []
    for value in level:
        blocks.append((value, 1))
        while len(blocks) > 1 and blocks[-2][0] > blocks[-1][0]:
            (a, n), (b, m) = blocks[-2:]
            blocks[-2:] = [((a * n + b * m) / (n + m), n + m)]
    flat = [mean for mean, count in blocks for _ in range(count)]
    out = np.empty(len(order))
    out[order] = [value + rank * gap for rank, value in enumerate(flat)]
    return out
