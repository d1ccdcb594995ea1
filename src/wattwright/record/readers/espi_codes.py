"""What the codes of NAESB REQ.21 (ESPI) mean: units, directions, phases, quality, and the rules of the local clock."""

import re
from collections.abc import Sequence

from wattwright.core.quality import Quality
from wattwright.core.quantity import Direction, Phase, Quantity
from wattwright.record.measures import PREFIXES, UNITS
from wattwright.record.readers.espi_xml import Entry
from wattwright.record.record import Form, Meaning

# uom of NAESB REQ.21, ESPI schema 3.3.
_UNITS = {72: "Wh", 38: "W", 71: "VAh", 73: "varh", 61: "VA", 63: "var", 5: "A", 29: "V", 33: "Hz", 23: "°C"}
_POWER_FACTOR = 65
_DIRECTIONS = {19: Direction.EXPORT, 4: Direction.NET}
# PhaseCode of IEC 61968-9, from memory: A, B and C alone or against neutral.
_PHASES = {128: Phase.L1, 129: Phase.L1, 64: Phase.L2, 65: Phase.L2, 32: Phase.L3, 33: Phase.L3}
_CUMULATIVE = (1, 2, 3, 6, 9, 12)
"""accumulationBehaviour of an energy that is a register: bulk quantity, cumulative, indicating, summation, instantaneous."""
_POWERS = (Quantity.ACTIVE_POWER, Quantity.REACTIVE_POWER, Quantity.APPARENT_POWER)

# The code that says most against a reading goes before the others.
_GRAVITY = (
    Quality.QUESTIONABLE, Quality.OTHER, Quality.PROJECTED, Quality.ESTIMATED_REFERENCE_DAY, Quality.ESTIMATED_LINEAR,
    Quality.WEATHER_NORMALISED, Quality.MIXED, Quality.MANUALLY_EDITED, Quality.DERIVED, Quality.RAW, Quality.VALID,
    Quality.VALIDATED, Quality.VERIFIED, Quality.REVENUE,
)  # fmt: skip
_KNOWN = {int(code) for code in _GRAVITY}

_MONTHS = ("January", "February", "March", "April", "May", "June", "July", "August", "September", "October", "November",
           "December")  # fmt: skip
_DAYS = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")
_WHICH = {2: "first", 3: "second", 4: "third", 5: "fourth", 6: "fifth", 7: "last"}


def quality_of(codes: Sequence[int]) -> Quality:
    """Return the gravest of the quality codes of one reading; VALID where there is none, OTHER for a code nobody knows."""
    if not codes:
        return Quality.VALID
    return min((Quality(code) if code in _KNOWN else Quality.OTHER for code in codes), key=_GRAVITY.index)


def unit_of(type_: Entry) -> tuple[str, str]:
    """Return the unit of a reading type without and with its power of ten, empty where it is none we hold."""
    base = _UNITS.get(type_.code("uom") or 0, "")
    power = type_.code("powerOfTenMultiplier") or 0
    if type_.code("uom") == _POWER_FACTOR:
        base = "1"
    return base, (f"{PREFIXES[power]}{base}" if power in PREFIXES and base != "1" else f"{base} × 10^{power}") if power else base


def name_of(type_: Entry | None) -> str:
    """Return the name of a column of this reading type, such as "Wh import"."""
    if type_ is None:
        return "reading"
    base, _ = unit_of(type_)
    meaning = meaning_of(type_)
    if meaning is None:
        return f"uom {type_.code('uom')}"
    parts = [base if base != "1" else "power factor", meaning.direction.value if meaning.direction is not Direction.NONE else ""]
    parts += ["register"] if meaning.form is Form.REGISTER else []
    parts += [meaning.phase.value] if meaning.phase is not Phase.TOTAL else []
    return " ".join(part for part in parts if part)


def meaning_of(type_: Entry | None) -> Meaning | None:
    """Return what readings of a type mean, None where there is no type or its unit is none we hold."""
    if type_ is None:
        return None
    base, unit = unit_of(type_)
    if not base:
        return None
    quantity, form, factor = UNITS[base] if base != "1" else (Quantity.POWER_FACTOR, Form.MEAN, 1.0)
    power = type_.code("powerOfTenMultiplier") or 0
    if form is Form.ENERGY and type_.code("accumulationBehaviour") in _CUMULATIVE:
        form = Form.REGISTER
    direction = _DIRECTIONS.get(type_.code("flowDirection") or 0, Direction.IMPORT)
    why = f"its reading type gives uom {type_.code('uom')} ({base}) times 10^{power}"
    return Meaning(
        quantity,
        form,
        unit,
        factor * 10.0**power if power >= 0 else factor / 10.0**-power,
        _PHASES.get(type_.code("phase") or 0, Phase.TOTAL),
        direction if quantity in _POWERS else Direction.NONE,
        why,
    )


def time_words(entry: Entry) -> str:
    """Return LocalTimeParameters in words: the offset from UTC and when daylight saving begins and ends."""
    offset = (entry.code("tzOffset") or 0) / 3600
    saving = (entry.code("dstOffset") or 0) / 3600
    words = f"UTC{offset:+g} h"
    start, end = (rule_words(entry.texts.get(name, "")) for name in ("dstStartRule", "dstEndRule"))
    return f"{words}, and {saving:+g} h from {start} to {end}" if saving and start and end else f"{words} all year"


def rule_words(rule: str) -> str:
    """Return a change of the clock, 32 bits as hexadecimal digits, in words; empty where there is none (FFFFFFFF) or it is odd.

    Bits 0-11 seconds, 12-16 hour, 17-19 weekday (Monday 1), 20-24 day, 25-27 operator, 28-31 month (NAESB REQ.21).
    """
    if not re.fullmatch(r"[0-9A-Fa-f]{8}", rule):
        return ""
    bits = int(rule, 16)
    seconds, hour, weekday = bits & 0xFFF, bits >> 12 & 0x1F, bits >> 17 & 0x7
    day, operator, month = bits >> 20 & 0x1F, bits >> 25 & 0x7, bits >> 28
    if not 1 <= month <= 12 or hour > 23:
        return ""
    clock = f"{_MONTHS[month - 1]} {hour:02d}:{seconds // 60:02d}"
    if operator == 0 or not weekday:
        return f"{day} {clock}"
    if operator == 1:
        return f"the {_DAYS[weekday - 1]} on or after {day} {clock}"
    return f"the {_WHICH[operator]} {_DAYS[weekday - 1]} of {clock}"
