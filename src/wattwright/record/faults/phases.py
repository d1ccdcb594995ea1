"""Conductors taken for one another: voltage and current of different ones multiplied, and columns that changed places."""

from itertools import combinations, permutations

import numpy as np
from numpy.typing import NDArray

from wattwright.core.clock import DAY_S
from wattwright.core.findings import Finding
from wattwright.core.quantity import Quantity
from wattwright.core.series import Floats
from wattwright.record.faults import kinds
from wattwright.record.faults.seen import Seen
from wattwright.record.faults.signs import evenly
from wattwright.record.record import Channel

_LOADED = 0.1
_LEAST_READINGS = 24
_CROSSED = (-0.95, 0.3)
"""cos(phi + 120 deg) and cos(phi - 120 deg) for loads between a power factor of 0.85 and 1 lie from -0.88 to -0.03."""
_FOLLOWS, _FOLLOWS_NOT = 0.9, 0.7
_LEAST_DAYS = 5
_EXCHANGED = 0.65
_CLEAR = 1.7


def crossed(seen: Seen) -> list[Finding]:
    """Return a finding where the power of two or more conductors is a steady wrong share of their voltage times current."""
    ratios = {phase: _ratio(power, seen) for phase, power in seen.conductors(Quantity.ACTIVE_POWER).items()}
    odd = {phase: r for phase, r in ratios.items() if r is not None and _CROSSED[0] < r < _CROSSED[1]}
    if len(odd) < 2:
        return []
    told = ", ".join(f"{ratio:.2f}" for ratio in odd.values())
    return [kinds.CROSSED.at("columns", conductors=" and ".join(phase.value for phase in odd), ratios=told)]


def _ratio(power: Channel, seen: Seen) -> float | None:
    """Return the middle ratio of power to voltage times current where current flows; None where one of them is not there."""
    phase = power.meaning.phase
    volts, amps = (seen.one(quantity, phase) for quantity in (Quantity.VOLTAGE, Quantity.CURRENT))
    if volts is None or amps is None:
        return None
    apparent = evenly(volts.series.values) * evenly(amps.series.values)
    loaded = apparent > _LOADED * float(np.nanmax(apparent, initial=0.0))
    ratios = evenly(power.series.values)[loaded] / apparent[loaded]
    ratios = ratios[~np.isnan(ratios)]
    return float(np.median(ratios)) if len(ratios) >= _LEAST_READINGS else None


def exchanged(seen: Seen) -> list[Finding]:
    """Return findings where the power of a conductor follows the current of another one."""
    powers, amps = seen.conductors(Quantity.ACTIVE_POWER), seen.conductors(Quantity.CURRENT)
    phases = [phase for phase in powers if phase in amps]
    if len(phases) < 2:
        return []
    held = np.array([evenly(powers[p].series.values) for p in phases] + [evenly(amps[p].series.values) for p in phases])
    held = held[:, ~np.isnan(held).any(axis=0)]
    if held.shape[1] < _LEAST_READINGS or (held.std(axis=1) == 0).any():
        return []
    count = len(phases)
    alike = np.corrcoef(np.abs(held))[:count, count:]
    best = max(permutations(range(count)), key=lambda order: sum(alike[i, j] for i, j in enumerate(order)))
    return [
        kinds.EXCHANGED.at(
            "columns",
            column=powers[phases[i]].column,
            other=phases[j].value,
            found=float(alike[i, j]),
            own=float(alike[i, i]),
        )
        for i, j in enumerate(best)
        if i != j and alike[i, j] > _FOLLOWS and alike[i, i] < _FOLLOWS_NOT
    ]


def exchanged_from(seen: Seen) -> list[Finding]:
    """Return a finding for two conductors whose typical days change places in the middle of the record."""
    for quantity in (Quantity.ACTIVE_POWER, Quantity.CURRENT):
        channels = seen.conductors(quantity)
        if len(channels) < 2:
            continue
        days = {phase: _hours_of_days(channel, seen) for phase, channel in channels.items()}
        for one, other in combinations(channels, 2):
            day = _change(days[one], days[other])
            if day:
                first, second = channels[one], channels[other]
                start = int(first.series.start_s + DAY_S * day)
                return [kinds.EXCHANGED_FROM.at("intervals", start=start, column=first.column, other=second.column)]
    return []


def _hours_of_days(channel: Channel, seen: Seen) -> Floats:
    """Return the mean of each hour of each day of 24 h from the start of the record on, shape (days, 24)."""
    series = channel.series
    per_hour = max(1, 3600 // series.step_s)
    days = len(series) // (24 * per_hour)
    if series.step_s > 3600 or 3600 % series.step_s:
        return np.zeros((0, 24))
    hours: Floats = series.values[: days * 24 * per_hour].reshape(days, 24, per_hour).mean(axis=2)
    return hours


def _change(one: Floats, other: Floats) -> int:
    """Return the day (rows of (days, 24) each) from which on two conductors are exchanged, or 0."""
    whole = ~(np.isnan(one) | np.isnan(other)).any(axis=1)
    index: NDArray[np.int64] = np.flatnonzero(whole)
    if len(index) < 2 * _LEAST_DAYS:
        return 0
    a, b = one[index], other[index]
    count = np.arange(1, len(index) + 1)[:, None]
    before_a, before_b = (np.cumsum(x, axis=0) / count for x in (a, b))
    after_a, after_b = (np.cumsum(x[::-1], axis=0)[::-1] / count[::-1] for x in (a, b))
    cut = np.arange(_LEAST_DAYS, len(index) - _LEAST_DAYS + 1)
    # Hours that are alike on all days, as those of the night, tell more than busy ones.
    scatter = np.mean([np.diff(x, axis=0) ** 2 for x in (a, b)], axis=(0, 1)) / 2
    weight = 1 / (scatter + 1e-4 * float(np.mean([a**2, b**2])))
    pa, pb, qa, qb = before_a[cut - 1], before_b[cut - 1], after_a[cut], after_b[cut]
    as_named = (pa - qa) ** 2 @ weight + (pb - qb) ** 2 @ weight
    turned = (pa - qb) ** 2 @ weight + (pb - qa) ** 2 @ weight
    best = int(np.argmax((as_named - turned) / (1 / cut + 1 / (len(index) - cut))))
    # Two means of so many days differ by this much by chance alone, all hours and both conductors together.
    chance = 2 * a.shape[1] * (1 / cut[best] + 1 / (len(index) - cut[best]))
    clear = turned[best] < _EXCHANGED * as_named[best] and as_named[best] > _CLEAR * chance
    return int(index[cut[best]]) if clear else 0
