"""Units that are more than one sign: energy over a time, a factor before the unit, pulses, and those that are none of ours."""

import re
from dataclasses import dataclass
from functools import lru_cache

from wattwright.core.errors import quoted
from wattwright.record.measures import UNITS, known_unit, measure
from wattwright.record.record import Form
from wattwright.record.words import has_word, plain, words

_PART = r"[^\s/()\[\],;:_]+"
_OVER = re.compile(rf"(?P<top>{_PART})?\s*(?:/|\b(?:per|pro|par|por)\b)\s*(?P<under>\d*\s*{_PART})")
_COUNT = re.compile(r"(?<![\w.,])(\d+(?:\.\d+)?)\s*$")
_LED = re.compile(r"(?P<count>\d*(?:\.\d+)?)(?P<sign>\D*)")
_NUMBER = r"(?P<count>10\s?\^\s?[+-]?\d+|\d+(?:[.,]\d+)?)"
_SIGN = r"[x×*·]"
_FACTORS = (
    # A sign of multiplying, or a part of one, is a factor anywhere; a whole number in brackets may be what a device is rated for.
    re.compile(rf"(?<![^\W_]){_SIGN}\s?{_NUMBER}\s*(?P<unit>[^\W\d]+)"),
    re.compile(rf"(?<![\w.,]){_NUMBER}\s?{_SIGN}\s?(?P<unit>[^\W\d]+)"),
    re.compile(r"(?<![\w.,])(?P<count>0[.,]\d+|10\s?\^\s?[+-]?\d+)\s*(?P<unit>[^\W\d]+)"),
)
_RATED = re.compile(rf"[(\[]\s*{_NUMBER}\s*(?P<unit>[^\W\d]+)\s*[)\]]")
_BEHIND = re.compile(rf"(?P<unit>[^\W\d_]+)\s?{_SIGN}\s?{_NUMBER}")
_PARTS_OF_HOURS = (
    (re.compile(r"\bhalf[ -]?(?:an )?hour\b|\b1/2 ?h\b", re.IGNORECASE), "30min"),
    (re.compile(r"\bquarter[ -]?(?:of an )?hour\b|\b1/4 ?h\b", re.IGNORECASE), "15min"),
)
_SPLIT = re.compile(r"[\s_,:\[\]()-]+")
_LONGEST = 3
"""Letters that a unit behind a stroke may have; longer ones are words, such as "kW/Import"."""


@dataclass(frozen=True, slots=True)
class Compound:
    """What a name says of a unit beyond one sign: the unit, as ``measures.measure`` knows it, or why it cannot be taken."""

    unit: str
    why_not: str = ""


@lru_cache(maxsize=4096)
def compound_in(name: str) -> Compound | None:
    """Return the compound unit in a column's name, None where it names a plain unit or none."""
    for pattern, said in _PARTS_OF_HOURS:
        name = pattern.sub(said, name)
    told = next((made for one in _OVER.finditer(name) if (made := _over(name, one))), None)
    return told or _aside(name) or _factor(name) or _foreign(name)


def _over(name: str, found: re.Match[str]) -> Compound | None:
    """Return what a stroke between two signs makes of them; None where it only parts a name."""
    led = _LED.fullmatch(found["top"] or "")
    top, under = (led["sign"] if led else ""), re.sub(r"\s", "", found["under"])
    written = f"{top}/{found['under'].strip()}"
    if not led or not top or written in UNITS:
        return Compound(written) if written in UNITS else None
    counted = led["count"] or _count_before(name[: found.start()])
    if known_unit(top) and not (len(top) == 1 and known_unit(under)):
        return _of_a_unit(known_unit(top), under, counted, written)
    if known_unit(under):
        return _for_a_unit(top, known_unit(under), counted, written)
    return _none_of_ours(written) if _is_foreign(top) else None


def _count_before(text: str) -> str:
    found = _COUNT.search(text)
    return found[1] if found else ""


def _of_a_unit(unit: str, under: str, counted: str, written: str) -> Compound | None:
    """Return what a known unit over something is: over a time a power, over a pulse what each counts."""
    flat, is_energy = plain(under), UNITS[unit][1] is Form.ENERGY
    if _says("pulse", flat) and is_energy:
        return Compound(f"{float(counted or 1):.12g} {unit}")
    if _says("interval", flat):
        return Compound(unit)
    lasts = _time(flat)
    if lasts and is_energy and not counted:
        return Compound(_power_of(unit) if lasts == "h" else f"{unit}/{lasts}")
    if is_energy and _says("long time", flat):
        return Compound("", f"{quoted(written)} counts the energy of a week or more, which is a sum or a bill and no interval")
    if lasts and unit.endswith(("W", "var", "VA")):
        return Compound("", f"{quoted(written)} is a unit of neither power nor energy")
    is_name = len(flat) > _LONGEST or re.fullmatch(r"l?\d", flat) is not None
    return None if is_name and not _says("shared by", flat) else _none_of_ours(written)


