"""Everything the demand room says about a year of minutes against one sort of the same array."""

import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import numpy as np

from benchmarks.harness import Action, Benchmark
from benchmarks.samples import CLOCK, ZONE, write_minutes, year_of_power
from wattwright.demand.analyse import analyse
from wattwright.record.read import read_record


@contextmanager
def prepare() -> Iterator[tuple[Action, Action]]:
    """Read the year once and give the two actions."""
    with tempfile.TemporaryDirectory() as name:
        record = read_record(write_minutes(Path(name)), ZONE)
    power_w = year_of_power(60)
    yield lambda: analyse(record, CLOCK), lambda: np.sort(power_w)


DEMAND = Benchmark(name="demand: a year of minutes", bar=20.0, pairs=7, prepare=prepare)
