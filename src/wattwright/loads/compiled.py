"""Loads as rows of flat arrays, ready for the engine."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from wattwright.loads.columns import LONG_AGO_S, PARAMS, S_SINCE, STATES

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True, eq=False)
class CompiledLoad:
    """One load: its kind, parameters (PARAMS,) and state at the start (STATES,), by the columns of loads.columns and its kind."""

    id: str
    kind: int
    params: Floats
    state: Floats


@dataclass(frozen=True, slots=True, eq=False)
class Stacked:
    """Several loads: ``kinds`` (n,), ``params`` (n, PARAMS) and ``states`` (n, STATES)."""

    ids: tuple[str, ...]
    kinds: NDArray[np.int64]
    params: Floats
    states: Floats


def row(id_: str, kind: int, params: dict[int, float], state: dict[int, float] | None = None) -> CompiledLoad:
    """Return a load from the columns that are not nought."""
    held, begins = np.zeros(PARAMS), np.zeros(STATES)
    begins[S_SINCE] = LONG_AGO_S
    for column, value in params.items():
        held[column] = value
    for column, value in (state or {}).items():
        begins[column] = value
    return CompiledLoad(id_, kind, held, begins)


def stack(loads: Sequence[CompiledLoad]) -> Stacked:
    """Return the loads one below the other."""
    return Stacked(
        tuple(one.id for one in loads),
        np.array([one.kind for one in loads], np.int64),
        np.array([one.params for one in loads]).reshape(len(loads), PARAMS),
        np.array([one.state for one in loads]).reshape(len(loads), STATES),
    )
