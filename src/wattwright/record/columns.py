"""What each column holds, from the unit and the words in its name, and from the numbers themselves."""

import re
from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from wattwright.core.errors import Place, RecordError, quoted
from wattwright.core.quantity import Direction, Phase, Quantity
from wattwright.record.measures import OFFSETS, UNITS, measure
from wattwright.record.record import Form, Meaning
from wattwright.record.registers import counts_up, is_surely_counted, present
from wattwright.record.spec import ColumnSpec
from wattwright.record.units import bare_unit_in, unit_in, why_not_in
from wattwright.record.words import has_word, plain, words

Floats = NDArray[np.float64]
SAID = "you said so"
"""Why a column holds what a person said of it."""
_POWERS = {Quantity.ACTIVE_POWER: "W", Quantity.REACTIVE_POWER: "var", Quantity.APPARENT_POWER: "VA"}
_PHASES = {
    "l1": Phase.L1, "l2": Phase.L2, "l3": Phase.L3, "phase 1": Phase.L1, "phase 2": Phase.L2, "phase 3": Phase.L3,
    "p1": Phase.L1, "p2": Phase.L2, "p3": Phase.L3, "leg a": Phase.LEG_A, "leg b": Phase.LEG_B, "neutral": Phase.NEUTRAL,
}  # fmt: skip
_SHARES = (Quantity.HUMIDITY, Quantity.SOIL_MOISTURE, Quantity.POWER_FACTOR)
_SIGN_OF_PHASE = re.compile(r"\b(?:[uvipqs]l|[uvi])([123])\b")
"""The sign of a quantity with its conductor in one word, such as UL1 or I2 (IEC 60027 for the signs)."""
_NO_EXTREME = re.compile(r"\b(?:\d+|per) ?min\b|\b(?:on|off) peak\b|\bpeak (?:hours?|period|time|rate|tariff)\b")
_WATTS_ABOVE = 400.0
"""No supply board carries 400 kW, so larger numbers are W: common practice, no source."""


def meaning_of(name: str, values: Floats, day: float = 0.0) -> Meaning | None:
    """Return what the column ``name`` holds, or None where nothing tells it; ``values`` (n,) stand in the order of time.

    Where steps have no row they are NaN. ``day`` is how many of them a day has, 0 where that is open.
    """
    flat = plain(name)
    if why_not(name):
        return None
    found = present(values)
    phase = _phase_in(flat)
    direction = _direction_in(flat)
    told = _quantity_in(flat)
    unit = (bare_unit_in(name, told) if told else "") or unit_in(name)
    if unit and (measured := measure(unit)):
        quantity, form, factor = measured
        form, more, is_open = _form(flat, form, values, day)
        if (extreme := _extreme_in(flat)) and form is Form.MEAN:
            form, more = extreme, f", and it speaks of the {extreme.value}"
        flow, offset = _flow(quantity, direction), OFFSETS.get(unit, 0.0)
        return Meaning(
            quantity, form, unit, factor, phase, flow, f'its name says "{unit}"{more}', offset=offset, form_open=is_open
        )
    if told in _POWERS:
        power = _power(told, found, phase, direction)
        return replace(power, form=_extreme_in(flat) or power.form)
    if told is Quantity.SOIL_MOISTURE:
        return _moisture(found, phase)
    if told is not None:
        form = _extreme_in(flat) or Form.MEAN
        return Meaning(told, form, told.unit, 1.0, phase, Direction.NONE, f"its name says {told.value}")
    if len(found) and bool(np.isin(found, (0.0, 1.0)).all()):
        return Meaning(Quantity.CONTACT, Form.STATE, "1", 1.0, phase, Direction.NONE, "it holds only 0 and 1")
    return None


def why_not(name: str) -> str:
    """Return in words why a column cannot hold what its name speaks of, as a share of a power; an empty text where it can."""
    if (reason := why_not_in(name) or _other_carrier(name)) or "%" not in name:
        return reason
    told = _quantity_in(plain(name))
    if told is None or told in _SHARES or unit_in(name):
        return ""
    return f"a share in % is no {told.value}"


