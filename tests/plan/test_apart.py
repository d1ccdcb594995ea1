"""Releases apart: no plan that is offered loads the supply more than its rating, or than today's rules do."""

import datetime as dt
from collections import defaultdict

import numpy as np
import pytest
from hypothesis import example, given, settings, strategies as st

from tests.plan.cases import TWO_PRICES, case, random_rules, with_
from wattwright.catalogue.load import generic_gear
from wattwright.control.rules import Control
from wattwright.core.fields import Held
from wattwright.loads.plain import Resistive
from wattwright.loads.water_heater import WaterHeater
from wattwright.plan.families.apart import apart
from wattwright.plan.families.plan import Plan, holds
from wattwright.plan.families.times import WEEKEND, WORKING, Line, Times
from wattwright.plan.options import Asking, plan_for
from wattwright.plan.score import Breach, Scorer, breaches
from wattwright.simulate.drivers import steady
from wattwright.simulate.supply import Battery, Connection, Inverter, Supply

SWITCH = next(one for one in generic_gear() if one.id == "wall-timer")


def times(load, *lines):
    """A programme on a wall timer."""
    return Times(load, SWITCH, tuple(lines))


def ons(control):
    """The loads switched on at each minute of the week, read from the rules as written."""
    found = defaultdict(set)
    for rule in control.rules:
        for line in getattr(rule, "times", ()):
            for day in line.days:
                found[day, line.on.clock.hour * 60 + line.on.clock.minute].add(rule.load)
    return found


def test_loads_of_one_minute_come_one_after_the_other():
    """The first in turn keeps its moment, the next come 15 min later each; a load that must run as long ends later too."""
    plan = Plan((times("a", Line(0, 420)), times("b", Line(0, 300)), times("c", Line(0, 240))))
    made = apart(plan, Control(), ("c", "a", "b"), frozenset("b"))
    assert {one.load: one.lines for one in made.genes} == {"c": (Line(0, 240),), "a": (Line(15, 420),), "b": (Line(30, 330),)}


def test_today_keeps_its_moments_and_other_days_are_free():
    """A programme of today that stays is not moved but made way for; lines of other days meet nobody."""
    told = {"rule": [{"id": "p", "load": "p", "kind": "time programme", "times": [{"on": dt.time(1), "off": dt.time(5)}]}]}
    plan = Plan((times("a", Line(60, 300, WORKING)), times("b", Line(60, 300, WEEKEND))))
    made = apart(plan, Control.model_validate(told), ("a", "b"))
    assert [one.lines for one in made.genes] == [(Line(75, 300, WORKING),), (Line(75, 300, WEEKEND),)]
    # A programme that the plan replaces is no obstacle.
    assert apart(plan, Control.model_validate({"rule": [{**told["rule"][0], "load": "a"}]}), ("a", "b")) == plan


def test_a_line_too_short_to_move_stays():
    """Where a line would be gone before it finds a free minute, it stays where it was."""
    plan = Plan((times("a", Line(0, 60)), times("b", Line(0, 15))))
    assert apart(plan, Control(), ("a", "b")) == plan


@settings(max_examples=60)
@given(
    lines=st.lists(st.tuples(st.sampled_from("abcd"), st.integers(0, 8), st.integers(4, 80)), min_size=1, max_size=8),
    whole=st.frozensets(st.sampled_from("abcd")), turn=st.permutations("abcd"),
)  # fmt: skip
def test_what_is_moved_fits_its_gear_and_lasts_as_long_where_it_must(lines, whole, turn):
    """Every line stays on the grid of its gear, none begins earlier, and those that must run as long do."""
    of = defaultdict(dict)
    for load, on, length in lines:
        of[load][on] = Line(15 * on, 15 * ((on + length) % 96))
    plan = Plan(tuple(times(load, *sorted(each.values())[: SWITCH.entries]) for load, each in of.items()))
    made = apart(plan, Control(), turn, whole)
    assert {one.load for one in made.genes} == {one.load for one in plan.genes}
    for gene in made.genes:
        assert holds(gene)
        before = next(one for one in plan.genes if one.load == gene.load)
        if gene.load in whole:
            assert {(one.off - one.on) % 1440 for one in gene.lines} == {(one.off - one.on) % 1440 for one in before.lines}


def site(chance, rating_a, days=6):
    """Two tanks and a load that must run its hours, on a connection of so many amperes, under random rules of today."""
    loads = [
        WaterHeater(volume_l=Held(150.0), rating_w=Held(watts), loss_w_k=1.5, nodes=1, start_c=Held(60.0)).compiled(id_)
        for id_, watts in (("big", 3000.0), ("small", 2000.0))
    ]
    loads.append(Resistive(rating_w=Held(1000.0)).compiled("pump"))
    drivers = steady(1440 * days, 3)
    minute = np.arange(1440 * days) % 1440
    drivers.rest_w[:, 0] = np.where((minute > 1020) & (minute < 1320), chance.uniform(1000, 4000), 300.0)
    for i in range(2):
        drivers.uses[i, :, 0] = np.where((minute >= 420 + 60 * i) & (minute < 450 + 60 * i), 0.05, 0.0)
    supply = Supply(connection=Connection(rating_a=Held(rating_a)))
    told = random_rules(["pump"], chance)
    return case(loads, days=days, told=told, supply=supply, drivers=drivers, text=TWO_PRICES, allowed=[60.0, 60.0, 0.0])


