"""What a load's sensor shows, in words: the column S_VALUE by kind."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from wattwright.loads import (
    air_kernels as air,
    cold_kernels as cold,
    greenhouse_kernels as green,
    room_kernels as room,
    soil_kernels as soil,
    tank_kernels as tank,
)
from wattwright.loads.columns import AIR, CHARGER, COLD_STORE, GREENHOUSE, PLAIN, PUMP, ROOM, SOIL, TANK
from wattwright.loads.compiled import CompiledLoad

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Sensed:
    """A sensor's place and unit (both empty for a load without one), and the values wanted there, each with its words."""

    place: str
    unit: str
    wanted: tuple[tuple[str, float], ...]


def sensed(load: CompiledLoad) -> Sensed:
    """Return what the load's sensor shows."""
    place, unit, wanted = _SENSORS[load.kind]
    values = tuple((words, value) for words, value in wanted(load.params) if np.isfinite(value))
    return Sensed(place, unit, values)


def _nothing(_: Floats) -> list[tuple[str, float]]:
    return []


_SENSORS: Final[Mapping[int, tuple[str, str, Callable[[Floats], list[tuple[str, float]]]]]] = {
    TANK: (
        "at its thermostat",
        "degC",
        lambda p: [("off", p[tank.P_SET_C]), ("on", p[tank.P_SET_C] - p[tank.P_DIFFERENTIAL_K])],
    ),
    ROOM: ("inside", "degC", lambda p: [("lowest wanted", p[room.P_LOW_C]), ("highest wanted", p[room.P_HIGH_C])]),
    COLD_STORE: ("of the goods", "degC", lambda p: [("limit", p[cold.P_LIMIT_C])]),
    AIR: ("inside", "% RH", lambda p: [("limit", 100.0 * p[air.P_LIMIT])]),
    SOIL: ("depletion", "mm", lambda p: [("readily available", p[soil.P_DEPLETABLE] * p[soil.P_TAW_MM])]),
    PUMP: ("turnovers today", "", _nothing),
    CHARGER: ("still wanted", "kWh", _nothing),
    GREENHOUSE: ("inside", "degC", lambda p: [("lowest wanted", p[green.P_LOW_C]), ("highest wanted", p[green.P_HIGH_C])]),
    PLAIN: ("", "", _nothing),
}
