"""Everything that is told of a year of hours against polars reading the same file: peaks, loads that switch, days, survey."""

import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import UTC, datetime, timedelta
from pathlib import Path

import numpy as np
import polars as pl

from benchmarks.harness import Action, Benchmark
from benchmarks.samples import CLOCK, ZONE, year_of_power
from wattwright.core.series import coarser, of_values
from wattwright.demand.analyse import analyse
from wattwright.demand.habits.habits import Outdoors, habits
from wattwright.demand.site import site_power
from wattwright.demand.survey.reconcile import Expected, reconcile
from wattwright.demand.switched.analyse import what_switches
from wattwright.demand.within.peak_bands import peak_bands
from wattwright.record.read import read_record

_FIRST = datetime(2025, 1, 1, tzinfo=UTC)


@contextmanager
def prepare() -> Iterator[tuple[Action, Action]]:
    """Write the year of hours and give the two actions: all that is told, and polars' reading with the format given."""
    minutes = of_values(int(_FIRST.timestamp()), 60, year_of_power(60))
    power = coarser(minutes, 3600, CLOCK).values
    rows = [f"{_FIRST + timedelta(hours=k):%Y-%m-%d %H:%MZ},{value:.1f}" for k, value in enumerate(power.tolist())]
    air = of_values(int(_FIRST.timestamp()), 3600, 14 + 9 * np.sin(2 * np.pi * np.arange(len(power)) / 8760))
    loads = [Expected("heater", 2000.0, np.full((3, 4, 24), 100.0)), Expected("rest", 600.0, np.full((3, 4, 24), 600.0))]
    with tempfile.TemporaryDirectory() as name:
        path = Path(name) / "hours.csv"
        path.write_text("\n".join(["Time,Power W", *rows]) + "\n", encoding="utf-8")

        def ours() -> None:
            record = read_record(path, ZONE)
            demand, site = analyse(record, CLOCK), site_power(record)
            peak_bands(site.series, CLOCK)
            what_switches(site, record, CLOCK)
            habits(demand, site.series, Outdoors("air", air))
            reconcile(site.series, CLOCK, demand.days, loads)

        def bare() -> None:
            pl.read_csv(path).with_columns(pl.col("Time").str.to_datetime("%Y-%m-%d %H:%MZ"))

        yield ours, bare


HOURS = Benchmark(name="demand: all of a year of hours", bar=300.0, pairs=3, prepare=prepare)
