"""Hatching by geometry: the diagonal strokes that fill rectangles, so that a pattern shows in any drawing.

The chart language has no fill patterns; strokes cut at the rectangle's edges do the same in SVG, PNG and PDF. All rectangles
share one family of lines, so neighbours read as one hatched area.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np

__all__ = ["Box", "boxes_path", "hatch_path", "merged_boxes"]


@dataclass(frozen=True, slots=True)
class Box:
    """A rectangle in px: left, top, right, bottom, with top above (less than) bottom."""

    left: float
    top: float
    right: float
    bottom: float


def hatch_path(boxes: Iterable[Box], spacing_px: float = 4.0, rising: bool = True) -> str:
    """SVG path of strokes at 45 degrees, `spacing_px` apart (across the strokes), cut to the boxes; empty without boxes."""
    step = spacing_px * 2.0**0.5
    strokes = []
    for box in boxes:
        # On the line number k: x + y = k * step (rising to the right) or x - y = k * step (falling).
        low, high = (box.left + box.top, box.right + box.bottom) if rising else (box.left - box.bottom, box.right - box.top)
        for k in range(int(np.floor(low / step)) + 1, int(np.ceil(high / step))):
            c = k * step
            if rising:
                x0, x1 = max(box.left, c - box.bottom), min(box.right, c - box.top)
                y0, y1 = c - x0, c - x1
            else:
                x0, x1 = max(box.left, c + box.top), min(box.right, c + box.bottom)
                y0, y1 = x0 - c, x1 - c
            if x1 > x0:
                strokes.append(f"M{x0:.1f},{y0:.1f}L{x1:.1f},{y1:.1f}")
    return "".join(strokes)


def boxes_path(boxes: Iterable[Box], overlap_px: float = 0.0) -> str:
    """SVG path of filled boxes, each made `overlap_px` wider to the right so that no seam of paper shows between neighbours."""
    return "".join(f"M{b.left:.2f},{b.top:.2f}H{b.right + overlap_px:.2f}V{b.bottom:.2f}H{b.left:.2f}Z" for b in boxes)


def merged_boxes(cells: np.ndarray[tuple[int, int], np.dtype[np.bool_]], width_px: float, height_px: float) -> list[Box]:
    """Boxes that cover exactly the true cells (columns, rows) of a grid of the given px size.

    Runs down a column become one box, and equal runs of neighbouring columns are joined.
    """
    columns, rows = cells.shape
    across, down = width_px / columns, height_px / rows
    open_runs: dict[tuple[int, int], int] = {}
    boxes: list[Box] = []
    for day in range(columns + 1):
        runs = _runs(cells[day]) if day < columns else set()
        for run in [run for run in open_runs if run not in runs]:
            start = open_runs.pop(run)
            boxes.append(Box(start * across, run[0] * down, day * across, run[1] * down))
        for run in runs - open_runs.keys():
            open_runs[run] = day
    return sorted(boxes, key=lambda b: (b.left, b.top))


def _runs(column: np.ndarray[tuple[int], np.dtype[np.bool_]]) -> set[tuple[int, int]]:
    """(first, one past last) of each run of true cells."""
    edges = np.flatnonzero(np.diff(np.concatenate(([False], column, [False])).astype(np.int8)))
    return {(int(a), int(b)) for a, b in zip(edges[::2], edges[1::2], strict=True)}
