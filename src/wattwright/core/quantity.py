"""What a channel measures: quantity, conductor and direction of flow."""

from enum import StrEnum


class Quantity(StrEnum):
    """A measured quantity, with the unit its values are held in."""

    ACTIVE_POWER = "active power"
    REACTIVE_POWER = "reactive power"
    APPARENT_POWER = "apparent power"
    VOLTAGE = "voltage"
    CURRENT = "current"
    POWER_FACTOR = "power factor"
    FREQUENCY = "frequency"
    TEMPERATURE = "temperature"
    HUMIDITY = "relative humidity"
    SOIL_MOISTURE = "soil moisture"
    CONTACT = "contact state"

    @property
    def unit(self) -> str:
        """Return the unit the values are held in: powers are means over the interval."""
        return _UNITS[self]


_UNITS = {
    Quantity.ACTIVE_POWER: "W",
    Quantity.REACTIVE_POWER: "var",
    Quantity.APPARENT_POWER: "VA",
    Quantity.VOLTAGE: "V",
    Quantity.CURRENT: "A",
    Quantity.POWER_FACTOR: "1",
    Quantity.FREQUENCY: "Hz",
    Quantity.TEMPERATURE: "degC",
    Quantity.HUMIDITY: "%",
    Quantity.SOIL_MOISTURE: "m3/m3",
    Quantity.CONTACT: "1",
}


class Phase(StrEnum):
    """The conductor or set of conductors a channel sees (IEC 60445 marks; A and B are split-phase legs)."""

    TOTAL = "total"
    L1 = "L1"
    L2 = "L2"
    L3 = "L3"
    LEG_A = "A"
    LEG_B = "B"
    NEUTRAL = "N"
    UNKNOWN = "unknown"


class Direction(StrEnum):
    """Which way energy is counted, as seen from the supply (ESPI flowDirection: forward, reverse, net)."""

    IMPORT = "import"
    EXPORT = "export"
    NET = "net"
    NONE = "none"
