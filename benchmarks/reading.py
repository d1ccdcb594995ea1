"""Reading a year of minutes from a meter file against bare polars, which parses the same columns and looks at nothing."""

import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import polars as pl

from benchmarks.harness import Action, Benchmark
from benchmarks.samples import ZONE, write_minutes
from wattwright.record.read import read_record


def bare(path: Path) -> pl.DataFrame:
    """Return the file as a table of times and floats: no clock, no gaps, no repeated rows, no layout found out."""
    table = pl.read_csv(path, schema={"Time": pl.String, "Power W": pl.Float64})
    return table.with_columns(pl.col("Time").str.to_datetime("%Y-%m-%d %H:%MZ", time_unit="us"))


@contextmanager
def prepare() -> Iterator[tuple[Action, Action]]:
    """Write the file to a folder of its own and give the two actions."""
    with tempfile.TemporaryDirectory() as name:
        path = write_minutes(Path(name))
        yield lambda: read_record(path, ZONE), lambda: bare(path)


READING = Benchmark(name="record: a year of minutes", bar=4.0, pairs=7, prepare=prepare)
