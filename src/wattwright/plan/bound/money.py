"""A compiled tariff in a linear programme: never more than the tariff itself would ask, whatever the import.

Prices that hold for every kWh go straight to import and export. Blocks become segments of the convex curve that lies below their
own; a demand charge is a column above every window; a ratchet one above those of the months before. What is netted over a bill
may here be netted in any order, against what comes later too.
"""

from collections import defaultdict
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from wattwright.plan.bound.linear import Linear
from wattwright.tariff.kernels import CARRIED, CONSTANT, CONTINUED, DEMAND, EACH_BILL, EXPORT, PAID, PERCENT, RANGE, Arrays

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]


@dataclass(frozen=True, slots=True, eq=False)
class _Cells:
    """What the lines of a tariff cost of each cell: a plain price, or blocks as {cells: [(low, high, price)]}."""

    energy: Floats
    export: Floats
    blocks: dict[tuple[int, ...], list[tuple[float, float, float]]]


def charge(program: Linear, tariff: Arrays, imported: Ints, exported: Ints, most: Floats, times: float = 1.0) -> None:
    """Let a programme pay a tariff ``times`` over for columns of import, at most ``most``, and of export, all (n,)."""
    weight = times * weights_of(tariff)
    cells = _cells(tariff, weight)
    program.constant += float(np.sum((weight * tariff.price)[tariff.kind == CONSTANT]))
    netted = np.zeros(tariff.cells, np.bool_)
    for part in np.flatnonzero(tariff.netting == EACH_BILL):
        netted[tariff.own_start[part] : tariff.own_start[part + 1]] = True
    plain = ~netted[tariff.cell]
    program.price(imported[plain], (cells.energy[tariff.cell] * tariff.hours)[plain])
    program.price(exported[plain], (cells.export[tariff.cell] * tariff.hours)[plain])
    if len(tariff.day_cell):
        program.price(imported, cells.energy[tariff.day_cell] * tariff.hours * (tariff.day_cell != tariff.cell))
    sums: dict[int, Ints] = {}
    if netted.any():
        _net(program, tariff, cells, netted, imported, exported, sums)
    for refs, blocks in cells.blocks.items():
        _blocks(program, tariff, refs, blocks, imported, most, sums)
    _demands(program, tariff, weight, imported)


def weights_of(tariff: Arrays) -> Floats:
    """Return what one unit of money of each line costs in all, with the levies taken of it, (l,)."""
    weight = np.ones(len(tariff.kind))
    for line in range(len(tariff.kind) - 1, -1, -1):
        if tariff.kind[line] == PERCENT:
            for ref in tariff.refs[tariff.ref_start[line] : tariff.ref_start[line + 1]]:
                weight[ref] += weight[line] * tariff.price[line]
    return weight


def _cells(tariff: Arrays, weight: Floats) -> _Cells:
    energy, export = np.zeros(tariff.cells), np.zeros(tariff.cells)
    blocks: dict[tuple[int, ...], list[tuple[float, float, float]]] = defaultdict(list)
    continued: dict[tuple[int, ...], list[float]] = defaultdict(list)
    for line, kind in enumerate(tariff.kind):
        refs = tariff.refs[tariff.ref_start[line] : tariff.ref_start[line + 1]]
        price, ends = weight[line] * tariff.price[line], (float(tariff.low[line]), float(tariff.high[line]))
        if kind == EXPORT:
            export[refs[0]] += price
        elif kind == CONTINUED and tariff.width[line]:
            continued[tuple(refs[tariff.width[line] :])].append(price)
        elif kind == CONTINUED:
            # Nothing of the bill came before.
            blocks[tuple(int(one) for one in refs)].append((*ends, price))
        elif kind == RANGE and ends == (0.0, np.inf):
            np.add.at(energy, refs, price)
        elif kind == RANGE:
            for group in refs.reshape(-1, tariff.width[line]):
                blocks[tuple(int(one) for one in group)].append((*ends, price))
    for own, prices in continued.items():
        # How far the bill had come is not known here: the cheapest block holds below them all.
        energy[list(own)] += min(prices)
    return _Cells(energy, export, dict(blocks))


def _sum_of(program: Linear, tariff: Arrays, cell: int, imported: Ints, sums: dict[int, Ints]) -> Ints:
    """Return the column of a cell's energy, kWh, made where it is not there yet."""
    if cell not in sums:
        mine = np.flatnonzero((tariff.cell == cell) | ((tariff.day_cell == cell) if len(tariff.day_cell) else False))
        sums[cell] = program.columns(1)
        columns = np.concatenate([imported[mine], sums[cell]])
        program.row(columns, np.concatenate([np.full(len(mine), tariff.hours), [-1.0]]), 0.0, 0.0)
    return sums[cell]


