"""Readings cut off at the end of a range, and currents above what their transformer is made for."""

from collections.abc import Mapping

import numpy as np

from wattwright.core.findings import Finding
from wattwright.core.quantity import Quantity
from wattwright.record.faults import kinds
from wattwright.record.faults.signs import resolution
from wattwright.record.record import Channel

_LEAST = 10
_TIMES = 10.0
_BELOW = 0.8
_RATED = 1.2


def clipped(channel: Channel) -> list[Finding]:
    """Return a finding where many readings stand at exactly the highest one, and hardly any just below it.

    A load that is on or off does so too; it is told apart by the readings on the way up, which a cut-off course has plenty of.
    """
    if channel.meaning.quantity not in (Quantity.CURRENT, Quantity.ACTIVE_POWER, Quantity.APPARENT_POWER):
        return []
    values = channel.series.values
    highest = float(max(np.fmax.reduce(values, initial=0.0), -np.fmin.reduce(values, initial=0.0)))
    at = int((values == highest).sum()) + int((values == -highest).sum()) if highest > 0 else 0
    if at < _LEAST:
        return []
    size = np.abs(values)
    step = resolution(size)
    if not step:
        return []
    below = size[(size >= _BELOW * highest) & (size < highest)]
    levels = max(1.0, (1 - _BELOW) * highest / step)
    # On the way up as many as at the top: else it is a load of one size that is switched.
    way_up = int(((size >= 0.5 * highest) & (size < 0.95 * highest)).sum())
    per_level = max(len(below) / levels, 1 / levels)
    if at < _TIMES * per_level or way_up < at or len(np.unique(below)) < _LEAST:
        return []
    unit = channel.meaning.quantity.unit
    return [kinds.CLIPPED.at("columns", column=channel.column, value=highest, unit=unit, count=at)]


def beyond_transformer(channel: Channel, rated_a: Mapping[str, float]) -> list[Finding]:
    """Return a finding where a current passes 120 % of its transformer's rating, A by column as a person gave it."""
    rating = rated_a.get(channel.column)
    if rating is None or channel.meaning.quantity is not Quantity.CURRENT:
        return []
    size = np.nan_to_num(np.abs(channel.series.values))
    above = int((size > _RATED * rating).sum())
    if not above:
        return []
    top = int(np.argmax(size))
    start = int(channel.series.start_s + channel.series.step_s * top)
    value, column = float(size[top]), channel.column
    return [kinds.BEYOND_CT.at("columns", column=column, rating=rating, count=above, value=value, start=start)]