def _for_a_unit(top: str, unit: str, counted: str, written: str) -> Compound | None:
    """Return what something over a known unit is: pulses for each, a price or a weight for each, or only a name before it."""
    if _says("pulse", plain(top)):
        made = f"{counted} imp/{unit}"
        if counted and measure(made):
            return Compound(made)
        return Compound("", f"{quoted(written)} does not say how many pulses make one {unit}")
    # "P/kW" is a power in kW, "p/kWh" a price.
    counts = _says("for each", plain(top)) and (len(top) > 1 or UNITS[unit][1] is Form.ENERGY)
    if counts or any(sign in top for sign in "€$£¥₹"):
        return Compound("", f"{quoted(written)} counts something else for each {unit}")
    return None


def _power_of(unit: str) -> str:
    return unit.removesuffix("h") if unit.endswith("h") else f"{unit}/h"


def _time(flat: str) -> str:
    """Return a length of time as measures writes it, such as "15min", or an empty text."""
    found = re.fullmatch(r"(\d*)\s*(\w+)", flat)
    key = next((key for key, known in words("time").items() if found and found[2] in known), "")
    count = found[1] if found and found[1] != "1" else ""
    return f"{count}{key}" if key else ""


def _says(kind: str, flat: str) -> bool:
    return has_word(flat, words("unit")[kind])


def _aside(name: str) -> Compound | None:
    """Return that a name speaks of money or emissions, where it also names a unit of ours."""
    flat = plain(name)
    said = next((word for word in words("unit")["aside"] if has_word(flat, [word])), "")
    named = [part for part in _SPLIT.split(name) if len(part) > 1 and known_unit(part)]
    return Compound("", f"it speaks of {quoted(said)}, so it does not hold {named[-1]}") if said and named else None


def _factor(name: str) -> Compound | None:
    """Return a unit with the factor before it; where it may as well be a rating, or the factor stands behind, say so."""
    for pattern in _FACTORS:
        for found in pattern.finditer(name):
            unit = _power_or_energy(found["unit"])
            made = f"{_value(found['count']):.12g} {unit}"
            if unit and measure(made):
                return Compound(made)
    rated, behind = _RATED.search(name), _BEHIND.search(name)
    if rated and (unit := _power_or_energy(rated["unit"])) and _value(rated["count"]) != 1:
        written = f"{rated['count']} {unit}"
        return Compound("", f"{quoted(written)} may be what each number counts, or what a device is rated for")
    if behind and (unit := _power_or_energy(behind["unit"])):
        written = f"{unit} x {behind['count']}"
        return Compound("", f"{quoted(written)} does not say whether the numbers are multiplied already")
    return None


def _power_or_energy(text: str) -> str:
    unit = known_unit(text)
    return unit if (len(unit) > 1 and measure(f"2 {unit}")) or unit == "W" else ""


def _value(text: str) -> float:
    if "^" in text:
        return 10.0 ** int(text.partition("^")[2])
    return float(text.replace(",", "."))


def _foreign(name: str) -> Compound | None:
    """Return a unit of energy or power that is none of ours, such as "BTU", or one that may be another's slip, such as "mWh"."""
    loose = [part.strip(" .") for part in _SPLIT.split(name)]
    if any(len(part) > 1 and known_unit(part) for part in loose):
        return None
    # Two letters may be short for anything, unless they stand in brackets as a unit does: "HP" is a heat pump as well.
    certain = (
        part for part in reversed(loose) if len(part) > 2 or part in ("mW", "mw") or f"({part})" in name or f"[{part}]" in name
    )
    found = next((part for part in certain if _is_foreign(part)), "")
    return _none_of_ours(found) if found else None


def _is_foreign(part: str) -> bool:
    return plain(part) in words("unit")["other"]


def _none_of_ours(written: str) -> Compound:
    if written.lower() in ("mw", "mwh", "mva", "mvah", "mvar", "mvarh"):
        mega = f"M{written[1:2].upper()}{written[2:]}"
        return Compound("", f"{quoted(written)} is a thousandth of a unit, or written so for {mega}")
    return Compound("", f"the unit {quoted(written)} is none that is read here")
