"""Small channels with a known truth, for the tests of faults."""

import numpy as np

from wattwright.core.clock import SiteClock
from wattwright.core.quantity import Direction, Phase, Quantity
from wattwright.core.seeds import Streams
from wattwright.core.series import of_values
from wattwright.record.faults.seen import Seen
from wattwright.record.record import Channel, Form, Meaning, Run, StampsMark

MONDAY_S = 1_736_121_600
"""Monday 6 January 2025, 00:00 UTC."""
HOUR = 3600
DAY = 24
ATHENS = SiteClock("Europe/Athens")


def channel(
    values,
    column="Power kW",
    quantity=Quantity.ACTIVE_POWER,
    phase=Phase.TOTAL,
    direction=Direction.IMPORT,
    form=Form.MEAN,
    step_s=HOUR,
    raw=None,
    factor=1.0,
    start_s=MONDAY_S,
):
    """A channel of hourly values in the unit held."""
    held = np.asarray(values, np.float64)
    unit = quantity.unit
    meaning = Meaning(quantity, form, unit, factor, phase, direction, "test")
    series = of_values(start_s, step_s, held, None if raw is None else np.asarray(raw, np.float64))
    return Channel(column.lower().replace(" ", "-"), column, "main", meaning, series)


def seen(*channels, gaps=(), clock=ATHENS, zoned=True, mark=StampsMark.START):
    return Seen(tuple(channels), tuple(gaps), mark, clock, zoned)


def gap(first, intervals, step_s=HOUR):
    start = MONDAY_S + first * step_s
    return Run(start, start + intervals * step_s, intervals)


def house(days=28, name="house", step_s=HOUR, base=200.0):
    """Power of a house in W: base load, two humps of the day, and what differs from interval to interval."""
    draws = Streams(7).stream(f"tests/faults/{name}")
    hours = np.arange(days * 86_400 // step_s) * step_s / 3600 % 24
    habit = 900 * np.exp(-0.5 * ((hours - 7) / 1) ** 2) + 1500 * np.exp(-0.5 * ((hours - 19) / 2) ** 2)
    return np.round(base + habit * draws.uniform(0.5, 1.5, len(hours)) + draws.uniform(0, 60, len(hours)))


def bell(days=28, peak=3000.0, noon=12.0, step_s=HOUR, wide=5.0):
    """Generation in W: a half wave about noon, nought at night."""
    hours = np.arange(days * 86_400 // step_s) * step_s / 3600 % 24
    return peak * np.maximum(np.cos((hours + step_s / 7200 - noon) * np.pi / 2 / wide), 0) * (np.abs(hours - noon) < wide)


def codes(found):
    return [finding.code for finding in found]
