"""The cost of a power series under a compiled tariff, line by line, in compiled code for search.

All arrays of a tariff travel together in :class:`Arrays`, which other compiled code may pass on as it is.
"""

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from wattwright.core.kernels import kernel

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

CONSTANT, RANGE, DEMAND, EXPORT, PERCENT, CONTINUED = 0, 1, 2, 3, 4, 5
"""Kinds of line: a fixed amount; energy between two ends; a demand; exported energy; a share of other lines; energy between
two ends that are counted from the beginning of the bill, under an earlier version of the tariff."""
APART, EACH_INTERVAL, EACH_BILL = 0, 1, 2
"""How export is set against import in a part."""
PAID, CARRIED, LOST = 0, 1, 2
"""What becomes of the surplus of a cell."""


class Arrays(NamedTuple):
    """A tariff as flat arrays over n intervals, p parts, c cells, l lines, d demands.

    A cell is one price period of one part; behind those of all parts lie cells of single days. What line i refers to stands
    in ``refs`` from ``ref_start[i]`` to ``ref_start[i + 1]``: cells in groups of ``width``, a demand, or the lines a share
    is taken of; where it is continued, the first ``width`` are cells of earlier parts of its bill. ``windows`` (w, 2) are the
    first interval of each demand window and the one behind its last; those of demand j stand from ``window_start[j]`` to
    ``window_start[j + 1]``. ``bill_end`` (p,) is the part behind the last of the same bill; ``fate`` is for each cell of a part.
    """

    hours: float
    part: Ints
    cell: Ints
    day_cell: Ints
    netting: Ints
    bill_end: Ints
    fate: Ints
    own_start: Ints
    bank: Ints
    cells: int
    banks: int
    kind: Ints
    price: Floats
    low: Floats
    high: Floats
    width: Ints
    ref_start: Ints
    refs: Ints
    windows: Ints
    window_start: Ints
    factor: Floats
    minimum: Floats
    ratchet: Floats
    lookback: Ints
    history_row: Ints
    history_month: Ints
    history: Floats


@kernel
def line_costs(tariff: Arrays, import_w: Floats, export_w: Floats) -> Floats:
    """Return the amount of each line, shape (l,), in the tariff's currency, unrounded.

    ``import_w`` shape (n,) in W, negative for export, NaN where nothing was read; ``export_w`` shape (n,) or (0,) in W.
    """
    taken = np.zeros(len(import_w))
    energy = np.zeros(tariff.cells)
    export = np.zeros(tariff.cells)
    _gather(tariff, import_w, export_w, taken, energy, export)
    _net_bills(tariff, energy, export)
    demands = _demands(tariff, taken)
    amounts = np.zeros(len(tariff.kind))
    for line in range(len(tariff.kind)):
        amounts[line] = tariff.price[line] * _quantity(tariff, line, energy, export, demands, amounts)
    return amounts


@kernel
def _gather(tariff: Arrays, import_w: Floats, export_w: Floats, taken: Floats, energy: Floats, export: Floats) -> None:
    """Sum the kWh of each cell into ``energy`` and ``export``, and keep the import of each interval in ``taken``, W."""
    for i in range(len(import_w)):
        shown = import_w[i]
        sent = 0.0
        if len(export_w) > 0 and export_w[i] > 0.0:
            sent = export_w[i]
        if tariff.netting[tariff.part[i]] == EACH_INTERVAL:
            shown -= sent
            sent = 0.0
        if shown < 0.0:
            sent -= shown
            shown = 0.0
        taken[i] = shown
        export[tariff.cell[i]] += sent * tariff.hours / 1000.0
        if shown > 0.0:
            energy[tariff.cell[i]] += shown * tariff.hours / 1000.0
            if len(tariff.day_cell) > 0:
                energy[tariff.day_cell[i]] += shown * tariff.hours / 1000.0


