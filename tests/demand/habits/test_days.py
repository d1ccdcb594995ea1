"""Groups of like days, breaks, the base load and its trend, and all of it for a record."""

from datetime import date

import numpy as np
import pytest
from scipy.signal import lfilter
from scipy.stats import theilslopes

from tests.demand.hand import channel, record_of, second
from wattwright.core.calendar import days_between
from wattwright.core.clock import SiteClock
from wattwright.core.quantity import Quantity
from wattwright.core.series import of_values
from wattwright.demand.analyse import analyse
from wattwright.demand.habits.base import base_by_day, breaks
from wattwright.demand.habits.change_points import Shape
from wattwright.demand.habits.groups import alike, like_days
from wattwright.demand.habits.habits import Outdoors, habits
from wattwright.demand.habits.json_form import habits_json
from wattwright.demand.profiles import DayTable
from wattwright.demand.site import site_power

CLOCK = SiteClock("Europe/Athens")
START_S = second("2025-01-06 00:00")


def two_kinds(days, seed=1):
    """Working days busy by day, the others by night, with some scatter, W, (days, 24)."""
    draws = np.random.default_rng(seed)
    hours = np.arange(24)
    busy, idle = np.where((hours > 7) & (hours < 17), 3000.0, 300.0), np.where(hours > 18, 900.0, 250.0)
    return np.stack([(busy if day % 7 < 5 else idle) * draws.uniform(0.9, 1.1, 24) for day in range(days)])


def test_two_kinds_of_days_are_two_groups():
    """Ten weeks of working days and weekends fall into these two and nothing else."""
    told = like_days(DayTable(3600, two_kinds(70)))
    assert len(told) == 2
    assert (told.of_day == np.array([0 if day % 7 < 5 else 1 for day in range(70)])).all()
    assert told.agreement[0] == pytest.approx(1.0)
    assert told.course_w[0].max() > 2900


def test_days_of_one_kind_are_one_group():
    """Days that differ by chance alone are not split: no number of groups comes out again."""
    draws = np.random.default_rng(2)
    told = like_days(DayTable(3600, 500 * draws.uniform(0.5, 1.5, (80, 24))))
    assert len(told) == 1
    assert max(told.agreement) < 0.8


def test_days_with_gaps_and_few_days():
    """A lost hour is drawn straight, a day with more missing is in no group; under two weeks are one group; none is none."""
    table = two_kinds(70)
    table[3, 5] = np.nan
    assert like_days(DayTable(3600, table)).of_day[3] == 0
    table[3, 6] = np.nan
    assert like_days(DayTable(3600, table)).of_day[3] == -1
    few = like_days(DayTable(3600, table[:10]))
    assert (len(few), few.agreement) == (1, ())
    assert len(like_days(DayTable(3600, np.full((5, 24), np.nan)))) == 0


def test_agreement_of_groupings():
    """The same groups by other names agree wholly; the worked case of Hubert and Arabie's index by hand; one group each too."""
    assert alike(np.array([0, 0, 1, 1]), np.array([1, 1, 0, 0])) == 1.0
    # Pairs together in both: 1; in the one: 3 (sizes 3 and 1), in the other: 2; of 6: (1 - 1) / (2.5 - 1) = 0.
    assert alike(np.array([0, 0, 0, 1]), np.array([0, 0, 1, 1])) == pytest.approx(0.0)
    assert alike(np.zeros(4, int), np.zeros(4, int)) == 1.0


def test_base_load_is_of_the_four_lowest_hours():
    """Hours of 100, 200, 300, 400 W and twenty of 1 kW have a base of 250 W; a day half read has none."""
    day = np.concatenate([[100.0, 200, 300, 400], np.full(20, 1000.0)])
    half = np.where(np.arange(24) < 12, 500.0, np.nan)
    told = base_by_day(DayTable(3600, np.stack([day, half])))
    assert told.by_day_w[0] == pytest.approx(250.0)
    assert np.isnan(told.by_day_w[1])
    assert told.standby_w == pytest.approx(250.0)
    assert np.isnan(told.trend_w)


def test_trend_is_that_of_theil_and_sen():
    """A base load that grows by half a watt a day grows by 183 W a year, as scipy's median slope has it."""
    draws = np.random.default_rng(3)
    base = 200 + 0.5 * np.arange(120) + draws.normal(0, 8, 120)
    told = base_by_day(DayTable(3600, np.repeat(base[:, None], 24, axis=1)))
    slope = theilslopes(base, np.arange(120), 0.9)
    assert told.trend_w == pytest.approx(365.25 * slope[0])
    assert told.trend_low_w < 0.5 * 365.25 < told.trend_high_w


