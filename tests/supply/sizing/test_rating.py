"""The rating of an inverter that carries the site: by the engine, never smaller than what is borne, told with what was tried."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings, strategies as st

from tests.supply.sizing.sites import way
from wattwright.core.quantity import Phase
from wattwright.simulate.columns import X_INVERTER_OVER_S, X_TRIPS
from wattwright.simulate.run import simulate
from wattwright.simulate.supply import Connection, Inverter, Supply
from wattwright.supply.sizing.asking import USUAL_INVERTER
from wattwright.supply.sizing.rating import Rating, Tried, bears, least_rating, through_outages
from wattwright.supply.sizing.way import run_of

RATINGS = (1000.0, 2000.0, 3000.0, 4000.0, 5000.0, 6000.0, 8000.0, 10_000.0)
STEADY = Inverter.model_validate({"rating": "1 kVA", "withstands": [[1.0001, 3600.0]]})


def test_the_least_rating_bears_all_and_the_one_below_does_not():
    """Held against the highest power by hand: no less than half of it, no more than what lies above it on the list."""
    site = way()
    made = least_rating(site.under, USUAL_INVERTER, RATINGS)
    highest_va = float(run_of(site).peak_va.max())
    assert made.rating_va is not None
    assert made.rating_va * 2.0 >= highest_va
    assert made.rating_va <= min(one for one in RATINGS if one >= highest_va)
    told = {one.rating_va: one.trips for one in made.tried}
    assert told[made.rating_va] == 0
    below = RATINGS[RATINGS.index(made.rating_va) - 1]
    assert told[below] > 0


def test_a_rating_is_raised_until_no_outage_trips_it():
    """By hand: an inverter that bears no overload needs the highest power of the minutes of outages, hidden peaks beside it."""
    site, hour = way(), np.arange(7 * 1440) % 1440 / 60.0
    grid = ~((hour >= 7.0) & (hour < 9.0))
    highest_va = float(run_of(site).peak_va[~grid].max())
    assert 3000.0 < highest_va < 4000.0
    begun = Rating(2000.0, (Tried(1000.0, 5, 1.0), Tried(2000.0, 0, 0.0)), 0.0)
    made = through_outages(begun, site.under, STEADY, RATINGS, grid)
    assert made.rating_va == 4000.0
    assert [(one.rating_va, one.trips > 0) for one in made.tried] == [(1000.0, True), (2000.0, True), (3000.0, True)]
    hiding = through_outages(replace(begun, hidden_va=1500.0), site.under, STEADY, RATINGS, grid)
    assert hiding.rating_va == 5000.0
    assert through_outages(begun, site.under, STEADY, RATINGS[:3], grid).rating_va is None
    assert through_outages(begun, site.under, STEADY, RATINGS, np.ones_like(grid)) == begun
    none = replace(begun, rating_va=None)
    assert through_outages(none, site.under, STEADY, RATINGS, grid) == none


def test_hidden_peaks_and_what_is_taken_over_ask_for_more():
    """Each rating is taken less by what is hidden; what runs when the grid goes must be borne until loads have gone."""
    site = way()
    plain = least_rating(site.under, USUAL_INVERTER, RATINGS).rating_va
    assert plain is not None
    assert least_rating(site.under, USUAL_INVERTER, RATINGS, hidden_va=1500.0).rating_va >= plain + 1000.0
    # Twice the rating is borne for half a second, so 2 s of 15 kVA ask for 15 / 1.5 = 10 kVA.
    assert least_rating(site.under, USUAL_INVERTER, RATINGS, taken_over=(15_000.0, 2.0)).rating_va == 10_000.0
    none = least_rating(site.under, USUAL_INVERTER, (500.0, 1000.0))
    assert none.rating_va is None
    assert all(one.trips > 0 for one in none.tried)
    used_up = least_rating(site.under, USUAL_INVERTER, RATINGS, hidden_va=20_000.0)
    assert used_up.rating_va is None


@pytest.mark.parametrize(
    ("ratio", "time_s", "borne"),
    [(0.9, 1e9, True), (1.25, 60.0, True), (1.25, 61.0, False), (1.4, 10.0, True), (2.1, 0.1, False)],
)
def test_a_withstand_is_borne_as_it_is_stated(ratio, time_s, borne):
    """Up to each ratio for its time, nothing beyond the last point, the rating for ever."""
    assert bears(USUAL_INVERTER, ratio, time_s) is borne


def test_three_conductors_carry_a_third_each():
    """A load on one of three conductors needs three times the rating that it needs where there is one conductor."""
    single, three = way(days=2), way(days=2)
    one = replace(single.scenario, loads=tuple(replace(each, phase=Phase.L1) for each in single.scenario.loads))
    supply = Supply(connection=Connection(system="three-phase"))
    volts = np.full((len(one.drivers), 3), 230.0)
    apart = replace(one, supply=supply, drivers=replace(one.drivers, volts=volts))
    steps = tuple(100.0 * k for k in range(5, 200))
    found = [least_rating(replace(each, scenario=made).under, STEADY, steps) for each, made in ((single, one), (three, apart))]
    ratings = [made.rating_va for made in found]
    assert ratings[0] is not None
    assert ratings[1] == pytest.approx(3.0 * ratings[0], abs=300.0)


@settings(max_examples=8, deadline=None)
@given(seed=st.integers(0, 10_000), ratings=st.lists(st.floats(1500.0, 9000.0), min_size=2, max_size=2, unique=True))
def test_a_larger_inverter_is_never_above_its_rating_for_longer(seed, ratings):
    """On the same imposed load, trips left out by a withstand without end."""
    endless = tuple((ratio, 1e9) for ratio in (1e6,))
    above = []
    for rating in sorted(ratings):
        like = Inverter.model_validate({"rating": "1 kVA", "withstands": endless})
        made = least_rating(way(days=2, seed=seed).under, like, (rating,))
        assert made.tried[0].trips == 0
        above.append(made.tried[0].above_s)
    assert above[1] <= above[0] + 1e-6


def test_the_engine_is_asked_with_the_rating_itself():
    """A rating that just holds the highest apparent power is never above its rating; by the engine's own sums."""
    site = way()
    highest_va = float(run_of(site).peak_va.max())
    made = least_rating(site.under, USUAL_INVERTER, (np.ceil(highest_va) + 1.0,))
    assert made.tried[0].above_s == 0.0
    scenario = site.under(1.0)
    run = simulate(scenario)
    assert run.supply[X_TRIPS] == 0
    assert run.supply[X_INVERTER_OVER_S] == 0.0
