"""The one protocol of the baseline models: fit to a record, and predict others by columns times coefficients."""

from abc import ABC, abstractmethod
from dataclasses import dataclass
from typing import Protocol

import numpy as np

from wattwright.core.series import Floats
from wattwright.proof.models.record import UseRecord


@dataclass(frozen=True, eq=False)
class Fitted(ABC):
    """A fitted model: linear in its columns once what else it searched (``searched`` values) stands fixed.

    ``coefficients`` have shape (columns,) and are in kWh a day, or for each unit of what the column counts.
    """

    coefficients: Floats
    searched: int

    @abstractmethod
    def columns(self, record: UseRecord) -> Floats:
        """Return what the coefficients are multiplied by, shape (n, columns)."""

    @property
    def parameters(self) -> int:
        """Return how many numbers were fitted."""
        return len(self.coefficients) + self.searched

    def predict(self, record: UseRecord) -> Floats:
        """Return the energy in kWh that the model tells for each stretch of ``record``, shape (n,)."""
        told: Floats = self.columns(record) @ self.coefficients
        return told


class Model(Protocol):
    """A form of model, before it is fitted."""

    @property
    def name(self) -> str:
        """Return its name, as people read it."""
        ...

    def suits(self, record: UseRecord) -> bool:
        """Return whether the record holds what the model needs."""
        ...

    def fit(self, record: UseRecord) -> Fitted:
        """Return the model fitted to a record that suits it, by least squares of the energy."""
        ...


def solved(columns: Floats, energy_kwh: Floats) -> Floats:
    """Return the coefficients of least squares, shape (columns,); the shortest where several do as well."""
    return np.asarray(np.linalg.lstsq(columns, energy_kwh, rcond=None)[0], np.float64)
