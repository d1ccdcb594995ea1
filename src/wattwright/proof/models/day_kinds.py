"""Days by their kind and the outdoor temperature together: a level for each kind of day, and bends over the temperature.

A site that rests at weekends and is heated is told badly by either alone. Change points after ASHRAE RP-1050, with the level by
day type or day of the week in the place of the one base; degree-days likewise.
"""

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from wattwright.core.series import Floats
from wattwright.proof.models.bases import bases, kelvins
from wattwright.proof.models.calendar import indicators, places
from wattwright.proof.models.fitted import Fitted, solved
from wattwright.proof.models.record import Grain, UseRecord

_READINGS_EACH, _OF_EACH_KIND = 3, 4
"""A parameter needs so many days, and a kind of day or an hour of the week so many of its own; common practice, no source."""
_SHAPES = {(True, False): "3P heating", (False, True): "3P cooling", (True, True): "5P"}


@dataclass(frozen=True, eq=False)
class FittedDayKinds(Fitted):
    """Levels of ``cells`` and slopes under ``heating_c`` and over ``cooling_c``, NaN where there is no such part.

    Kelvins are those of the hours of a day (``hourly``), or of its mean; a cell never seen is told as the mean of all.
    """

    cells: NDArray[np.int64]
    by_type: bool
    hourly: bool
    heating_c: float
    cooling_c: float

    def columns(self, record: UseRecord) -> Floats:
        """Return what the coefficients are multiplied by, shape (n, columns)."""
        bends = kelvins(_parts(record, hourly=self.hourly), self.heating_c, self.cooling_c)
        return np.column_stack([_levels(record, self.cells, by_type=self.by_type), *bends]) * record.days[:, None]


@dataclass(frozen=True, slots=True)
class DayKinds:
    """Day type (``by_type``) or day of the week, with change points of the mean or degree-days of the hours (``hourly``)."""

    by_type: bool
    hourly: bool
    heating: bool
    cooling: bool

    @property
    def name(self) -> str:
        """Return its name, as people read it."""
        kind = "day type" if self.by_type else "day of the week"
        if not self.hourly:
            return f"{kind} and change point {_SHAPES[self.heating, self.cooling]}"
        parts = (word for word, there in (("heating", self.heating), ("cooling", self.cooling)) if there)
        return f"{kind} and degree-days, {' and '.join(parts)}"

    def suits(self, record: UseRecord) -> bool:
        """Return whether the record holds what the model needs: days, their temperature, and enough of each kind of day."""
        if record.grain is not Grain.DAY or not record.has_temperature:
            return False
        cells, counts = np.unique(places(record, by_type=self.by_type), return_counts=True)
        parameters = len(cells) + 2 * (self.heating + self.cooling)
        return bool(counts.min() >= _OF_EACH_KIND) and len(record) >= _READINGS_EACH * parameters

    def fit(self, record: UseRecord) -> FittedDayKinds:
        """Return the model fitted to a record that suits it, by least squares of the energy; the bases are searched."""
        return _fitted(record, by_type=self.by_type, hourly=self.hourly, heating=self.heating, cooling=self.cooling)


@dataclass(frozen=True, slots=True)
class HoursOfWeek:
    """A level for each hour of the week, and kelvins under and over two fitted bases, at whatever hour.

    For sites that are heated and cooled while nobody is there: pieces that one slope stands for in those hours tell neither.
    """

    name: str = "time of week and change point 5P"

    def suits(self, record: UseRecord) -> bool:
        """Return whether the record holds what the model needs: hours, their temperature, and four of each hour of the week."""
        if record.grain is not Grain.HOUR or not record.has_temperature:
            return False
        return bool(np.bincount(record.week_place, minlength=168).min() >= _OF_EACH_KIND)

    def fit(self, record: UseRecord) -> FittedDayKinds:
        """Return the model fitted to a record that suits it, by least squares of the energy; the bases are searched."""
        return _fitted(record, by_type=False, hourly=False, heating=True, cooling=True)


def _fitted(record: UseRecord, *, by_type: bool, hourly: bool, heating: bool, cooling: bool) -> FittedDayKinds:
    cells = np.unique(places(record, by_type=by_type))
    levels = _levels(record, cells, by_type=by_type) * record.days[:, None]
    at_c = bases(record, _parts(record, hourly=hourly), levels, heating=heating, cooling=cooling)
    found = FittedDayKinds(np.zeros(0), heating + cooling, cells, by_type, hourly, *at_c)
    return replace(found, coefficients=solved(found.columns(record), record.energy_kwh))


def _levels(record: UseRecord, cells: NDArray[np.int64], *, by_type: bool) -> Floats:
    told = indicators(places(record, by_type=by_type), cells)
    told[told.sum(axis=1) == 0] = 1 / len(cells)
    return told


def _parts(record: UseRecord, *, hourly: bool) -> Floats:
    return record.parts_c if hourly else record.mean_c[:, None]
