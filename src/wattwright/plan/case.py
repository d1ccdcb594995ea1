"""What a plan is sought for: a site through its record, its tariff, what may be switched, and what counts as better."""

from dataclasses import asdict, dataclass, replace
from typing import Final, Literal

import numpy as np
from numpy.typing import NDArray

from wattwright.control.compiled import compile_control
from wattwright.control.rules import Control
from wattwright.core.clock import DAY_S
from wattwright.core.errors import OwnFault
from wattwright.loads.columns import P_MOST_W, P_STANDBY_W
from wattwright.simulate.drivers import Drivers
from wattwright.simulate.scenario import Scenario
from wattwright.tariff.compiled import CompiledTariff, compile_tariff
from wattwright.tariff.tariff import Tariff

Floats = NDArray[np.float64]
PEAK_S = 900
"""Window of the peak that a plan is judged by: the usual one of demand charges."""

SPARE_H = 1.0
"""How much longer than asked a load without a store of its own may run in a day: more would be waste, whatever it uses."""

Sought = Literal["cost", "peak", "own-use", "autonomy", "several"]
"""What a plan is sought for: one objective, or several weighed against each other."""
_ALONE: Final[tuple[Sought, ...]] = ("cost", "peak", "own-use", "autonomy")

YEAR_DAYS = 365.0
_FORTNIGHT = 14.0


@dataclass(frozen=True, slots=True)
class Weights:
    """What one unit of each figure weighs: money, kW of the highest 15 min, kWh of PV given away, kWh not served."""

    cost: float = 0.0
    peak: float = 0.0
    pv: float = 0.0
    unserved: float = 0.0

    @property
    def objective(self) -> Sought:
        """Return the objective that they are the weights of, "several" where they are of none alone."""
        return next((name for name in _ALONE if OBJECTIVES[name] == self), "several")

    def unit(self, currency: str) -> str:
        """Return the unit of what they make of a plan: that of the only figure that weighs, with weight 1, or "points"."""
        units = {"cost": currency, "peak": "kW", "pv": "kWh", "unserved": "kWh"}
        weighing = [(name, weight) for name, weight in asdict(self).items() if weight]
        return units[weighing[0][0]] if [weight for _, weight in weighing] == [1.0] else "points"


OBJECTIVES = {
    "cost": Weights(cost=1.0), "peak": Weights(peak=1.0), "own-use": Weights(pv=1.0), "autonomy": Weights(unserved=1.0),
}  # fmt: skip
"""Least cost; least peak; most of the PV used on site; most of the site served where the grid is gone."""


@dataclass(frozen=True, slots=True, eq=False)
class Case:
    """A site through a stretch of time, with m simulated loads.

    ``scenario`` is today's, ``today`` its rules; ``switchable`` (m,) says which loads a plan may switch. ``most_unmet`` (m,) is
    the service each may fail to give over the whole stretch, in the unit of its kind (S_UNMET); ``days`` (d + 1,) are the steps
    at which local days begin and the last ends; ``least_kwh`` (m, d) is the energy that a load without a store of its own must be
    given in each of them, and at most SPARE_H hours more. ``agreed_w`` is what the grid operator
    agreed to, a mean over 15 min; None where nothing is agreed.
    """

    scenario: Scenario
    today: Control
    names: dict[str, str]
    tariff: Tariff | None
    switchable: NDArray[np.bool_]
    most_unmet: Floats
    days: NDArray[np.int64]
    least_kwh: Floats
    weights: Weights
    agreed_w: float | None = None

    def __post_init__(self) -> None:
        """Hold the shapes against one another."""
        m, d = len(self.scenario.loads), len(self.days) - 1
        if not (self.switchable.shape == self.most_unmet.shape == (m,) and self.least_kwh.shape == (m, d)):
            raise OwnFault("a case of a plan whose tables do not fit its loads and days")

    @property
    def unit(self) -> str:
        """Return the unit of a plan's value."""
        return self.weights.unit("" if self.tariff is None else self.tariff.currency)

    @property
    def length_days(self) -> float:
        """Return how long the stretch is, in days."""
        return (self.scenario.span.end_s - self.scenario.span.start_s) / DAY_S

    @property
    def is_a_year(self) -> bool:
        """Return whether it is as good as a year, a fortnight more or less."""
        return abs(self.length_days - YEAR_DAYS) <= _FORTNIGHT

    @property
    def ids(self) -> tuple[str, ...]:
        """Return the ids of the loads."""
        return tuple(one.load.id for one in self.scenario.loads)

    @property
    def drivers(self) -> Drivers:
        """Return what comes from outside."""
        return self.scenario.drivers

    @property
    def most_w(self) -> Floats:
        """Return the most each load draws at once, (m,)."""
        return np.array([one.load.params[P_MOST_W] + one.load.params[P_STANDBY_W] for one in self.scenario.loads])

    def compiled_tariff(self, step_s: int) -> CompiledTariff | None:
        """Return the tariff on steps of ``step_s`` from the beginning; None without one. Raises TariffError."""
        if self.tariff is None:
            return None
        span = self.scenario.span
        return compile_tariff(self.tariff, np.arange(span.start_s, span.end_s, step_s, dtype=np.int64), step_s, span.clock)

    def under(self, control: Control) -> Scenario:
        """Return the scenario under other rules."""
        return replace(self.scenario, control=compile_control(control, self.ids, self.scenario.span))