def _net(
    program: Linear, tariff: Arrays, cells: _Cells, netted: NDArray[np.bool_], imported: Ints, exported: Ints,
    sums: dict[int, Ints],
) -> None:  # fmt: skip
    """Set export against import: the cells of a bill with one name of period share what was exported; all bills where carried."""
    for pool in _pools(tariff, netted):
        given: list[Ints] = []
        values: list[Floats] = []
        for cell in pool:
            taken = np.flatnonzero(tariff.cell == cell)
            net, paid, used = (program.columns(1) for _ in range(3))
            hours = np.full(len(taken), tariff.hours)
            program.row(np.concatenate([imported[taken], used, net]), np.concatenate([hours, [-1.0, -1.0]]), 0.0, 0.0)
            program.price(net, cells.energy[cell])
            if tariff.fate[cell] in (PAID, CARRIED):
                program.price(paid, cells.export[cell])
            given += [exported[taken], used, paid]
            values += [hours, np.array([-1.0]), np.array([-1.0])]
            sums[cell] = net
        program.row(np.concatenate(given), np.concatenate(values), 0.0, np.inf)


def _pools(tariff: Arrays, netted: NDArray[np.bool_]) -> list[list[int]]:
    """Return the cells that share what was exported."""
    pools: dict[tuple[int, int], list[int]] = defaultdict(list)
    carried = {int(tariff.bank[cell]) for cell in np.flatnonzero(netted) if tariff.fate[cell] == CARRIED}
    for part in range(len(tariff.netting)):
        for cell in range(int(tariff.own_start[part]), int(tariff.own_start[part + 1])):
            if netted[cell]:
                bank = int(tariff.bank[cell])
                pools[bank, -1 if bank in carried else int(tariff.bill_end[part])].append(cell)
    return list(pools.values())


def _blocks(
    program: Linear, tariff: Arrays, refs: tuple[int, ...], blocks: list[tuple[float, float, float]], imported: Ints,
    most: Floats, sums: dict[int, Ints],
) -> None:  # fmt: skip
    """Price the energy of some cells together by the convex curve below that of its blocks."""
    inside = np.isin(tariff.cell, refs) | (np.isin(tariff.day_cell, refs) if len(tariff.day_cell) else False)
    end_kwh = float(np.sum(most[inside])) * tariff.hours
    if end_kwh <= 0.0:
        return
    edges = np.unique([0.0, end_kwh, *(min(end, end_kwh) for low, high, _ in blocks for end in (low, high))])
    worth = np.array([sum(price * min(max(edge - low, 0.0), high - low) for low, high, price in blocks) for edge in edges])
    slopes, lengths = hull(edges, worth)
    parts = program.columns(len(slopes), 0.0, lengths, slopes)
    columns = [_sum_of(program, tariff, cell, imported, sums) for cell in refs]
    program.row(np.concatenate([*columns, parts]), np.concatenate([np.ones(len(columns)), -np.ones(len(parts))]), 0.0, 0.0)


def hull(edges: Floats, values: Floats) -> tuple[Floats, Floats]:
    """Return slopes, rising, and lengths of the convex curve below the points (edges, values), (p,), edges rising."""
    kept: list[int] = []
    for point in range(len(edges)):
        while len(kept) > 1 and _turns_down(edges, values, kept[-2], kept[-1], point):
            kept.pop()
        kept.append(point)
    lengths = np.diff(edges[kept])
    return np.diff(values[kept]) / lengths, lengths


def _turns_down(edges: Floats, values: Floats, a: int, b: int, c: int) -> bool:
    return bool((values[b] - values[a]) * (edges[c] - edges[b]) >= (values[c] - values[b]) * (edges[b] - edges[a]))


def _demands(program: Linear, tariff: Arrays, weight: Floats, imported: Ints) -> None:
    price = np.zeros(len(tariff.factor))
    for line in np.flatnonzero(tariff.kind == DEMAND):
        price[tariff.refs[tariff.ref_start[line]]] += weight[line] * tariff.price[line]
    billed = program.columns(len(price), tariff.minimum, np.inf, np.maximum(price, 0.0))
    past: dict[tuple[int, int], Ints] = {}
    for row in range(len(price)):
        own, month = int(tariff.history_row[row]), int(tariff.history_month[row])
        known = past.setdefault((own, month), program.columns(1, tariff.history[own, month]))
        windows = tariff.windows[tariff.window_start[row] : tariff.window_start[row + 1]]
        for length in np.unique(windows[:, 1] - windows[:, 0]):
            starts = windows[windows[:, 1] - windows[:, 0] == length, 0]
            share = tariff.factor[row] / length
            terms = [(imported[starts + k], share) for k in range(length)]
            program.rows([*terms, (np.repeat(known, len(starts)), -1.0)], -np.inf, 0.0)
        program.rows([(known, 1.0), (billed[[row]], -1.0)], -np.inf, 0.0)
        for back in range(month - int(tariff.lookback[row]), month):
            before = past.get((own, back))
            if before is not None:
                program.rows([(before, float(tariff.ratchet[row])), (billed[[row]], -1.0)], -np.inf, 0.0)
            elif tariff.ratchet[row] * tariff.history[own, back] > 0.0:
                least = float(tariff.ratchet[row] * tariff.history[own, back])
                program.rows([(billed[[row]], 1.0)], least, np.inf)
