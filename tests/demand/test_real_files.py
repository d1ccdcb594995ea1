"""The two real meter files: what is known of them, and what polars counts in them by itself."""

from datetime import UTC, datetime

import numpy as np
import polars as pl
import pytest
from hypothesis import given, settings, strategies as st

from wattwright.core.clock import SiteClock
from wattwright.core.quantity import Quantity
from wattwright.core.show import Show
from wattwright.demand.analyse import analyse
from wattwright.demand.json_form import demand_json
from wattwright.demand.summary import maximum_demand
from wattwright.record.read import read_record
from wattwright.record.record import Form
from wattwright.record.spec import ColumnSpec, LayoutSpec


def test_hourly_file_is_what_is_known_of_it(hourly):
    """2,712 hours, none missing, 1,209.42 kWh, from 2011-11-25 00:00 to 2012-03-17 01:00 local: counted in the file itself."""
    record, demand = hourly
    told = demand_json(demand, record, Show(zone="America/Toronto"))
    assert (told["intervals"], told["missing"], told["step_s"], told["completeness"]) == (2712, 0, 3600, 1)
    assert told["energy_kwh"] == pytest.approx(1209.42, abs=1e-6)
    assert told["first"] == "2011-11-25T00:00:00-05:00"
    assert told["last"] == "2012-03-17T01:00:00-04:00"
    assert told["stamps"]["mark"] == "end"
    assert told["maximum_demand_by_window_kw"]["15"] is None
    assert told["maximum_demand_by_window_kw"]["30"] is None


def test_hourly_file_against_polars(shared_data, hourly):
    """Maximum, mean, base load and load factor follow from the column alone, by polars; the clock plays no part in them."""
    kwh = pl.read_csv(shared_data / "residential-hourly.csv")["Consumption kWh"]
    summary = hourly[1].summary
    assert summary.maximum.power_w == pytest.approx(kwh.max() * 1000)
    assert summary.by_window[2].power_w == pytest.approx(kwh.max() * 1000)
    assert summary.mean_w == pytest.approx(kwh.mean() * 1000)
    assert summary.base_load_w == pytest.approx(kwh.quantile(0.05, "linear") * 1000)
    assert summary.load_factor == pytest.approx(kwh.mean() / kwh.max())


def test_hourly_file_has_one_short_day(hourly):
    """The day the clock went forward, 11 March 2012, has 23 hours; the others have 24."""
    days = hourly[1].days
    short = np.flatnonzero(days.lengths_s != 86_400)
    assert [str(days.date(i)) for i in short] == ["2012-03-11"]
    assert days.lengths_s[short[0]] == 82_800


def test_hourly_months_add_up_by_the_stamps_of_the_file(shared_data, hourly):
    """The end stamp less an hour gives the month; an hour ending at midnight bears the date of the ending day (known facts)."""
    frame = pl.read_csv(shared_data / "residential-hourly.csv")
    when = frame["DateTime"].str.to_datetime("%m/%d/%Y %H:%M:%S")
    frame = frame.with_columns(when.dt.strftime("%Y-%m").alias("month"))  # 00:00 bears the day that ends, as do 01 to 23
    plain = dict(frame.group_by("month").agg(pl.col("Consumption kWh").sum()).iter_rows())
    ours = {f"{m.year}-{m.month:02d}": m.energy_kwh for m in hourly[1].months}
    assert ours == pytest.approx(plain)
    assert [m.whole for m in hourly[1].months] == [False, True, True, True, False]


