"""Parquet and Arrow files written by polars and read back."""

import io
from datetime import UTC, date, datetime, timedelta
from decimal import Decimal
from pathlib import Path
from typing import Any

import numpy as np
import polars as pl
import pytest
from hypothesis import HealthCheck, given, settings, strategies as st

from tests.record.writing import Write
from wattwright.core.quantity import Quantity
from wattwright.record.read import read_record

ZONE = "Europe/Athens"
START = datetime(2025, 6, 12, 22, tzinfo=UTC)


def packed(frame: pl.DataFrame, kind: str) -> bytes:
    held = io.BytesIO()
    {"parquet": frame.write_parquet, "arrow": frame.write_ipc, "stream": frame.write_ipc_stream}[kind](held)
    return held.getvalue()


def times(zone: str | None, unit: Any = "us") -> pl.Series:
    instants = pl.Series([START + timedelta(minutes=15 * i) for i in range(4)], dtype=pl.Datetime(unit, "UTC"))
    local = instants.dt.convert_time_zone(zone or ZONE)
    return local if zone else local.dt.replace_time_zone(None)


@pytest.mark.parametrize("kind", ["parquet", "arrow", "stream"])
@pytest.mark.parametrize("zone", [None, "UTC", "Asia/Kolkata"])
def test_every_kind(write: Write, kind: str, zone: str | None) -> None:
    """Instants with a zone are instants, without one they are the site's clock; numbers of every type are numbers."""
    frame = pl.DataFrame(
        {
            "time": times(zone, "ms"),
            "P [kW]": [1.5, None, 3.0, float("nan")],
            "U [V]": pl.Series([230, 231, 232, 233], dtype=pl.Int16),
            "E [kWh]": pl.Series([Decimal("0.25"), Decimal("0.50"), Decimal("0.10"), None]),
            "pump": [True, False, True, True],
            "note": ["a", None, "b", "c"],
            "parts": [[1, 2], [3], [], None],
        }
    )
    record = read_record(write(packed(frame, kind)), ZONE)
    series = record.channels[0].series
    assert (series.start_s, series.step_s) == (int(START.timestamp()), 900)
    np.testing.assert_array_equal(series.values, [1500, np.nan, 3000, np.nan])
    quantities = [c.meaning.quantity for c in record.channels]
    assert quantities == [Quantity.ACTIVE_POWER, Quantity.VOLTAGE, Quantity.ACTIVE_POWER, Quantity.CONTACT]
    np.testing.assert_array_equal(record.channels[2].series.values, [1000, 2000, 400, np.nan])
    assert record.layout.encoding == {"parquet": "Parquet"}.get(kind, "Arrow")


def test_dates_and_clock_apart(write: Write) -> None:
    """A column of dates and one of times of day are stamps together."""
    frame = pl.DataFrame({"day": [date(2025, 6, 13)] * 4, "clock": times(None).dt.time(), "P [kW]": [1, 2, 3, 4]})
    series = read_record(write(packed(frame, "parquet")), ZONE).channels[0].series
    assert (series.start_s, series.values.tolist()) == (int(START.timestamp()), [1000, 2000, 3000, 4000])


@settings(max_examples=50, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(data=st.data())
def test_random_series_come_back(data: st.DataObject, tmp_path_factory: pytest.TempPathFactory) -> None:
    """Any floats at any step in any of the formats come back to the last bit."""
    step = data.draw(st.sampled_from([60, 300, 900, 3600]))
    values = [0.5, *data.draw(st.lists(st.floats(-1e9, 1e9, allow_nan=False) | st.none(), min_size=2, max_size=60)), 0.25]
    stamps = [START + timedelta(seconds=step * i) for i in range(len(values))]
    frame = pl.DataFrame(
        {"time": pl.Series(stamps, dtype=pl.Datetime("us", "UTC")), "P [W]": pl.Series(values, dtype=pl.Float64)}
    )
    if data.draw(st.booleans()):
        frame = frame.with_columns(pl.col("time").dt.epoch("ms"))
    path: Path = tmp_path_factory.mktemp("columnar") / "m.parquet"
    path.write_bytes(packed(frame, data.draw(st.sampled_from(["parquet", "arrow", "stream"]))))
    series = read_record(path, ZONE).channels[0].series
    assert (series.start_s, series.step_s) == (int(START.timestamp()), step)
    np.testing.assert_array_equal(series.values, np.array([np.nan if v is None else v for v in values], float))
