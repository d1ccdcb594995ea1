"""What each column holds, from the unit and the words in its name, and from the numbers themselves."""

import re
import tomllib
import unicodedata
from collections.abc import Mapping
from functools import lru_cache
from importlib.resources import files

import numpy as np
from numpy.typing import NDArray

from wattwright.core.errors import Place, RecordError, quoted
from wattwright.core.quantity import Direction, Phase, Quantity
from wattwright.record.record import Form, Meaning
from wattwright.record.spec import ColumnSpec

# Unit as written: quantity, form, factor to the unit held (Wh for energies).
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
    "kVAh": (Quantity.APPARENT_POWER, Form.ENERGY, 1e3),
    "V": (Quantity.VOLTAGE, Form.MEAN, 1.0),
    "A": (Quantity.CURRENT, Form.MEAN, 1.0),
    "mA": (Quantity.CURRENT, Form.MEAN, 1e-3),
    "Hz": (Quantity.FREQUENCY, Form.MEAN, 1.0),
    "°C": (Quantity.TEMPERATURE, Form.MEAN, 1.0),
    "degC": (Quantity.TEMPERATURE, Form.MEAN, 1.0),
    "%RH": (Quantity.HUMIDITY, Form.MEAN, 1.0),
}
_BY_FOLDED = {unit.lower(): unit for unit in UNITS if unit not in ("MW", "MWh", "mA")}
_ENERGY_FACTOR = {Quantity.ACTIVE_POWER, Quantity.REACTIVE_POWER, Quantity.APPARENT_POWER}
_PHASES = {
    "l1": Phase.L1, "l2": Phase.L2, "l3": Phase.L3, "phase 1": Phase.L1, "phase 2": Phase.L2, "phase 3": Phase.L3,
    "p1": Phase.L1, "p2": Phase.L2, "p3": Phase.L3, "leg a": Phase.LEG_A, "leg b": Phase.LEG_B, "neutral": Phase.NEUTRAL,
}  # fmt: skip


def plain(name: str) -> str:
    """Return ``name`` in lower case without accents, signs as single blanks."""
    decomposed = unicodedata.normalize("NFKD", name)
    letters = "".join(c for c in decomposed if not unicodedata.combining(c)).lower()
    return re.sub(r"[^\w%]+|_", " ", letters).strip()


@lru_cache(maxsize=1)
def words() -> Mapping[str, Mapping[str, list[str]]]:
    """Return the general words, by kind and meaning, as they stand in words.toml."""
    text = files("wattwright.record").joinpath("words.toml").read_text(encoding="utf-8")
    return tomllib.loads(text)


def has_word(name: str, meanings: list[str]) -> bool:
    """Return whether one of ``meanings`` stands in the plain ``name`` as whole words."""
    return any(re.search(rf"(?:^|\s){re.escape(word)}(?:$|\s)", name) for word in meanings)


def unit_in(name: str) -> str:
    """Return the unit written in a column's name, brackets first, or an empty text."""
    bracketed = re.findall(r"[\[(]([^\])]+)[\])]", name)
    for text in [*bracketed, *re.split(r"[\s_,/:\[\]()]+", name)[::-1]]:
        stripped = str(text).strip(" .")
        if stripped in UNITS:
            return stripped
        # Two letters alone, such as "va" or "w", are too weak unless they stand in brackets.
        if stripped.lower() in _BY_FOLDED and (len(stripped) > 1 or text in bracketed):
            return _BY_FOLDED[stripped.lower()]
    return ""