def test_minute_file_is_what_is_known_of_it(minute):
    """84,960 minutes, 4 missing, 2,091.68 kWh, 9.410 kW at a minute, 8.231, 7.404, 6.364 kW over 15, 30, 60 min on the clock."""
    record, demand = minute
    told = demand_json(demand, record, Show(zone="Europe/Paris"))
    assert (told["intervals"], told["missing"], told["step_s"]) == (84_960, 4, 60)
    assert told["energy_kwh"] == pytest.approx(2091.68, abs=0.005)
    assert told["mean_kw"] == pytest.approx(1.477, abs=0.0005)
    assert told["maximum_demand_kw"] == pytest.approx(9.410, abs=1e-9)
    assert told["maximum_demand_by_window_kw"] == pytest.approx({"15": 8.231, "30": 7.404, "60": 6.364}, abs=0.0005)
    assert told["completeness"] == pytest.approx(84_956 / 84_960, abs=1e-6)
    assert told["first"] == "2007-01-01T00:00:00+01:00"
    assert told["last"] == "2007-03-01T00:00:00+01:00"
    assert told["stamps"]["mark"] == "start"


def test_minute_file_beside_power(shared_data, minute, minute_frame):
    """Voltage lies between 223.49 and 250.89 V; sub-meter 3 carries 28.7 % of the energy (known facts; polars on the file)."""
    volts = minute[0].of(Quantity.VOLTAGE)[0].series.values
    assert (np.nanmin(volts), np.nanmax(volts)) == (223.49, 250.89)
    said = ColumnSpec(column="Sub_metering_3", quantity=Quantity.ACTIVE_POWER, form=Form.ENERGY, unit="Wh")
    record = read_record(shared_data / "household-minute.csv.gz", "Europe/Paris", LayoutSpec(columns=(said,)))
    third = analyse(record, SiteClock("Europe/Paris"), channel="Sub_metering_3").summary.energy_kwh
    assert third == pytest.approx(minute_frame["Sub_metering_3"].sum() / 1000)  # the file holds watt-hours a minute
    assert third / minute[1].summary.energy_kwh == pytest.approx(0.287, abs=0.0005)


@pytest.mark.parametrize(("every", "count"), [("15m", 15), ("30m", 30), ("1h", 60)])
def test_minute_maximum_against_polars(minute, minute_frame, every, count):
    """The highest clock window with all its minutes, when it began, and how many were left out, by polars group_by_dynamic."""
    grouped = minute_frame.group_by_dynamic("when", every=every).agg(pl.col("kw").mean(), pl.col("kw").count().alias("n"))
    whole = grouped.filter(pl.col("n") == count)
    best = whole.sort("kw", descending=True).row(0, named=True)
    ours = next(one for one in minute[1].summary.by_window if one.window_s == count * 60)
    assert ours.power_w == pytest.approx(best["kw"] * 1000)
    assert SiteClock("Europe/Paris").at(ours.start_s).replace(tzinfo=None) == best["when"]
    assert ours.left_out == len(grouped) - len(whole) > 0
    assert ours.windows == len(grouped)


@pytest.mark.parametrize("count", [15, 30, 60])
def test_minute_rolling_against_polars(minute, minute_frame, count):
    """The highest rolling mean without a gap, by polars, and never below the clock's."""
    ours = next(one for one in minute[1].summary.by_window if one.window_s == count * 60)
    assert ours.rolling_w == pytest.approx(minute_frame["kw"].rolling_mean(count, min_samples=count).max() * 1000)
    assert ours.rolling_w >= ours.power_w


def test_minute_months_against_polars(minute, minute_frame):
    """Energy and the highest quarter hour of each month, by polars."""
    quarters = minute_frame.group_by_dynamic("when", every="15m").agg(pl.col("kw").mean(), pl.col("kw").count().alias("n"))
    quarters = quarters.filter(pl.col("n") == 15)
    for month in minute[1].months:
        of_month = pl.col("when").dt.month() == month.month
        assert month.energy_kwh == pytest.approx(minute_frame.filter(of_month)["kw"].sum() / 60)
        assert month.maximum_w == pytest.approx(quarters.filter(of_month)["kw"].max() * 1000)
        assert month.completeness == pytest.approx(minute_frame.filter(of_month)["kw"].is_not_null().mean())
        assert month.whole
    assert [(m.year, m.month) for m in minute[1].months] == [(2007, 1), (2007, 2)]