def _other_carrier(name: str) -> str:
    """Return in words that a name speaks of energy in gas or heat, an empty text where it does not, or of what runs by current.

    A heat pump, a gas station and an electric heating are loads, so "heat" counts only where nothing but units and words such
    as meter or total stand beside it.
    """
    flat, known, unit = plain(name), words("carrier"), unit_in(name)
    if (unit and (measured := measure(unit)) and measured[0] not in _POWERS) or has_word(flat, known["electric"]):
        return ""
    if has_word(flat, known["gas"]) and not has_word(flat, words("site")["part"]):
        return "gas and heating fuel are no electricity"
    beside = {*plain(unit).split(), *known["beside"], *words("quantity")["energy"], *words("site")["whole"]}
    left = " ".join(word for word in flat.split() if word not in beside)
    return "heat is no electricity" if left in known["heat"] else ""


def of_words(name: str, said: Sequence[str]) -> Meaning:
    """Return the meaning of a column whose words say whether a contact is closed."""
    phase = _phase_in(plain(name))
    why = f"its words are {', '.join(quoted(word) for word in said)}, and closed or on counts as 1"
    return Meaning(Quantity.CONTACT, Form.STATE, "1", 1.0, phase, Direction.NONE, why)


def _phase_in(flat: str) -> Phase:
    told = _SIGN_OF_PHASE.search(flat)
    if told:
        return _PHASES[f"l{told[1]}"]
    return next((phase for word, phase in _PHASES.items() if has_word(flat, [word])), Phase.TOTAL)


def _direction_in(flat: str) -> Direction:
    """Return the way a name tells by its longest word: "delivered to grid" is not "delivered"; import without one."""
    told = _directions_in(flat)
    return Direction(max(told)[2]) if told else Direction.IMPORT


def _directions_in(flat: str) -> list[tuple[int, bool, str, str]]:
    known = ((key, word) for key, listed in words("direction").items() for word in listed)
    return [(len(word), key != "import", key, word) for key, word in known if has_word(flat, [word])]


def direction_word(name: str) -> str:
    """Return the word of a column's name that tells which way energy is counted; an empty text where none does."""
    told = _directions_in(plain(name))
    return max(told)[3] if told else ""


def _extreme_in(flat: str) -> Form | None:
    """Return the form of the highest or lowest in each interval where a name speaks of it; "15 min" and "peak hours" do not."""
    bare = _NO_EXTREME.sub(" ", flat)
    return next((Form(key) for key, known in words("extreme").items() if has_word(bare, known)), None)


def _quantity_in(flat: str) -> Quantity | None:
    """Return the quantity a name speaks of; the most particular word wins: "reactive power" is no active power."""
    known = ((key, word) for key, listed in words("quantity").items() if key != "energy" for word in listed)
    told = [(len(word), key) for key, word in known if has_word(flat, [word])]
    return Quantity(max(told)[1]) if told else None


def _power(quantity: Quantity, found: Floats, phase: Phase, direction: Direction) -> Meaning:
    """Return a power without a unit, W or kW judged by its size: whole or large numbers are W."""
    small = _POWERS[quantity]
    largest = float(np.max(np.abs(found), initial=0.0))
    whole = bool(len(found)) and bool((found == np.rint(found)).all())
    unit = small if whole or largest > _WATTS_ABOVE else f"k{small}"
    why = f"its name says {quantity.value}, and values up to {largest:g} fit {unit}"
    return Meaning(quantity, Form.MEAN, unit, UNITS[unit][2], phase, direction, why, guessed=True)


def _moisture(found: Floats, phase: Phase) -> Meaning:
    """Return a soil moisture without a unit: a share where no value is above 1, else percent."""
    largest = float(np.max(np.abs(found), initial=0.0))
    unit = "m3/m3" if largest <= 1 else "%vol"
    why = f"its name says {Quantity.SOIL_MOISTURE.value}, and values up to {largest:g} fit {unit}"
    return Meaning(Quantity.SOIL_MOISTURE, Form.MEAN, unit, UNITS[unit][2], phase, Direction.NONE, why, guessed=True)


