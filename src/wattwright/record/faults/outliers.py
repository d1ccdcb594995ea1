"""Single readings far above the rest, and readings that their quantity cannot take."""

import numpy as np
from numpy.typing import NDArray

from wattwright.core.findings import Finding
from wattwright.core.quantity import Direction, Quantity
from wattwright.core.series import Floats
from wattwright.record.faults import kinds
from wattwright.record.faults.seen import Seen
from wattwright.record.record import Channel

_MOST = 10
_ABOVE = 1.8
_LEAST_READINGS = 240
_RULES = {
    Quantity.VOLTAGE: (0.0, np.inf, "a voltage is not negative"),
    Quantity.POWER_FACTOR: (-1.0, 1.0, "a power factor lies between -1 and 1"),
    Quantity.FREQUENCY: (0.0, np.inf, "a frequency is not negative"),
    Quantity.HUMIDITY: (0.0, 105.0, "relative humidity lies between 0 and 100 %, sensors reach 105"),
    Quantity.APPARENT_POWER: (0.0, np.inf, "apparent power is not negative"),
    Quantity.TEMPERATURE: (-90.0, 1000.0, "no probe and no weather gives such a temperature"),
}
_OVER = 1.1


def spikes(channel: Channel) -> list[Finding]:
    """Return a finding where two to ten single readings stand far above the rest; one alone is told by its own rule."""
    if channel.meaning.quantity not in (Quantity.ACTIVE_POWER, Quantity.CURRENT, Quantity.APPARENT_POWER):
        return []
    values = channel.series.values
    if len(values) < _LEAST_READINGS:
        return []
    if _is_even(values):
        return []
    size = np.abs(values)
    size[np.isnan(size)] = 0.0
    if int((size > size.max() / (1 + _ABOVE)).sum()) > _MOST:
        return []
    # Parted in place: a copy would be the largest thing in memory.
    size.partition(len(size) - _MOST - 1)
    top = np.sort(size[-_MOST - 1 :])[::-1]
    with np.errstate(divide="ignore", invalid="ignore"):
        breaks = np.flatnonzero((top[:-1] - top[1:] > _ABOVE * top[1:]) & (top[1:] > 0)) + 1
    alone = 2 if channel.meaning.quantity is Quantity.ACTIVE_POWER else 0
    for count in breaks[breaks > alone][:1].tolist():
        where = np.flatnonzero(np.abs(values) > top[count])
        if (np.diff(where) > 1).all():
            series, unit = channel.series, channel.meaning.quantity.unit
            start = int(series.start_s + series.step_s * where[0])
            value, rest, column = float(top[0]), float(top[count]), channel.column
            return [kinds.SPIKES.at("columns", column=column, count=count, value=value, rest=rest, unit=unit, start=start)]
    return []


def _is_even(values: Floats) -> bool:
    """Return whether eleven blocks of the record come so near to its highest reading that none can stand far above the rest."""
    starts = np.linspace(0, len(values), 64, endpoint=False).astype(np.int64)
    peaks = np.sort(np.maximum(np.fmax.reduceat(values, starts), -np.fmin.reduceat(values, starts)))
    return bool(peaks[-1] <= (1 + _ABOVE) * peaks[-_MOST - 1])


def impossible(seen: Seen) -> list[Finding]:
    """Return findings about readings that the quantity cannot take, and about active power above the apparent one."""
    notes = []
    for channel in seen.channels:
        low, high, rule = _RULES.get(channel.meaning.quantity, (-np.inf, np.inf, ""))
        if rule:
            values = channel.series.values
            notes += _told(channel, (values < low) | (values > high), rule)
        if channel.meaning.quantity is Quantity.ACTIVE_POWER and channel.meaning.direction is not Direction.EXPORT:
            apparent = _apparent(seen, channel)
            if apparent is not None:
                beyond = np.abs(channel.series.values) > _OVER * apparent + 0.02 * float(np.nanmax(apparent))
                # Rounded or shifted columns differ now and then; what cannot be is much of it.
                if beyond.mean() > 0.01:
                    notes += _told(channel, beyond, "above the apparent power of the same conductor by more than a tenth")
    return notes


def _apparent(seen: Seen, channel: Channel) -> Floats | None:
    held = seen.one(Quantity.APPARENT_POWER, channel.meaning.phase)
    return held.series.values if held is not None and not np.isnan(held.series.values).all() else None


def _told(channel: Channel, odd: NDArray[np.bool_], rule: str) -> list[Finding]:
    where = np.flatnonzero(odd)
    if not len(where):
        return []
    start = int(channel.series.start_s + channel.series.step_s * where[0])
    value, unit = float(channel.series.values[where[0]]), channel.meaning.quantity.unit
    shown = "" if unit == "1" else unit
    return [
        kinds.IMPOSSIBLE.at("columns", column=channel.column, rule=rule, count=len(where), value=value, unit=shown, start=start)
    ]