def test_breaks_are_runs_of_quiet_days():
    """Three days at standby among six weeks are a break; a single quiet day is none; nor are weekends, quiet every week."""
    table = two_kinds(42)
    table[15:18] = 240.0
    table[30] = 240.0
    days = days_between(CLOCK, START_S, START_S + 42 * 86_400)
    (found,) = breaks(DayTable(3600, table), days)
    assert (found.first, found.days, found.mean_w) == (15, 3, pytest.approx(240.0))
    assert found.usual_w > 1000
    # Days of the other kind around it are left out: what is usual of a working day is a working day's mean.
    assert breaks(DayTable(3600, two_kinds(42)), days) == ()


def site(days=120, rise=0.0):
    """A record of hours that heats below 15 degC, with its temperature beside it."""
    draws = np.random.default_rng(7)
    at = np.arange(24 * days)
    air = 12 + 8 * np.sin(2 * np.pi * at / (24 * 120)) + 3 * np.repeat(draws.normal(size=days), 24)
    power = 400 + rise * at / 24 + 80 * np.maximum(15 - air, 0) + 40 * draws.random(len(at))
    return power, air


def told_of(power, air, **more):
    """The habits of a record of these hours, with the temperature as a series beside it."""
    record = record_of(channel(of_values(START_S, 3600, power)))
    demand = analyse(record, CLOCK)
    outdoors = None if air is None else Outdoors("air", of_values(START_S, 3600, air))
    return habits(demand, site_power(record).series, outdoors, **more)


def test_a_heated_site_follows_its_temperature():
    """80 W for each kelvin below 15 degC are 1.92 kWh a day and kelvin; the base is 10 kWh a day and the half of 40 W."""
    told = told_of(*site())
    assert told.response.shape is Shape.HEATING
    assert told.response.value("heating") == pytest.approx(1.92, rel=0.03)
    assert told.response.value("change") == pytest.approx(15.0, abs=0.4)
    assert told.response.value("base") == pytest.approx(24 * 0.42, rel=0.05)
    plain = habits_json(told)
    assert plain["temperature_response"]["shape"] == "3P heating"
    assert set(plain["temperature_response"]["parameters"]) == {"base", "heating", "change"}
    assert len(plain["group_of_day"]) == 120
    assert plain["day_groups"][0]["days"] >= 28


def codes(told):
    """The codes of the findings."""
    return {one.code for one in told.findings}


def test_what_is_found_and_said():
    """No temperature, one of other days, one that explains little, a rising base and breaks: each is a finding."""
    power, air = site()
    assert codes(told_of(two_kinds(42).ravel(), None)) == {"demand.no-temperature"}
    assert habits_json(told_of(power, None))["temperature_response"] is None
    assert "demand.temperature-of-other-days" in codes(told_of(power, np.full(len(air), np.nan)))
    draws = np.random.default_rng(9)
    noisy = power + 2500 * np.repeat(draws.random(120), 24)
    assert "demand.poor-response" in codes(told_of(noisy, air))
    assert "demand.base-trend" in codes(told_of(*site(rise=2.0)))
    quiet = two_kinds(42).ravel()
    quiet[15 * 24 : 18 * 24] = 240.0
    assert "demand.breaks" in codes(told_of(quiet, None))


def test_days_are_dates_of_the_site():
    """Breaks and groups bear the local date."""
    quiet = two_kinds(42).ravel()
    quiet[15 * 24 : 18 * 24] = 240.0
    told = habits_json(told_of(quiet, None))
    assert told["breaks"][0]["first"] == date(2025, 1, 21).isoformat()
    assert told["breaks"][0]["days"] == 3


def test_temperature_beside_the_power_in_one_record():
    """A record's own channel of temperature is what goes with it."""
    from wattwright.job.outdoors import outdoors

    power, air = site(30)
    beside = channel(of_values(START_S, 3600, air), "air", Quantity.TEMPERATURE)
    record = record_of(channel(of_values(START_S, 3600, power)), beside)
    assert outdoors(record, None, "Europe/Athens").temperature is beside.series
    assert outdoors(record_of(channel(of_values(START_S, 3600, power))), None, "Europe/Athens") is None


