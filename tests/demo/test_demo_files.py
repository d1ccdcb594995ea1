"""The files handed over: the layout, the planted faults and the bills."""

import csv
from datetime import UTC, datetime, timedelta
from decimal import Decimal
from itertools import pairwise
from pathlib import Path
from zoneinfo import ZoneInfo

import numpy as np
import pytest

from wattwright.core.errors import FileError
from wattwright.demo.bills import paid_bills, price_period
from wattwright.demo.faults import FaultKind, PlantedFault
from wattwright.demo.meter_files import MeterFiles, write_files_of
from wattwright.demo.tariffs import tariff_today, tariffs_to_compare
from wattwright.demo.truth import Truth
from wattwright.demo.year import demo_year

ATHENS = ZoneInfo("Europe/Athens")


def _stamp(start_s: int) -> str:
    return datetime.fromtimestamp(start_s, UTC).astimezone(ATHENS).strftime("%d.%m.%Y;%H:%M")


def _faults(written: MeterFiles, kind: FaultKind) -> list[PlantedFault]:
    return [fault for fault in written.faults if fault.kind is kind]


def test_same_seed_writes_the_same_bytes(known: Truth, written: MeterFiles, tmp_path: Path):
    """Every file comes out byte for byte again, and the large one stays below 6 MB."""
    again = write_files_of(known, tmp_path)
    for name in ("main", "water", "bills"):
        assert getattr(again, name).read_bytes() == getattr(written, name).read_bytes()
    assert written.main.stat().st_size < 6_000_000


def test_folder_that_cannot_be_made_is_said_plainly(known: Truth, tmp_path: Path):
    """A file where the folder should be is the house's own error, not a traceback."""
    blocked = tmp_path / "taken"
    blocked.write_text("")
    with pytest.raises(FileError):
        write_files_of(known, blocked)


def test_rows_are_the_minutes_less_the_gaps_plus_the_resent(written: MeterFiles, main_rows: list[str]):
    """525,600 - 200 - 7 + 12 = 525,405 rows, each with five columns."""
    assert len(main_rows) == written.main_rows == 525_405
    assert {row.count(";") for row in main_rows} == {4}


def test_every_stamp_stands_where_it_must(written: MeterFiles, main_rows: list[str]):
    """Stamps are the local minutes of 2025 in order but for the planted faults; built here from the zone alone."""
    first_s = int(datetime(2025, 1, 1, tzinfo=ATHENS).timestamp())
    stamps = [_stamp(first_s + 60 * minute) for minute in range(525_600)]
    for fault in reversed(written.faults):
        at = (fault.start_s - first_s) // 60
        assert at == fault.first
        if fault.kind is FaultKind.GAP:
            del stamps[at : at + fault.minutes]
        if fault.kind is FaultKind.RESENT:
            stamps[at : at + fault.minutes] *= 2
    assert [row[:16] for row in main_rows] == stamps


def test_clock_changes_show_in_the_file(main_rows: list[str]):
    """On 30 March the hour from 3 is absent; on 26 October it comes twice, one pass after the other."""
    march = [row[11:16] for row in main_rows if row.startswith("30.03.2025")]
    october = [row[11:16] for row in main_rows if row.startswith("26.10.2025")]
    assert len(march) == 1380
    assert not any(clock.startswith("03:") for clock in march)
    assert len(october) == 1500
    hour = [f"03:{minute:02d}" for minute in range(60)]
    assert [clock for clock in october if clock.startswith("03:")] == hour + hour


def test_planted_faults_are_told(written: MeterFiles, main_rows: list[str]):
    """Gaps of 200 and 7 min, a block of 12 rows sent twice the same, and two unreadable readings, where the data says."""
    assert sorted(fault.minutes for fault in _faults(written, FaultKind.GAP)) == [7, 200]
    (resent,) = _faults(written, FaultKind.RESENT)
    at = next(index for index, row in enumerate(main_rows) if row.startswith(_stamp(resent.start_s)))
    assert resent.minutes == 12
    assert main_rows[at : at + 12] == main_rows[at + 12 : at + 24]
    unreadable = [row for row in main_rows if ";--;" in row]
    assert [row[:16] for row in unreadable] == [_stamp(fault.start_s) for fault in _faults(written, FaultKind.UNREADABLE)]
    assert len(unreadable) == 2


def test_readings_are_the_truth_to_the_last_digit(known: Truth, main_rows: list[str]):
    """Away from faults each row gives the true mean power within half of its last digit, with a decimal comma."""
    rows = main_rows[:40_000]
    power_kw = np.array([float(row.split(";")[2].replace(",", ".")) for row in rows])
    assert np.abs(power_kw - known.total_w[:40_000] / 1000.0).max() <= 0.0005 + 1e-9
    assert all("." not in row[16:] for row in rows)


