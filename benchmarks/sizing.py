"""Sizes: how long a sweep takes beside adding up as many numbers, and how long an exhaustive grid and its answer take."""

from collections.abc import Iterator
from contextlib import contextmanager

import numpy as np
from numba import config

from benchmarks.harness import Action, Allowed, Benchmark
from wattwright.supply.sizing.columns import SUMS, Z_START_J
from wattwright.supply.sizing.course import Course
from wattwright.supply.sizing.screen import swept
from wattwright.supply.sizing.sizes import Sizes, Store, grid_of

_YEAR_H = 8760
_STORE = Store(kept=0.95, arrives=0.95, floor=0.1, back=0.2, hours=2.0, idle_w=20.0)


def course(step_s: int) -> Course:
    """Return a year of a site with evening peaks, a sun by the half sine, and an outage now and then."""
    chance, each = np.random.default_rng(3), 3600 // step_s
    n = _YEAR_H * each if not config.DISABLE_JIT else 48
    hour = np.arange(n) / each % 24
    site_w = 300.0 + 4000.0 * chance.random(n) ** 3 + 1500.0 * ((hour > 17) & (hour < 22))
    sun = np.maximum(0.0, np.sin((hour - 6.0) / 12.0 * np.pi)) * chance.uniform(0.2, 0.9, n)
    return Course(0, step_s, site_w, sun, (chance.random(n) > 0.01).astype(float), np.zeros(n))


def _grid(pv: int, battery: int, inverter: int) -> Sizes:
    few = config.DISABLE_JIT
    return grid_of(
        np.linspace(0.0, 12_000.0, 3 if few else pv), np.linspace(0.0, 40_000.0, 3 if few else battery),
        np.linspace(2000.0, 15_000.0, 2 if few else inverter),
    )  # fmt: skip


@contextmanager
def _years() -> Iterator[tuple[Action, Action]]:
    """Step 10 000 sizes through a year of hours on one thread; the reference adds up as many numbers as that has steps."""
    from wattwright.supply.sizing.sweep_kernels import WIDE, sweep

    year, sizes = course(3600), _grid(25, 40, 10)
    z, numbers = _STORE.rows(sizes), np.ones(len(year) * 10_000 if not config.DISABLE_JIT else 1000)
    blocks = [np.ascontiguousarray(z[:, first : first + WIDE]) for first in range(0, min(10_000, len(sizes)), WIDE)]
    rooms = [np.zeros((SUMS, block.shape[1])) for block in blocks]
    nothing, rows = np.zeros((0, WIDE)), (year.site_w, year.pv_share, year.beside_w, year.grid)

    def ours() -> None:
        for block, room in zip(blocks, rooms, strict=True):
            sweep(
                *rows, block, block[Z_START_J].copy(), room, nothing, 1.0, 0.95, 0.95, 3600.0
            )  # fmt: skip

    yield ours, lambda: np.sum(numbers)


@contextmanager
def _exhaustive() -> Iterator[Action]:
    """Step 40 times 40 times 20 sizes through a year of quarter hours, which is the screen of a quote."""
    year, sizes = course(900), _grid(40, 40, 20)
    yield lambda: swept(year, sizes, _STORE, alone=True)


SIZING: tuple[Allowed | Benchmark, ...] = (
    Benchmark(name="10,000 system-years of hours, beside a sum", bar=20.0, pairs=5, prepare=_years),
    Allowed(name="40 x 40 x 20 sizes by quarter hours", allowed=60_000.0, pairs=3, prepare=_exhaustive),
)
