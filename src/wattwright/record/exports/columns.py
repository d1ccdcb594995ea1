"""What an export holds: intervals, and of each channel numbers and quality under a name that our own reader understands."""

import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from wattwright.core.clock import DAY_S, SiteClock
from wattwright.core.errors import UsageError
from wattwright.core.quantity import Direction, Phase, Quantity
from wattwright.record.channels import id_of
from wattwright.record.columns import meaning_of
from wattwright.record.exports.intervals import Intervals, by_day, longer
from wattwright.record.measures import UNITS, known_unit
from wattwright.record.record import Channel, Form, Record

Floats = NDArray[np.float64]
_UNITS = {
    Quantity.ACTIVE_POWER: "W", Quantity.REACTIVE_POWER: "var", Quantity.APPARENT_POWER: "VA", Quantity.VOLTAGE: "V",
    Quantity.CURRENT: "A", Quantity.FREQUENCY: "Hz", Quantity.TEMPERATURE: "degC", Quantity.HUMIDITY: "%RH",
    Quantity.SOIL_MOISTURE: "m3/m3",
}  # fmt: skip
_ENERGIES = {
    Quantity.ACTIVE_POWER: "active energy", Quantity.REACTIVE_POWER: "reactive energy",
    Quantity.APPARENT_POWER: "apparent energy",
}  # fmt: skip
_EXTREMES = {Form.HIGHEST: " max", Form.LOWEST: " min"}
_OVER: dict[Form, Callable[[Floats], np.floating[Any]]] = {Form.HIGHEST: np.max, Form.LOWEST: np.min}
"""What becomes of the numbers of several intervals in a longer one, where it is not their mean."""
_LEGS = {Phase.LEG_A: "leg A", Phase.LEG_B: "leg B", Phase.NEUTRAL: "neutral"}
_FORMULA = ("=", "+", "-", "@", "\t", "\r")
_BRACKETED = re.compile(r"\s*[\[(]([^\[\]()]*)[\])]$")
_BETWEEN = re.compile(r"[\s_,:-]+")


@dataclass(frozen=True, slots=True, eq=False)
class Column:
    """One channel as it is written: its name with the unit, its numbers in that unit, means in the unit held, and quality.

    The arrays have shape (n,), NaN where there is no reading.
    """

    name: str
    channel: Channel
    numbers: Floats
    means: Floats
    quality: NDArray[np.uint8]

    @property
    def quality_name(self) -> str:
        """Return the name of the column beside it that holds the quality of each reading."""
        return _quality_of(self.name)


@dataclass(frozen=True, slots=True, eq=False)
class Exported:
    """Columns that share their intervals; ``local`` asks for stamps on the site's clock."""

    record: Record
    columns: tuple[Column, ...]
    intervals: Intervals
    local: bool

    @property
    def clock(self) -> SiteClock:
        """Return the site's clock."""
        return SiteClock(self.record.zone)

    @property
    def in_utc(self) -> bool:
        """Return whether the stamps are written as instants in UTC: neither local ones nor days of the site's calendar."""
        return not self.local and not self.intervals.days

    @property
    def stamp_name(self) -> str:
        """Return the name of the column of stamps."""
        return "day" if self.intervals.days else "start" if self.local else "start (UTC)"

    @property
    def stamps(self) -> Sequence[str]:
        """Return the starts as text: in UTC, on the site's clock with its offset, or the days themselves."""
        starts = self.intervals.starts_s
        if self.in_utc:
            return [f"{one}Z" for one in _digits(starts)]
        offsets = self.clock.offsets_s(starts)
        digits = _digits(starts + offsets)
        if self.intervals.days:
            return [one[:10] for one in digits]
        signs = {one: _sign(one) for one in np.unique(offsets).tolist()}
        return [one + signs[offset] for one, offset in zip(digits, offsets.tolist(), strict=True)]


def exported(record: Record, step_s: int | None, channels: Sequence[str], *, local: bool) -> Exported:
    """Return what is to be written of ``record``: all channels that were read, or those named (id or column).

    ``step_s`` is a multiple of the record's step, which is taken where it is None; a day is one of the site's calendar. Energies
    are written as energies in the unit they had, everything else as means in the unit held. Raises UsageError for a channel that
    is not there, a step that is no multiple, and a record without whole intervals of it.
    """
    chosen = [_named(record, name) for name in channels] or list(record.channels)
    clock = SiteClock(record.zone)
    columns: list[Column] = []
    for channel in dict.fromkeys(chosen):
        step = channel.series.step_s if step_s is None else step_s
        days = step == DAY_S and channel.series.step_s < DAY_S
        over = _OVER.get(channel.meaning.form, np.mean)
        intervals, means, quality = by_day(channel.series, clock, over) if days else longer(channel.series, step, clock, over)
        columns.append(_column(channel, intervals, (means, quality), {one.quality_name.lower() for one in columns}))
    return Exported(record, tuple(columns), intervals, local)


def _digits(seconds: NDArray[np.int64]) -> list[str]:
    return [str(one) for one in np.datetime_as_string(seconds.astype("datetime64[s]"))]


def _sign(offset_s: int) -> str:
    return f"{'-' if offset_s < 0 else '+'}{abs(offset_s) // 3600:02d}:{abs(offset_s) // 60 % 60:02d}"


def _named(record: Record, name: str) -> Channel:
    found = next((one for one in record.all if name in (one.id, one.column)), None)
    if found is None:
        raise UsageError(f'There is no channel "{name}". Name one of: {", ".join(one.id for one in record.all)}.')
    return found


