"""The units that meter files carry, and those made from them: a factor, energy over a time, pulses."""

import re
from collections.abc import Mapping

from wattwright.core.quantity import Quantity
from wattwright.record.record import Form

PREFIXES: Mapping[int, str] = {-3: "m", 0: "", 3: "k", 6: "M", 9: "G"}
"""The prefixes of the SI that units of meters carry, by their power of ten."""

_OF_POWERS: Mapping[str, tuple[Quantity, Form]] = {
    "W": (Quantity.ACTIVE_POWER, Form.MEAN),
    "Wh": (Quantity.ACTIVE_POWER, Form.ENERGY),
    "var": (Quantity.REACTIVE_POWER, Form.MEAN),
    "varh": (Quantity.REACTIVE_POWER, Form.ENERGY),
    "VA": (Quantity.APPARENT_POWER, Form.MEAN),
    "VAh": (Quantity.APPARENT_POWER, Form.ENERGY),
}
UNITS: Mapping[str, tuple[Quantity, Form, float]] = {
    **{f"{PREFIXES[power]}{unit}": (*held, 10.0**power) for unit, held in _OF_POWERS.items() for power in (0, 3, 6, 9)},
    "kJ": (Quantity.ACTIVE_POWER, Form.ENERGY, 1e3 / 3600),
    "MJ": (Quantity.ACTIVE_POWER, Form.ENERGY, 1e6 / 3600),
    "GJ": (Quantity.ACTIVE_POWER, Form.ENERGY, 1e9 / 3600),
    "V": (Quantity.VOLTAGE, Form.MEAN, 1.0),
    "mV": (Quantity.VOLTAGE, Form.MEAN, 1e-3),
    "kV": (Quantity.VOLTAGE, Form.MEAN, 1e3),
    "A": (Quantity.CURRENT, Form.MEAN, 1.0),
    "mA": (Quantity.CURRENT, Form.MEAN, 1e-3),
    "kA": (Quantity.CURRENT, Form.MEAN, 1e3),
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
"""Unit as written: quantity, form, factor to the unit held (Wh for energies); 3,600 J are 1 Wh."""

OFFSETS: Mapping[str, float] = {"°F": -160 / 9, "degF": -160 / 9, "degK": -273.15}
"""What is added after the factor, where a unit begins elsewhere than the one held."""

_BY_FOLDED = {unit.lower(): unit for unit in UNITS if unit[0] not in "Mm" or unit.startswith("m3")}
_BY_MEGA = {unit.lower(): unit for unit in UNITS if unit[0] == "M"}
_TIMES = re.compile(r"^(?P<unit>\w+)/(?P<count>\d*)(?P<of>min|h|d)$")
_SCALED = re.compile(r"^(?P<count>[\d.eE+-]+) (?P<unit>\w+)$")
_PULSED = re.compile(r"^(?P<count>[\d.]+) imp/(?P<unit>\w+)$")
_LASTS_S = {"min": 60, "h": 3600, "d": 86400}


def measure(unit: str) -> tuple[Quantity, Form, float] | None:
    """Return quantity, form and factor of a unit in UNITS, or of one made from it; None where it is no such unit.

    Made ones are a factor ("0.1 kWh"), energy over a time ("kWh/15min", a mean power) and pulses ("1000 imp/kWh").
    """
    if unit in UNITS:
        return UNITS[unit]
    made = _TIMES.match(unit) or _SCALED.match(unit) or _PULSED.match(unit)
    base = UNITS.get(made["unit"]) if made else None
    if made is None or base is None or base[0] not in _SCALES:
        return None
    count = _number(made["count"] or "1")
    if not count > 0:
        return None
    quantity, form, factor = base
    if made.re is _SCALED:
        return quantity, form, factor * count if count >= 1 else factor / (1 / count)
    if form is not Form.ENERGY:
        return None
    if made.re is _PULSED:
        return quantity, form, factor / count
    return quantity, Form.MEAN, factor * 3600 / (count * _LASTS_S[made["of"]])


def lasts_s(unit: str) -> int:
    """Return over how many seconds a unit such as "kWh/15min" spreads an energy; 0 for any other unit."""
    made = _TIMES.match(unit)
    return int(made["count"] or 1) * _LASTS_S[made["of"]] if made and made["unit"] in UNITS else 0


_SCALES = tuple(quantity for quantity, _ in _OF_POWERS.values())


def _number(text: str) -> float:
    try:
        return float(text)
    except ValueError:
        return 0.0


def known_unit(text: str) -> str:
    """Return the unit that ``text`` is, whatever the case of its letters where that leaves no doubt, or an empty text."""
    if text in UNITS:
        return text
    folded = text.lower()
    # A capital M is mega whatever follows; a small one may be a thousandth or a slip, and is never guessed.
    return _BY_MEGA.get(folded, "") if text[:1] == "M" else _BY_FOLDED.get(folded, "")
