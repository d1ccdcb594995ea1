"""Columns of numbers into channels: what each holds, its values in the unit held, and what is odd about them."""

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from wattwright.core.clock import DAY_S
from wattwright.core.findings import Finding
from wattwright.core.quality import Quality
from wattwright.core.quantity import Direction, Phase, Quantity
from wattwright.core.series import Series
from wattwright.record import columns, kinds
from wattwright.record.grid import Grid, runs_of, steps_alike
from wattwright.record.readers.numbers import Numbers
from wattwright.record.record import Channel, Form, Meaning, Run, StampsMark
from wattwright.record.registers import MOST_W, Turn, Turned, used_between
from wattwright.record.spec import ColumnSpec
from wattwright.record.words import plain

Floats = NDArray[np.float64]
_MOST_HOLES = 10
"""Where more steps than this lack a row for each that has one, the rows follow no step."""
_STEADY = (Quantity.VOLTAGE, Quantity.FREQUENCY)


@dataclass(frozen=True, slots=True)
class Understood:
    """A column that is understood: its name, its numbers by row, what they mean, and the id a person gave it.

    ``quality`` are the codes of core.quality by row where the file gives them.
    """

    name: str
    numbers: Numbers
    meaning: Meaning
    id: str = ""
    quality: NDArray[np.uint8] | None = None


@dataclass(frozen=True, slots=True, eq=False)
class Course:
    """How rows follow one another: ``order`` puts them in the order of time, and each stands ``places`` (n,) steps behind.

    That is None where the steps have a row each, or where there is no step.
    """

    order: "NDArray[np.int64] | slice"
    places: "NDArray[np.int64] | None"

    def of(self, values: Floats) -> Floats:
        """Return the values (n,) in the order of time, NaN at steps without a row."""
        ordered = values[self.order]
        if self.places is None:
            return ordered
        out = np.full(int(self.places[-1]) + 1, np.nan)
        out[self.places] = ordered
        return out


def course_of(starts_s: "NDArray[np.int64]", step_s: int) -> Course:
    """Return how rows with these starts (n,) in UTC seconds follow one another."""
    in_order = bool((starts_s[1:] >= starts_s[:-1]).all())
    order = slice(None) if in_order else np.argsort(starts_s, kind="stable")
    if step_s <= 0 or steps_alike(starts_s, step_s) == len(starts_s) - 1:
        return Course(order, None)
    ordered = starts_s[order]
    places = (ordered - ordered[0]) // step_s
    return Course(order, places if places[-1] < _MOST_HOLES * len(places) else None)


def understand(
    read: Mapping[int, Numbers],
    names: tuple[str, ...],
    said: Mapping[int, ColumnSpec],
    course: Course,
    step_s: int,
) -> dict[int, Understood]:
    """Return the columns whose meaning is said or told by name and numbers.

    ``course`` puts the rows in the order of time, ``step_s`` apart.

    Raises RecordError where what a person said contradicts itself.
    """
    found: dict[int, Understood] = {}
    day = DAY_S / step_s if step_s else 0.0
    # The first column of a kind stands for the site, so their order is the file's, not that in which they were parsed.
    for i, numbers in sorted(read.items()):
        spec = said.get(i)
        if spec:
            meaning: Meaning | None = columns.from_spec(spec, names[i])
        elif numbers.words:
            meaning = columns.of_words(names[i], numbers.words)
        else:
            meaning = columns.meaning_of(names[i], course.of(numbers.values), day)
        if meaning is not None:
            found[i] = Understood(names[i], numbers, meaning, spec.id if spec else "")
    if not found and len(read) == 1:
        only = next(iter(read))
        meaning = columns.energy_alone(names[only], course.of(read[only].values), day)
        if meaning is not None:
            found[only] = Understood(names[only], read[only], meaning)
    return _with_units_settled(found)


def _with_units_settled(found: dict[int, Understood]) -> dict[int, Understood]:
    """Return the columns with W or kW settled by voltage times current where the unit was only judged by its size."""
    volts = [u.numbers.values for u in found.values() if u.meaning.quantity is Quantity.VOLTAGE]
    amps = [u.numbers.values * u.meaning.factor for u in found.values() if u.meaning.quantity is Quantity.CURRENT]
    if len(volts) != 1 or len(amps) != 1:
        return found
    settled = dict(found)
    for i, one in found.items():
        if one.meaning.guessed and one.meaning.quantity is Quantity.ACTIVE_POWER and one.meaning.form is Form.MEAN:
            meaning = columns.settle_by_volts_and_amps(one.meaning, one.numbers.values, volts[0] * amps[0])
            settled[i] = replace(one, meaning=meaning)
    return settled


