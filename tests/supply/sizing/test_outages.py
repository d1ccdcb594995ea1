"""All that a quote compares is tried in one set of outages, each option's own worst hours among them."""

from dataclasses import replace

import numpy as np
import pytest

from tests.supply.sizing.sites import DAYS, asking, scenario, sun, way
from wattwright.supply.sizing.course import course_of, missed_share, with_outages
from wattwright.supply.sizing.outages import on_one_set
from wattwright.supply.sizing.quote import quote
from wattwright.supply.sizing.roofs import Roof, layouts_of
from wattwright.supply.sizing.seek import seeker
from wattwright.supply.sizing.sizes import Size
from wattwright.supply.sizing.way import reference, run_of

BACKUP = "carries the site in outages"
A_DAY, HOUR = 96, np.arange(28 * 96) % 96 / 4.0


def course(site_w, share=0.0):
    return course_of(0, 900.0, site_w, np.full(len(site_w), share), np.zeros(len(site_w)))


def on_day(day, hour, power_w):
    at = np.arange(28 * A_DAY)
    return np.where((at // A_DAY == day) & (hour <= HOUR) & (hour + 2 > HOUR), power_w, 0.0)


def begins(made):
    return set(np.flatnonzero(np.diff(np.concatenate(([1.0], made.grid))) < 0.0).tolist())


def test_the_worst_hours_of_everyone_are_in_the_set():
    """A site that is worst on day 3 and one that is worst on day 17 both meet their worst; alone each misses the other's."""
    one, other = 500.0 + on_day(3, 10, 4000.0), 500.0 + on_day(17, 19, 3000.0)
    both = begins(with_outages(course(one), 2 * 3600.0, 1, [one, other]))
    # By hand: two hours from ten on day 3, and two hours from seven in the evening on day 17.
    worst = {3 * A_DAY + 40, 17 * A_DAY + 76}
    assert worst <= both
    assert all(not worst <= begins(with_outages(course(one), 2 * 3600.0, 1, [each])) for each in (one, other))


def test_the_worst_hours_on_every_roof_are_in_the_set():
    """With PV that faces the morning the afternoon is worst, and the other way round."""
    busy = 500.0 + on_day(9, 8, 4000.0) + on_day(20, 16, 4000.0)
    east, west = np.where(HOUR < 12, 0.8, 0.0), np.where(HOUR >= 12, 0.8, 0.0)
    made = begins(with_outages(course(busy), 2 * 3600.0, 1, (), [(east, 9000.0), (west, 9000.0)]))
    assert {9 * A_DAY + 32, 20 * A_DAY + 64} <= made


def test_what_lies_too_near_is_stood_in_for_by_the_worst_that_does_not():
    """Two that are worst on one day: the second meets its next worst day, and a day with the grid lies between."""
    one = 500.0 + on_day(3, 10, 4000.0)
    other = 500.0 + on_day(3, 14, 4000.0) + on_day(12, 14, 3900.0)
    made = with_outages(course(one), 2 * 3600.0, 1, [one, other])
    assert {3 * A_DAY + 40, 12 * A_DAY + 56} <= begins(made)
    there = np.diff(np.flatnonzero(np.diff(np.concatenate(([0.0], made.grid, [0.0])))))[1::2]
    assert int((made.grid == 0.0).sum()) == 8 * len(begins(made))
    assert len(there) == len(begins(made))
    # Where no room is left, nobody is tried twice: of three days the first and the last are taken.
    short = course(np.full(3 * A_DAY, 500.0))
    wants = [on_day(day, 10, 1000.0)[: 3 * A_DAY] for day in (0, 2, 1)]
    assert begins(with_outages(short, 2 * 3600.0, 1, wants)) == {40, 2 * A_DAY + 40}


def test_a_worst_outage_that_was_not_tried_is_told():
    """Today is worst from five on day 3, the plan four hours later: by hand 2 h of 0.5 kW are tried of it, of 4.5 kW."""
    today, plan = 500.0 + on_day(3, 17, 4000.0), 500.0 + on_day(3, 21, 4000.0)
    made = with_outages(course(today), 2 * 3600.0, 1, [today, plan])
    assert missed_share(made, 2 * 3600.0, today) == pytest.approx(0.0)
    assert missed_share(made, 2 * 3600.0, plan) == pytest.approx(1 - 0.5 / 4.5)
    # Nothing wanted, nothing missed.
    assert missed_share(made, 2 * 3600.0, np.zeros(28 * A_DAY)) == 0.0


@pytest.mark.parametrize(("missed", "told"), [(0.3, [30.0]), (0.005, [])])
def test_the_quote_says_how_much_was_not_tried(monkeypatch, missed, told):
    """A finding tells it where it is more than a hundredth."""
    ask = asking(BACKUP, outage_s=2 * 3600.0, steps=4)
    shared = replace(on_one_set(ask, [way()]), missed=missed)
    monkeypatch.setattr("wattwright.supply.sizing.quote.on_one_set", lambda *_: shared)
    made = quote(ask, way(), None)
    assert [one.data["share"] for one in made.findings if one.code == "supply.worst-outage-missed"] == told


def busier(days=DAYS):
    """The site with more on the second morning than at any other time, when the pump is held off."""
    made = scenario(days)
    made.drivers.rest_w[1440 + 480 : 1440 + 720, 0] += 2000.0
    return reference(made)


def test_today_and_the_plan_and_nothing_bought_meet_the_same_outages():
    """A plan that holds the tank and the pump off chooses other hours; the quote's set holds those of both, whoever asks."""
    free = busier()
    today, plan = replace(way(), scenario=free), replace(way(("tank", "pump")), scenario=free)
    ask = asking(BACKUP, outage_s=2 * 3600.0, steps=4)
    alone = [seeker(ask, one).grid for one in (today, plan)]
    assert (alone[0] != alone[1]).any()
    shared = on_one_set(ask, [today, plan])
    grids = [seeker(shared, one).grid for one in (today, plan)]
    assert np.array_equal(*grids)
    for one in (today, plan):
        run = run_of(one)
        wanted = (np.asarray(run.site_w) - one.held_off_w(run)).reshape(-1, 15).mean(axis=1)
        sums = np.convolve(wanted, np.ones(8), "valid")
        # What the worst two hours take is what some outage of the set takes.
        gone = ~grids[0].reshape(-1, 15).any(axis=1)
        tried = [sums[k] for k in range(len(sums)) if gone[k : k + 8].all()]
        assert max(tried) == pytest.approx(sums.max())


def test_leaving_it_as_it_is_meets_its_own_worst_hours():
    """What is there now is tried where today's rules ask most of it, though what is quoted would not fear those hours."""
    there = Size(0.0, 3000.0, 5000.0)
    ask = asking(BACKUP, outage_s=2 * 3600.0, steps=4)
    ask = replace(ask, costing=replace(ask.costing, kept=there))
    free = busier()
    today, plan = replace(way(), scenario=free), replace(way(("tank", "pump")), scenario=free)
    made = quote(ask, today, plan)
    own = seeker(ask, today).ask(there)
    assert made.as_is.found.unserved_kwh >= own.unserved_kwh > 0.0


def test_only_outages_of_a_stated_length_are_chosen():
    """Those that the job names, and a site without a grid, are the same for everyone already."""
    beside, named = asking(), asking(BACKUP)
    assert on_one_set(beside, [way()]) is beside
    assert on_one_set(named, [way()]) is named
    two = replace(asking(BACKUP, outage_s=3600.0), layouts=layouts_of((Roof("a", sun(), 1.0), Roof("b", sun()[::-1], 1.0))))
    assert on_one_set(two, [way()]).tried.shape == (DAYS * A_DAY,)
