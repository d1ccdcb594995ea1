"""A load beside appliances of like size, and the intervals in which it switches."""

from dataclasses import replace

import numpy as np
import pytest

from tests.demand.switched.pace import PLAIN
from tests.demand.switched.sites import f1
from wattwright.demand.switched.alike import told_from_alike
from wattwright.demand.switched.decode import When, decode
from wattwright.demand.switched.rest import busyness
from wattwright.demand.switched.steps import candidates, least_level_w

DAYS = 4 if PLAIN else 14
MINUTES = np.arange(DAYS * 1440)
LEVEL_W = 2000.0


def planted(sizes, spread_w=0.0):
    """A load of 2 kW at any hour, 40 min each time, and appliances of some sizes (shares of it): power, load, and appliances."""
    draws = np.random.default_rng(5)
    starts = np.arange(0, len(MINUTES) - 300, 180) + draws.integers(0, 50, len(range(0, len(MINUTES) - 300, 180)))
    load, others = np.zeros(len(MINUTES), bool), np.zeros(len(MINUTES), bool)
    power = 250 + draws.normal(0, 4, len(MINUTES))
    for k, at in enumerate(starts):
        load[at : at + 40] = True
        power[at : at + 40] += LEVEL_W + spread_w * draws.normal()
        others[at + 60 : at + 90] = True
        power[at + 60 : at + 90] += LEVEL_W * sizes[k % len(sizes)]
    return power, load, others


def when(power):
    """No hour tells more than another."""
    return When(busyness(power), np.zeros(len(power), np.int64))


def test_runs_whose_steps_agree_with_each_other_and_not_with_the_load_are_anothers() -> None:
    """Of appliances 3 to 7 % off, which run as often as the load, next to nothing is taken for it."""
    power, load, others = planted((0.94, 1.03, 0.96, 1.07, 0.97))
    alone = decode(power, when(power), LEVEL_W)
    told = told_from_alike(power, when(power), alone)
    assert (told.share[others] > 0.5).mean() < 0.02
    assert f1(told.share > 0.5, load) > 0.99
    assert f1(told.share > 0.5, load) >= f1(alone.share > 0.5, load)
    assert told.level_w == pytest.approx(LEVEL_W, rel=0.005)
    assert told.gain == alone.gain


def test_a_load_whose_own_steps_waver_is_left_as_it_was() -> None:
    """Where the load itself is a fiftieth up or down from run to run, two steps that agree say nothing of whose they are."""
    power, *_ = planted((0.5,), spread_w=40.0)
    one = decode(power, when(power), LEVEL_W)
    assert one.spread > 0.01
    assert told_from_alike(power, when(power), one) is one
    assert told_from_alike(power, when(power), replace(one, spread=0.005)) is not one


def test_gaps_are_passed_over_beside_appliances() -> None:
    """Half a day without readings leaves the rest as it was told."""
    power, load, _ = planted((0.94, 1.06))
    power[2000:2720] = np.nan
    known = ~np.isnan(power)
    told = told_from_alike(power, when(power), decode(power, when(power), LEVEL_W))
    assert f1((told.share > 0.5)[known], load[known]) > 0.98


@pytest.mark.parametrize("part", [0.2, 0.45, 0.7])
def test_an_interval_in_which_it_switches_counts_by_its_part(part) -> None:
    """A load on for a fifth (and so on) of the interval before each run: the share told is that, within a twentieth."""
    on = (MINUTES % 150 < 40).astype(float)
    on[MINUTES % 150 == 149] = part
    power = 250 + np.random.default_rng(3).normal(0, 4, len(MINUTES)) + LEVEL_W * on
    share = decode(power, when(power), LEVEL_W).share
    begins = np.flatnonzero(MINUTES % 150 == 149)[:-1]
    assert share[begins] == pytest.approx(np.full(len(begins), part), abs=0.05)


def test_a_steady_load_is_proposed_among_appliances_of_any_size() -> None:
    """One run of 1.1 kW a day among 33 appliances of 0.5 to 2.5 kW: few steps are of its size, but those lie close together."""
    draws = np.random.default_rng(8)
    minutes = np.arange(21 * 1440)
    power = 200 + draws.normal(0, 4, len(minutes)) + 1100.0 * ((minutes % 1440 > 360) & (minutes % 1440 < 690))
    for at in draws.integers(0, len(minutes) - 40, 700):
        power[at : at + int(draws.integers(2, 35))] += draws.uniform(500, 2500)
    levels = [one.level_w for one in candidates(power, least_level_w(power), 8)]
    assert min(abs(one - 1100) for one in levels) < 22
