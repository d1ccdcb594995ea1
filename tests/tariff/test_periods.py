"""Price periods follow the site's clock: windows in order, day types, holidays, seasons, changes of the clock."""

import csv
from datetime import UTC, datetime
from decimal import Decimal
from zoneinfo import ZoneInfo

import numpy as np
import pytest
from hypothesis import given, settings, strategies as st

from tests.tariff import twin
from tests.tariff.strategies import ZONE, of_data, written
from tests.tariff.texts import DAY_AND_NIGHT
from wattwright.core.clock import SiteClock
from wattwright.core.series import of_values
from wattwright.record.read import read_record
from wattwright.tariff.bill import bill
from wattwright.tariff.load import load_tariff, parse_tariff
from wattwright.tariff.periods import period_index, stretches
from wattwright.tariff.usage import Usage

D = Decimal
NIGHT = DAY_AND_NIGHT.replace("06:00", "07:00")


def names_at(spec, clock, *times_s):
    """Names of the periods at some instants."""
    return [spec.periods[index] for index in period_index(spec, np.array(times_s), clock)]


def kwh(one):
    """Billed kWh by period."""
    return {line.period: line.quantity for line in one.lines}


def test_real_flags(examples, shared_data) -> None:
    """All 2,712 on-, mid- and off-peak flags of a real Canadian record (openmv.net, CC BY-SA) come out, hour by hour."""
    path = shared_data / "residential-hourly.csv"
    clock = SiteClock("America/Toronto")
    spec = load_tariff(examples / "ontario-winter-2011.toml").tariff().versions[0]
    series = read_record(path, clock.zone).channels[0].series
    with path.open(newline="", encoding="utf-8") as file:
        rows = list(csv.DictReader(file))
    flagged = [next(name for name in ("Off-peak", "Mid-peak", "On-peak") if row[name] == "1").lower() for row in rows]
    assert len(flagged) == len(series) == 2712
    assert names_at(spec, clock, *series.times_s) == flagged


def test_real_bill_is_its_flags_times_its_prices(examples, shared_data) -> None:
    """The bill's energy by period is the sum of the file's own numbers by its own flags, 1,209.42 kWh in all."""
    path = shared_data / "residential-hourly.csv"
    clock = SiteClock("America/Toronto")
    one = bill(
        load_tariff(examples / "ontario-winter-2011.toml").tariff(),
        Usage(read_record(path, clock.zone).channels[0].series),
        clock,
    )
    flagged = {"on-peak": D(0), "mid-peak": D(0), "off-peak": D(0)}
    with path.open(newline="", encoding="utf-8") as file:
        for row in csv.DictReader(file):
            flagged[next(name for name in flagged if row[name.capitalize()] == "1")] += D(row["Consumption kWh"])
    billed = {name: sum(line.quantity for line in one.lines if line.period == name) for name in flagged}
    assert billed == flagged
    assert one.energy_kwh == D("1209.42")


@pytest.mark.parametrize(("day", "hours"), [("2025-03-30", 23), ("2025-10-26", 25)])
def test_days_of_23_and_25_hours(tariff, athens, steady, day: str, hours: int) -> None:
    """1 kW over the day the clock changes: night is 00-07 and 22-24, one hour less or more; day is 15 hours."""
    after = f"{day[:-2]}{int(day[-2:]) + 1}"
    one = bill(tariff(NIGHT), steady(day, after), athens)
    assert kwh(one) == {"night": D(hours - 15), "day": D(15)}
    assert one.energy_kwh == D(hours)


def test_edge_inside_the_repeated_hour(tariff, athens, second) -> None:
    """Cheap from 03:30: on 26 October 2025 03:00-04:00 shows twice, so 03:30-04:00 is cheap twice.

    The stretches are: until 03:30 (summer time), 03:30-04:00, 03:00-03:30 again, from 03:30 (winter time).
    """
    text = NIGHT.replace("22:00", "03:30").replace("07:00", "12:00")
    spec = tariff(text).versions[0]
    cut = stretches(spec, second("2025-10-26"), second("2025-10-27"), athens)
    assert [spec.periods[index] for index in cut.period] == ["day", "night", "day", "night", "day"]
    assert np.diff(cut.starts_s).tolist() == [12_600, 1800, 1800, 30_600, 43_200]


