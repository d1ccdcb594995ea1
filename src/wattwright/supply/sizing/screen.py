"""The screen: every size on one course, what it does to import, bill and outages."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from wattwright.core.progress import SILENT, Progress
from wattwright.supply.sizing.columns import (
    SUMS,
    Y_DISCHARGE_J,
    Y_EXPORT_J,
    Y_GENERATOR_J,
    Y_IMPORT_J,
    Y_PEAK_W,
    Y_SERVED_J,
    Y_UNSERVED_J,
    Z_START_J,
)  # fmt: skip
from wattwright.supply.sizing.course import Course
from wattwright.supply.sizing.sizes import Sizes, Store
from wattwright.tariff.compiled import CompiledTariff

Floats = NDArray[np.float64]
_BLOCKS_TOLD = 16
_J_KWH = 3.6e6


@dataclass(frozen=True, slots=True, eq=False)
class Swept:
    """What comes of m sizes over a course: ``sums`` (SUMS, m) by sizing.columns, and ``bill`` (m,), NaN without a tariff."""

    sums: Floats
    bill: Floats

    @property
    def import_kwh(self) -> Floats:
        """Return the energy imported, (m,)."""
        return np.asarray(self.sums[Y_IMPORT_J] / _J_KWH)

    @property
    def export_kwh(self) -> Floats:
        """Return the energy exported, (m,)."""
        return np.asarray(self.sums[Y_EXPORT_J] / _J_KWH)

    @property
    def generator_kwh(self) -> Floats:
        """Return the energy that the generator gave, (m,)."""
        return np.asarray(self.sums[Y_GENERATOR_J] / _J_KWH)

    @property
    def discharge_kwh(self) -> Floats:
        """Return the energy that came from the battery, (m,)."""
        return np.asarray(self.sums[Y_DISCHARGE_J] / _J_KWH)

    @property
    def peak_w(self) -> Floats:
        """Return the highest mean import of a step, (m,)."""
        return np.asarray(self.sums[Y_PEAK_W])

    @property
    def own_share(self) -> Floats:
        """Return the share of what was served that did not come from the grid, (m,); below 0 where losses take more."""
        served = self.sums[Y_SERVED_J]
        return np.asarray(1.0 - self.sums[Y_IMPORT_J] / np.where(served > 0.0, served, 1.0))

    def lpsp(self, islanded_kwh: float) -> Floats:
        """Return the share of the energy wanted without the grid that did not come, (m,); 0 where none was wanted."""
        return np.asarray(
            self.sums[Y_UNSERVED_J] / _J_KWH / islanded_kwh if islanded_kwh > 0.0 else 0.0 * self.sums[Y_UNSERVED_J]
        )


def swept(
    course: Course, sizes: Sizes, store: Store, *, alone: bool, tariff: CompiledTariff | None = None,
    progress: Progress = SILENT,
) -> Swept:  # fmt: skip
    """Return what comes of sizes over a course; ``alone``: the inverter carries the site where the grid is gone.

    With a tariff compiled on the steps of the course each has its bill, before rounding. Raises Cancelled by ``progress``.
    """
    from wattwright.supply.sizing.sweep_kernels import WIDE, sweep
    from wattwright.tariff.compiled import cost

    z, y, bills = store.rows(sizes), np.zeros((SUMS, len(sizes))), np.full(len(sizes), np.nan)
    site_w, pv_share, beside_w, grid = (
        np.ascontiguousarray(one) for one in (course.site_w, course.pv_share, course.beside_w, course.grid)
    )
    net_w = np.zeros((len(course) if tariff is not None else 0, min(WIDE, len(sizes))))
    for number, first in enumerate(range(0, len(sizes), WIDE)):
        if number % _BLOCKS_TOLD == 0:
            progress.at("sizes", first, len(sizes))
        part = slice(first, min(first + WIDE, len(sizes)))
        count = part.stop - first
        block, sums = np.ascontiguousarray(z[:, part]), np.zeros((SUMS, count))
        # One room for all blocks but the last, which may be smaller: the sweep wants rows without gaps.
        held = net_w if count == net_w.shape[1] else np.zeros((len(net_w), count))
        start_j = block[Z_START_J].copy()
        sweep(
            site_w, pv_share, beside_w, grid, block, start_j, sums, held, float(alone), store.stays, store.comes,
            float(course.step_s),
        )  # fmt: skip
        y[:, part] = sums
        if tariff is not None:
            bills[part] = [cost(tariff, np.ascontiguousarray(held[:, k])).total for k in range(held.shape[1])]
    return Swept(y, bills)
