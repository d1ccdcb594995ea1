"""Units as they stand in meter files, and how a unit is found in a column's name."""

import re
from collections.abc import Mapping

from wattwright.core.quantity import Quantity
from wattwright.record.record import Form

UNITS: Mapping[str, tuple[Quantity, Form, float]] = {
    "W": (Quantity.ACTIVE_POWER, Form.MEAN, 1.0),
    "kW": (Quantity.ACTIVE_POWER, Form.MEAN, 1e3),
    "MW": (Quantity.ACTIVE_POWER, Form.MEAN, 1e6),
    "Wh": (Quantity.ACTIVE_POWER, Form.ENERGY, 1.0),
    "kWh": (Quantity.ACTIVE_POWER, Form.ENERGY, 1e3),
    "MWh": (Quantity.ACTIVE_POWER, Form.ENERGY, 1e6),
    "var": (Quantity.REACTIVE_POWER, Form.MEAN, 1.0),
    "kvar": (Quantity.REACTIVE_POWER, Form.MEAN, 1e3),
    "varh": (Quantity.REACTIVE_POWER, Form.ENERGY, 1.0),
    "kvarh": (Quantity.REACTIVE_POWER, Form.ENERGY, 1e3),
    "VA": (Quantity.APPARENT_POWER, Form.MEAN, 1.0),
    "kVA": (Quantity.APPARENT_POWER, Form.MEAN, 1e3),
    "VAh": (Quantity.APPARENT_POWER, Form.ENERGY, 1.0),
    "kVAh": (Quantity.APPARENT_POWER, Form.ENERGY, 1e3),
    "V": (Quantity.VOLTAGE, Form.MEAN, 1.0),
    "A": (Quantity.CURRENT, Form.MEAN, 1.0),
    "mA": (Quantity.CURRENT, Form.MEAN, 1e-3),
    "Hz": (Quantity.FREQUENCY, Form.MEAN, 1.0),
    "°C": (Quantity.TEMPERATURE, Form.MEAN, 1.0),
    "degC": (Quantity.TEMPERATURE, Form.MEAN, 1.0),
    "°F": (Quantity.TEMPERATURE, Form.MEAN, 5 / 9),
    "degF": (Quantity.TEMPERATURE, Form.MEAN, 5 / 9),
    "degK": (Quantity.TEMPERATURE, Form.MEAN, 1.0),
    "%RH": (Quantity.HUMIDITY, Form.MEAN, 1.0),
    "m3/m3": (Quantity.SOIL_MOISTURE, Form.MEAN, 1.0),
    "m³/m³": (Quantity.SOIL_MOISTURE, Form.MEAN, 1.0),
    "%vol": (Quantity.SOIL_MOISTURE, Form.MEAN, 0.01),
}
"""Unit as written: quantity, form, factor to the unit held (Wh for energies)."""

OFFSETS: Mapping[str, float] = {"°F": -160 / 9, "degF": -160 / 9, "degK": -273.15}
"""What is added after the factor, where a unit begins elsewhere than the one held."""

BARE: Mapping[Quantity, Mapping[str, str]] = {
    # A name of small letters, such as power_w, writes its unit small as well.
    Quantity.ACTIVE_POWER: {"W": "W"},
    Quantity.VOLTAGE: {"V": "V"},
    Quantity.CURRENT: {"A": "A", "mA": "mA"},
    Quantity.TEMPERATURE: {"C": "degC", "F": "degF", "K": "degK", "Celsius": "degC", "Fahrenheit": "degF", "Kelvin": "degK"},
    Quantity.HUMIDITY: {"%": "%RH"},
    Quantity.SOIL_MOISTURE: {"%": "%vol", "1": "m3/m3"},
}
"""Signs that are a unit only where the name tells the quantity."""

_BY_FOLDED = {unit.lower(): unit for unit in UNITS if unit not in ("MW", "MWh", "mA")}
_LETTERED = ("phase", "leg", "line", "channel", "clamp", "ct")


def known_unit(text: str) -> str:
    """Return the unit that ``text`` is, whatever the case of its letters where that leaves no doubt, or an empty text."""
    return text if text in UNITS else _BY_FOLDED.get(text.lower(), "")


def unit_in(name: str) -> str:
    """Return the unit written in a column's name, the one in brackets first, or an empty text."""
    bracketed = (known_unit(text.strip(" .")) for text in re.findall(r"[\[(]([^\])]+)[\])]", name))
    first = next((unit for unit in bracketed if unit), "")
    if first:
        return first
    loose = [text.strip(" .") for text in re.split(r"[\s_,/:\[\]()-]+", name)]
    for index in range(len(loose) - 1, -1, -1):
        text = loose[index]
        if len(text) == 1 and (index + 1 < len(loose) or (index and loose[index - 1].lower() in _LETTERED)):
            # A letter alone, such as the A of "phase A", is a unit only where it closes the name.
            continue
        if text in UNITS or (len(text) > 1 and known_unit(text)):
            return known_unit(text)
    return ""


def bare_unit_in(name: str, quantity: Quantity) -> str:
    """Return the unit of ``quantity`` for which a sign at the end of a column's name or in brackets stands, or an empty text."""
    known = {sign.lower(): unit for sign, unit in BARE.get(quantity, {}).items()}
    told = [*re.findall(r"[\[(]([^\])]+)[\])]", name), re.split(r"[\s_,:\[\]()-]+", name.strip(" _,:])"))[-1]]
    return next((known[text.strip(" .°").lower()] for text in told if text.strip(" .°").lower() in known), "")