def meaning_of(name: str, values: NDArray[np.float64]) -> Meaning | None:
    """Return what the column ``name`` with ``values`` (shape (n,)) holds, or None where nothing tells it."""
    flat = plain(name)
    found = values[~np.isnan(values)]
    phase = next((phase for word, phase in _PHASES.items() if has_word(flat, [word])), Phase.TOTAL)
    direction = next((Direction(key) for key, known in words()["direction"].items() if has_word(flat, known)), Direction.IMPORT)
    unit = unit_in(name)
    if unit:
        quantity, form, factor = UNITS[unit]
        form = _form(flat, form, found)
        return Meaning(quantity, form, unit, factor, phase, _flow(quantity, direction), f'its name says "{unit}"')
    # The most particular word wins: "reactive power" is not an active power for holding the word "power".
    told = [
        (len(one), key)
        for key, known in words()["quantity"].items()
        for one in known
        if key != "energy" and has_word(flat, [one])
    ]
    word = max(told)[1] if told else ""
    if word in ("active power", "reactive power", "apparent power"):
        quantity = Quantity(word)
        unit = _power_unit(quantity, found)
        why = f"its name says {word}, and values up to {np.max(found, initial=0.0):g} fit {unit}"
        return Meaning(quantity, Form.MEAN, unit, UNITS[unit][2], phase, _flow(quantity, direction), why)
    if word:
        quantity = Quantity(word)
        return Meaning(quantity, Form.MEAN, quantity.unit, 1.0, phase, Direction.NONE, f"its name says {word}")
    if len(found) and set(np.unique(found[:5000])) <= {0.0, 1.0} and set(np.unique(found)) <= {0.0, 1.0}:
        return Meaning(Quantity.CONTACT, Form.STATE, "1", 1.0, phase, Direction.NONE, "it holds only 0 and 1")
    return None


def _flow(quantity: Quantity, direction: Direction) -> Direction:
    return direction if quantity in _ENERGY_FACTOR else Direction.NONE


def _form(flat: str, form: Form, found: NDArray[np.float64]) -> Form:
    """Return REGISTER for an energy that never falls over many readings, or is called a register; else the form given."""
    if form is not Form.ENERGY:
        return form
    if has_word(flat, words()["form"]["register"]):
        return Form.REGISTER
    steps = np.diff(found)
    never_falls = len(steps) >= 20 and bool((steps >= 0).all()) and bool((steps > 0).sum() >= 10)
    return Form.REGISTER if never_falls else form


def _power_unit(quantity: Quantity, found: NDArray[np.float64]) -> str:
    """Return the likelier of W and kW: whole numbers or values above 400 are W in anything a board can carry."""
    small = {Quantity.REACTIVE_POWER: "var", Quantity.APPARENT_POWER: "VA"}.get(quantity, "W")
    whole = bool(len(found)) and bool((found == np.rint(found)).all())
    return small if whole or float(np.max(np.abs(found), initial=0.0)) > 400 else f"k{small}"


def settle_by_volts_and_amps(meaning: Meaning, power: NDArray[np.float64], volts_amps: NDArray[np.float64]) -> Meaning:
    """Return ``meaning`` with W or kW settled by voltage times current (shape as ``power``), where the two agree on one."""
    held = (power > 0) & (volts_amps > 0)
    if held.sum() < 10:
        return meaning
    ratio = float(np.median(volts_amps[held] / power[held]))
    for unit in ("W", "kW"):
        if 0.5 < ratio / UNITS[unit][2] < 3.0:
            return Meaning(
                meaning.quantity, meaning.form, unit, UNITS[unit][2], meaning.phase, meaning.direction,
                f"its name says {meaning.quantity.value}, and voltage times current gives {ratio:.0f} times its numbers",
            )  # fmt: skip
    return meaning


def from_spec(spec: ColumnSpec, name: str) -> Meaning:
    """Return the meaning a person gave to a column; raises RecordError when the unit does not fit the quantity or form."""
    unit = spec.unit or spec.quantity.unit
    if spec.form in (Form.MEAN, Form.STATE) and unit == spec.quantity.unit:
        return Meaning(spec.quantity, spec.form, unit, 1.0, spec.phase, spec.direction, "you said so")
    known = UNITS.get(unit)
    fits = known is not None and known[0] is spec.quantity and (known[1] is Form.MEAN) == (spec.form is Form.MEAN)
    if known is None or not fits:
        wanted = [u for u, (q, f, _) in UNITS.items() if q is spec.quantity and (f is Form.MEAN) == (spec.form is Form.MEAN)]
        raise RecordError.one(
            "record.unit",
            Place(field=f"columns.{name}.unit"),
            found=quoted(unit),
            wanted=f"a unit of {spec.quantity.value} as {spec.form.value}: {', '.join(wanted) or 'none exists'}",
            next_step="Correct the unit or the form.",
        )
    return Meaning(spec.quantity, spec.form, unit, known[2], spec.phase, spec.direction, "you said so")
