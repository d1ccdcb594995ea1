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
    "%RH": (Quantity.HUMIDITY, Form.MEAN, 1.0),
}
"""Unit as written: quantity, form, factor to the unit held (Wh for energies)."""

_BY_FOLDED = {unit.lower(): unit for unit in UNITS if unit not in ("MW", "MWh", "mA")}
_LETTERED = ("phase", "leg", "line", "channel", "clamp", "ct")


def unit_in(name: str) -> str:
    """Return the unit written in a column's name, the one in brackets first, or an empty text."""
    bracketed = [text.strip(" .") for text in re.findall(r"[\[(]([^\])]+)[\])]", name)]
    for text in bracketed:
        if text in UNITS or text.lower() in _BY_FOLDED:
            return text if text in UNITS else _BY_FOLDED[text.lower()]
    loose = [text.strip(" .") for text in re.split(r"[\s_,/:\[\]()-]+", name)]
    for index in range(len(loose) - 1, -1, -1):
        text = loose[index]
        if len(text) == 1 and (index + 1 < len(loose) or (index and loose[index - 1].lower() in _LETTERED)):
            # A letter alone, such as the A of "phase A", is a unit only where it closes the name.
            continue
        if text in UNITS or (len(text) > 1 and text.lower() in _BY_FOLDED):
            return text if text in UNITS else _BY_FOLDED[text.lower()]
    return ""
