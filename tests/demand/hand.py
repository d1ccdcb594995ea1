"""Records made by hand, for the tests."""

from datetime import UTC, datetime
from zoneinfo import ZoneInfo

import numpy as np

from wattwright.core.files import SourceFile
from wattwright.core.quantity import Direction, Phase, Quantity
from wattwright.core.series import of_values
from wattwright.record.record import Channel, Form, Layout, Meaning, Record, StampsMark

LAYOUT = Layout("utf-8", "", "comma", "point", 0, 1, ("when", "kW"), ("when",), "ISO", StampsMark.START, "said", "said", ())


def channel(series, name="total", quantity=Quantity.ACTIVE_POWER, phase=Phase.TOTAL, direction=Direction.IMPORT):
    """A channel of mean values in its own unit."""
    return Channel(name, name.upper(), "main", Meaning(quantity, Form.MEAN, quantity.unit, 1.0, phase, direction, "said"), series)


def record_of(*channels, zone="Europe/Athens"):
    """A record of these channels."""
    return Record(SourceFile("hand.csv", 1, "0" * 64), zone, 1, LAYOUT, channels, (), (), ())


def plain_record(values, step_s=60, start="2025-01-06 00:00", zone="Europe/Athens"):
    """A record with one channel of power in W from a local time on."""
    series = of_values(second(start, zone), step_s, np.asarray(values, float))
    return record_of(channel(series), zone=zone)


def second(text, zone="Europe/Athens"):
    """UTC second of wall-clock digits, by zoneinfo."""
    return int(datetime.fromisoformat(text).replace(tzinfo=ZoneInfo(zone)).astimezone(UTC).timestamp())
