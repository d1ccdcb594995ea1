"""The two real meter files, read once."""

import gzip

import polars as pl
import pytest

from wattwright.core.clock import SiteClock
from wattwright.demand.analyse import analyse
from wattwright.record.read import read_record


@pytest.fixture(scope="session")
def hourly(shared_data):
    """The Canadian home's record and demand."""
    record = read_record(shared_data / "residential-hourly.csv", "America/Toronto")
    return record, analyse(record, SiteClock("America/Toronto"))


@pytest.fixture(scope="session")
def minute(shared_data):
    """The French home's record and demand."""
    record = read_record(shared_data / "household-minute.csv.gz", "Europe/Paris")
    return record, analyse(record, SiteClock("Europe/Paris"))


@pytest.fixture(scope="session")
def minute_frame(shared_data):
    """The French home's file read by polars alone: local time and active power in kW."""
    with gzip.open(shared_data / "household-minute.csv.gz") as file:
        frame = pl.read_csv(file.read(), separator=";", null_values="?", infer_schema_length=None)
    # Winter only, so local time has no change and may be counted plainly.
    when = (pl.col("Date") + " " + pl.col("Time")).str.to_datetime("%d/%m/%Y %H:%M:%S")
    return frame.select(
        when.alias("when"), pl.col("Global_active_power").alias("kw"), pl.col("Voltage"), pl.col("Sub_metering_3")
    )