def test_minute_base_load_against_polars(minute, minute_frame):
    """The 5th percentile of whole hours, by polars."""
    hours = minute_frame.group_by_dynamic("when", every="1h").agg(pl.col("kw").mean(), pl.col("kw").count().alias("n"))
    plain = hours.filter(pl.col("n") == 60)["kw"].quantile(0.05, "linear")
    assert minute[1].summary.base_load_w == pytest.approx(plain * 1000)


def test_minute_typical_day_against_polars(minute, minute_frame):
    """Median and mean of each quarter hour over all days, by polars; 59 days go in."""
    quarters = minute_frame.group_by_dynamic("when", every="15m").agg(pl.col("kw").mean(), pl.col("kw").count().alias("n"))
    quarters = quarters.filter(pl.col("n") == 15).with_columns(pl.col("when").dt.time().alias("at"))
    plain = quarters.group_by("at").agg(
        pl.col("kw").median().alias("median"),
        pl.col("kw").mean().alias("mean"),
        pl.col("kw").quantile(0.9, "linear").alias("high"),
    )
    plain = plain.sort("at")
    typical = minute[1].profiles.of(-1, -1)
    assert typical.days == 59
    assert typical.median_w == pytest.approx(plain["median"].to_numpy() * 1000)
    assert typical.mean_w == pytest.approx(plain["mean"].to_numpy() * 1000)
    assert typical.high_w == pytest.approx(plain["high"].to_numpy() * 1000)


def test_minute_duration_curve_holds_the_energy(minute, minute_frame):
    """The area is the energy; half the time the power was at least the median of the file."""
    curve = minute[1].duration
    assert curve.energy_kwh == pytest.approx(minute[1].summary.energy_kwh)
    told = minute_frame["kw"].drop_nulls().sort(descending=True).to_list()
    assert curve.at_share(0.5) == pytest.approx(told[len(told) // 2 - 1] * 1000)
    assert curve.hours_above(5000) == pytest.approx(sum(one > 5 for one in told) / 60)


def test_minute_peaks_against_the_frame(minute, minute_frame):
    """The first peak is the highest minute; the voltage in that minute stands beside it."""
    best = minute_frame.sort("kw", descending=True, nulls_last=True).row(0, named=True)
    peak = minute[1].peaks[0]
    assert peak.power_w == pytest.approx(best["kw"] * 1000)
    at = datetime.fromtimestamp(peak.start_s, UTC).timestamp()
    assert SiteClock("Europe/Paris").at(int(at)).replace(tzinfo=None) == best["when"]
    assert next(one.value for one in peak.beside if one.unit == "V") == pytest.approx(best["Voltage"])
    assert [p.power_w for p in minute[1].peaks] == sorted((p.power_w for p in minute[1].peaks), reverse=True)


@settings(max_examples=15, deadline=None)
@given(st.integers(0, 80_000), st.integers(61, 2000))
def test_any_part_of_the_minutes_has_the_maximum_of_a_plain_loop(minute, minute_frame, first, count):
    """Cut anywhere, the highest whole quarter hour is the one a loop over the file's own minutes finds."""
    series = minute[0].main.series
    part = series.part(series.start_s + 60 * first, series.start_s + 60 * (first + count))
    best, start = float("nan"), None
    kw = minute_frame["kw"].to_list()
    for begin in range(first + -first % 15, min(first + count, len(kw)) - 14, 15):
        window = kw[begin : begin + 15]
        if None not in window and not sum(window) / 15 <= best:
            best, start = sum(window) / 15, begin
    ours, _ = maximum_demand(part, 900, SiteClock("Europe/Paris"))
    assert ours.power_w == pytest.approx(best * 1000, nan_ok=True)
    if start is not None and ours.start_s != series.start_s + 60 * start:
        again = kw[(ours.start_s - series.start_s) // 60 :][:15]  # two windows may be equally high
        assert sum(again) / 15 == pytest.approx(best)
