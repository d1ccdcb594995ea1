"""Demand charges as flat arrays: the windows of each, and what ratchet and minimum need."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from wattwright.core.clock import SiteClock
from wattwright.core.errors import Place, TariffError
from wattwright.core.series import of_values
from wattwright.tariff.compiled_grid import Grid
from wattwright.tariff.demand import assumed, contracted, month_index, month_index_of, window_means, windows_that_count
from wattwright.tariff.parts import Part, by_bill
from wattwright.tariff.schema import DemandSpec
from wattwright.tariff.usage import PriorDemand

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]


@dataclass(frozen=True, slots=True, eq=False)
class DemandTable:
    """One row per demand charge of each part, d rows; ``windows`` (w, 2) intervals as in kernels.Arrays."""

    windows: Ints
    window_start: Ints
    factor: Floats
    minimum: Floats
    ratchet: Floats
    lookback: Ints
    history_row: Ints
    history_month: Ints
    history: Floats


def demand_table(grid: Grid, clock: SiteClock, prior: Sequence[PriorDemand]) -> DemandTable:
    """Return the demand charges of every part on the grid; raises TariffError where windows cut intervals."""
    bills = [(bill, part) for bill in by_bill(grid.parts) for part in bill]
    windows = [_windows(grid, bill, spec, clock) for bill, part in bills for spec in part.spec.demand]
    rows = [(part, spec) for part in grid.parts for spec in part.spec.demand]
    labels = list(dict.fromkeys(spec.label for _, spec in rows))
    back = max((spec.ratchet.months for _, spec in rows if spec.ratchet), default=0)
    first, last = month_index(grid.parts[0]) - back, month_index(grid.parts[-1])
    history = np.zeros((len(labels), last - first + 1))
    for known in prior:
        month = month_index_of(known.month) - first
        if known.label in labels and 0 <= month < back:
            history[labels.index(known.label), month] = float(known.demand)
    return DemandTable(
        windows=np.concatenate([np.zeros((0, 2), np.int64), *windows]),
        window_start=np.cumsum([0, *(len(one) for one in windows)]).astype(np.int64),
        factor=np.array([_factor(spec) for _, spec in rows], np.float64),
        minimum=np.array([_minimum(part, spec) for part, spec in rows], np.float64),
        ratchet=np.array([float(spec.ratchet.share) if spec.ratchet else 0.0 for _, spec in rows], np.float64),
        lookback=np.array([spec.ratchet.months if spec.ratchet else 0 for _, spec in rows], np.int64),
        history_row=np.array([labels.index(spec.label) for _, spec in rows], np.int64),
        history_month=np.array([month_index(part) - first for part, _ in rows], np.int64),
        history=history,
    )


def _factor(spec: DemandSpec) -> float:
    """Return what active power is multiplied with; the power factor can only be the assumed one."""
    if spec.quantity == "kVA":
        return 1.0 / assumed(spec)
    if spec.target_power_factor is None:
        return 1.0
    return max(1.0, float(spec.target_power_factor) / assumed(spec))


def _minimum(part: Part, spec: DemandSpec) -> float:
    return float(max(spec.minimum, spec.minimum_share * contracted(part, spec)))


def _windows(grid: Grid, bill: Sequence[Part], spec: DemandSpec, clock: SiteClock) -> Ints:
    """Return the first interval of each window that counts on a bill and the one behind its last, shape (w, 2)."""
    start_s = bill[0].start_s
    low, high = (int((edge - grid.starts_s[0]) // grid.step_s) for edge in (start_s, bill[-1].end_s))
    means = window_means(of_values(start_s, grid.step_s, np.ones(high - low)), int(spec.window_s), spec.align, clock, spec.label)
    counts = windows_that_count(bill, spec, means, clock)
    length = max(int(spec.window_s), grid.step_s)
    offsets = means.starts_s[counts] - start_s
    if np.any(offsets % grid.step_s) or length % grid.step_s:
        raise TariffError.one(
            "tariff.cut-window",
            Place(field="window"),
            found=f"intervals of {grid.step_s} s that do not fit windows of {spec.window_s:g} s on the clock",
            wanted="whole intervals in each demand window",
            next_step="Compile it on a step that divides the window.",
            label=spec.label,
        )
    first = low + offsets // grid.step_s
    return np.stack([first, np.minimum(first + length // grid.step_s, high)], axis=1).astype(np.int64)
