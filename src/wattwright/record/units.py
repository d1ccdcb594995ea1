"""How a unit is found in a column's name."""

import re
from collections.abc import Mapping

from wattwright.core.quantity import Quantity
from wattwright.record.compounds import compound_in
from wattwright.record.measures import UNITS, known_unit

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

_LETTERED = ("phase", "leg", "line", "channel", "clamp", "ct")
_BETWEEN = re.compile(r"[\s_,/:\[\]()-]+")
_SPELLED = re.compile(r"\b(?:(kilo|mega|giga)[ -]?)?watts?(?:[ -]?(hours?|hrs?|stunden?|h))?\b", re.IGNORECASE)
_APART = re.compile(r"(?<![^\W_])([kKMG]?)W(?:[·⋅.*-]h|h(?=rs?\b)| h\b)(?:rs?)?(?![^\W_])")
_UPPER_HOURS = re.compile(r"(?<![^\W_])([KMG]?)WHRS?(?![^\W_])")


def spelled(name: str) -> str:
    """Return ``name`` with units in words ("kilowatt-hours") or in parts ("kW·h") as signs."""

    def sign(found: re.Match[str]) -> str:
        prefix = (found[1] or "")[:1]
        return f"{prefix.lower() if prefix in 'kK' else prefix.upper()}W{'h' if found[2] else ''}"

    text = _SPELLED.sub(sign, name)
    text = _APART.sub(lambda found: f"{found[1].replace('K', 'k')}Wh", text)
    return _UPPER_HOURS.sub(lambda found: f"{found[1].replace('K', 'k')}Wh", text)


def unit_in(name: str) -> str:
    """Return the unit written in a column's name, the one in brackets first, or an empty text; one that ``measure`` knows."""
    text = spelled(name)
    compound = compound_in(text)
    if compound is not None:
        return compound.unit
    bracketed = (known_unit(part.strip(" .")) for part in re.findall(r"[\[(]([^\])]+)[\])]", text))
    first = next((unit for unit in bracketed if unit), "")
    if first:
        return first
    loose = [part.strip(" .") for part in _BETWEEN.split(text)]
    for index in range(len(loose) - 1, -1, -1):
        part = loose[index]
        if len(part) == 1 and (index + 1 < len(loose) or (index and loose[index - 1].lower() in _LETTERED)):
            # A letter alone, such as the A of "phase A", is a unit only where it closes the name.
            continue
        if part in UNITS or (len(part) > 1 and known_unit(part)):
            return known_unit(part)
    return ""


def why_not_in(name: str) -> str:
    """Return in words why what a column's name says of its unit cannot be taken as it stands; an empty text where it can."""
    compound = compound_in(spelled(name))
    return compound.why_not if compound else ""


def bare_unit_in(name: str, quantity: Quantity) -> str:
    """Return the unit of ``quantity`` for which a sign at the end of a column's name or in brackets stands, or an empty text."""
    known = {sign.lower(): unit for sign, unit in BARE.get(quantity, {}).items()}
    told = [*re.findall(r"[\[(]([^\])]+)[\])]", name), re.split(r"[\s_,:\[\]()-]+", name.strip(" _,:])"))[-1]]
    return next((known[text.strip(" .°").lower()] for text in told if text.strip(" .°").lower() in known), "")
