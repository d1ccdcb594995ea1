"""The grid a tariff is compiled onto: which part, price period and day each interval belongs to."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from wattwright.core.clock import SiteClock
from wattwright.core.errors import Place, TariffError
from wattwright.tariff.measure import by_day
from wattwright.tariff.parts import Part, parts_between
from wattwright.tariff.periods import stretches
from wattwright.tariff.tariff import Tariff

Ints = NDArray[np.int64]


@dataclass(frozen=True, slots=True, eq=False)
class Grid:
    """Intervals against the parts of a bill.

    ``starts_s``, ``part`` and ``cell`` shape (n,); ``day_cell`` (n,), or (0,) where no blocks are per day. The cells of part p
    are ``own_start[p]`` to ``own_start[p + 1]``, one per period; behind them ``day_start[p]`` is the first of its days' cells,
    ``days[p]`` days of one cell per period; ``cells`` counts all.
    """

    parts: tuple[Part, ...]
    starts_s: Ints
    step_s: int
    part: Ints
    cell: Ints
    day_cell: Ints
    own_start: Ints
    day_start: tuple[int, ...]
    days: tuple[int, ...]
    cells: int


def grid_of(tariff: Tariff, starts_s: Ints, step_s: int, clock: SiteClock) -> Grid:
    """Return the grid of intervals of ``step_s`` from ``starts_s``, which must follow one another; raises TariffError."""
    if len(starts_s) == 0 or step_s <= 0 or np.any(np.diff(starts_s) != step_s):
        raise TariffError.one(
            "tariff.grid", Place(), found="intervals with a hole", wanted="intervals that follow one another, at least one"
        )
    start_s, end_s = int(starts_s[0]), int(starts_s[-1]) + step_s
    parts = parts_between(tariff, start_s, end_s, clock)
    part, period, day = (np.zeros(len(starts_s), np.int64) for _ in range(3))
    for index, one in enumerate(parts):
        cut = stretches(one.spec, one.start_s, one.end_s, clock)
        offsets = cut.starts_s - start_s
        if np.any(offsets % step_s):
            raise _cut(int(cut.starts_s[np.flatnonzero(offsets % step_s)[0]]), step_s, clock)
        edges = offsets // step_s
        own = slice(int(edges[0]), int(edges[-1]))
        part[own] = index
        period[own] = np.repeat(cut.period, np.diff(edges))
        day[own] = np.repeat(cut.day - cut.day[0], np.diff(edges))
    return _numbered(parts, starts_s, step_s, part, period, day)


def _numbered(parts: tuple[Part, ...], starts_s: Ints, step_s: int, part: Ints, period: Ints, day: Ints) -> Grid:
    sizes = np.array([len(one.spec.periods) for one in parts], np.int64)
    own_start = np.concatenate([[0], np.cumsum(sizes)]).astype(np.int64)
    days = tuple(int(day[part == index].max()) + 1 if by_day(one.spec) else 0 for index, one in enumerate(parts))
    day_start = own_start[-1] + np.concatenate([[0], np.cumsum(np.array(days) * sizes)]).astype(np.int64)
    # An interval of a part without blocks per day has no cell of its own day: it adds to one nobody reads.
    unread = int(day_start[-1])
    by_days = np.array(days)[part] > 0
    day_cell = np.where(by_days, day_start[part] + day * sizes[part] + period, unread) if any(days) else np.zeros(0, np.int64)
    cell = own_start[part] + period
    starts = tuple(int(start) for start in day_start[:-1])
    return Grid(parts, starts_s, step_s, part, cell, day_cell, own_start, starts, days, unread + 1)


def _cut(edge_s: int, step_s: int, clock: SiteClock) -> TariffError:
    return TariffError.one(
        "tariff.cut",
        Place(),
        found=f"an interval of {step_s} s cut by a change of price or day at {clock.text(edge_s)}",
        wanted="intervals that begin and end where prices change",
        next_step="Compile it on a finer step; the exact bill splits such an interval by time.",
    )