def _column(channel: Channel, intervals: Intervals, held: tuple[Floats, NDArray[np.uint8]], taken: "set[str]") -> Column:
    """Return the column of a channel: an energy as energy, where its name and numbers are read as one again, else as means."""
    means, quality = held
    meaning = channel.meaning
    if meaning.form in (Form.ENERGY, Form.REGISTER) and meaning.quantity in _ENERGIES:
        # A unit that is made, such as "0.1 kWh" or a power of ten of an ESPI file, is written in the plain one.
        unit = meaning.unit if meaning.unit in UNITS else f"{_UNITS[meaning.quantity]}h"
        numbers = _energies(channel, intervals, means, unit)
        name = _name(channel, numbers, (unit, _ENERGIES[meaning.quantity], Form.ENERGY), taken)
        if name:
            return Column(name, channel, numbers, means, quality)
    unit = _UNITS.get(meaning.quantity, "")
    form = meaning.form if meaning.form.is_extreme else Form.MEAN
    name = _name(channel, means, (unit, f"{meaning.quantity.value}{_EXTREMES.get(form, '')}", form), taken)
    return Column(name or _numbered(channel, unit, taken), channel, means, means, quality)


def _energies(channel: Channel, intervals: Intervals, means: Floats, unit: str) -> Floats:
    """Return energies (n,) in ``unit`` that our reader turns into the same means again, as short as they may be."""
    series, factor = channel.series, UNITS[unit][2]
    plain = means * intervals.lengths_s / 3600 / factor
    if intervals.days:
        return plain
    per_unit = factor * (3600 / intervals.step_s)
    out = np.full(len(means), np.nan)
    own = [series.raw * np.sign(channel.meaning.factor)] if intervals.step_s == series.step_s else []
    # Dividing rounds, so a neighbour may be the number that was read.
    near = (np.nextafter(plain, -np.inf), np.nextafter(plain, np.inf))
    for tried in (*own, _short(plain), plain, *near):
        out = np.where(np.isnan(out) & (tried * per_unit == means), tried, out)
    return np.where(np.isnan(out), plain, out)


def _short(numbers: Floats) -> Floats:
    """Return numbers (n,) to twelve significant digits."""
    size = np.floor(np.log10(np.abs(numbers), out=np.zeros(len(numbers)), where=np.nan_to_num(numbers) != 0))
    scale = 10.0 ** np.clip(11 - size, -300, 300)
    short: Floats = np.rint(numbers * scale) / scale
    return short


def _name(channel: Channel, numbers: Floats, way: tuple[str, str, Form], taken: "set[str]") -> str:
    """Return a name from which our reader takes the same meaning, with the channel's own name if it may, or an empty text."""
    meaning, (unit, quantity, form) = channel.meaning, way
    words, closing = _words(channel, quantity), f" [{unit}]" if unit else ""
    own = _own_name(channel)
    factor = UNITS[unit][2] if unit else 1.0
    phase = Phase.TOTAL if meaning.phase is Phase.UNKNOWN else meaning.phase
    wanted = (meaning.quantity, form, phase, meaning.direction, factor)
    for text in (own, f"{own} {words}", words) if own else (words,):
        name = neutral(text + closing)
        read = meaning_of(name, numbers, DAY_S / channel.series.step_s)
        if _quality_of(name).lower() in taken or read is None:
            continue
        if (read.quantity, read.form, read.phase, read.direction, read.factor) == wanted:
            return name
    return ""


def _numbered(channel: Channel, unit: str, taken: "set[str]") -> str:
    """Return a name of the quantity alone, with a number where that is taken."""
    extreme = _EXTREMES.get(channel.meaning.form, "")
    words, closing = _words(channel, channel.meaning.quantity.value + extreme), f" [{unit}]" if unit else ""
    text, number = words, 2
    while _quality_of(text + closing).lower() in taken:
        text, number = f"{words} {number}", number + 1
    return neutral(text + closing)


def _words(channel: Channel, quantity: str) -> str:
    meaning = channel.meaning
    way = meaning.direction.value if meaning.direction in (Direction.EXPORT, Direction.NET) else ""
    phase = "" if meaning.phase in (Phase.TOTAL, Phase.UNKNOWN) else _LEGS.get(meaning.phase, meaning.phase.value)
    return " ".join(word for word in (quantity, way, phase) if word)


def _own_name(channel: Channel) -> str:
    """Return the id a person gave, else the column's name in the file, without its unit: so that it does not grow each time."""
    if channel.id != id_of(channel.column):
        return channel.id
    text = channel.column.strip()
    closing = _BRACKETED.search(text)
    if closing and known_unit(closing[1].strip(" .")):
        return text[: closing.start()]
    words = _BETWEEN.split(text)
    # A letter alone, such as the A of "leg A", is a unit only where it closes the name.
    kept = [
        one for i, one in enumerate(words) if known_unit(one) != channel.meaning.unit or (len(one) == 1 and i < len(words) - 1)
    ]
    return text if len(kept) == len(words) else " ".join(one for one in kept if one)


def _quality_of(name: str) -> str:
    return neutral("quality of " + name.rpartition(" [")[0]) if name.endswith("]") else neutral(f"quality of {name}")


def neutral(text: str) -> str:
    """Return a text that no spreadsheet takes for a formula: an apostrophe before a sign that begins one."""
    return f"'{text}" if text.startswith(_FORMULA) else text
