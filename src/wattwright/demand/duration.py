"""The load-duration curve: the power reached or passed for each share of the time."""

from dataclasses import dataclass
from math import ceil

import numpy as np

from wattwright.core.series import Floats, Series


@dataclass(frozen=True, slots=True, eq=False)
class DurationCurve:
    """Powers in W in falling order, shape (n,); the k-th was reached or passed for (k + 1) / n of the time with readings.

    ``step_s`` is the length of each, so that the area under the curve is the energy.
    """

    step_s: int
    power_w: Floats

    @property
    def energy_kwh(self) -> float:
        """Return the area under the curve in kWh."""
        return float(self.power_w.sum()) * self.step_s / 3.6e6

    def at_share(self, share: float) -> float:
        """Return the power in W reached or passed for ``share`` (0 to 1) of the time; NaN where there is no reading."""
        if not len(self.power_w):
            return float("nan")
        # The k-th of n was reached for (k + 1) / n of the time; a share such as 0.07 of 100 may lie a hair above 7.
        reached = ceil(share * len(self.power_w) - 1e-9) - 1
        return float(self.power_w[min(max(reached, 0), len(self.power_w) - 1)])

    def hours_above(self, power_w: float) -> float:
        """Return for how many hours the power lay above ``power_w``."""
        return float((self.power_w > power_w).sum()) * self.step_s / 3600


def duration_curve(power: Series) -> DurationCurve:
    """Return the load-duration curve of a power in W; intervals without a reading are left out."""
    return DurationCurve(power.step_s, np.sort(power.values[power.present])[::-1].copy())