@kernel
def _net_bills(tariff: Arrays, energy: Floats, export: Floats) -> None:
    """Set export against import over each bill, where the tariff does, in the order of time."""
    bank = np.zeros(tariff.banks)
    for part in range(len(tariff.netting)):
        opens = part == 0 or tariff.bill_end[part - 1] == part
        for one in range(part, tariff.bill_end[part] if opens else part):
            if tariff.netting[one] == EACH_BILL:
                for cell in range(tariff.own_start[one], tariff.own_start[one + 1]):
                    bank[tariff.bank[cell]] += export[cell]
        if tariff.netting[part] == EACH_BILL:
            for cell in range(tariff.own_start[part], tariff.own_start[part + 1]):
                used = min(energy[cell], bank[tariff.bank[cell]])
                energy[cell] -= used
                left = bank[tariff.bank[cell]] - used
                export[cell] = left if tariff.fate[cell] == PAID else 0.0
                bank[tariff.bank[cell]] = left if tariff.fate[cell] == CARRIED else 0.0


@kernel
def _demands(tariff: Arrays, taken: Floats) -> Floats:
    """Return the billed demand of each demand row, kW or kVA, shape (d,)."""
    history = tariff.history.copy()
    billed = np.zeros(len(tariff.factor))
    for row in range(len(billed)):
        highest = 0.0
        for window in range(tariff.window_start[row], tariff.window_start[row + 1]):
            total = 0.0
            for i in range(tariff.windows[window, 0], tariff.windows[window, 1]):
                total += taken[i]
            # A missing reading makes the total NaN, and no comparison with it holds.
            mean = total / (tariff.windows[window, 1] - tariff.windows[window, 0])
            if mean > highest:
                highest = mean
        measured = highest * tariff.factor[row] / 1000.0
        own, month = tariff.history_row[row], tariff.history_month[row]
        past = 0.0
        for index in range(month - tariff.lookback[row], month):
            past = max(past, history[own, index])
        history[own, month] = max(history[own, month], measured)
        billed[row] = max(measured, tariff.minimum[row], tariff.ratchet[row] * past)
    return billed


@kernel
def _quantity(tariff: Arrays, line: int, energy: Floats, export: Floats, demands: Floats, amounts: Floats) -> float:
    """Return what the price of a line is multiplied with."""
    kind = tariff.kind[line]
    first, last = tariff.ref_start[line], tariff.ref_start[line + 1]
    quantity = 1.0 if kind == CONSTANT else 0.0
    if kind == RANGE:
        quantity = _between(tariff, line, energy)
    elif kind == CONTINUED:
        quantity = _continued(tariff, line, energy)
    elif kind == DEMAND:
        quantity = demands[tariff.refs[first]]
    elif kind == EXPORT:
        quantity = export[tariff.refs[first]]
    elif kind == PERCENT:
        for index in range(first, last):
            quantity += amounts[tariff.refs[index]]
    return quantity


@kernel
def _between(tariff: Arrays, line: int, energy: Floats) -> float:
    """Return the energy of each group of cells between the ends of the line's block, added together, kWh."""
    quantity = 0.0
    for first in range(tariff.ref_start[line], tariff.ref_start[line + 1], tariff.width[line]):
        total = 0.0
        for index in range(first, first + tariff.width[line]):
            total += energy[tariff.refs[index]]
        quantity += max(0.0, min(total, tariff.high[line]) - tariff.low[line])
    return quantity


@kernel
def _continued(tariff: Arrays, line: int, energy: Floats) -> float:
    """Return the energy between the ends of the line's block, what the bill had before it taken off, kWh."""
    first, own = tariff.ref_start[line], tariff.ref_start[line] + tariff.width[line]
    before = 0.0
    for index in range(first, own):
        before += energy[tariff.refs[index]]
    after = before
    for index in range(own, tariff.ref_start[line + 1]):
        after += energy[tariff.refs[index]]
    low, high = tariff.low[line], tariff.high[line]
    quantity: float = max(0.0, min(after, high) - low) - max(0.0, min(before, high) - low)
    return quantity
