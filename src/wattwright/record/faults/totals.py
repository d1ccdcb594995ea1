"""The sum of intervals held against the register of the same meter."""

from wattwright.core.findings import Finding
from wattwright.core.quantity import Quantity
from wattwright.record.faults import kinds
from wattwright.record.faults.seen import Seen
from wattwright.record.registered import TOLERANCE, compared, register_for


def register_differs(seen: Seen) -> list[Finding]:
    """Return a finding for each channel whose intervals do not add up to what the register of the same meter shows."""
    notes: list[Finding] = []
    for channel in seen.of(Quantity.ACTIVE_POWER):
        register = register_for(channel, seen.channels)
        found = compared(channel.series, register) if register is not None else None
        if register is None or found is None or not found[0]:
            continue
        energy, risen, counts = found
        if abs(energy - risen) > TOLERANCE * max(abs(energy), abs(risen)) + counts:
            notes.append(
                kinds.REGISTER_DIFFERS.at(
                    "columns", column=channel.column, register=register.column, energy=energy, risen=risen, ratio=risen / energy
                )
            )
    return notes
