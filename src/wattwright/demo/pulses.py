"""From switched stretches of constant power to the mean power of each minute, exactly."""

from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray


class Pulses(NamedTuple):
    """Stretches of constant power: start and end in minutes since the start of the year, power in watts, each (k,)."""

    start: NDArray[np.float64]
    end: NDArray[np.float64]
    power_w: NDArray[np.float64]


def pulses(start: ArrayLike, length: ArrayLike, power_w: ArrayLike) -> Pulses:
    """Return pulses from starts and lengths in minutes and powers in watts; the shapes are broadcast and flattened."""
    begin, minutes, level = np.broadcast_arrays(
        np.asarray(start, dtype=np.float64), np.asarray(length, np.float64), np.asarray(power_w, np.float64)
    )
    return Pulses(begin.ravel(), (begin + minutes).ravel(), level.ravel())


def mean_power(pulse: Pulses, minutes: int) -> NDArray[np.float64]:
    """Return the mean power of each minute, watts, (minutes,); what lies outside the year is cut off."""
    edges = np.clip(np.concatenate((pulse.start, pulse.end)), 0.0, minutes)
    steps_w = np.concatenate((pulse.power_w, -pulse.power_w))
    whole = np.floor(edges).astype(np.int64)
    part = edges - whole
    # A step inside a minute counts there for the rest of that minute, and fully from the next minute on.
    change = np.bincount(whole, steps_w * (1.0 - part), minutes + 2)
    change += np.bincount(whole + 1, steps_w * part, minutes + 2)
    return np.asarray(np.abs(np.round(np.cumsum(change)[:minutes], 6)))


def without_overlap(start: NDArray[np.float64], length: NDArray[np.float64]) -> NDArray[np.float64]:
    """Return the starts (k,), sorted and put off so that one appliance never runs twice at once; lengths in order.

    Closed form of the queue start'[i] = max(start[i], start'[i-1] + length[i-1]).
    """
    ordered = np.sort(start)
    busy = np.concatenate(([0.0], np.cumsum(length[:-1])))
    return np.asarray(np.maximum.accumulate(ordered - busy) + busy)
