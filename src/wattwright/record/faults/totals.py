"""The sum of intervals held against the register of the same meter."""

import numpy as np

from wattwright.core.findings import Finding
from wattwright.core.quantity import Quantity
from wattwright.record.faults import kinds
from wattwright.record.faults.seen import Seen
from wattwright.record.faults.signs import resolution
from wattwright.record.record import Channel, Form

TOLERANCE = 0.01
"""Sum check of interval data against the register: within 1 %; common practice, no source."""
_COUNTS = 2


def compared(interval: Channel, register: Channel) -> tuple[float, float, float] | None:
    """Return the energy of ``interval`` and the rise of ``register`` where both were read, and two counts of it, in kWh."""
    ours, theirs = interval.series.values, register.series.values
    both = ~(np.isnan(ours) | np.isnan(theirs))
    hours = interval.series.step_s / 3.6e6
    if int(both.sum()) < 2:
        return None
    counts = _COUNTS * resolution(register.series.raw) * register.meaning.factor / 1000
    return float(ours[both].sum()) * hours, float(theirs[both].sum()) * hours, counts


def agree(interval: Channel, register: Channel) -> bool:
    """Return whether the two are within the tolerance, where they can be compared at all."""
    found = compared(interval, register)
    if found is None:
        return False
    energy, risen, counts = found
    return abs(energy - risen) <= TOLERANCE * max(abs(energy), abs(risen)) + counts


def registers_of(channel: Channel, channels: tuple[Channel, ...]) -> list[Channel]:
    """Return the registers that count what ``channel`` measures: the same quantity, conductor and direction."""
    meaning = channel.meaning
    wanted = (meaning.quantity, meaning.phase, meaning.direction)
    found = [c for c in channels if c.meaning.form is Form.REGISTER]
    return [c for c in found if (c.meaning.quantity, c.meaning.phase, c.meaning.direction) == wanted]


def register_differs(seen: Seen) -> list[Finding]:
    """Return a finding for each channel whose intervals do not add up to what the register of the same meter shows."""
    notes: list[Finding] = []
    for channel in seen.of(Quantity.ACTIVE_POWER):
        for register in registers_of(channel, seen.channels)[:1]:
            found = compared(channel, register)
            if found is None or agree(channel, register) or not found[0]:
                continue
            data = {"energy": found[0], "risen": found[1], "ratio": found[1] / found[0]}
            notes.append(kinds.REGISTER_DIFFERS.at("columns", column=channel.column, register=register.column, **data))
    return notes
