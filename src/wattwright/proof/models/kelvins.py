"""Models that know the outdoor temperature: change points by the mean, and degree-days with fitted base temperatures."""

from dataclasses import dataclass, replace
from typing import Final

import numpy as np

from wattwright.core.series import Floats
from wattwright.demand.habits.change_points import Shape, change_points, shape_columns
from wattwright.proof.models.bases import bases, kelvins
from wattwright.proof.models.fitted import Fitted, solved
from wattwright.proof.models.record import UseRecord

_CHANGES: Final = {Shape.HEATING: 1, Shape.COOLING: 1, Shape.FOUR: 1, Shape.FIVE: 2}
_READINGS_EACH = 3
"""A parameter needs so many stretches; common practice, no source."""


@dataclass(frozen=True, eq=False)
class FittedChangePoint(Fitted):
    """Straight pieces over the mean temperature that meet ``at_c``, shape (changes,)."""

    shape: Shape
    at_c: Floats

    def columns(self, record: UseRecord) -> Floats:
        """Return what the coefficients are multiplied by, shape (n, columns)."""
        return shape_columns(self.shape, record.mean_c, self.at_c) * record.days[:, None]


@dataclass(frozen=True, slots=True)
class ChangePoint:
    """A change-point model, 2P to 5P (ASHRAE RP-1050)."""

    shape: Shape

    @property
    def name(self) -> str:
        """Return its name, as people read it."""
        return f"change point {self.shape.value}"

    def suits(self, record: UseRecord) -> bool:
        """Return whether the record holds what the model needs."""
        parameters = len(shape_columns(self.shape, np.zeros(1), np.zeros(2))[0]) + _CHANGES.get(self.shape, 0)
        return record.has_temperature and len(record) >= _READINGS_EACH * parameters

    def fit(self, record: UseRecord) -> FittedChangePoint:
        """Return the model fitted to a record that suits it, by least squares of the energy."""
        at = change_points(self.shape, record.mean_c, record.energy_kwh / record.days)
        empty = FittedChangePoint(np.zeros(0), len(at), self.shape, at)
        return replace(empty, coefficients=solved(empty.columns(record), record.energy_kwh))


@dataclass(frozen=True, eq=False)
class FittedDegreeDays(Fitted):
    """Energy for each day and each degree-day under ``heating_c`` and over ``cooling_c``, NaN where there is no such part."""

    heating_c: float
    cooling_c: float

    def columns(self, record: UseRecord) -> Floats:
        """Return what the coefficients are multiplied by, shape (n, columns)."""
        told = [np.ones(len(record)), *kelvins(record.parts_c, self.heating_c, self.cooling_c)]
        return np.column_stack(told) * record.days[:, None]


@dataclass(frozen=True, slots=True)
class DegreeDays:
    """Degree-days of heating, of cooling or of both, from the hours of a day or the days of a month; bases fitted."""

    heating: bool
    cooling: bool

    @property
    def name(self) -> str:
        """Return its name, as people read it."""
        return "degree-days, " + " and ".join(
            word for word, there in (("heating", self.heating), ("cooling", self.cooling)) if there
        )

    def suits(self, record: UseRecord) -> bool:
        """Return whether the record holds what the model needs."""
        # In hours, degree-days are the same as change points.
        return record.parts_c.shape[1] > 1 and len(record) >= _READINGS_EACH * (1 + 2 * (self.heating + self.cooling))

    def fit(self, record: UseRecord) -> FittedDegreeDays:
        """Return the model fitted to a record that suits it: the bases by a grid drawn closer about the best of it."""
        at_c = bases(record, record.parts_c, record.days[:, None], heating=self.heating, cooling=self.cooling)
        found = FittedDegreeDays(np.zeros(0), self.heating + self.cooling, *at_c)
        return replace(found, coefficients=solved(found.columns(record), record.energy_kwh))
