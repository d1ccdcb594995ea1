"""The exact bill of a year of hours against its bare sums, and the compiled cost of a tariff against the exact bill."""

from collections.abc import Iterator
from contextlib import contextmanager

import polars as pl

from benchmarks.harness import Action, Benchmark
from benchmarks.samples import CLOCK, START_S, ZONE, day_night, year
from wattwright.core.series import Series
from wattwright.tariff.bill import bill
from wattwright.tariff.compiled import compile_tariff, cost
from wattwright.tariff.usage import Usage

_HOUR_S = 3600
_QUARTER_S = 900


def bare_amounts(power: Series) -> pl.DataFrame:
    """Return month by month what the day-night tariff's energy costs before tax, in floats: no rounding, no lines, no checks."""
    times = pl.int_range(START_S, power.end_s, power.step_s, eager=True)
    local = pl.from_epoch("time", time_unit="s").dt.replace_time_zone("UTC").dt.convert_time_zone(ZONE)
    table = pl.DataFrame({"time": times, "kwh": power.values * (power.step_s / 3_600_000.0)}).with_columns(local.alias("local"))
    hour = pl.col("local").dt.hour()
    price = pl.when((hour >= 23) | (hour < 7)).then(0.1310).otherwise(0.2240)
    return table.group_by(pl.col("local").dt.month()).agg((pl.col("kwh") * price).sum())


@contextmanager
def prepare_exact() -> Iterator[tuple[Action, Action]]:
    """Give the exact bill of a year of hours, and its bare sums."""
    tariff, power = day_night(), year(_HOUR_S)
    usage = Usage(power)
    yield lambda: bill(tariff, usage, CLOCK), lambda: bare_amounts(power)


@contextmanager
def prepare_compiled() -> Iterator[tuple[Action, Action]]:
    """Give the cost of a year of quarter hours under a compiled tariff, and the exact bill of the same year."""
    tariff, power = day_night(), year(_QUARTER_S)
    compiled = compile_tariff(tariff, power.times_s, power.step_s, CLOCK)
    usage = Usage(power)
    yield lambda: cost(compiled, power.values), lambda: bill(tariff, usage, CLOCK)


EXACT_BILL = Benchmark(name="tariff: exact bill of hours", bar=12.0, pairs=15, prepare=prepare_exact)
COMPILED_COST = Benchmark(name="tariff: compiled cost", bar=0.05, pairs=15, prepare=prepare_compiled)
