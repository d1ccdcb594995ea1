"""The highest peaks, each with what surrounded it."""

from dataclasses import dataclass

import numpy as np

from wattwright.core.series import Floats, Series
from wattwright.record.record import Record

APART_S = 3600
"""Peaks closer together than this are one event."""
AROUND_S = 3 * 3600
"""How much is kept on either side of a peak."""


@dataclass(frozen=True, slots=True)
class Beside:
    """What another channel read in the interval of a peak: its id, value and unit."""

    channel: str
    value: float
    unit: str


@dataclass(frozen=True, slots=True, eq=False)
class Peak:
    """One peak: power in W over the interval that begins at ``start_s`` (UTC seconds).

    ``before_w`` and ``after_w`` are the means of the hour on either side (NaN where nothing was read); ``lasted_s`` how long the
    power stayed at or above 90 % of the peak around it; ``around_w`` the course from ``around_start_s`` in steps of ``step_s``.
    """

    start_s: int
    power_w: float
    before_w: float
    after_w: float
    lasted_s: int
    around_start_s: int
    step_s: int
    around_w: Floats
    beside: tuple[Beside, ...]


def highest_peaks(power: Series, record: Record, count: int = 10) -> tuple[Peak, ...]:
    """Return the ``count`` highest peaks of a power in W, highest first, at least an hour apart.

    A stretch that stays at or above 90 % of its peak is one peak, however long it lasts.
    """
    apart = max(1, APART_S // power.step_s)
    left = np.where(power.present, power.values, -np.inf)
    peaks = []
    for _ in range(count):
        best = int(np.argmax(left)) if len(left) else 0
        if not len(left) or left[best] == -np.inf:
            break
        peaks.append(_peak(power, best, record))
        first, last = _stretch(power, best)
        left[max(0, min(first, best - apart)) : max(last, best + apart) + 1] = -np.inf
    return tuple(peaks)


def _peak(power: Series, at: int, record: Record) -> Peak:
    hour = max(1, 3600 // power.step_s)
    reach = max(1, AROUND_S // power.step_s)
    low = max(0, at - reach)
    first, last = _stretch(power, at)
    around = power.values[low : at + reach + 1]
    return Peak(
        start_s=int(power.times_s[at]),
        power_w=float(power.values[at]),
        before_w=_mean(power.values[max(0, at - hour) : at]),
        after_w=_mean(power.values[at + 1 : at + 1 + hour]),
        lasted_s=(last - first + 1) * power.step_s,
        around_start_s=int(power.times_s[low]),
        step_s=power.step_s,
        around_w=around.copy(),
        beside=_beside(power, at, record),
    )


def _mean(values: Floats) -> float:
    told = values[~np.isnan(values)]
    return float(told.mean()) if len(told) else float("nan")


def _stretch(power: Series, at: int) -> tuple[int, int]:
    """Return the first and last interval of the unbroken run around ``at`` that stays at or above 90 % of it."""
    high = power.values >= 0.9 * power.values[at]
    last = at
    while last + 1 < len(high) and high[last + 1]:
        last += 1
    first = at
    while first > 0 and high[first - 1]:
        first -= 1
    return first, last


def _beside(power: Series, at: int, record: Record) -> tuple[Beside, ...]:
    start_s = power.start_s + at * power.step_s
    told = []
    for channel in record.channels:
        index, rest = divmod(start_s - channel.series.start_s, channel.series.step_s)
        if channel.series is power or rest or not 0 <= index < len(channel.series):
            continue
        value = float(channel.series.values[index])
        if not np.isnan(value):
            told.append(Beside(channel.id, value, channel.meaning.quantity.unit))
    return tuple(told)
