"""Loads planted in sites of the engine are found from the sum alone, to the minute."""

import numpy as np
import pytest

from tests.demand.switched.pace import PLAIN
from tests.demand.switched.sites import KINDS, f1, rest, site
from wattwright.core.clock import SiteClock
from wattwright.core.series import of_values
from wattwright.demand.switched.analyse import in_series
from wattwright.demand.switched.clocked import clocked_loads

UTC = SiteClock("UTC")
SEEDS = (0,) if PLAIN else range(6)
DAYS = 7 if PLAIN else 21


@pytest.fixture(scope="module")
def scored():
    """F1 by minute, the level found over the true one and the share in doubt of every load over 1 kW, by kind, seed and name."""
    told = {}
    for kind in KINDS[:1] if PLAIN else KINDS:
        for seed in SEEDS:
            made = site(kind, seed, DAYS)
            found = in_series(of_values(0, 60, made.power_w), UTC)
            for name, power in made.loads_w.items():
                truth = power >= 0.5 * power.max()
                told[kind, seed, name] = max(
                    ((f1(one.on, truth), one.level_w / power.max(), one.doubtful) for one in found.loads), default=(0.0, 0.0, 0.0)
                )
    return told


def test_every_planted_load_is_found(scored) -> None:
    """Two loads in each of 24 sites (houses, nurseries, workshops, cold stores): F1 of 0.95 for all.

    Appliances of a load's own size that run as long, at the same hours, leave the same minutes: nothing in the record tells them.
    """
    scores = np.array([one for one, *_ in scored.values()])
    assert scores.min() >= (0.7 if PLAIN else 0.95), scored
    assert scores.mean() >= (0.85 if PLAIN else 0.98)


def test_levels_are_those_of_the_plates(scored) -> None:
    """The level of each is within 1 % of what the engine gave it."""
    assert all(level == pytest.approx(1.0, abs=0.01) for _, level, _ in scored.values())


@pytest.mark.parametrize("seed", range(1 if PLAIN else 6))
def test_a_site_without_large_loads_gets_none(seed) -> None:
    """Appliances of any size, each of its own, do not add up to a load: only the refrigerator, at 90 W, may be found."""
    values = rest(np.random.default_rng(seed), DAYS, large=seed % 2 == 1)
    assert all(one.level_w < 120 for one in in_series(of_values(0, 60, values), UTC).loads)


