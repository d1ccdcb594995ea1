"""Time of week and temperature: a level for each hour of the week, and straight pieces over the temperature.

After Mathieu, Price, Kiliccote and Piette 2011 (IEEE Trans. Smart Grid 2(3)), from memory: times that are occupied follow the
temperature by up to six pieces, others by one slope.
"""

from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from wattwright.core.series import Floats
from wattwright.proof.models.calendar import indicators
from wattwright.proof.models.fitted import Fitted, solved
from wattwright.proof.models.record import Grain, UseRecord

_PIECES, _FEWEST = 6, 20
_HEATING_C, _COOLING_C = (50 - 32) / 1.8, (65 - 32) / 1.8
_OCCUPIED = 0.65


@dataclass(frozen=True, eq=False)
class FittedWeek(Fitted):
    """Levels of ``places`` of the week, pieces of the temperature between ``breaks_c``; ``occupied`` has the shape of places."""

    places: NDArray[np.int64]
    occupied: NDArray[np.bool_]
    breaks_c: Floats

    def columns(self, record: UseRecord) -> Floats:
        """Return what the coefficients are multiplied by, shape (n, columns)."""
        told = indicators(record.week_place, self.places)
        within = told @ self.occupied.astype(np.float64)
        pieces = temperature_pieces(record.mean_c, self.breaks_c) * within[:, None]
        rest = [] if self.occupied.all() else [record.mean_c * (1 - within)]
        return np.column_stack([told, pieces, *rest]) * record.days[:, None]


@dataclass(frozen=True, slots=True)
class WeekAndTemperature:
    """The model of time of week and temperature, by hours or by days."""

    name: str = "time of week and temperature"

    def suits(self, record: UseRecord) -> bool:
        """Return whether the record holds what the model needs: temperature, and four of each hour or day of the week."""
        if not record.has_temperature or record.grain is Grain.MONTH:
            return False
        counts = np.bincount(record.week_place, minlength=168 if record.grain is Grain.HOUR else 7)
        return bool(counts.min() >= 4)

    def fit(self, record: UseRecord) -> FittedWeek:
        """Return the model fitted to a record that suits it, by least squares of the energy."""
        places = np.unique(record.week_place)
        empty = FittedWeek(np.zeros(0), 0, places, occupied(record, places), temperature_breaks(record.mean_c))
        return replace(empty, coefficients=solved(empty.columns(record), record.energy_kwh))


def occupied(record: UseRecord, places: NDArray[np.int64]) -> NDArray[np.bool_]:
    """Return which places of the week are occupied: over 65 % of their readings lie above what temperature alone tells.

    Where none is, or each is, the record does not tell, and all count as occupied. From memory, as the paper has it.
    """
    mean = record.mean_c
    kelvins = np.maximum(_HEATING_C - mean, 0.0), np.maximum(mean - _COOLING_C, 0.0)
    columns = np.column_stack([np.ones(len(mean)), *kelvins]) * record.days[:, None]
    # Beyond rounding, so that a use without any scatter is not told by its last bits.
    above = record.energy_kwh - columns @ solved(columns, record.energy_kwh) > 1e-9 * record.energy_kwh.mean()
    share = np.array([above[record.week_place == one].mean() for one in places])
    found: NDArray[np.bool_] = share > _OCCUPIED
    return found if found.any() else np.ones(len(places), np.bool_)


def temperature_breaks(mean_c: Floats) -> Floats:
    """Return the inner ends of up to six equal pieces of the range; pieces of under 20 readings join the one before."""
    ends = np.linspace(float(mean_c.min()), float(mean_c.max()), _PIECES + 1)
    kept: list[float] = []
    below = 0
    for end in ends[1:-1]:
        upto = int((mean_c <= end).sum())
        if upto - below >= _FEWEST and len(mean_c) - upto >= _FEWEST:
            kept.append(float(end))
            below = upto
    return np.array(kept, np.float64)


def temperature_pieces(mean_c: Floats, breaks_c: Floats) -> Floats:
    """Return a temperature split at its breaks, shape (n, breaks + 1): the pieces of each add up to it."""
    if not len(breaks_c):
        return mean_c[:, None]
    first = np.minimum(mean_c, breaks_c[0])
    inner = [np.clip(mean_c - low, 0.0, high - low) for low, high in pairwise(breaks_c)]
    return np.column_stack([first, *inner, np.maximum(mean_c - breaks_c[-1], 0.0)])
