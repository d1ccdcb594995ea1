"""The lines of a bill as a small program: what kind each is, its price, and what it counts."""

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from wattwright.core.errors import Place, TariffError
from wattwright.tariff.compiled_grid import Grid
from wattwright.tariff.kernels import CONSTANT, CONTINUED, DEMAND, EXPORT, PERCENT, RANGE
from wattwright.tariff.lines import Group, block_edges, fixed_quantity
from wattwright.tariff.parts import Part
from wattwright.tariff.schema import EnergySpec, LevySpec, Priced, TariffSpec

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class LineKey:
    """What a compiled line is: as on the exact bill, where ``block`` counts from 0 (0 without blocks)."""

    name: str
    group: Group
    period: str
    month: str
    part: int
    block: int


@dataclass(slots=True)
class Program:
    """Lines in the order of the bill, with the price of one more kWh in each cell, imported and exported."""

    import_price: Floats
    export_price: Floats
    keys: list[LineKey] = field(default_factory=list)
    kind: list[int] = field(default_factory=list)
    price: list[float] = field(default_factory=list)
    low: list[float] = field(default_factory=list)
    high: list[float] = field(default_factory=list)
    width: list[int] = field(default_factory=list)
    refs: list[list[int]] = field(default_factory=list)

    def add(
        self,
        key: LineKey,
        kind: int,
        price: float,
        refs: list[int],
        width: int = 1,
        ends: tuple[float, float] = (0.0, np.inf),
    ) -> None:
        """Add a line of some kind: its price, what it refers to in groups of ``width``, and the ends of its block in kWh."""
        self.keys.append(key)
        self.kind.append(kind)
        self.price.append(price)
        self.refs.append(refs)
        self.width.append(width)
        self.low.append(ends[0])
        self.high.append(ends[1])


def program(grid: Grid) -> Program:
    """Return the lines of every part of a grid; raises TariffError for a charge on reactive energy."""
    found = Program(np.zeros(grid.cells), np.zeros(grid.cells))
    demand = 0
    for index, part in enumerate(grid.parts):
        _fixed(found, index, part)
        for entry in part.spec.energy:
            _energy(found, grid, index, entry)
        for spec in part.spec.demand:
            share = part.month_share if spec.part_month == "by days" else part.bill_share
            found.add(_key(part, index, spec, Group.DEMAND), DEMAND, float(spec.price * share), [demand])
            demand += 1
        _export(found, grid, index, part)
        if part.opens:
            for entered in part.spec.entered:
                found.add(_key(part, index, entered, Group.ENTERED), CONSTANT, float(entered.amount), [])
        _levies(found, grid, index, part)
        _marginal(found, grid, index, part.spec)
    return found


def _key(part: Part, index: int, entry: Priced, group: Group, period: str = "", block: int = 0) -> LineKey:
    return LineKey(entry.label, group, period, part.month, index, block)


def _fixed(found: Program, index: int, part: Part) -> None:
    if part.spec.reactive:
        raise TariffError.one(
            "tariff.compile-reactive",
            Place(field="price"),
            found="a charge on reactive energy",
            wanted="charges on active energy and demand, since a search plans active power only",
            next_step="Use the exact bill, or leave that charge out of the tariff that is searched with.",
            label=part.spec.reactive[0].label,
        )
    for fixed in part.spec.fixed:
        quantity, _ = fixed_quantity(part, fixed)
        found.add(_key(part, index, fixed, Group.FIXED), CONSTANT, float(quantity * fixed.price), [])


def _cells(grid: Grid, index: int, names: tuple[str, ...]) -> list[int]:
    periods = grid.parts[index].spec.periods
    return [int(grid.own_start[index]) + periods.index(name) for name in names]


