"""What a register says about gaps: between two of its readings the total is known, whatever is missing in between."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from wattwright.core.clock import DAY_S
from wattwright.core.series import Floats, Series
from wattwright.record.faults.signs import evenly
from wattwright.record.record import Channel, Form, StampsMark
from wattwright.record.registers import begins_anew, sound_readings

TOLERANCE = 0.01
"""Sum check of interval data against the register: within 1 %; common practice, no source."""
_MOST_DECIMALS = 6
_HOURS = 24


@dataclass(frozen=True, slots=True)
class Known:
    """What a register rose by between two of its readings, at [start, end) in UTC seconds; ``count_kwh`` is one of its counts."""

    start_s: int
    end_s: int
    energy_kwh: float
    count_kwh: float = 0.0


@dataclass(frozen=True, slots=True, eq=False)
class Fitted:
    """Holes made to agree with a register: their values in W (n,), which of them it settled (n,), and by which spans.

    ``spans`` gives for each span used its first and last interval [first, last) and one count of the register in kWh.
    """

    values: Floats
    settled: NDArray[np.bool_]
    spans: tuple[tuple[int, int, float], ...]


def known_spans(series: Series, register: Channel, mark: StampsMark) -> tuple[Known, ...]:
    """Return the spans between readings of ``register`` that hold a gap of ``series``, both on one grid.

    A span in which the register runs back, or may have begun anew with the day, is left out; so is everything where the two do
    not agree on what both read.
    """
    own = register.series
    if (own.start_s, own.step_s, len(own)) != (series.start_s, series.step_s, len(series)) or not _agree(series, register):
        return ()
    day = DAY_S / own.step_s
    begun = begins_anew(own.raw, day)
    raw = own.raw if len(begun) else sound_readings(own.raw)[0]
    read = np.flatnonzero(~np.isnan(raw))
    if len(read) < 2:
        return ()
    edges = read + (1 if mark is StampsMark.END else 0)
    inside = np.concatenate([[0], np.cumsum(~series.present)])
    ends = np.minimum(edges, len(series))
    holed = np.flatnonzero((inside[ends[1:]] > inside[ends[:-1]]) & (np.diff(raw[read]) >= 0) & ~_begin_within(read, begun, day))
    count = _count(own.raw) * register.meaning.factor / 1000
    rises = np.diff(raw[read]) * register.meaning.factor / 1000
    at = series.start_s + series.step_s * edges
    return tuple(Known(int(at[i]), int(at[i + 1]), float(rises[i]), count) for i in holed.tolist())


def _begin_within(read: NDArray[np.int64], begun: NDArray[np.int64], day: float) -> NDArray[np.bool_]:
    """Return between which readings, at the steps ``read`` (n,), a count of the day may have begun anew; shape (n - 1,)."""
    if not len(begun):
        return np.zeros(len(read) - 1, np.bool_)
    # The hour before and after belongs to it as well: days of 23 and 25 hours move it.
    past = (read - int(begun[0]) - 0.5) / day
    early, late = np.floor(past[:-1] - 1 / _HOURS), np.floor(past[1:] + 1 / _HOURS)
    return np.asarray(late > early)


def register_for(channel: Channel, channels: Sequence[Channel]) -> Channel | None:
    """Return the register that counts what ``channel`` measures, which may be the channel itself; None where there is none."""
    wanted = _counted(channel)
    if channel.meaning.form is Form.REGISTER:
        return channel
    return next((c for c in channels if c.meaning.form is Form.REGISTER and _counted(c) == wanted), None)


def _counted(channel: Channel) -> tuple[str, str, str]:
    meaning = channel.meaning
    return meaning.quantity, meaning.phase, meaning.direction


def _agree(series: Series, register: Channel) -> bool:
    found = compared(series, register)
    if found is None:
        return True
    energy, risen, counts = found
    return abs(energy - risen) <= TOLERANCE * max(abs(energy), abs(risen)) + counts


def compared(series: Series, register: Channel) -> tuple[float, float, float] | None:
    """Return the energy of ``series`` and the rise of ``register`` where both were read, and two counts of it, in kWh."""
    theirs = register.series.values
    both = ~(np.isnan(series.values) | np.isnan(theirs))
    if int(both.sum()) < 2:
        return None
    hours = series.step_s / 3.6e6
    counts = 2 * _count(register.series.raw) * abs(register.meaning.factor) / 1000
    return float(series.values[both].sum()) * hours, float(theirs[both].sum()) * hours, counts


def _count(raw: Floats) -> float:
    """Return the last decimal that a register's readings show, such as 0.1, in their own unit; 0 beyond six decimals."""
    some = evenly(raw[~np.isnan(raw)])
    for digits in range(_MOST_DECIMALS + 1):
        scaled = some * 10.0**digits
        if (np.abs(scaled - np.rint(scaled)) < 1e-3).all():
            return 10.0**-digits
    return 0.0


def fit(values: Floats, holes: NDArray[np.bool_], start_s: int, step_s: int, known: Sequence[Known]) -> Fitted:
    """Return ``values`` (n,), whose ``holes`` (n,) were estimated, with the holes of each span scaled to what is left for them.

    What was read is never touched. A span whose holes were not all estimated, or for which the readings alone already come to
    more than the register, is left as it is; where the estimate gives no shape the rest is spread evenly.
    """
    fitted, settled = values.copy(), np.zeros(len(values), np.bool_)
    used: list[tuple[int, int, float]] = []
    hours = step_s / 3.6e6
    for span in known:
        first, last = (span.start_s - start_s) // step_s, (span.end_s - start_s) // step_s
        if first < 0 or last > len(values) or np.isnan(values[first:last]).any():
            continue
        inside, held = holes[first:last], fitted[first:last]
        left = span.energy_kwh - float(held[~inside].sum()) * hours
        if left < -(span.count_kwh + TOLERANCE * span.energy_kwh):
            continue
        left = max(left, 0.0)
        shape = np.maximum(held[inside], 0.0)
        total = float(shape.sum())
        held[inside] = (shape / total if total > 0 else 1 / int(inside.sum())) * (left / hours)
        settled[first:last] = inside
        used.append((first, last, span.count_kwh))
    return Fitted(fitted, settled, tuple(used))
