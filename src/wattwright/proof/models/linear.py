"""A multi-variable linear model: energy follows the drivers the record names, and the mean temperature if there is one."""

from dataclasses import dataclass, replace

import numpy as np

from wattwright.core.series import Floats
from wattwright.proof.models.fitted import Fitted, solved
from wattwright.proof.models.record import UseRecord

_READINGS_EACH = 3


@dataclass(frozen=True, eq=False)
class FittedLinear(Fitted):
    """A base and a slope for each of ``driver_names``, the temperature last if ``warm``."""

    driver_names: tuple[str, ...]
    warm: bool

    def columns(self, record: UseRecord) -> Floats:
        """Return what the coefficients are multiplied by, shape (n, columns)."""
        warmth = [record.mean_c] if self.warm else []
        return np.column_stack([np.ones(len(record)), record.drivers, *warmth]) * record.days[:, None]


@dataclass(frozen=True, slots=True)
class Linear:
    """The multi-variable linear model."""

    name: str = "linear in several drivers"

    def suits(self, record: UseRecord) -> bool:
        """Return whether the record names drivers and holds enough stretches for each."""
        drivers = record.drivers.shape[1]
        return bool(drivers) and len(record) >= _READINGS_EACH * (1 + drivers + record.has_temperature)

    def fit(self, record: UseRecord) -> FittedLinear:
        """Return the model fitted to a record that suits it, by least squares of the energy."""
        empty = FittedLinear(np.zeros(0), 0, record.driver_names, record.has_temperature)
        return replace(empty, coefficients=solved(empty.columns(record), record.energy_kwh))