def test_submeter_holds_six_weeks_with_offsets(known: Truth, written: MeterFiles):
    """42 days less the lost hour: 60,420 rows one minute apart in UTC, and the true energy of both heaters."""
    with written.water.open(newline="") as source:
        rows = list(csv.reader(source))
    starts = [datetime.fromisoformat(row[0]) for row in rows[1:]]
    assert rows[0] == ["start", "water_heater_guests_wh", "water_heater_kitchen_wh"]
    assert len(starts) == 42 * 1440 - 60
    assert all(later - earlier == timedelta(minutes=1) for earlier, later in pairwise(starts))
    assert {start.utcoffset() for start in starts} == {timedelta(hours=2), timedelta(hours=3)}
    first = (int(starts[0].timestamp()) - int(known.year.start_s[0])) // 60
    for column, name in ((1, "water_heater_guests"), (2, "water_heater_kitchen")):
        true_wh = known.load_w(name)[first : first + len(starts)] / 60.0
        assert [float(row[column]) for row in rows[1:]] == pytest.approx(true_wh, abs=0.0051)


def test_bills_hold_the_true_energy(known: Truth, written: MeterFiles):
    """Twelve months without a hole whose register differences add up to the true energy in whole kWh."""
    with written.bills.open(newline="") as source:
        bills = list(csv.DictReader(source))
    assert [bill["from"][5:7] for bill in bills] == [f"{month:02d}" for month in range(1, 13)]
    assert bills[1]["to"] == "2025-02-28"
    assert sum(int(bill["kwh"]) for bill in bills) == int(known.energy_kwh.sum())
    for number, bill in enumerate(bills, 1):
        true_kwh = known.total_w[known.year.month[known.year.day] == number].sum() / 60_000.0
        assert abs(int(bill["kwh"]) - true_kwh) < 1.0
        assert 0.1 < float(bill["amount_eur"]) / true_kwh < 0.4


def test_bill_of_a_steady_kilowatt_by_hand():
    """January 2025 at 1 kW: 23 workdays and 8 weekend days hold 23 x 9 + 8 x 24 = 399 night and 345 day hours.

    0.42 x 31 = 13.02; levy 744 x 0.017 = 12.65; day 345 x 0.1985 = 68.48; night 399 x 0.129 = 51.47; demand 2.85:
    148.47 before and 167.77 EUR after 13 % VAT. March has 743 h and October 745 h.
    """
    bills = paid_bills(np.full(525_600, 1000.0), tariff_today(), demo_year())
    assert bills[0].amount.amount == Decimal("167.77")
    assert [bills[month].energy_kwh for month in (0, 2, 9)] == [744, 743, 745]


def test_bill_without_demand_charge_by_hand():
    """The flat tariff in February at 1 kW: 0.36 x 28 = 10.08, 672 x 0.017 = 11.42, 672 x 0.212 = 142.46; x 1.13 = 185.27."""
    flat = tariffs_to_compare()[0]
    assert paid_bills(np.full(525_600, 1000.0), flat, demo_year())[1].amount.amount == Decimal("185.27")


def test_three_periods_by_hand():
    """A summer workday has 5 + 5 h low, 4 h peak and 10 h shoulder; a winter Sunday 5 h low and 19 h shoulder."""
    period = price_period(tariffs_to_compare()[1], demo_year())
    year = demo_year()
    summer, winter = period[year.day == 181], period[year.day == 4]  # Tuesday 1 July, Sunday 5 January
    assert [int((summer == name).sum()) // 60 for name in ("low", "peak", "shoulder")] == [10, 4, 10]
    assert [int((winter == name).sum()) // 60 for name in ("low", "peak", "shoulder")] == [5, 0, 19]


def test_tariffs_stay_untouched():
    """Each call gives a fresh copy: changing one, windows included, changes no other; every one says it is invented."""
    mine, others = tariff_today(), tariffs_to_compare()
    mine["windows"][0]["period"] = "day"
    mine["demand"]["eur_per_kw_month"] = 99.0
    others[1]["energy_eur_per_kwh"]["low"] = 9.0
    assert tariff_today()["windows"][0]["period"] == "night"
    assert tariff_today()["demand"] == {"eur_per_kw_month": 2.85, "interval_min": 15}
    assert tariffs_to_compare()[1]["energy_eur_per_kwh"]["low"] == 0.106
    for tariff in (tariff_today(), *tariffs_to_compare()):
        assert tariff["invented"] is True
        assert tariff["vat_percent"] == 13.0
