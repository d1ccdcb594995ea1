"""What a load did not give, in words and a unit that a person knows."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from wattwright.loads.columns import AIR, CHARGER, COLD_STORE, GREENHOUSE, PUMP, ROOM, SOIL, TANK

Floats = NDArray[np.float64]
_HOUR_S = 3600.0
_REACHED_K = 1.0
"""Heated through up to this: values are those at the ends of steps, and some may be drawn behind the highest one."""


@dataclass(frozen=True, slots=True)
class Comfort:
    """Service that a load did not give: ``amount`` in ``unit``, and ``what`` it is."""

    amount: float
    unit: str
    what: str


_WORDS = {
    TANK: (1.0, "litre", "drawn below use temperature"),
    ROOM: (_HOUR_S, "K h", "outside the wanted temperatures"),
    COLD_STORE: (_HOUR_S, "K h", "of goods warmer than their limit"),
    AIR: (_HOUR_S, "% h", "of air damper than its limit"),
    SOIL: (1.0, "mm", "of evapotranspiration lost to drought"),
    PUMP: (1.0, "m³", "of water not filtered"),
    CHARGER: (1.0, "kWh", "missing at departures"),
    GREENHOUSE: (_HOUR_S, "K h", "outside what the plants bear"),
}
"""What one unit is of what a load counts, by kind; what S_UNMET counts stands in each kind's kernel module."""


def comfort(kind: int, unmet: float) -> Comfort | None:
    """Return the service a load of a kind did not give; None for kinds that give none."""
    if kind not in _WORDS:
        return None
    one, unit, what = _WORDS[kind]
    return Comfort(unmet / one, unit, what)


def heat_ups(values: Floats, raised_c: Floats) -> tuple[list[float], int]:
    """Return how far a tank came, degC, each time it should have been heated through and was not, and how often it should.

    ``values`` (n,) are those of its thermostat at the ends of steps, ``raised_c`` (n,) what is asked, 0 where nothing is.
    """
    edges = np.flatnonzero(np.diff((raised_c > 0.0).astype(np.int8), prepend=0, append=0)).reshape(-1, 2)
    reached = [(float(values[a:b].max()), float(raised_c[a:b].max())) for a, b in edges]
    return [seen for seen, to_c in reached if seen < to_c - _REACHED_K], len(reached)
