"""Readings that stay the same for longer than the record's own behaviour explains."""

import numpy as np

from wattwright.core.clock import DAY_S
from wattwright.core.findings import Finding
from wattwright.core.quantity import Direction, Quantity
from wattwright.record.faults import kinds
from wattwright.record.record import Channel, Form

_LEAST_S = 6 * 3600
_LEAST_READINGS = 12
_LONGER = 3.0
_EVERY_DAYS = 10
"""A stretch that comes as often as once in ten days is the record's own habit: common practice, no source."""
_BY_CHANCE = 1e-6
_ALIKE = 0.1
_MOST_IDLE, _NEAR_NOUGHT = 1 / 3, 0.1
_NEVER_IDLE = (Quantity.ACTIVE_POWER, Quantity.APPARENT_POWER, Quantity.CURRENT, Quantity.VOLTAGE)
_LOOKED_AT = (
    Quantity.ACTIVE_POWER, Quantity.REACTIVE_POWER, Quantity.APPARENT_POWER, Quantity.CURRENT, Quantity.VOLTAGE,
    Quantity.TEMPERATURE, Quantity.HUMIDITY,
)  # fmt: skip


def stuck(channel: Channel) -> list[Finding]:
    """Return a finding about the longest stretch in which a channel's reading is stuck; nought has its own rule.

    Three things must come together: six hours and a dozen readings; three times the length of the stretch that comes once in
    ten days; and less than one in a million by the share of steps at which readings of about that size repeat elsewhere.
    """
    series, values = channel.series, channel.series.values
    if channel.meaning.quantity not in _LOOKED_AT or channel.meaning.form is Form.STATE or len(series) < 2 * _LEAST_READINGS:
        return []
    # Only stretches of two and more are gathered: most readings differ from the next, and each would need its place in memory.
    same = (values[1:] == values[:-1]) & (values[1:] != 0)
    edges = np.flatnonzero(np.diff(np.concatenate([[False], same, [False]])))
    heads, lengths = edges[::2], edges[1::2] - edges[::2] + 1
    least = max(_LEAST_READINGS, -(-_LEAST_S // series.step_s))
    if int(lengths.max(initial=1)) < least:
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
    value, unit = _as_written(channel, first)
    return [
        kinds.STUCK.at(
            "intervals",
            column=channel.column,
            value=value,
            unit=unit,
            lasted=length * series.step_s,
            start=int(series.start_s + series.step_s * first),
            count=len(told),
            repeats=share,
            usual=usual * series.step_s,
        )
    ]


def _as_written(channel: Channel, index: int) -> tuple[float, str]:
    """Return a reading as it stands in the file with its unit; of a register, which stands still, the power held."""
    if channel.meaning.form is Form.REGISTER:
        return float(channel.series.values[index]), channel.meaning.quantity.unit
    return float(channel.series.raw[index]), channel.meaning.unit


def dead(channel: Channel) -> list[Finding]:
    """Return a finding where a channel that otherwise never comes near nought reads nought for a day and longer.

    A power cut is shorter. What is idle for more than a third of the record has its seasons and is no fault.
    """
    series, values, meaning = channel.series, channel.series.values, channel.meaning
    if meaning.quantity not in _NEVER_IDLE or meaning.direction is Direction.EXPORT:
        return []
    nought = values == 0
    edges = np.flatnonzero(np.diff(np.concatenate([[False], nought, [False]])))
    heads, lengths = edges[::2], edges[1::2] - edges[::2]
    long = lengths >= max(_LEAST_READINGS, -(-DAY_S // series.step_s))
    idle = int(lengths[long].sum())
    if not idle or idle > _MOST_IDLE * len(values):
        return []
    within = np.zeros(len(values), np.bool_)
    for head, length in zip(heads[long].tolist(), lengths[long].tolist(), strict=True):
        within[head : head + length] = True
    others = np.abs(values[~within & ~np.isnan(values)])
    if len(others) < idle:
        return []
    low, middle = np.quantile(others, (0.01, 0.5)).tolist()
    if low <= 0 or low < _NEAR_NOUGHT * middle:
        return []
    longest = int(np.argmax(lengths * long))
    return [
        kinds.DEAD.at(
            "intervals",
            column=channel.column,
            lasted=int(lengths[longest]) * series.step_s,
            start=int(series.start_s + series.step_s * heads[longest]),
            count=int(long.sum()),
            low=low,
            unit=meaning.quantity.unit,
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
