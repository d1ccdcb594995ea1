"""The course of a battery's charge that is to age it: a simulated year as a rule."""

from dataclasses import dataclass

import numpy as np

from wattwright.core.errors import InputError, Place
from wattwright.supply.wear.cycles import Floats

YEAR_S = 365 * 86_400.0
_NOISE = 1e-6


@dataclass(frozen=True, slots=True, eq=False)
class Course:
    """Charge at the start of each interval of ``step_s``, shape (n,), as a share of what the battery holds when full.

    ``cell_c`` is the temperature of its cells, a number or shape (n,). Raises InputError for shares outside 0 to 1, for a course
    that is too short to have a cycle, and for temperatures of another length.
    """

    charge_share: Floats
    step_s: float
    cell_c: float | Floats

    def __post_init__(self) -> None:
        """Refuse what is no course of charge."""
        values, cells = np.asarray(self.charge_share), np.asarray(self.cell_c)
        flat = values.ndim == 1 and len(values) >= 2 and cells.shape in ((), values.shape) and self.step_s > 0
        if not flat or not np.isfinite(values).all() or not np.isfinite(cells).all():
            raise _refused("values that do not fit together", "two or more finite shares, one temperature or as many")
        if values.min() < -_NOISE or values.max() > 1.0 + _NOISE:
            raise _refused(f"shares from {values.min():g} to {values.max():g}", "shares of the whole, 0 to 1")

    @property
    def years(self) -> float:
        """Return how long it is, in years of 365 days."""
        return len(self.charge_share) * self.step_s / YEAR_S

    @property
    def cells_c(self) -> Floats:
        """Return the temperature of the cells in each interval, shape (n,)."""
        return np.broadcast_to(np.asarray(self.cell_c, np.float64), np.shape(self.charge_share))


def _refused(found: str, wanted: str) -> InputError:
    return InputError.one(
        "supply.wear-course",
        Place(field="course of charge"),
        found=found,
        wanted=wanted,
        next_step="Take it from a simulated year.",
    )