def heated(heat_w_k: float, seed: int = 1) -> tuple[np.ndarray, np.ndarray]:
    """120 days of hours: a rest with heating that follows the weather, and 2 kW from 01:00 to 05:00 but for every tenth night."""
    draws, hours = np.random.default_rng(seed), np.arange(120 * 24)
    outside_c = 1.0 + 4.0 * np.sin(2 * np.pi * (hours / 24 - 0.4)) + np.repeat(draws.normal(0, 2.5, 120), 24)
    heat = heat_w_k * np.maximum(0.0, 16.0 - outside_c) * np.exp(draws.normal(0, 0.1, len(hours)))
    night = (hours % 24 >= 1) & (hours % 24 < 5) & (hours // 24 % 10 != 9)
    return 250 + draws.gamma(1.0, 60, len(hours)) + heat, 2000.0 * night


@pytest.mark.parametrize("heat_w_k", [0.0, 75.0])
@pytest.mark.parametrize("seed", [1, 2])
def test_a_load_by_the_clock_is_found_beside_heating_that_glides(heat_w_k, seed) -> None:
    """In hours: level within 5 %, energy within 5 % of 2 kW x 4 h x 108 nights, on in those hours and no others."""
    rest_w, load_w = heated(heat_w_k, seed)
    load = max(in_series(of_values(0, 3600, rest_w + load_w), UTC).loads, key=lambda one: f1(one.on, load_w > 0))
    assert load.level_w == pytest.approx(2000.0, rel=0.05)
    assert load.energy_kwh == pytest.approx(2.0 * 4 * 108, rel=0.05)
    assert f1(load.on, load_w > 0) > 0.99


def test_where_heating_hides_any_level_it_is_said() -> None:
    """Beside heating of some 4 kW that wavers by a tenth the same load may be missed whatever its size: a finding tells."""
    rest_w, load_w = heated(300.0)
    told = in_series(of_values(0, 3600, rest_w + load_w), UTC)
    assert "demand.switched-long-step" in {one.code for one in told.findings}


def test_heating_and_habits_are_no_load_by_the_clock() -> None:
    """Heating that follows the weather, and appliances of any size at usual hours, hold no edge that comes day after day."""
    hour = np.arange(120 * 24) % 24
    assert clocked_loads(heated(75.0)[0], 3600, hour, 50.0) == ()
    values = rest(np.random.default_rng(4), 60).reshape(-1, 60).mean(axis=1)
    assert clocked_loads(values, 3600, hour[: len(values)], 50.0) == ()
    assert clocked_loads(values[: 10 * 24], 3600, hour[: 10 * 24], 50.0) == ()


@pytest.mark.parametrize(("step_s", "first_s"), [(3600, 0), (900, 0), (900, 2700)])
def test_edges_over_midnight_gaps_and_quarter_hours(step_s, first_s) -> None:
    """1 kW from 22:00 to 03:00: on over midnight, in quarters that begin anywhere; a gap at one edge leaves the other to tell."""
    times = first_s + step_s * np.arange(40 * 86_400 // step_s)
    on = (times % 86_400 >= 22 * 3600) | (times % 86_400 < 3 * 3600)
    on &= times >= 86_400 + 12 * 3600
    values = 300.0 + np.random.default_rng(1).normal(0, 20, len(times)) + 1000.0 * on
    values[(times >= 5 * 86_400 + 21 * 3600) & (times < 5 * 86_400 + 23 * 3600)] = np.nan
    (load,) = clocked_loads(values, step_s, (times // 3600 % 24).astype(np.int64), 50.0)
    assert load.level_w == pytest.approx(1000.0, rel=0.02)
    assert f1(load.chance > 0.5, on) > 0.995


def test_a_step_up_without_its_step_down_is_no_load() -> None:
    """Up by 1 kW at six and down by half of it at nine and at twelve: no one load does that."""
    hours = np.arange(60 * 24)
    values = 200.0 + np.random.default_rng(1).normal(0, 10, len(hours))
    for last in (9, 12):
        values += 500.0 * ((hours % 24 >= 6) & (hours % 24 < last))
    assert clocked_loads(values, 3600, hours % 24, 50.0) == ()


def test_two_loads_by_the_clock_and_the_largest_of_four() -> None:
    """Four loads at hours of their own are told apart by their sizes; the three largest are taken."""
    hours = np.arange(60 * 24)
    planted = {3000: (1, 4), 2000: (6, 9), 1000: (11, 15), 500: (17, 21)}
    values = 200.0 + np.random.default_rng(1).normal(0, 10, len(hours))
    for level, (first, last) in planted.items():
        values += level * ((hours % 24 >= first) & (hours % 24 < last))
    assert [round(one.level_w, -2) for one in clocked_loads(values, 3600, hours % 24, 50.0)] == [3000, 2000, 1000]


def test_what_runs_for_hours_is_found_in_hours() -> None:
    """A 1.3 kW pump that runs 10:00 to 16:00 beside a quiet site is found in means over an hour, its energy within 10 %."""
    draws = np.random.default_rng(2)
    hours = np.arange((40 if PLAIN else 120) * 24)
    on = ((hours % 24) >= 10) & ((hours % 24) < 16) & ((hours // 24) % 7 != 6)
    values = 250 + draws.gamma(1.0, 60, len(hours)) + 1300 * on
    found = in_series(of_values(0, 3600, values), UTC)
    (pump,) = found.loads
    assert pump.level_w == pytest.approx(1300, rel=0.05)
    assert pump.energy_kwh == pytest.approx(1.3 * on.sum(), rel=0.1)
    assert {one.code for one in found.findings} >= {"demand.switched-long-step", "demand.switched-limit"}
    (window,) = pump.times.windows
    assert (window.begins_s, window.ends_s) == (36_000, 57_600)
