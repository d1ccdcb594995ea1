"""A linear programme put together block by block, and solved by HiGHS."""

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from wattwright.core.errors import OwnFault

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Term = tuple[Ints, Floats | float]
"""One entry in each row of a block: the column and its coefficient, (r,)."""


@dataclass(frozen=True, slots=True, eq=False)
class Solution:
    """The least value of the objective, and the value of each column."""

    value: float
    columns: Floats


@dataclass(slots=True, eq=False)
class Linear:
    """Columns and rows so far: least cost'x with low <= x <= high and least <= A x <= most."""

    constant: float = 0.0
    _columns: list[tuple[Floats, Floats, Floats]] = field(default_factory=list)
    _rows: list[tuple[Floats, Floats]] = field(default_factory=list)
    _entries: list[tuple[Ints, Ints, Floats]] = field(default_factory=list)
    _count: int = 0
    _height: int = 0
    _extra: list[tuple[Ints, Floats]] = field(default_factory=list)

    def columns(self, count: int, low: Floats | float = 0.0, high: Floats | float = np.inf, cost: Floats | float = 0.0) -> Ints:
        """Add ``count`` columns and return their numbers."""
        self._columns.append((_wide(low, count), _wide(high, count), _wide(cost, count)))
        first, self._count = self._count, self._count + count
        return np.arange(first, self._count, dtype=np.int64)

    def price(self, columns: Ints, cost: Floats | float) -> None:
        """Add to the cost of columns that are there already."""
        self._extra.append((columns, _wide(cost, len(columns))))

    def rows(self, terms: Sequence[Term], least: Floats | float, most: Floats | float) -> None:
        """Add rows, each the sum of its entry in every term, between ``least`` and ``most``."""
        count = len(terms[0][0])
        numbers = np.arange(self._height, self._height + count, dtype=np.int64)
        self._height += count
        self._rows.append((_wide(least, count), _wide(most, count)))
        self._entries += [(numbers, columns, _wide(values, count)) for columns, values in terms]

    def row(self, columns: Ints, values: Floats | float, least: float, most: float) -> None:
        """Add one row over many columns."""
        number = np.full(len(columns), self._height, np.int64)
        self._height += 1
        self._rows.append((np.array([least]), np.array([most])))
        self._entries.append((number, columns, _wide(values, len(columns))))

    def solve(self) -> Solution:
        """Return the least value; raises OwnFault where there is none, since every bound holds what today does."""
        import highspy

        low, high, cost = (np.concatenate([one[k] for one in self._columns]) for k in range(3))
        for columns, more in self._extra:
            np.add.at(cost, columns, more)
        solver = highspy.Highs()
        solver.silent()
        solver.setOptionValue("threads", 1)
        solver.passModel(self._model(low, high, cost))
        solver.run()
        status = solver.getModelStatus()
        if status != highspy.HighsModelStatus.kOptimal:
            raise OwnFault(f"the linear programme of the bound has no optimum: {solver.modelStatusToString(status)}")
        found = np.asarray(solver.getSolution().col_value)
        return Solution(float(solver.getInfo().objective_function_value) + self.constant, found)

    def _model(self, low: Floats, high: Floats, cost: Floats) -> object:
        import highspy
        from scipy.sparse import coo_matrix

        shape = (self._height, self._count)
        at, of, values = (np.concatenate([one[k] for one in self._entries]) for k in range(3))
        matrix = coo_matrix((values, (at, of)), shape=shape).tocsc()
        made = highspy.HighsLp()
        made.num_col_, made.num_row_ = shape[1], shape[0]
        made.col_cost_, made.col_lower_, made.col_upper_ = cost, low, high
        made.row_lower_, made.row_upper_ = (np.concatenate([one[k] for one in self._rows]) for k in range(2))
        made.a_matrix_.start_, made.a_matrix_.index_, made.a_matrix_.value_ = matrix.indptr, matrix.indices, matrix.data
        made.a_matrix_.format_ = highspy.MatrixFormat.kColwise
        return made


def _wide(value: Floats | float, count: int) -> Floats:
    return np.ascontiguousarray(np.broadcast_to(np.asarray(value, np.float64), (count,)))