def test_odd_edge_inside_the_repeated_hour(tariff, athens, second) -> None:
    """Cheap from 03:10 to 03:20: on 26 October 2025 that is ten minutes twice, an hour apart."""
    spec = tariff(DAY_AND_NIGHT.replace("22:00", "03:10").replace("06:00", "03:20")).versions[0]
    cut = stretches(spec, second("2025-10-26"), second("2025-10-27"), athens)
    assert [spec.periods[index] for index in cut.period] == ["day", "night", "day", "night", "day"]
    assert np.diff(cut.starts_s).tolist() == [11_400, 600, 3000, 600, 74_400]


def test_edge_inside_the_skipped_hour(tariff, athens, second) -> None:
    """Cheap from 03:30: on 30 March 2025 03:00-04:00 is skipped, so cheap begins as the clock jumps to 04:00, after 3 h."""
    spec = tariff(NIGHT.replace("22:00", "03:30").replace("07:00", "12:00")).versions[0]
    cut = stretches(spec, second("2025-03-30"), second("2025-03-31"), athens)
    assert np.diff(cut.starts_s).tolist() == [3 * 3600, 8 * 3600, 12 * 3600]


def test_interval_across_a_price_edge_is_split(tariff, athens, second) -> None:
    """An hour of 4 kW from 06:45 to 07:45: a quarter at night, three quarters by day: 1 and 3 kWh."""
    usage = Usage(of_values(second("2025-06-03 06:45"), 3600, np.array([4000.0])))
    assert kwh(bill(tariff(NIGHT), usage, athens)) == {"night": D(1), "day": D(3)}


def test_wrapped_window_belongs_to_the_day_of_the_clock(tariff, athens, second) -> None:
    """22:00 to 07:00 on Fridays: early Friday and late Friday, not the first hours of Saturday."""
    spec = tariff(NIGHT.replace('period = "night"', 'period = "night"\ndays = ["Friday"]')).versions[0]
    times = [second(f"2025-06-{text}") for text in ("05 23:00", "06 06:59", "06 07:00", "06 22:00", "07 00:00")]
    assert names_at(spec, athens, *times) == ["day", "night", "day", "night", "day"]


def test_first_window_that_fits_decides(tariff, athens, second) -> None:
    """Two windows over the same hours: the one that stands first wins, and the other has what is left."""
    text = """rest = "c"
[[tariff.window]]
period = "a"
from = "10:00"
to = "12:00"
[[tariff.window]]
period = "b"
from = "11:00"
to = "14:00"
[[tariff.energy]]
label = "Energy"
price = "0.1"
"""
    spec = tariff(text).versions[0]
    assert names_at(spec, athens, *(second(f"2025-06-06 {hour}:30") for hour in ("09", "10", "11", "12", "14"))) == list("caabc")


def test_holiday_is_a_day_type_of_its_own(tariff, athens, second) -> None:
    """A holiday on a Thursday is neither Thursday nor working day; a dropped one is; an added one is a holiday.

    1 May 2025 is a Thursday and Labour Day in Greece; 25 March 2025 a Tuesday and Independence Day.
    """
    text = """rest = "plain"
holidays = { country = "GR", drop = [2025-03-25], add = [2025-06-05] }
[[tariff.window]]
period = "feast"
days = ["holiday"]
[[tariff.window]]
period = "work"
days = ["working days"]
[[tariff.energy]]
label = "Energy"
price = "0.1"
"""
    spec = tariff(text).versions[0]
    days = ("2025-05-01", "2025-05-02", "2025-05-03", "2025-03-25", "2025-06-05")
    assert names_at(spec, athens, *(second(day) for day in days)) == ["feast", "work", "plain", "work", "feast"]


