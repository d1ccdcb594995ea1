"""Models that know the calendar alone: means by day type, and by time of the week; both with the season if they hold a year."""

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from wattwright.core.calendar import DAY_TYPES
from wattwright.core.series import Floats
from wattwright.proof.models.fitted import Fitted, solved
from wattwright.proof.models.record import Grain, UseRecord

_YEAR_D = 330.0
"""A season is told from so many days on; common practice, no source."""
_HOURS = 24


def places(record: UseRecord, *, by_type: bool) -> NDArray[np.int64]:
    """Return the cell of each stretch, shape (n,): hour and day type, or place in the week."""
    if not by_type or record.grain is Grain.MONTH:
        return record.week_place
    hour = record.week_place % _HOURS if record.grain is Grain.HOUR else 0 * record.week_place
    return hour * len(DAY_TYPES) + record.day_type.astype(np.int64)


def indicators(cells: NDArray[np.int64], known: NDArray[np.int64]) -> Floats:
    """Return a column of ones and noughts for each ``known`` cell, shape (n, known)."""
    return np.asarray(cells[:, None] == known, np.float64)


@dataclass(frozen=True, eq=False)
class FittedMean(Fitted):
    """One mean power for all times."""

    def columns(self, record: UseRecord) -> Floats:
        """Return what the coefficient is multiplied by, shape (n, 1)."""
        return record.days[:, None]


@dataclass(frozen=True, slots=True)
class Mean:
    """The plain mean, which others must beat; a steady site needs no more."""

    name: str = "mean"

    def suits(self, record: UseRecord) -> bool:
        """Return whether there is anything to take the mean of."""
        return len(record) > 0

    def fit(self, record: UseRecord) -> FittedMean:
        """Return the mean fitted to a record."""
        return FittedMean(solved(record.days[:, None], record.energy_kwh), 0)


@dataclass(frozen=True, eq=False)
class FittedCalendar(Fitted):
    """Means of cells, with one wave over the year or none; a cell never seen is told as the mean of all."""

    cells: NDArray[np.int64]
    by_type: bool
    yearly: bool

    def columns(self, record: UseRecord) -> Floats:
        """Return what the coefficients are multiplied by, shape (n, columns)."""
        told = indicators(places(record, by_type=self.by_type), self.cells)
        told[told.sum(axis=1) == 0] = 1 / len(self.cells)
        turn = 2 * np.pi * record.year_share
        waves = [np.cos(turn), np.sin(turn)] if self.yearly else []
        return np.column_stack([told, *waves]) * record.days[:, None]


@dataclass(frozen=True, slots=True)
class Calendar:
    """Means by hour and day type (``by_type``) or by time of the week, with one wave over the year or none."""

    by_type: bool
    yearly: bool = False

    @property
    def name(self) -> str:
        """Return its name, as people read it."""
        return ("day type" if self.by_type else "time of week") + (" and season" if self.yearly else "")

    def suits(self, record: UseRecord) -> bool:
        """Return whether the record holds what the model needs: every cell often enough, and a year for the season.

        Months have no place in a week, so of them only the season is told.
        """
        if record.grain is Grain.MONTH and (self.by_type or not self.yearly):
            return False
        cells = len(np.unique(places(record, by_type=self.by_type)))
        return len(record) >= 2 * cells + 2 and (not self.yearly or record.span_days >= _YEAR_D)

    def fit(self, record: UseRecord) -> FittedCalendar:
        """Return the model fitted to a record that suits it, by least squares of the energy."""
        cells = np.unique(places(record, by_type=self.by_type))
        empty = FittedCalendar(np.zeros(0), 0, cells, self.by_type, self.yearly)
        return replace(empty, coefficients=solved(empty.columns(record), record.energy_kwh))
