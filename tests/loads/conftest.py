"""What the tests of loads share: a load as rows, and a run of steps."""

import numpy as np
import pytest

from wattwright.loads.columns import S_ENERGY_J, W_AIR_C, W_COLD_WATER_C, WEATHER
from wattwright.loads.compiled import CompiledLoad, stack
from wattwright.loads.kernels import advance


class Running:
    """One load stepped by hand; ``s`` is its row of state."""

    def __init__(self, load: CompiledLoad) -> None:
        held = stack([load])
        self.kind, self.params, self.states = int(held.kinds[0]), held.params, held.states
        self.weather = np.zeros(WEATHER)
        self.weather[[W_AIR_C, W_COLD_WATER_C]] = 20.0, 10.0
        self.use = np.zeros(2)

    @property
    def s(self):
        return self.states[0]

    def run(self, time_s: float, step_s: float = 60.0, closed: bool = True, **use) -> float:
        """Let time pass in whole steps; return the energy used in J."""
        for column, value in use.items():
            self.use[int(column[-1])] = value
        before = self.s[S_ENERGY_J]
        for _ in range(round(time_s / step_s)):
            advance(self.kind, self.params, self.states, 0, closed, step_s, self.weather, self.use)
        return float(self.s[S_ENERGY_J] - before)


@pytest.fixture
def running():
    return Running
