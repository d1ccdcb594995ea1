"""Reading a year of minutes from a meter file against bare polars, which parses the same columns and looks at nothing."""

import tempfile
from collections.abc import Iterator, Sequence
from contextlib import AbstractContextManager, contextmanager
from functools import partial
from pathlib import Path

import polars as pl

from benchmarks.harness import Action, Benchmark, Growth
from benchmarks.samples import DAY_FIRST, LAYOUTS, ZONE, Minutes, write_minutes
from wattwright.record.read import read_record


def bare(path: Path, layout: Minutes) -> pl.DataFrame:
    """Return the file as a table of times and floats: no clock, no gaps, no repeated rows, no layout found out."""
    stamp, power = layout.header.split(layout.delimiter)
    table = pl.read_csv(
        path, separator=layout.delimiter, decimal_comma=layout.comma, schema={stamp: pl.String, power: pl.Float64}
    )
    return table.with_columns(pl.col(stamp).str.to_datetime(layout.read, time_unit="us"))


def prepare(layout: Minutes) -> AbstractContextManager[tuple[Action, Action]]:
    """Return what writes a year in ``layout`` to a folder of its own and gives the two actions."""

    @contextmanager
    def written() -> Iterator[tuple[Action, Action]]:
        with tempfile.TemporaryDirectory() as name:
            path = write_minutes(Path(name), layout)
            yield lambda: read_record(path, ZONE), lambda: bare(path, layout)

    return written()


@contextmanager
def prepare_sizes(days: tuple[int, ...]) -> Iterator[Sequence[Action]]:
    """Write a file of each number of days and give an action that reads it."""
    with tempfile.TemporaryDirectory() as name:
        paths = [write_minutes(Path(name), DAY_FIRST, count) for count in days]
        yield [partial(read_record, path, ZONE) for path in paths]


READING = tuple(
    Benchmark(name=f"record: a year of minutes, {one.name}", bar=2.5, pairs=11, prepare=partial(prepare, one)) for one in LAYOUTS
)
GROWTH = Growth(name="record: exponent from one year to ten", bar=1.05, pairs=5, sizes=(365, 1095, 3650), prepare=prepare_sizes)
