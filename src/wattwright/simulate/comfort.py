"""What a load did not give, in words and a unit that a person knows."""

from dataclasses import dataclass

from wattwright.loads.columns import AIR, CHARGER, COLD_STORE, GREENHOUSE, PUMP, ROOM, SOIL, TANK

_HOUR_S = 3600.0


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