def test_season_over_the_turn_of_the_year(tariff, athens, second) -> None:
    """A season from 1 November to 31 March holds on both its end days and not on the days beside them."""
    text = """rest = "summer"
[[tariff.season]]
name = "cold"
ranges = [{ from = "11-01", to = "03-31" }]
[[tariff.window]]
period = "winter"
seasons = ["cold"]
[[tariff.energy]]
label = "Energy"
price = "0.1"
"""
    spec = tariff(text).versions[0]
    days = ("2025-10-31", "2025-11-01", "2026-01-01", "2026-03-31", "2026-04-01")
    assert names_at(spec, athens, *(second(day) for day in days)) == ["summer", "winter", "winter", "winter", "summer"]


def test_versions_switch_at_local_midnight(athens, steady) -> None:
    """0.10 until 9 June, 0.30 from the 10th: 1 kW from the 9th to the 11th is 24 kWh of each, on one bill of June."""
    text = "".join(
        f'[[tariff]]\nid = "one"\nname = "{name}"\ncurrency = "EUR"\n{days}\n'
        f'[[tariff.energy]]\nlabel = "Energy"\nprice = "{price}"\n'
        for name, days, price in (("New", "from = 2025-06-10", "0.30"), ("Old", "to = 2025-06-09", "0.10"))
    )
    one = bill(parse_tariff(text).tariff("one"), steady("2025-06-09", "2025-06-11"), athens)
    assert [(line.month, line.quantity, line.amount) for line in one.lines] == [
        ("2025-06", D(24), D("2.40")),
        ("2025-06", D(24), D("7.20")),
    ]
    assert (one.tariff, one.total, len(one.by_month)) == ("New", D("9.60"), 1)


def test_charge_per_bill_stands_once_on_a_bill_of_two_versions(athens, steady) -> None:
    """5 and 7 per bill, under two versions within June, are 12 and not 24; a whole month is one, too."""
    text = "".join(
        f'[[tariff]]\nid = "one"\nname = "One"\ncurrency = "EUR"\n{days}\n[[tariff.energy]]\nlabel = "Energy"\nprice = "0"\n'
        '[[tariff.fixed]]\nlabel = "Meter"\nprice = "5"\nper = "bill"\n'
        '[[tariff.fixed]]\nlabel = "Month"\nprice = "1"\nper = "month"\npart_month = "whole"\n'
        '[[tariff.entered]]\nlabel = "Fee"\namount = "7"\n'
        for days in ("to = 2025-06-09", "from = 2025-06-10")
    )
    one = bill(parse_tariff(text).tariff(), steady("2025-06-01", "2025-07-01"), athens)
    assert [(line.name, line.amount) for line in one.lines if line.name != "Energy"] == [
        ("Meter", D(5)),
        ("Month", D(1)),
        ("Fee", D(7)),
    ]


@settings(max_examples=40, deadline=None)
@given(written(holidays={"add": ["2025-12-25"]}), st.lists(st.integers(1_735_000_000, 1_770_000_000), min_size=1, max_size=60))
def test_plain_twin_finds_the_same_period(data, times) -> None:
    """The period at any second of 2025 is the one a plain reading of the windows gives."""
    spec = of_data(data).versions[0]
    christmas = frozenset([datetime(2025, 12, 25, tzinfo=UTC).date()])
    plain = [twin.period_at(data, datetime.fromtimestamp(time, UTC).astimezone(ZoneInfo(ZONE)), christmas) for time in times]
    assert names_at(spec, SiteClock(ZONE), *times) == plain


@settings(max_examples=30, deadline=None)
@given(written(), st.sampled_from((7, 420, 1700, 3600, 7200)), st.integers(0, 3600), st.integers(200, 900))
def test_odd_intervals_lose_no_energy(data, step_s, offset_s, count) -> None:
    """Whatever the step and start, also in a zone off by half an hour, 1 kW is billed for exactly its time.

    Each of up to 75 days of three periods may be rounded by half a millionth of a kWh.
    """
    billing = {**data["billing"], "energy_decimals": 6}
    tariff = of_data({**data, "export": None, "demand": [], "billing": billing})
    usage = Usage(of_values(1_743_200_000 + offset_s, step_s, np.full(count, 1000.0)))
    one = bill(tariff, usage, SiteClock("Asia/Kolkata"))
    assert abs(float(one.energy_kwh) - count * step_s / 3600) <= 75 * 3 * 0.5e-6
    assert one.missing_s == pytest.approx(0.0, abs=1e-3)
