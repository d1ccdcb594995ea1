"""Units at the edge: what a person writes ("2.4 kW", "150 l", "30 min") becomes a float in the unit we hold.

Inside, quantities are plain floats with the unit in the name; nothing but this module sees a unit written out.
"""

import re
from functools import lru_cache
from math import isfinite
from typing import TYPE_CHECKING, Any

from wattwright.core.errors import Place, UnitError, quoted

if TYPE_CHECKING:
    from pint import UnitRegistry

_NUMBER = re.compile(r"^\s*([+-]?(?:\d[\d\s' ,.]*|\.\d+)(?:[eE][+-]?\d+)?)\s*(.*?)\s*$", re.DOTALL)

# Digits in groups are groups of three, all parted by the same sign; "1 5" and "1,2,3" are slips.
_GROUPED = re.compile(r"^[+-]?\d{1,3}(?:(?P<sign>[\s' ,.])\d{3})(?:(?P=sign)\d{3})*(?P<rest>[.,]\d*)?(?:[eE][+-]?\d+)?$")
_PLAIN = re.compile(r"^[+-]?(?:\d+[.,]?\d*|[.,]\d+)(?:[eE][+-]?\d+)?$")

# "1,500" is fifteen hundred to one reader and one and a half to another: never guessed.
_THOUSANDS = re.compile(r"^[+-]?[1-9]\d{0,2},\d{3}$")

# Spellings of the trade that a general unit library does not know or reads as something else.
_SPELLINGS = {
    "l": "litre",
    "L": "litre",
    "kVA": "kilovolt_ampere",
    "VA": "volt_ampere",
    "var": "volt_ampere_reactive",
    "kvar": "kilovolt_ampere_reactive",
    "°C": "degC",
    "degC": "degC",
    "C": "degC",
    "°F": "degF",
    "degF": "degF",
    "F": "degF",
    "K": "delta_degC",
    "h": "hour",
    "min": "minute",
    "s": "second",
    "d": "day",
    "m²": "metre ** 2",
    "m2": "metre ** 2",
    "mm²": "millimetre ** 2",
    "mm2": "millimetre ** 2",
    "m³": "metre ** 3",
    "m3": "metre ** 3",
    "%": "percent",
    "hp": "horsepower",
    "gal": "gallon",
}

EXAMPLES = {
    "W": "2.4 kW",
    "VA": "25 kVA",
    "Wh": "10 kWh",
    "V": "230 V",
    "A": "63 A",
    "s": "30 min",
    "litre": "150 l",
    "degC": "60 °C",
    "delta_degC": "5 K",
    "m": "20 m",
    "m2": "40 m2",
    "ohm": "0.35 ohm",
    "1": "35 %",
}
"""For each unit we hold, an example of what a person writes."""


@lru_cache(maxsize=1)
def _registry() -> "UnitRegistry[Any]":
    import pint

    registry: UnitRegistry[Any] = pint.UnitRegistry(autoconvert_offset_to_baseunit=True, cache_folder=None)
    registry.define("volt_ampere_reactive = volt * ampere = var")
    return registry


def parse(text: str, unit: str, field: str = "") -> float:
    """Return the number in ``text`` converted to ``unit`` (one of EXAMPLES); a decimal comma is understood.

    Raises UnitError when there is no number, no unit, a unit nobody knows, or one of another quantity.
    """
    import pint

    match = _NUMBER.match(text)
    if not match:
        raise _wrong("unit.number", text, unit, field, "Begin with the number.")
    number = _plain_number(match[1])
    if number is None:
        raise _wrong(
            "unit.number",
            text,
            unit,
            field,
            "Write the number without grouping, with one decimal mark, such as 1500 or 1.5.",
        )
    written = match[2]
    if not written:
        raise _wrong("unit.missing", text, unit, field, "Write the unit after the number.")
    registry, target = _registry(), _target(unit)
    try:
        given = registry.parse_units(_SPELLINGS.get(written, written))
        held = float(registry.Quantity(number, given).to(registry.parse_units(target)).magnitude)
    except pint.DimensionalityError as error:
        raise _wrong("unit.kind", text, unit, field, f'"{written}" measures something else.') from error
    except Exception as error:
        # The parser of units fails in ways of its own on text that is no unit: tokens, divisions, assertions.
        raise _wrong("unit.unknown", text, unit, field, f'The unit "{written[:20]}" is not known.') from error
    # Volt-amperes and watts have one dimension and are not one quantity: a rating in kVA says nothing about kW.
    if ("volt_ampere" in str(given)) != ("volt_ampere" in target):
        raise _wrong("unit.kind", text, unit, field, f'"{written}" measures something else.')
    return held


def bound_like(text: str, bound: float) -> str:
    """Return a bound, held in the unit of a field, as a person would write it who wrote ``text`` there: "30 d" beside "40 d".

    Without a unit that is known it is the plain number.
    """
    match = _NUMBER.match(text)
    written = match[2] if match else ""
    for unit in EXAMPLES if written else ():
        try:
            zero, one = (parse(f"{number} {written}", unit) for number in (0, 1))
        except UnitError:
            continue
        if zero == 0.0:
            return f"{bound / one:.6g} {written}"
    return f"{bound:g}"


def _target(unit: str) -> str:
    return {"1": "dimensionless", "W": "watt", "Wh": "watt_hour"}.get(unit, _SPELLINGS.get(unit, unit))


def _plain_number(text: str) -> float | None:
    digits = text.strip(" ',\t\u00a0\u202f")
    grouped = _GROUPED.match(digits)
    if _THOUSANDS.match(digits) or not (grouped or _PLAIN.match(digits)):
        return None
    if grouped and not _PLAIN.match(digits):
        if (grouped["rest"] or "")[:1] == grouped["sign"]:
            return None
        digits = digits.replace(grouped["sign"], "")
    number = float(digits.replace(",", "."))
    return number if isfinite(number) else None


def _wrong(code: str, text: str, unit: str, field: str, step: str) -> UnitError:
    example = EXAMPLES.get(unit, unit)
    wanted = f'a number with its unit, for example "{example}"'
    return UnitError.one(code, Place(field=field), found=quoted(text), wanted=wanted, next_step=step, unit=unit)
