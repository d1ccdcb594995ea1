"""Limits proposed for voltage and current relays, each with its reason and with how long the record passed it."""

from dataclasses import dataclass

import numpy as np

from wattwright.core.findings import Finding
from wattwright.core.series import Series
from wattwright.demand.quality import kinds
from wattwright.demand.quality.voltage import INNER, OUTER, Extreme, Voltage
from wattwright.record.record import Channel

VOLTAGE_HYSTERESIS = 0.02
OVER_VOLTAGE_S, UNDER_VOLTAGE_S, OVER_CURRENT_S, UNDER_CURRENT_S = 5.0, 10.0, 60.0, 600.0
_CURRENT_HYSTERESIS = 0.1
_LEAST_A, _LEAST_SHARE = 0.5, 0.02
"""A lowest current under either, in A or as a share of the highest, lets no lost conductor be told from a quiet hour."""


@dataclass(frozen=True, slots=True)
class Limit:
    """A limit for a relay: where it picks up and drops out again, in V or A, and the delay between passing and picking up.

    ``passed_s`` is how long the record lay beyond the pick-up, ``stretch_s`` its longest stretch: both of means over its step.
    """

    name: str
    column: str
    unit: str
    pick_up: float
    drop_out: float
    on_delay_s: float
    passed_s: int
    stretch_s: int
    reason: Finding


def voltage_limits(one: Voltage) -> tuple[Limit, ...]:
    """Return over- and under-voltage of a channel, none where it is held against no nominal voltage."""
    nominal, column, series = one.nominal_v, one.channel.column, one.channel.series.read_only()
    if nominal != nominal:
        return ()
    high = INNER[1] * nominal
    share = INNER[0] if one.lowest.value >= INNER[0] * nominal else OUTER[0]
    low, step = share * nominal, VOLTAGE_HYSTERESIS * nominal
    over = kinds.OVER_VOLTAGE.at(column, pick_up=high, extreme=one.highest.value)
    under = kinds.UNDER_VOLTAGE.at(column, pick_up=low, share=share, extreme=one.lowest.value)
    return (
        Limit("over-voltage", column, "V", high, high - step, OVER_VOLTAGE_S, *_passed(series, high, above=True), over),
        Limit("under-voltage", column, "V", low, low + step, UNDER_VOLTAGE_S, *_passed(series, low, above=False), under),
    )


def over_current(channel: Channel, highest: Extreme, rating_a: float) -> Limit:
    """Return the limit of over-current at the rating of the main protection, A."""
    passed = _passed(channel.series.read_only(), rating_a, above=True)
    reason = kinds.OVER_CURRENT.at(channel.column, pick_up=rating_a, extreme=highest.value)
    drop_out = (1 - _CURRENT_HYSTERESIS) * rating_a
    return Limit("over-current", channel.column, "A", rating_a, drop_out, OVER_CURRENT_S, *passed, reason)


def under_current(channel: Channel, lowest: Extreme, highest: Extreme) -> Limit | None:
    """Return the limit of under-current at half of the lowest reading, None where that is too low to mean anything."""
    if lowest.value < max(_LEAST_A, _LEAST_SHARE * highest.value):
        return None
    pick_up = lowest.value / 2
    reason = kinds.UNDER_CURRENT.at(channel.column, pick_up=pick_up, extreme=lowest.value)
    drop_out = (1 + _CURRENT_HYSTERESIS) * pick_up
    return Limit("under-current", channel.column, "A", pick_up, drop_out, UNDER_CURRENT_S, 0, 0, reason)


def _passed(series: Series, limit: float, *, above: bool) -> tuple[int, int]:
    """Return how long a series lay beyond a limit and its longest stretch, in seconds."""
    beyond = series.values > limit * (1 + 1e-9) if above else series.values < limit * (1 - 1e-9)
    edges = np.flatnonzero(np.diff(np.concatenate([[False], beyond, [False]]).astype(np.int8)))
    runs = edges[1::2] - edges[::2]
    return int(runs.sum()) * series.step_s, int(runs.max(initial=0)) * series.step_s
