"""Stamps by a clock of twelve hours that do not say which half of the day they are in."""

import numpy as np

from wattwright.core.clock import DAY_S
from wattwright.core.errors import RecordError, quoted
from wattwright.record.readers.stamps import Stamps
from wattwright.record.readers.table import Table

_HOUR = 3600
_HALF = 12
_TWICE = 0.4
_FIRST_DAYS, _MINUTES = 2, 1440


def refuse_half_days(stamps: Stamps, table: Table) -> None:
    """Raise RecordError where all twelve hours from 1 to 12 stand twice a day and no other hour does."""
    if stamps.utc is not None or len(stamps.local) < 2 * _HALF:
        return
    if (stamps.local[: _FIRST_DAYS * _MINUTES] % DAY_S < _HOUR).any():
        # The usual file has a midnight hour in its first days: a look at those is enough.
        return
    hours = np.unique(stamps.local % DAY_S // _HOUR)
    if len(hours) != _HALF or hours[0] != 1:
        return
    _, first = np.unique(stamps.local, return_index=True)
    again = np.setdiff1d(np.arange(len(stamps.local)), first)
    if len(again) < _TWICE * len(stamps.local):
        return
    row = int(again[0])
    shown = quoted(str(table.text(stamps.columns[0])[row]).strip())
    raise RecordError.one(
        "record.half-days",
        table.place(row, stamps.columns),
        found=f"{shown} for the second time on that day, and no hour but 1 to 12",
        wanted="AM or PM behind the time, or hours from 0 to 23",
        next_step="Export the readings again with AM and PM, or with a clock of 24 hours.",
    )
