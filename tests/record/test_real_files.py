"""The two real files beside the project, against what is known of them (counted by hand, with sources, in their README)."""

from pathlib import Path

import numpy as np
import pytest

from wattwright.core.clock import SiteClock
from wattwright.core.quantity import Quantity
from wattwright.core.series import clock_windows
from wattwright.record.read import read_record
from wattwright.record.record import Form, Record, StampsMark


@pytest.fixture(scope="module")
def hourly(shared_data: Path) -> Record:
    return read_record(shared_data / "residential-hourly.csv", "America/Toronto")


@pytest.fixture(scope="module")
def minutes(shared_data: Path) -> Record:
    return read_record(shared_data / "household-minute.csv.gz", "Europe/Paris")


def test_hourly_file(hourly: Record) -> None:
    """2,712 hours that end where their stamps stand, from 2011-11-25 00:00 to 2012-03-17 01:00, 1,209.42 kWh, no gap."""
    clock, series = SiteClock("America/Toronto"), hourly.channels[0].series
    assert (hourly.rows, len(series), series.step_s) == (2712, 2712, 3600)
    assert (clock.text(series.start_s), clock.text(series.end_s)) == ("2011-11-25 00:00", "2012-03-17 01:00")
    assert series.values.sum() / 1000 == pytest.approx(1209.42, abs=1e-9)
    assert (hourly.gaps, hourly.duplicates) == ((), ())
    assert hourly.layout.stamps is StampsMark.END
    assert "month first" in hourly.layout.stamp_format
    assert hourly.channels[0].meaning.form is Form.ENERGY


def test_hourly_flags_follow_the_calendar(hourly: Record) -> None:
    """On-peak weekdays 07-11 and 17-19, mid-peak weekdays 11-17, off-peak the rest and holidays: all 2,712 flags of the utility.

    Holidays of that winter in Ontario: 26 December 2011 (Boxing Day) and 27 December (for Christmas Day on a Sunday),
    2 January 2012 (for New Year's Day on a Sunday), 20 February 2012 (Family Day).
    """
    clock, series = SiteClock("America/Toronto"), hourly.channels[0].series
    parts = clock.parts(series.times_s)
    holidays = [np.datetime64(day).astype(np.int64) for day in ("2011-12-26", "2011-12-27", "2012-01-02", "2012-02-20")]
    working = (parts.weekday < 5) & ~np.isin(parts.day_number, holidays)
    hour = parts.minute // 60
    on = working & (((hour >= 7) & (hour < 11)) | ((hour >= 17) & (hour < 19)))
    mid = working & (hour >= 11) & (hour < 17)
    for id_, expected in (("on-peak", on), ("mid-peak", mid), ("off-peak", ~(on | mid))):
        assert np.array_equal(hourly.channel(id_).series.values, expected.astype(float))


def test_minute_file(minutes: Record) -> None:
    """84,960 minutes from 1 January 2007, 4 without values, 2,091.68 kWh, mean 1.477 kW, voltage 223.49 to 250.89 V."""
    series = minutes.channels[0].series
    assert (minutes.rows, len(series), series.step_s) == (84_960, 84_960, 60)
    assert SiteClock("Europe/Paris").text(series.start_s) == "2007-01-01 00:00"
    assert (~series.present).sum() == sum(gap.intervals for gap in minutes.gaps) == 4
    assert np.nansum(series.values) / 60_000 == pytest.approx(2091.68, abs=0.005)
    assert np.nanmean(series.values) == pytest.approx(1477, abs=0.5)
    volts = minutes.of(Quantity.VOLTAGE)[0].series.values
    assert (np.nanmin(volts), np.nanmax(volts)) == (223.49, 250.89)
    assert "day first" in minutes.layout.stamp_format
    assert minutes.channels[0].meaning.unit == "kW"


@pytest.mark.parametrize(("minutes_each", "kw"), [(1, 9.410), (15, 8.231), (30, 7.404), (60, 6.364)])
def test_minute_file_maximum_demand(minutes: Record, minutes_each: int, kw: float) -> None:
    """Maximum demand over clock-aligned windows."""
    windows = clock_windows(minutes.channels[0].series, 60 * minutes_each, SiteClock("Europe/Paris"))
    assert np.nanmax(windows.mean) / 1000 == pytest.approx(kw, abs=0.0005)


def test_columns_that_say_nothing_are_left_out_aloud(minutes: Record) -> None:
    """The three sub-meters name no quantity: they are left out, with a finding for each."""
    names = ("Sub_metering_1", "Sub_metering_2", "Sub_metering_3")
    assert minutes.layout.unread_columns == names
    assert tuple(f.data["column"] for f in minutes.findings if f.code == "record.column-unknown") == names