def heated(days=365, first=60, drift=0.0, seed=11):
    """A site that heats day and night below 15 degC from an outdoor air with its season, W and degC by hour; it never changes."""
    draws = np.random.default_rng(seed)
    at = np.arange(24 * days)
    weather = np.repeat(lfilter([1.0], [1.0, -0.7], draws.normal(0, 2, days)), 24)
    air = 11 - 9 * np.cos(2 * np.pi * (first + at / 24) / 365) + 4 * np.sin(2 * np.pi * (at % 24 - 9) / 24) + weather
    evening = 800 * ((at % 24 >= 17) & (at % 24 < 22)) * draws.random(len(at))
    return 150 + drift * at / 24 + 100 * draws.random(len(at)) + evening + 120 * np.maximum(15 - air, 0), air


def test_seasons_and_mild_days_are_neither_a_trend_nor_breaks():
    """Of sixteen heated sites on which nothing changes and nobody leaves, at most four are told a trend, and none a break."""
    trends = 0
    for seed in range(16):
        told = told_of(*heated(180, 30 * seed, seed=seed))
        trends += "demand.base-trend" in codes(told)
        assert not told.breaks
    # Nine in ten intervals should hold nought; more than four of sixteen would come by chance once in sixty.
    assert trends <= 4


def test_a_trend_at_equal_temperature():
    """A base load that rises by half a watt a day (183 W a year) beside heating is told within its interval."""
    told = told_of(*heated(drift=0.5))
    assert told.base.trend_low_w < 0.5 * 365.25 < told.base.trend_high_w
    assert "demand.base-trend" in codes(told)


def test_a_trend_without_weather_may_be_the_season():
    """A base load that rises is told without its temperature too, with the season as another reason."""
    power, _ = site(rise=2.0)
    told = codes(told_of(power + 80.0, None))
    assert "demand.base-trend-or-season" in told
    assert "demand.base-trend" not in told


def test_days_that_are_alike_widen_the_trend():
    """A base load that wanders slowly about one level has no trend: of sixteen at most four are told to have one."""
    wide = 0
    for seed in range(16):
        draws = np.random.default_rng(seed)
        wander = 300 + 30 * lfilter([0.6], [1.0, -0.8], draws.normal(size=300))[100:]
        told = base_by_day(DayTable(3600, np.repeat(wander[:, None], 24, axis=1)))
        wide += told.trend_low_w > 0 or told.trend_high_w < 0
    assert wide <= 4


def test_a_break_of_a_heated_site_in_winter():
    """Five days with the heating turned down to a fifth and nobody there are a break, told with the temperature."""
    power, air = heated(150, 320)
    away = slice(40 * 24, 45 * 24)
    power[away] = 170 + 24 * np.maximum(15 - air[away], 0)
    (found,) = told_of(power, air).breaks
    assert (found.first, found.days) == (40, 5)


def test_a_site_that_gives_back_has_no_base_and_no_breaks():
    """What the meter does not see is not told."""
    power, air = heated(60)
    power[12::24] = -500.0
    told = told_of(power, air)
    assert np.isnan(told.base.standby_w)
    assert not told.breaks
    assert "demand.no-base-of-net" in codes(told)


def test_base_load_of_longer_steps():
    """The lowest four hours are two bins of two hours; a day as one bin, or two, has none."""
    bins = np.array([300.0, 100, 200, *[1000.0] * 9])
    assert base_by_day(DayTable(7200, bins[None])).standby_w == pytest.approx(150.0)
    assert np.isnan(base_by_day(DayTable(43_200, np.full((3, 2), 5.0))).standby_w)


def test_readings_of_whole_days():
    """A meter read once a day, a day of it missing, still tells how energy follows the temperature: 1.92 kWh a day and kelvin."""
    draws = np.random.default_rng(5)
    air = draws.uniform(0, 22, 90)
    power = 400 + 80 * np.maximum(15 - air, 0)
    power[7] = np.nan
    record = record_of(channel(of_values(START_S, 86_400, power)))
    told = habits(analyse(record, CLOCK), site_power(record).series, Outdoors("air", of_values(START_S, 86_400, air)))
    assert told.response.value("heating") == pytest.approx(1.92, rel=0.01)
    assert told.groups.of_day[7] == -1
    assert len(told.groups) == 1  # a single figure a day is no course
    assert np.isnan(told.base.standby_w)


def test_a_few_odd_days_are_no_group():
    """Fourteen days that differ by chance are one kind: no group of a single day comes out of them."""
    of_groups = [len(like_days(DayTable(3600, 500 * np.random.default_rng(s).uniform(0.5, 1.5, (14, 24))), s)) for s in range(12)]
    assert of_groups.count(1) >= 11