def _energy(found: Program, grid: Grid, index: int, entry: EnergySpec) -> None:
    part = grid.parts[index]
    if entry.prices:
        for period, price in entry.prices.items():
            key = _key(part, index, entry, Group.ENERGY, period)
            found.add(key, RANGE, float(price), _cells(grid, index, (period,)))
        return
    names, label = entry.periods or part.spec.periods, ", ".join(entry.periods)
    if entry.price is not None:
        key = _key(part, index, entry, Group.ENERGY, label)
        found.add(key, RANGE, float(entry.price), _cells(grid, index, names), len(names))
        return
    kind, refs, width = RANGE, _day_cells(grid, index, names), len(names)
    if entry.blocks_per == "month":
        before = _cells_before(grid, index, entry.periods)
        kind, refs, width = CONTINUED, before + _cells(grid, index, names), len(before)
    for number, ((low, high), block) in enumerate(zip(block_edges(part, entry), entry.blocks, strict=True)):
        ends = (float(low), np.inf if high is None else float(high))
        key = _key(part, index, entry, Group.ENERGY, label, number)
        found.add(key, kind, float(block.price), refs, width, ends)


def _cells_before(grid: Grid, index: int, names: tuple[str, ...]) -> list[int]:
    """Return the cells of earlier parts of the same bill: those of the named periods, all without names."""
    earlier = [one for one in range(index) if grid.parts[one].month == grid.parts[index].month]
    periods = [(one, grid.parts[one].spec.periods) for one in earlier]
    return [cell for one, known in periods for cell in _cells(grid, one, tuple(p for p in known if not names or p in names))]


def _day_cells(grid: Grid, index: int, names: tuple[str, ...]) -> list[int]:
    periods = grid.parts[index].spec.periods
    first, size = grid.day_start[index], len(periods)
    return [first + day * size + periods.index(name) for day in range(grid.days[index]) for name in names]


def _export(found: Program, grid: Grid, index: int, part: Part) -> None:
    rule = part.spec.export
    if rule is None:
        return
    for period in part.spec.periods:
        rate = rule.prices[period] if rule.price is None else rule.price
        key = _key(part, index, rule, Group.EXPORT, period)
        found.add(key, EXPORT, -float(rate), _cells(grid, index, (period,)))


def _levies(found: Program, grid: Grid, index: int, part: Part) -> None:
    for levy in part.spec.levies:
        key = _key(part, index, levy, Group.LEVY)
        if levy.price is not None:
            names = part.spec.periods
            found.add(key, RANGE, float(levy.price), _cells(grid, index, names), len(names))
        else:
            base = [i for i, one in enumerate(found.keys) if one.part == index and (not levy.of or one.name in levy.of)]
            found.add(key, PERCENT, float(levy.percent or 0) / 100.0, base)


def _marginal(found: Program, grid: Grid, index: int, spec: TariffSpec) -> None:
    own = slice(int(grid.own_start[index]), int(grid.own_start[index + 1]))
    size = len(spec.periods)
    taken: dict[str, Floats] = {}
    for entry in spec.energy:
        rates = taken.setdefault(entry.label, np.zeros(size))
        price = entry.blocks[0].price if entry.blocks else entry.price
        for period in entry.prices or entry.periods or spec.periods:
            rates[spec.periods.index(period)] += float(entry.prices[period] if price is None else price)
    sent: dict[str, Floats] = {}
    if spec.export is not None:
        rule = spec.export
        sent[rule.label] = np.array([float(rule.prices[p] if rule.price is None else rule.price) for p in spec.periods])
    for levy in spec.levies:
        taken[levy.label] = np.full(size, float(levy.price)) if levy.price is not None else _share(levy, taken, size)
        sent[levy.label] = np.zeros(size) if levy.price is not None else _share(levy, sent, size)
    found.import_price[own] = sum(taken.values(), np.zeros(size))
    by_bill = spec.export is not None and spec.export.netting == "each bill"
    found.export_price[own] = found.import_price[own] if by_bill else sum(sent.values(), np.zeros(size))


def _share(levy: LevySpec, rates: dict[str, Floats], size: int) -> Floats:
    base = [rate for label, rate in rates.items() if not levy.of or label in levy.of]
    return float(levy.percent or 0) / 100.0 * sum(base, np.zeros(size))
