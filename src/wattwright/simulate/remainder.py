"""The rest of the site: what the record holds beside the loads that are simulated.

A model runs at its own times, not at those of the day that was measured. Where it draws more in a step than the record holds
above the day's base, what is too much is taken from the steps of the same local day that hold most, as the real load ran in one
of them. So energy is kept day by day and the rest is never below nought. A highest step may be flattened by that: peaks of the
rest are not evidence of peaks.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
_BASE = 0.05
"""Share of the day's steps at or below which its base is seen: common practice, no source."""
_HALVINGS = 60


@dataclass(frozen=True, slots=True, eq=False)
class Remainder:
    """``rest_w`` (n,); the share of the modelled energy that was moved within its day; and what a day did not hold, kWh."""

    rest_w: Floats
    moved: float
    short_kwh: float


def remainder(record_w: Floats, modelled_w: Floats, most_w: float, day: NDArray[np.int64], step_s: float) -> Remainder:
    """Return what ``record_w`` (n,) holds beside ``modelled_w`` (n,), loads that draw at most ``most_w`` together.

    ``day`` (n,) is the local day of each step. Raises ValueError where a reading is missing or shapes differ.
    """
    if not (record_w.shape == modelled_w.shape == day.shape) or np.isnan(record_w).any():
        raise ValueError("the rest of a site needs every reading, and one modelled value for each")
    taken, moved_w, short_w = np.zeros_like(record_w), 0.0, 0.0
    for one in np.unique(day):
        here = day == one
        taken[here], moved, short = _day(record_w[here], modelled_w[here], most_w)
        moved_w, short_w = moved_w + moved, short_w + short
    total = modelled_w.sum()
    return Remainder(record_w - taken, moved_w / total if total > 0 else 0.0, short_w * step_s / 3.6e6)


def _day(record_w: Floats, modelled_w: Floats, most_w: float) -> tuple[Floats, float, float]:
    """Return what is taken from each step of a day, and the sums that were moved and that found no place."""
    base = max(0.0, float(np.quantile(record_w, _BASE) - np.quantile(modelled_w, _BASE)))
    above = np.maximum(record_w - base, 0.0)
    taken = np.minimum(modelled_w, above)
    lacks = float((modelled_w - taken).sum())
    room = np.minimum(above, max(most_w, float(modelled_w.max()))) - taken
    if lacks <= 0.0:
        return taken, 0.0, 0.0
    if room.sum() <= lacks:
        return taken + room, float(room.sum()), lacks - float(room.sum())
    # The level above which the highest steps are cut so that just what lacks is taken.
    low, high = 0.0, float(above.max())
    for _ in range(_HALVINGS):
        level = 0.5 * (low + high)
        low, high = (level, high) if _cut(above - taken, room, level).sum() > lacks else (low, level)
    cut = _cut(above - taken, room, high)
    return taken + cut * (lacks / cut.sum()), lacks, 0.0


def _cut(left: Floats, room: Floats, level: float) -> Floats:
    return np.clip(left - level, 0.0, room)
