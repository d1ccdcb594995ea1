"""Fewer points for a drawing, without losing a peak or a trough."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from wattwright.core.errors import OwnFault

__all__ = ["Columns", "minmax_columns"]


@dataclass(frozen=True, slots=True, eq=False)
class Columns:
    """Each pixel column's first index into the values (k+1,), least and greatest value (k,); NaN where all are missing."""

    edges: NDArray[np.int64]
    least: NDArray[np.float64]
    greatest: NDArray[np.float64]


def minmax_columns(values: ArrayLike, columns: int) -> Columns:
    """The least and greatest of each of `columns` nearly equal parts of `values` (n,), in order.

    Missing values (NaN) are passed over. With fewer values than columns each value has its own column. Raises OwnFault for
    columns below 1 or values that are not of one dimension.
    """
    array = np.asarray(values, dtype=np.float64)
    if columns < 1 or array.ndim != 1:
        raise OwnFault(f"wanted a row of values and at least 1 column, got shape {array.shape} and {columns} columns")
    count = min(columns, len(array))
    edges = np.arange(count + 1, dtype=np.int64) * len(array) // max(count, 1)
    if count == 0:
        return Columns(edges, np.empty(0), np.empty(0))
    # fmin and fmax pass over a missing value as long as there is another.
    return Columns(edges, np.fmin.reduceat(array, edges[:-1]), np.fmax.reduceat(array, edges[:-1]))
