"""What is told of a load that was found: times, energies, findings, the plain data for programs."""

import datetime as dt

import numpy as np
import pytest

from tests.demand.switched.sites import rest
from wattwright.core.clock import SiteClock
from wattwright.core.series import of_values
from wattwright.demand.switched import metrics
from wattwright.demand.switched.analyse import doubtful, in_series
from wattwright.demand.switched.decode import When, decode, expected_f1
from wattwright.demand.switched.json_form import switched_json
from wattwright.demand.switched.rest import busyness
from wattwright.demand.switched.times import Pattern, times_on

ATHENS = SiteClock("Europe/Athens")
MIDNIGHT = int(dt.datetime(2025, 3, 25, tzinfo=dt.timezone(dt.timedelta(hours=2))).timestamp())
MINUTE = np.arange(10 * 1440)
"""Ten days from 25 March 2025 in Athens, the change of the clock on the 30th with them."""


def local(on) -> np.ndarray:
    """Where ``on`` holds by the minute of the local day."""
    parts = ATHENS.parts(MIDNIGHT + 60 * MINUTE)
    return on(parts.minute)


@pytest.fixture(scope="module")
def pump():
    """A pump of 1.4 kW from 06:10 to 09:20 by the local clock beside some noise."""
    on = local(lambda minute: (minute >= 370) & (minute < 560))
    values = 250 + np.random.default_rng(3).normal(0, 6, len(MINUTE)) + 1400 * on
    return in_series(of_values(MIDNIGHT, 60, values), ATHENS, where="a.csv"), on


def test_a_clock_is_seen_through_the_change_of_the_hour(pump) -> None:
    """Ten runs of 190 min by the local clock: window 06:15 to 09:15 (quarter hours on for half or more), pattern, energy."""
    found, on = pump
    (load,) = found.loads
    assert (load.on == on).mean() > 0.999
    assert load.id == "found-1-40-kw"
    assert found.load(load.id) is load
    assert load.times.pattern is Pattern.CLOCK
    assert load.times.starts == 10
    assert load.times.run_s == pytest.approx((11_400, 11_400, 11_400))
    assert load.times.days_share == pytest.approx(10 / 11)  # the lost hour lets the record reach into an eleventh day
    (window,) = load.times.windows
    assert (window.begins_s, window.ends_s) == (pytest.approx(6.25 * 3600, abs=900), pytest.approx(9.25 * 3600, abs=900))
    days, energy = load.by_day(ATHENS)
    assert len(days) == 11
    assert energy[:10] == pytest.approx(np.full(10, 1.4 * 190 / 60), rel=0.1)  # ten runs leave some doubt in each
    assert load.energy_kwh == pytest.approx(energy.sum())
    assert load.energy_share == pytest.approx(1400 * on.mean() / (250 + 1400 * on.mean()), rel=0.05)
    with pytest.raises(KeyError, match=r"found-1-40-kw"):
        found.load("other")


def test_plain_data_holds_what_was_promised(pump) -> None:
    """Each load has level, share, typical times, confidence; the limits of the step stand beside them."""
    found, _ = pump
    told = switched_json(found, ["lines"])
    (load,) = told["switched_loads"]
    assert load.keys() >= {"level_kw", "share_of_energy", "typical_on", "confidence", "energy_kwh", "duty", "starts", "proposal"}
    assert load["level_kw"] == pytest.approx(1.4, abs=0.01)
    assert load["share_by_month"].keys() == {"03", "04"}
    assert load["share_by_hour"][7] == pytest.approx(1.0, abs=0.05)
    assert told["switched_limit"]["shortest_run_min"] == 2
    assert switched_json(in_series(of_values(0, 60, np.array([])), ATHENS))["switched_limit"]["least_level_kw"] is None


def test_voltage_lets_the_level_breathe() -> None:
    """A heater of 2 kW at 230 V under a supply that moves by 5 %: with the voltage its energy is that of P (V / 230)^2."""
    draws = np.random.default_rng(4)
    volts = 230 * (1 + 0.05 * np.sin(MINUTE / 700))
    on = MINUTE % 90 < 30
    true = 2000 * on * (volts / 230) ** 2
    values = (200 + draws.normal(0, 4, len(MINUTE))) + true
    found = in_series(of_values(MIDNIGHT, 60, values), ATHENS, volts)
    load = found.loads[0]
    assert load.level_w == pytest.approx(2000 * (np.median(volts) / 230) ** 2, rel=0.01)
    assert metrics.error_in_power(load.power_w.values, true) < 0.03
    steady = of_values(MIDNIGHT, 60, 200 + draws.normal(0, 4, len(MINUTE)) + 2000 * on)
    without, nought = (in_series(steady, ATHENS, one) for one in (None, np.zeros(len(on))))
    assert nought.loads[0].level_w == without.loads[0].level_w  # a voltage of nought is none


def test_gaps_stay_gaps() -> None:
    """Where nothing was read nothing is said: the share is open there, and the energy is that of the rest."""
    on = MINUTE % 60 < 20
    values = 300 + np.random.default_rng(5).normal(0, 5, len(MINUTE)) + 1500 * on
    values[3000:4440] = np.nan
    (load,) = in_series(of_values(MIDNIGHT, 60, values), ATHENS).loads
    assert np.isnan(load.share[3000:4440]).all()
    assert load.energy_kwh == pytest.approx(1.5 * on[~np.isnan(values)].sum() / 60, rel=0.02)
    assert load.times.pattern is Pattern.CYCLES


