"""Base temperatures: those from which on use grows with cold or warmth, sought beside levels that stand in other columns."""

from typing import Any

import numpy as np
from numpy.typing import NDArray

from wattwright.core.series import Floats
from wattwright.proof.models.record import UseRecord

_PLACES, _FINER, _ROUNDS = 13, 5, 13
_EDGE = 0.05
"""No base lies beyond these shares of the temperatures: there no slope can be told."""
_APART = 1e-9
"""Of two columns that are more alike than this nothing can be told apart."""


def mean_kelvins(above_k: Floats) -> Floats:
    """Return the mean of what lies above nought in each row, NaN left out: degree-days a day, shape (n,).

    Raises ValueError where the rows hold nothing.
    """
    if not above_k.shape[1]:
        raise ValueError("no temperature is known")
    there = ~np.isnan(above_k)
    mean: Floats = np.where(there, np.maximum(above_k, 0.0), 0.0).sum(axis=1) / there.sum(axis=1)
    return mean


def kelvins(parts_c: Floats, heating_c: float, cooling_c: float) -> list[Floats]:
    """Return kelvins under ``heating_c`` and over ``cooling_c`` of temperatures (n, k), each (n,); none of a base that is NaN."""
    told = [] if np.isnan(heating_c) else [mean_kelvins(heating_c - parts_c)]
    return told if np.isnan(cooling_c) else [*told, mean_kelvins(parts_c - cooling_c)]


def bases(record: UseRecord, parts_c: Floats, levels: Floats, *, heating: bool, cooling: bool) -> tuple[float, float]:
    """Return the bases of heating and of cooling, degC, that leave the least squares; NaN for one that is not asked for.

    ``parts_c`` are temperatures (n, k), ``levels`` the other columns (n, q), of which each row has one that is not nought, and
    each column a row; all are solved anew at each base. By a grid drawn closer about the best of it; the base of heating never
    lies above that of cooling.
    """
    low, high = (float(one) for one in np.nanquantile(parts_c, (_EDGE, 1 - _EDGE)))
    from scipy.sparse import csr_array

    # What the levels explain is taken off both sides, so that one or two unknowns are left at each place. Levels stand at right
    # angles, and most of them are nought.
    free = csr_array(levels / np.sqrt((levels**2).sum(axis=0)))
    energy = _beside(free, record.energy_kwh[:, None])[:, 0]
    grid = np.linspace(low, high, _PLACES)
    grids, step = [grid, grid], (high - low) / (_PLACES - 1)
    best = (low, high)
    for _ in range(_ROUNDS):
        # Columns of noughts explain nothing, wherever a base that is not asked for may lie.
        cold = heating * _columns(record, parts_c, grids[0], free, sign=-1.0)
        warm = cooling * _columns(record, parts_c, grids[1], free, sign=1.0)
        best = _best(cold, warm, energy, grids)
        step /= 2
        grids = [np.clip(one + step * np.arange(-2, _FINER - 2), low, high) for one in best]
    return (best[0] if heating else float("nan")), (best[1] if cooling else float("nan"))


def _beside(free: Any, columns: Floats) -> Floats:
    left: Floats = columns - free @ (free.T @ columns)
    return left


def _columns(record: UseRecord, parts_c: Floats, at_c: Floats, free: Floats, *, sign: float) -> Floats:
    # What is not known adds nothing to a sum, and is filled once rather than looked for at every place.
    above, lengths = sign * np.where(np.isnan(parts_c), -sign * np.inf, parts_c), record.days / (~np.isnan(parts_c)).sum(axis=1)
    made = np.stack([np.maximum(above - sign * one, 0.0).sum(axis=1) for one in at_c.tolist()])
    return _beside(free, np.ascontiguousarray((made * lengths).T))


def _best(cold: Floats, warm: Floats, energy: Floats, grids: list[Floats]) -> tuple[float, float]:
    """Return the places of the grids at which the columns explain most of the energy."""
    of_cold, of_warm = _alone(cold, energy), _alone(warm, energy)
    one, two, between = (cold**2).sum(axis=0)[:, None], (warm**2).sum(axis=0)[None], cold.T @ warm
    of_one, of_two = (cold.T @ energy)[:, None], (warm.T @ energy)[None]
    apart = one * two - between**2
    clear: NDArray[np.bool_] = apart > _APART * one * two
    both = (two * of_one**2 - 2 * between * of_one * of_two + one * of_two**2) / np.where(clear, apart, 1.0)
    explained = np.where(clear, both, np.maximum(of_cold[:, None], of_warm[None]))
    explained = np.where(grids[0][:, None] <= grids[1][None], explained, -1.0)
    first, second = np.unravel_index(int(np.argmax(explained)), explained.shape)
    return float(grids[0][first]), float(grids[1][second])


def _alone(columns: Floats, energy: Floats) -> Floats:
    """Return what each column alone explains of the energy, squares, shape (places,); nought of a column of noughts."""
    squares = (columns**2).sum(axis=0)
    alone: Floats = np.where(squares > 0, (columns.T @ energy) ** 2 / np.where(squares > 0, squares, 1.0), 0.0)
    return alone
