"""What a load's part of a linear programme is made from, and what it leaves behind."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from wattwright.loads.columns import P_MOST_W, P_STANDBY_W
from wattwright.loads.compiled import CompiledLoad
from wattwright.plan.bound.linear import Linear
from wattwright.plan.bound.steps import Steps

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
KWH_J = 3.6e6


@dataclass(frozen=True, slots=True, eq=False)
class Asked:
    """Load ``i`` of a case on the steps of the bound."""

    steps: Steps
    i: int
    load: CompiledLoad

    @property
    def p(self) -> Floats:
        """Return its parameters."""
        return self.load.params

    @property
    def most_kw(self) -> float:
        """Return the most it draws at once."""
        return float(self.p[P_MOST_W] + self.p[P_STANDBY_W]) / 1000.0

    @property
    def most_unmet(self) -> float:
        """Return the service it may fail to give, in the unit of its kind."""
        return float(self.steps.case.most_unmet[self.i])

    def weather(self, column: int) -> Floats:
        """Return a column of the weather by step and part, (n, k)."""
        return self.steps.parts(self.steps.case.drivers.weather[:, column])

    def use(self, column: int) -> Floats:
        """Return what is asked of the load by step and part, (n, k)."""
        return self.steps.parts(self.steps.case.drivers.uses[self.i, :, column])

    def power(self, program: Linear) -> Ints:
        """Add the column of its power in each step, kW: whatever lies between nought and the most it draws."""
        return program.columns(len(self.steps), 0.0, self.most_kw)


@dataclass(frozen=True, slots=True, eq=False)
class Given:
    """Columns of a load's power, kW; of what its store holds at the end, with kWh of each; and what it held at the beginning."""

    power: Ints
    stored: tuple[tuple[Ints, float], ...] = ()
    began_kwh: float = 0.0