@settings(max_examples=12, deadline=None)
@example(seed=116, rating_a=20.0)
@given(seed=st.integers(0, 2**31), rating_a=st.sampled_from([16.0, 20.0, 25.0, 40.0]))
def test_no_option_overloads_the_connection_more_than_today(seed, rating_a):
    """By currents of each option's own run, by its time above the rating, told and bracketed by hand, and by releases."""
    chance = np.random.default_rng(seed)
    made = site(chance, rating_a)
    planned = plan_for(made, generic_gear(), Asking(2, _effort(), seed))
    scorer, ratings = Scorer(made), {"big": 3000.0, "small": 2000.0, "pump": 1000.0}
    highest, told_s, least, most, together = [], [], [], [], []
    for one in planned.options:
        control = one.tried.plan.control(made.today)
        run = scorer.run(control)
        highest.append(float(np.max(run.phase_a[:, 0])))
        told_s.append(one.tried.figures.over_s)
        # Parts of a minute may lie above: at least as long as its mean would take at its highest, at most all of it.
        above_a, above_at_most_a = run.site_w / 230.0 - rating_a, run.phase_a[:, 0] - rating_a
        parts = np.maximum(above_a, 0.0) / np.maximum(above_at_most_a, 1e-9)
        least.append(float(np.minimum(parts, 1.0).sum()))
        most.append(int((above_at_most_a > 0.0).sum()))
        hourly_w = made.drivers.rest_w[:, 0].reshape(-1, 24, 60).max(axis=(0, 2))
        sums = [
            max(hourly_w[minute // 60], hourly_w[(minute // 60 + 1) % 24]) + sum(ratings[load] for load in loads)
            for (_, minute), loads in ons(control).items()
            if len(loads) > 1
        ]
        together.append(max(sums, default=0.0) / 230.0)
    for i, (a, released) in enumerate(zip(highest, together, strict=True)):
        assert a <= max(rating_a, highest[0]) + 1e-6
        assert told_s[i] <= told_s[0] + 1.0
        assert 60.0 * least[i] - 1.0 <= told_s[i] <= 60.0 * most[i] + 1.0
        assert least[i] <= most[0] + 1.0
        assert released <= max(rating_a, together[0]) + 1e-6


def _effort():
    from wattwright.plan.search import Effort

    return Effort(60)


def test_what_overloads_is_a_breach():
    """Three loads of 6 kW at once on 20 A, agreed 3 kW: by highest current, by time, by what is released, by what is agreed."""
    made = with_(site(np.random.default_rng(1), 20.0), today=Control(), agreed_w=3000.0)
    scorer = Scorer(made)
    lines = (Line(1200, 1380),)
    plan = Plan(tuple(times(load, *lines) for load in made.ids))
    today, then = scorer.tried(made.today), scorer.tried(plan.control(made.today))
    found = {one.what: one for one in breaches(made, today, then)}
    rest_w = float(made.drivers.rest_w.max())
    assert then.released_ratio == pytest.approx((rest_w + 6000.0) / 230.0 / 20.0)
    assert found["overload"] == Breach("", "overload", pytest.approx(then.released_ratio / max(1.0, today.released_ratio) - 1.0))
    assert "agreed power" not in {one.what for one in breaches(with_(made, agreed_w=None), today, then)}
    assert then.carried_ratio == pytest.approx(float(np.max(scorer.run(plan.control(made.today)).phase_a[:, 0])) / 20.0)


def test_without_a_rating_nothing_is_asked():
    """A connection of which nobody knows the rating is never overloaded, and releases are not looked at."""
    made = case([Resistive(rating_w=Held(1000.0)).compiled("pump")])
    told = Scorer(made).tried(made.today)
    assert (told.carried_ratio, told.over_s, told.released_ratio) == (0.0, 0.0, 0.0)


def test_the_rest_of_the_site_counts_as_it_is_at_that_hour():
    """4 kW of rest in the evening, 300 W else: what is released at midnight meets the 300 W, at 20:00 the 4 kW, at 16:30 both."""
    made = with_(site(np.random.default_rng(1), 20.0), today=Control())
    evening_w = float(made.drivers.rest_w.max())
    scorer = Scorer(made)
    for minute, rest_w in ((0, 300.0), (1200, evening_w), (990, evening_w), (930, 300.0)):
        plan = Plan(tuple(times(load, Line(minute, (minute + 120) % 1440)) for load in ("big", "small")))
        told = scorer.releases.ratio(plan.control(made.today))
        assert told == pytest.approx((rest_w + 5000.0) / 230.0 / 20.0), minute


def test_releases_are_held_against_what_carries_the_site_by_day():
    """Beside the grid the connection counts and not the inverter that carries outages; without any grid the inverter does."""
    hybrid = Inverter(rating_va=Held(2000.0), role="carries the site in outages")
    alone = Inverter(rating_va=Held(2000.0), role="stand-alone")
    battery = Battery(capacity_wh=Held(9000.0), charge_w=Held(3000.0), discharge_w=Held(3000.0))
    loads = [Resistive(rating_w=Held(1000.0)).compiled(one) for one in ("a", "b")]
    plan = Plan((times("a", Line(0, 60)), times("b", Line(0, 60))))
    found = []
    for inverter in (hybrid, alone):
        supply = Supply(connection=Connection(rating_a=Held(20.0)), battery=battery, inverter=inverter)
        made = case(loads, supply=supply)
        found.append(Scorer(made).releases.ratio(plan.control(made.today)))
    assert found == pytest.approx([2000.0 / 230.0 / 20.0, 1.0])
