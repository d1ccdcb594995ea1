"""The faults planted in the main meter's file, as data, so that whoever finds them can be held against the truth."""

from dataclasses import dataclass
from enum import StrEnum

import numpy as np
from numpy.typing import NDArray

from wattwright.core.seeds import Streams
from wattwright.demo.year import DemoYear

GAP_LENGTHS_MIN = (200, 7)
"""The link lost for 3 h 20 min, and once for 7 min."""
RESENT_MIN = 12
UNREADABLE = "--"


class FaultKind(StrEnum):
    """What is wrong with the rows."""

    GAP = "gap"
    RESENT = "resent"
    UNREADABLE = "unreadable"


@dataclass(frozen=True, slots=True)
class PlantedFault:
    """A stretch of minutes that the file gives wrongly."""

    kind: FaultKind
    first: int
    """First minute of the year concerned, 0 up."""
    minutes: int
    start_s: int
    """Start of that minute, seconds UTC."""


def planted_faults(seed: int, year: DemoYear) -> tuple[PlantedFault, ...]:
    """Return the faults in the order of time, each in a month of its own and none on a day of 23 or 25 hours."""
    generator = Streams(seed).stream("demo.faults")
    gap, short_gap = GAP_LENGTHS_MIN
    wanted = (
        (2, FaultKind.UNREADABLE, 1),
        (5, FaultKind.GAP, short_gap),
        (7, FaultKind.GAP, gap),
        (9, FaultKind.RESENT, RESENT_MIN),
        (11, FaultKind.UNREADABLE, 1),
    )
    faults = []
    for month, kind, minutes in wanted:
        day = generator.choice(np.flatnonzero(year.month == month))
        # Between four in the morning and seven in the evening: the whole stretch stays on one local day.
        first = int(year.position(day, int(generator.integers(240, 1140))))
        faults.append(PlantedFault(kind, first, minutes, int(year.start_s[first])))
    return tuple(faults)


def rows_sent(faults: tuple[PlantedFault, ...], minutes: int) -> NDArray[np.int64]:
    """Return which minute of the year each row of the file gives, in the order of the rows, (rows,)."""
    times = np.ones(minutes, dtype=np.int64)
    for fault in faults:
        if fault.kind is FaultKind.GAP:
            times[fault.first : fault.first + fault.minutes] = 0
    parts, done = [], 0
    rows = np.arange(minutes)
    for fault in faults:
        if fault.kind is FaultKind.RESENT:
            end = fault.first + fault.minutes
            parts += [rows[done:end], rows[fault.first : end]]
            done = end
    order = np.concatenate([*parts, rows[done:]])
    return np.asarray(order[times[order] > 0])
