"""Any other load that comes and goes by itself, fitted to its runs in a record: its rating, and its duty by hour and day type.

What is used: the height of its power steps, and the share of each day for which it is on. What makes it come and go is not
fitted: of a room, a cold store or a pump the record of power alone shows no more.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from wattwright.core.clock import SiteClock
from wattwright.core.series import Series, of_values
from wattwright.simulate.fit.days import by_hour, day_means, hours_of, whole_days
from wattwright.simulate.fit.identify import Parameter
from wattwright.simulate.fit.runs import Runs, on_share
from wattwright.simulate.fit.statistics import Estimate, robust_mean, serial_mean

Floats = NDArray[np.float64]
_FEW = 3


@dataclass(frozen=True, slots=True, eq=False)
class DutySeen:
    """What a record shows: power step (W), share of the time it is on, and that share by day type and hour, shape (2, 24)."""

    level: Estimate
    duty: Estimate
    by_hour: Floats

    def statistics(self) -> tuple[Estimate, ...]:
        """Return the statistics that are fitted."""
        return (self.level, self.duty)


def seen_of(runs: Runs, series: Series, clock: SiteClock) -> DutySeen | None:
    """Return what the ``runs`` of a load in ``series`` show; None where runs or whole days are too few."""
    share = of_values(series.start_s, series.step_s, np.where(series.present, on_share(runs, series), np.nan))
    days = whole_days(share, clock)
    if len(runs) < _FEW or len(days) < _FEW:
        return None
    return DutySeen(robust_mean(runs.level_w), serial_mean(day_means(share, days)), by_hour(share, clock, days))


def parameters_of(rating_w: float) -> tuple[Parameter, ...]:
    """Return what is fitted: rating and duty."""
    return Parameter("rating_w", "W", rating_w, 0.7 * rating_w, 1.3 * rating_w), Parameter("duty", "1", 0.5, 0.0, 1.0)


def today_w(value: Floats, seen: DutySeen, series: Series, clock: SiteClock) -> Floats:
    """Return the load's power over the record with the fitted values, W, shape (n,): its mean by hour and day type.

    What makes it come and go is not known, so there is nothing for the engine to run.
    """
    shape = seen.by_hour[hours_of(series.times_s, clock)]
    return np.asarray(value[0] * shape * value[1] / seen.duty.value)
