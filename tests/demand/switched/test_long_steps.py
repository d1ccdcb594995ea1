"""Loads in long intervals: beside a second one, and on invented sites whose loads are known."""

import numpy as np
import pytest

from tests.demand.switched.pace import PLAIN
from tests.demand.switched.sites import site
from wattwright.core.clock import SiteClock
from wattwright.core.series import coarser, of_values
from wattwright.demand.switched.analyse import in_series
from wattwright.demand.switched.beside import beside, other_level_w
from wattwright.demand.switched.shares import shares_on

UTC = SiteClock("UTC")
DAYS = 6 if PLAIN else 20
QUARTERS = np.arange(DAYS * 96)


@pytest.fixture(scope="module")
def two():
    """A load of 1 kW by day and one of 2 kW in some nights, quarter by quarter: the site's power, hours, and when each is on."""
    draws = np.random.default_rng(11)
    hour, day = QUARTERS // 4 % 24, QUARTERS // 96
    first = (hour >= 9 + day % 3) & (hour < 15 + day % 4)
    second = (hour < 6) & (day % 3 == 0)
    rest = 300 + draws.normal(0, 15, len(QUARTERS)) + draws.gamma(1.0, 80, len(QUARTERS)) * ((hour > 6) & (hour < 23))
    return rest + 1000.0 * first + 2000.0 * second, hour, first, second


def test_two_loads_are_told_apart_beside_a_rest(two) -> None:
    """Nights at 2.3 kW are the second load's, not the first's: both are told right in 97 % of the quarters."""
    power, hour, first, second = two
    told = beside(power, hour, (1000.0, 2000.0))
    assert ((told.share[:, 0] > 0.5) == first).mean() > 0.97
    assert ((told.share[:, 1] > 0.5) == second).mean() > 0.97


def test_the_level_of_the_second_load_is_found(two) -> None:
    """The record is likeliest with a second load of 2 kW, of levels five per cent apart; with it likelier than alone."""
    power, hour, _, _ = two
    other = other_level_w(power, hour, 1000.0)
    assert other == pytest.approx(2000.0, rel=0.03)
    assert beside(power, hour, (1000.0, other)).likely > beside(power, hour, (1000.0,)).likely + 40.0


def test_a_second_load_is_not_taken_for_the_first(two) -> None:
    """In nights at 2.3 kW, a third of all, the load sought is not taken to be on, although by levels alone it would be."""
    power, hour, first, second = two
    share = shares_on(power, hour, 1000.0)
    assert (share[second] < 0.5).mean() > 0.99
    assert share[first].mean() > 0.95


def test_gaps_stay_gaps_in_long_steps(two) -> None:
    """Where nothing was read the share is open, and only there."""
    power, hour, _, _ = two
    holed = power.copy()
    holed[200:240] = np.nan
    assert (np.isnan(shares_on(holed, hour, 1000.0)) == np.isnan(holed)).all()


@pytest.mark.parametrize("seed", range(1 if PLAIN else 4))
def test_a_pump_that_runs_for_hours_is_told_by_quarters(seed) -> None:
    """Of houses of the engine: found in means over 15 min, its energy day by day within 20 % on the mean."""
    made = site("house", seed, 7 if PLAIN else 21)
    true = made.loads_w["pool"].reshape(-1, 1440).sum(axis=1) / 60_000
    found = in_series(coarser(of_values(0, 60, made.power_w), 900, UTC), UTC)
    pools = [one for one in found.loads if one.level_w == pytest.approx(made.loads_w["pool"].max(), rel=0.05)]
    assert pools, [one.id for one in found.loads]
    _, by_day = pools[0].by_day(UTC)
    assert np.abs(by_day - true).mean() <= 0.2 * true.mean()
