"""Readings that stay the same for longer than the record's own behaviour explains."""

import numpy as np

from wattwright.core.clock import DAY_S
from wattwright.core.findings import Finding
from wattwright.core.quantity import Quantity
from wattwright.record.faults import kinds
from wattwright.record.record import Channel, Form

_LEAST_S = 6 * 3600
_LEAST_READINGS = 12
_LONGER = 3.0
_EVERY_DAYS = 10
"""A stretch that comes as often as once in ten days is the record's own habit: common practice, no source."""
_BY_CHANCE = 1e-6
_ALIKE = 0.1
_LOOKED_AT = (
    Quantity.ACTIVE_POWER, Quantity.REACTIVE_POWER, Quantity.APPARENT_POWER, Quantity.CURRENT, Quantity.VOLTAGE,
    Quantity.TEMPERATURE, Quantity.HUMIDITY,
)  # fmt: skip


def stuck(channel: Channel) -> list[Finding]:
    """Return a finding about the longest stretch in which a channel's reading is stuck; nought is never called stuck.

    Three things must come together: six hours and a dozen readings; three times the length of the stretch that comes once in
    ten days; and less than one in a million by the share of steps at which readings of about that size repeat elsewhere.
    """
    series, values = channel.series, channel.series.values
    if channel.meaning.quantity not in _LOOKED_AT or channel.meaning.form is Form.STATE or len(series) < 2 * _LEAST_READINGS:
        return []
    heads = np.flatnonzero(np.concatenate([[True], values[1:] != values[:-1]]))
    lengths = np.diff(np.append(heads, len(values)))
    lengths = np.where(values[heads] == 0, 0, lengths)  # a missing reading is unlike any other, so its stretch is of one
    least = max(_LEAST_READINGS, -(-_LEAST_S // series.step_s))
    if int(lengths.max()) < least:
        return []
    days = len(series) * series.step_s / DAY_S
    rank = max(2, int(np.ceil(days / _EVERY_DAYS)) + 1)
    usual = int(np.partition(lengths, -rank)[-rank]) if len(lengths) >= rank else 1
    longest = np.flatnonzero((lengths >= least) & (lengths > _LONGER * usual))
    told = []
    for run in longest[np.argsort(-lengths[longest])].tolist():
        first, length = int(heads[run]), int(lengths[run])
        share = _repeats(channel, first, length)
        if len(values) * share ** (length - 1) < _BY_CHANCE:
            told.append((first, length, share))
    if not told:
        return []
    first, length, share = told[0]
    return [
        kinds.STUCK.at(
            "intervals",
            column=channel.column,
            value=float(values[first]),
            unit=channel.meaning.quantity.unit,
            lasted=length * series.step_s,
            start=int(series.start_s + series.step_s * first),
            count=len(told),
            repeats=share,
            usual=usual * series.step_s,
        )
    ]


def _repeats(channel: Channel, first: int, length: int) -> float:
    """Return at which share of the steps a reading within a tenth of the stuck one repeats, the stretch itself left out."""
    values = channel.series.values
    size = abs(float(values[first]))
    near = np.abs(values[:-1] - values[first]) <= _ALIKE * size
    near[first : first + length] = False
    count = int(near.sum())
    same = int((near & (values[1:] == values[:-1])).sum())
    # Never nought and never one: a level that was seen once or never tells little (rule of succession).
    return (same + 1) / (count + 2)