def test_two_loads_of_like_level_are_doubted() -> None:
    """Loads of 2.0 and 2.2 kW that both come and go are named as ones that may be taken for each other."""
    draws = np.random.default_rng(6)
    first, second = MINUTE % 97 < 25, (MINUTE + 40) % 151 < 35
    values = 300 + draws.normal(0, 5, len(MINUTE)) + 2000 * first + 2200 * second
    found = in_series(of_values(MIDNIGHT, 60, values), ATHENS)
    assert len(found.loads) == 2
    assert "demand.switched-alike" in {one.code for one in found.findings}


def test_exports_do_not_hide_a_load() -> None:
    """Where a site feeds in, its power is below nought by day; a load behind it is found all the same."""
    sun = np.maximum(0, -2500 * np.cos(MINUTE / 1440 * 2 * np.pi))
    on = MINUTE % 75 < 25
    values = 300 + np.random.default_rng(7).normal(0, 5, len(MINUTE)) + 1800 * on - sun
    load = in_series(of_values(MIDNIGHT, 60, values), ATHENS).loads[0]
    assert metrics.f1(load.on, on) > 0.98
    assert in_series(of_values(MIDNIGHT, 60, -sun - 5), ATHENS).loads == ()


def test_a_window_over_midnight_is_one() -> None:
    """On from 22:00 to 03:00: one window, which ends before it begins; always on: the whole day; never: none."""
    share = ((MINUTE % 1440 >= 1320) | (MINUTE % 1440 < 180)).astype(float)
    utc = SiteClock("UTC")
    (window,) = times_on(share, 0, 60, utc, is_exact=True).windows
    assert (window.begins_s, window.ends_s) == (79_200, 10_800)
    (whole,) = times_on(np.ones(1440), 0, 60, utc, is_exact=True).windows
    assert (whole.begins_s, whole.ends_s, whole.share) == (0, 86_400, 1.0)
    never = times_on(np.zeros(1440), 0, 60, utc, is_exact=True)
    assert never.windows == ()
    assert never.pattern is Pattern.IRREGULAR
    assert np.isnan(never.run_s).all()


def test_irregular_starts_are_called_so() -> None:
    """Two runs a day at any hour are no time programme and no cycle."""
    draws, share = np.random.default_rng(8), np.zeros(40 * 1440)
    for day in range(40):
        for at in draws.integers(0, 1400, 2):
            share[day * 1440 + at : day * 1440 + at + 30] = 1.0
    assert times_on(share, 0, 60, SiteClock("UTC"), is_exact=True).pattern is Pattern.IRREGULAR


def test_confidence_is_the_f1_to_expect() -> None:
    """Chances 1, 0.75, 0.25 and 0: said on in two, 1.75 hits and 2 truly on to expect: F1 is 2 x 1.75 / (2 + 2)."""
    assert expected_f1(np.array([1.0, 0.75, 0.25, 0.0, np.nan])) == pytest.approx(3.5 / 4)
    assert expected_f1(np.zeros(3)) == 0.0


def test_doubt_is_told_of_the_time_on_alone() -> None:
    """Of chances 1, 0.95, 0.6 and 0.5 half is not nearly sure; what is taken to be off does not count; never on, no doubt."""
    assert doubtful(np.array([1.0, 0.95, 0.6, 0.5, 0.3, 0.0, np.nan])) == pytest.approx(0.5)
    assert doubtful(np.zeros(3)) == 0.0


@pytest.fixture(scope="module")
def busy():
    """A pump of 1.5 kW from 06:00 to 07:10 every day on a busy site, whose appliances of any size are now and then of its own."""
    minutes = np.arange(14 * 1440)
    on = (minutes % 1440 >= 360) & (minutes % 1440 < 430)
    return rest(np.random.default_rng(4), 14, large=True) + 1500.0 * on, on, minutes // 60 % 24


def test_appliances_of_like_size_are_told_of(busy, pump) -> None:
    """On the busy site the doubt is named with the load; beside noise alone there is none."""
    found = in_series(of_values(0, 60, busy[0]), SiteClock("UTC"))
    assert found.loads[0].level_w == pytest.approx(1500, rel=0.02)
    assert "demand.switched-like-size" in {one.code for one in found.findings}
    assert "demand.switched-like-size" not in {one.code for one in pump[0].findings}


def test_the_hour_tells_a_load_from_others_of_its_size(busy) -> None:
    """What comes at its usual hour is told better than where every hour is as likely as the next."""
    values, on, hour = busy
    zone = busyness(values)
    by_hour, alike = (decode(values, When(zone, one), 1500.0).chance >= 0.5 for one in (hour, np.zeros_like(hour)))
    assert metrics.f1(by_hour, on) > metrics.f1(alike, on) + 0.02


def test_figures_without_anything_to_judge_are_no_numbers() -> None:
    """Precision of nothing said and recall of nothing there are not nought."""
    none = np.zeros(3, bool)
    assert np.isnan([metrics.precision(none, ~none), metrics.recall(~none, none), metrics.f1(none, none)]).all()
