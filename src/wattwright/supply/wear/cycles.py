"""Cycles in a course of charge, counted by rainflow (ASTM E1049-85, 5.4.4) with the library ``rainflow``.

What is left open at the end counts as half cycles, as the standard has it; the course is not closed upon itself.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Places = NDArray[np.int64]


@dataclass(frozen=True, slots=True, eq=False)
class Cycles:
    """Cycles in the order in which they close, shape (m,) each.

    ``depth_share`` is from the highest to the lowest charge of a cycle, there and back; ``mean_share`` lies midway; ``counts``
    are 1 or 0.5. ``first`` and ``last`` are the places in the course between which half of the cycle lies.
    """

    depth_share: Floats
    mean_share: Floats
    counts: Floats
    first: Places
    last: Places

    @property
    def full_cycles(self) -> float:
        """Return the equivalent full cycles: depth times count, added up; always half of all that the charge moved."""
        return float(self.depth_share @ self.counts)


def count_cycles(charge_share: Floats) -> Cycles:
    """Return the cycles of a course of charge, shape (n,), shares of the usable whole at successive instants."""
    from rainflow import extract_cycles

    course = np.asarray(charge_share, np.float64)
    turns = _turns(course)
    values = course[turns]
    # The library passes over a course of two points; the last one once more changes no range.
    found = np.array(list(extract_cycles(np.append(values, values[-1:]).tolist()))).reshape(-1, 5)
    places = turns[np.minimum(found[:, 3:].astype(np.int64), len(turns) - 1)] if len(turns) else np.empty((0, 2), np.int64)
    return Cycles(found[:, 0], found[:, 1], found[:, 2], places[:, 0], places[:, 1])


def _turns(values: Floats) -> Places:
    """Return the places where the course begins, turns and ends; none in a course that never moves."""
    moves = np.flatnonzero(np.diff(values))
    if not len(moves):
        return np.empty(0, np.int64)
    rises = values[moves + 1] > values[moves]
    return np.concatenate((moves[:1], moves[1:][rises[1:] != rises[:-1]], moves[-1:] + 1))