def meaning_note(one: Understood) -> Finding:
    """Return the finding that says how a column was read, graver where its unit was only judged by its size."""
    kind = kinds.GUESSED if one.meaning.guessed else kinds.MEANING
    return kind.at("columns", column=one.name, what=_in_words(one.meaning), why=one.meaning.why)


def _in_words(meaning: Meaning) -> str:
    parts = [meaning.quantity.value, meaning.form.value, f"in {meaning.unit}" if meaning.unit != "1" else ""]
    parts += [meaning.phase.value] if meaning.phase is not Phase.TOTAL else []
    parts += [meaning.direction.value] if meaning.direction in (Direction.EXPORT, Direction.NET) else []
    return ", ".join(part for part in parts if part)


def channels_of(
    found: Mapping[int, Understood], laid: Grid, meter: str, mark: StampsMark
) -> tuple[tuple[Channel, ...], list[Finding]]:
    """Return the channels on the grid ``laid``, and findings about registers, signs and unlikely readings."""
    channels: list[Channel] = []
    notes: list[Finding] = []
    taken: set[str] = set()
    counted = all(one.meaning.form is Form.REGISTER for one in found.values())
    for one in found.values():
        read = _on_grid(one.numbers.values, laid)
        raw = read if one.numbers.written is None else _on_grid(one.numbers.written, laid)
        quality = np.where(np.isnan(read), np.uint8(Quality.MISSING), np.uint8(Quality.VALID))
        if one.quality is not None:
            quality[laid.index] = one.quality[laid.row]
        if laid.questionable.any():
            quality[laid.places[laid.questionable]] = np.uint8(Quality.QUESTIONABLE)
        values, turns = _held(read, one.meaning, laid.step_s, mark)
        if one.meaning.factor < 0:  # its sign was turned, so that it is no longer what the meter gave
            quality = np.where(quality == np.uint8(Quality.VALID), np.uint8(Quality.DERIVED), quality)
        quality = np.where(np.isnan(values), np.uint8(Quality.MISSING), quality).astype(np.uint8)
        if turns:
            notes += turned(one.name, turns, laid.start_s + laid.step_s * np.arange(laid.intervals))
        series = Series(laid.start_s, laid.step_s, values, quality, raw)
        series = _between(series, mark) if counted and len(series) > 1 else series
        channels.append(Channel(_id(one.id or one.name, taken), one.name, meter, one.meaning, series))
        notes += _odd(channels[-1]) + _form_judged(channels[-1], read)
    return tuple(channels), notes


def turned(column: str, turns: Sequence[Turned], starts_s: "NDArray[np.int64]") -> list[Finding]:
    """Return the findings about a register that rolled over, was replaced, or ran back in intervals with these starts."""
    notes = []
    daily, over, moved, back = (
        sorted((one.index, one.how.value) for one in turns if one.how in causes)
        for causes in ((Turn.DAILY,), (Turn.OVER,), (Turn.REPLACED,), (Turn.NOUGHT, Turn.GARBLED))
    )
    if daily:
        notes.append(kinds.REGISTER_DAILY.at("columns", column=column, count=len(daily), start=int(starts_s[daily[0][0]])))
    if over:
        notes.append(kinds.REGISTER_OVER.at("columns", column=column, count=len(over), start=int(starts_s[over[0][0]])))
    if moved:
        notes.append(kinds.REGISTER_REPLACED.at("columns", column=column, count=len(moved), start=int(starts_s[moved[0][0]])))
    if back:
        how = " or ".join(dict.fromkeys(why for _, why in back))
        notes.append(kinds.REGISTER_BACK.at("columns", column=column, count=len(back), start=int(starts_s[back[0][0]]), how=how))
    return notes


def most_used(meaning: Meaning, lasts_s: "float | NDArray[np.int64]") -> "float | Floats":
    """Return the most a register can count in so many seconds, in its own unit."""
    return np.inf if meaning.quantity is not Quantity.ACTIVE_POWER else MOST_W * lasts_s / 3600 / meaning.factor