def energy_alone(name: str, values: Floats, day: float) -> Meaning | None:
    """Return the meaning of a file's only column where its name speaks of energy without a unit: Wh or kWh by its size."""
    flat = plain(name)
    if not has_word(flat, words("quantity")["energy"]) or why_not(name):
        return None
    found = present(values)
    largest = float(np.max(np.abs(found), initial=0.0))
    form, more, is_open = _form(flat, Form.ENERGY, values, day)
    unit = "Wh" if largest > _WATTS_ABOVE and form is Form.ENERGY else "kWh"
    why = f"its name speaks of energy, and values up to {largest:g} fit {unit}{more}"
    factor = UNITS[unit][2]
    return Meaning(Quantity.ACTIVE_POWER, form, unit, factor, Phase.TOTAL, Direction.IMPORT, why, guessed=True, form_open=is_open)


def _flow(quantity: Quantity, direction: Direction) -> Direction:
    return direction if quantity in _POWERS else Direction.NONE


def _form(flat: str, form: Form, values: Floats, day: float) -> tuple[Form, str, bool]:
    """Return REGISTER for an energy that counts up, or hardly ever falls and is called a register, else the form; and why.

    The last says that the numbers may be energies of an interval as well.
    """
    if form is not Form.ENERGY:
        return form, "", False
    daily = has_word(flat, words("form")["daily"])
    called = daily or has_word(flat, words("form")["register"])
    shown, found = counts_up(values, day, daily=daily), present(values)
    if shown:
        return Form.REGISTER, f", and {shown}", not called and not is_surely_counted(found)
    steps = np.diff(found)
    if called and not daily and (steps < 0).sum() <= 0.05 * len(steps):
        return Form.REGISTER, ", and it is called a register", False
    return form, "", False


def settle_by_volts_and_amps(meaning: Meaning, power: Floats, volts_amps: Floats) -> Meaning:
    """Return ``meaning`` with W or kW settled by voltage times current (shape as ``power``), where the two agree on one."""
    held = (power > 0) & (volts_amps > 0)
    if held.sum() < 10:
        return meaning
    ratio = float(np.median(volts_amps[held] / power[held]))
    for unit in ("W", "kW"):
        # Apparent power is the active power over its power factor, so a little more.
        if 0.5 < ratio / UNITS[unit][2] < 3.0:
            why = f"its name says {meaning.quantity.value}, and voltage times current gives {ratio:.0f} times its numbers"
            return replace(meaning, unit=unit, factor=UNITS[unit][2], why=why, guessed=False)
    return meaning


def from_spec(spec: ColumnSpec, name: str) -> Meaning:
    """Return the meaning a person gave to a column; raises RecordError when the unit does not fit the quantity or form."""
    unit = spec.unit or spec.quantity.unit
    if (spec.form in (Form.MEAN, Form.STATE) or spec.form.is_extreme) and unit == spec.quantity.unit:
        return Meaning(spec.quantity, spec.form, unit, 1.0, spec.phase, spec.direction, SAID)
    known = measure(unit)
    of_means = spec.form is Form.MEAN or spec.form.is_extreme
    fits = known is not None and known[0] is spec.quantity and (known[1] is Form.MEAN) == of_means
    if known is None or not fits:
        wanted = [u for u, (q, f, _) in UNITS.items() if q is spec.quantity and (f is Form.MEAN) == of_means]
        raise RecordError.one(
            "record.unit",
            Place(field=f"columns.{name}.unit"),
            found=quoted(unit),
            wanted=f"a unit of {spec.quantity.value} as {spec.form.value}: {', '.join(wanted) or 'none exists'}",
            next_step="Correct the unit, the quantity or the form.",
        )
    factor, offset = known[2], OFFSETS.get(unit, 0.0)
    return Meaning(spec.quantity, spec.form, unit, factor, spec.phase, spec.direction, SAID, offset=offset)
