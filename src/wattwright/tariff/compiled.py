"""One tariff, two speeds: the same prices as flat arrays, for a search that asks for the cost of thousands of plans.

The compiled cost is the bill before any rounding: it differs from the exact bill by the rounding of each line, by the
rounding of its energy and demand to the tariff's decimals, and, in a levy, by its share of those.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from wattwright.core.clock import SiteClock
from wattwright.tariff.compiled_demand import DemandTable, demand_table
from wattwright.tariff.compiled_grid import Grid, grid_of
from wattwright.tariff.compiled_lines import LineKey, Program, program
from wattwright.tariff.kernels import APART, CARRIED, EACH_BILL, EACH_INTERVAL, LOST, PAID, Arrays, line_costs
from wattwright.tariff.netting import fates
from wattwright.tariff.parts import Part, by_bill
from wattwright.tariff.tariff import Tariff, naming
from wattwright.tariff.usage import PriorDemand

Floats = NDArray[np.float64]
_NETTING = {"none": APART, "each interval": EACH_INTERVAL, "each bill": EACH_BILL}
_FATE = {"paid": PAID, "carried": CARRIED, "lost": LOST}


@dataclass(frozen=True, slots=True, eq=False)
class CompiledTariff:
    """A tariff on a grid of n intervals.

    ``arrays`` is what the kernel takes; ``lines`` says what each line is; ``months`` names the bills and ``line_month`` (l,) is
    the bill of each line. ``import_price`` (n,) is the price of one more kWh in its first block, levies included, and
    ``export_price`` (n,) what one more exported kWh earns, per kWh: for ranking hours, not for totals.
    """

    currency: str
    start_s: int
    step_s: int
    arrays: Arrays
    lines: tuple[LineKey, ...]
    months: tuple[str, ...]
    line_month: NDArray[np.int64]
    import_price: Floats
    export_price: Floats


@dataclass(frozen=True, slots=True, eq=False)
class Cost:
    """A compiled cost, unrounded, in the tariff's currency: ``by_line`` (l,), ``by_month`` (m,) and the total."""

    by_line: Floats
    by_month: Floats
    total: float


def compile_tariff(
    tariff: Tariff, starts_s: NDArray[np.int64], step_s: int, clock: SiteClock, prior: Sequence[PriorDemand] = ()
) -> CompiledTariff:
    """Return ``tariff`` as flat arrays for intervals that begin at ``starts_s`` (n,), UTC seconds, each of ``step_s`` seconds.

    Raises TariffError where it cannot be compiled: intervals cut by a change of price or a demand window, charges on reactive
    power that is not assumed, or a day without prices.
    """
    grid = grid_of(tariff, np.asarray(starts_s, np.int64), int(step_s), clock)
    with naming(tariff):
        demands = demand_table(grid, clock, tuple(prior))
        lines = program(grid)
    months = tuple(dict.fromkeys(part.month for part in grid.parts))
    return CompiledTariff(
        currency=tariff.currency,
        start_s=int(grid.starts_s[0]),
        step_s=grid.step_s,
        arrays=_arrays(grid, demands, lines),
        lines=tuple(lines.keys),
        months=months,
        line_month=np.array([months.index(key.month) for key in lines.keys], np.int64),
        import_price=lines.import_price[grid.cell],
        export_price=lines.export_price[grid.cell],
    )


def cost(compiled: CompiledTariff, import_w: Floats, export_w: Floats | None = None) -> Cost:
    """Return what a power series costs under a compiled tariff.

    ``import_w`` shape (n,) in W, negative for export, NaN where nothing is known (nothing is charged then); ``export_w`` shape
    (n,) in W, positive. Raises ValueError for other lengths.
    """
    count = len(compiled.arrays.part)
    sent = np.zeros(0) if export_w is None else np.asarray(export_w, np.float64)
    if len(import_w) != count or (export_w is not None and len(sent) != count):
        raise ValueError(f"a series of {count} intervals is needed")
    by_line = line_costs(compiled.arrays, np.asarray(import_w, np.float64), sent)
    by_month = np.bincount(compiled.line_month, by_line, len(compiled.months)).astype(np.float64)
    return Cost(by_line, by_month, float(by_line.sum()))


def _arrays(grid: Grid, demands: DemandTable, lines: Program) -> Arrays:
    names = list(dict.fromkeys(name for part in grid.parts for name in part.spec.periods))
    bank = [names.index(name) for part in grid.parts for name in part.spec.periods]
    rows = zip(grid.parts, fates(grid.parts), strict=True)
    fate = [_FATE[known.get(name, "paid")] for part, known in rows for name in part.spec.periods]
    return Arrays(
        hours=grid.step_s / 3600.0,
        part=grid.part,
        cell=grid.cell,
        day_cell=grid.day_cell,
        netting=np.array([_NETTING[p.spec.export.netting] if p.spec.export else APART for p in grid.parts], np.int64),
        bill_end=np.array([end for end, count in _bill_ends(grid.parts) for _ in range(count)], np.int64),
        fate=np.array(fate, np.int64),
        own_start=grid.own_start,
        bank=np.array(bank, np.int64),
        cells=grid.cells,
        banks=len(names),
        kind=np.array(lines.kind, np.int64),
        price=np.array(lines.price, np.float64),
        low=np.array(lines.low, np.float64),
        high=np.array(lines.high, np.float64),
        width=np.array(lines.width, np.int64),
        ref_start=np.cumsum([0, *(len(refs) for refs in lines.refs)]).astype(np.int64),
        refs=np.array([ref for refs in lines.refs for ref in refs], np.int64),
        windows=demands.windows,
        window_start=demands.window_start,
        factor=demands.factor,
        minimum=demands.minimum,
        ratchet=demands.ratchet,
        lookback=demands.lookback,
        history_row=demands.history_row,
        history_month=demands.history_month,
        history=demands.history,
    )


def _bill_ends(parts: Sequence[Part]) -> Iterator[tuple[int, int]]:
    """Yield for each bill the index behind its last part, and how many parts it has."""
    end = 0
    for bill in by_bill(parts):
        end += len(bill)
        yield end, len(bill)