def _between(series: Series, mark: StampsMark) -> Series:
    """Return the intervals between the readings of a register: one less than there are readings."""
    kept = slice(None, -1) if mark is StampsMark.START else slice(1, None)
    start = series.start_s + (0 if mark is StampsMark.START else series.step_s)
    return Series(start, series.step_s, series.values[kept], series.quality[kept], series.raw[kept])


def _on_grid(values: Floats, laid: Grid) -> Floats:
    if isinstance(laid.row, slice):
        # Every row has its own interval, in the order of the file.
        return values
    raw = np.full(laid.intervals, np.nan)
    raw[laid.index] = values[laid.row]
    return raw


def _held(raw: Floats, meaning: Meaning, step_s: int, mark: StampsMark) -> tuple[Floats, list[Turned]]:
    """Return the values in the unit held, and the intervals in which a register turns."""
    if meaning.form is not Form.REGISTER:
        # A thousandth is divided by a thousand: times 0.001 would miss the nearest number.
        part = 0.0 < abs(meaning.factor) < 1.0
        factor = (1.0 if part else meaning.factor) * (3600 / step_s if meaning.form is Form.ENERGY else 1.0)
        held = raw / (1.0 / meaning.factor) if part else raw
        held = held if factor == 1.0 else held * factor
        return held + meaning.offset if meaning.offset else held, []
    # A register is read at an instant: what runs up to the next reading belongs to the interval between the two.
    used, turns = used_between(raw, most_used(meaning, step_s), DAY_S / step_s)
    at_start = mark is StampsMark.START
    used = np.append(used, np.nan) if at_start else np.insert(used, 0, np.nan)
    return used * (meaning.factor * 3600 / step_s), turns if at_start else [replace(one, index=one.index + 1) for one in turns]


def _odd(channel: Channel) -> list[Finding]:
    values, quantity = channel.series.values, channel.meaning.quantity
    if quantity in _STEADY and channel.series.present.any():
        usual = float(np.nanmedian(values))
        far = np.flatnonzero(np.abs(values - usual) > 0.5 * abs(usual))
        if len(far):
            start = channel.series.start_s + channel.series.step_s * int(far[0])
            note = kinds.UNLIKELY.at(
                "columns", count=len(far), column=channel.column, usual=usual, unit=quantity.unit, start=start
            )
            return [note]
    return []


def _form_judged(channel: Channel, read: Floats) -> list[Finding]:
    """Return a finding where a column was taken for a register that may be energies, its rise and what ``read`` adds up to."""
    meaning, series = channel.meaning, channel.series
    if not meaning.form_open:
        return []
    risen = float(np.nansum(series.values)) * series.step_s / 3600 / meaning.factor
    return [kinds.FORM_JUDGED.at("columns", column=channel.column, unit=meaning.unit, risen=risen, added=float(np.nansum(read)))]


def id_of(name: str) -> str:
    """Return the id that a column of this name gets where nobody gave it one."""
    return re.sub(r"[^a-z0-9]+", "-", plain(name)).strip("-") or "channel"


def _id(name: str, taken: set[str]) -> str:
    base = id_of(name)
    id_, number = base, 2
    while id_ in taken:
        id_, number = f"{base}-{number}", number + 1
    taken.add(id_)
    return id_


def gaps_of(channels: tuple[Channel, ...], mark: StampsMark) -> tuple[tuple[Run, ...], list[Finding]]:
    """Return the stretches in which the first power channel (or else the first channel) has no reading, and a finding."""
    of_power = [c for c in channels if c.meaning.quantity is Quantity.ACTIVE_POWER]
    first = (of_power or list(channels))[0]
    series, present = first.series, first.series.present
    if first.meaning.form is Form.REGISTER and any(c.meaning.form is not Form.REGISTER for c in channels):
        # The outermost reading of a register only closes the interval beside it.
        present = present.copy()
        present[-1 if mark is StampsMark.START else 0] = True
    missing = np.flatnonzero(~present)
    gaps = runs_of(series.start_s + series.step_s * missing, series.step_s)
    if not gaps:
        return (), []
    longest = max(gaps, key=lambda gap: gap.intervals)
    note = kinds.GAPS.at(
        "intervals",
        missing=len(missing),
        intervals=len(series),
        gaps=len(gaps),
        longest=longest.end_s - longest.start_s,
        start=longest.start_s,
    )
    return gaps, [note]
