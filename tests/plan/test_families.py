"""Families of rules: every setting is one that its gear can hold, and rules do what the lines say."""

import datetime as dt

import numpy as np
import pytest

from tests.plan.cases import TWO_PRICES, case
from tests.plan.test_search import DAYTIME, of_tank, pump
from wattwright.catalogue.load import generic_gear
from wattwright.control.programmes import timeline
from wattwright.control.rules import Control
from wattwright.core.fields import Held
from wattwright.loads.irrigation import Irrigation
from wattwright.plan.bound.bound import bound
from wattwright.plan.families.cycles import Cycle
from wattwright.plan.families.gene import on_grid
from wattwright.plan.families.limits import Below, Surplus
from wattwright.plan.families.order import Order
from wattwright.plan.families.plan import Plan, holds
from wattwright.plan.families.proposals import hints, orders, proposals
from wattwright.plan.families.set_points import SetTo
from wattwright.plan.families.times import ALL_MONTHS, DAYS, WEEKEND, WORKING, Line, Times, lines_of
from wattwright.plan.score import Scorer
from wattwright.simulate.drivers import steady

GEAR = {one.id: one for one in generic_gear()}
SUMMER, WINTER = (5, 6, 7, 8, 9, 10), (1, 2, 3, 4, 11, 12)
GENES = [
    Times("a", GEAR["wall-timer"], (Line(60, 120), Line(1380, 420, WORKING))),
    Times("a", GEAR["sun-timer"], (Line(60, 120),), SUMMER, rests_open=True, seasons=(SUMMER,)),
    Times("a", GEAR["sun-timer"], (Line(60, 120), Line(600, 1200)), seasons=(SUMMER, WINTER)),
    Below("a", GEAR["radio-switch"], 6000.0, 4000.0),
    Surplus("a", GEAR["programmable"], 800.0, 100.0),
    SetTo("a", GEAR["thermostat"], 55.0, 5.0, "below", 40.0, 60.0),
    Cycle("a", GEAR["pulse-relay"], 1200.0, 2400.0),
    Order(GEAR["programmable"], ("a", "b"), 6000.0, 3000.0),
]


@pytest.mark.parametrize("gene", GENES, ids=lambda one: f"{one.family} {getattr(one, 'months', '')}")
def test_a_step_away_is_a_setting_of_the_gear(gene):
    """Three hundred steps: each is held by the gear, is another rule of the same family, and can be compiled."""
    chance, seen = np.random.default_rng(1), set()
    for _ in range(300):
        then = gene.moved(chance)
        if not holds(then):
            continue
        gene = then
        seen.add(gene)
        rules = Control(shedding=gene.shedding()) if isinstance(gene, Order) else Control(rules=gene.rules(1))
        assert rules.rules or rules.shedding
    assert len(seen) > 20


def state_at(gene, when):
    """The contacts of a gene's programmes at a moment, all in series: None where none has a say."""
    from wattwright.control.programmes import Span
    from wattwright.core.clock import SiteClock

    start = int(dt.datetime(2025, 1, 1, tzinfo=dt.UTC).timestamp())
    span = Span(start, start + 365 * 86_400, SiteClock("UTC"))
    at, states = int(when.replace(tzinfo=dt.UTC).timestamp()) - start, []
    for rule in gene.rules(1):
        times, says = timeline(rule, span)
        states.append(int(says[np.searchsorted(times, at, side="right") - 1]))
    decided = [one for one in states if one != 2]
    return min(decided) if decided else None


@pytest.mark.parametrize(
    ("months", "lines", "moment", "state"),
    [
        ((), (Line(60, 120),), (7, 1, 1, 30), 1),
        ((), (Line(60, 120),), (7, 1, 2, 30), 0),
        (SUMMER, (Line(60, 120),), (7, 1, 1, 30), 1),
        (SUMMER, (Line(60, 120),), (1, 7, 1, 30), 0),
        ((), (Line(60, 120, months=SUMMER), Line(180, 240, months=WINTER)), (7, 1, 1, 30), 1),
        ((), (Line(60, 120, months=SUMMER), Line(180, 240, months=WINTER)), (7, 1, 3, 30), 0),
        ((), (Line(60, 120, months=SUMMER), Line(180, 240, months=WINTER)), (1, 7, 3, 30), 1),
        (SUMMER, (Line(60, 120, months=(5, 6, 7)), Line(180, 240, months=(8, 9, 10))), (7, 1, 1, 30), 1),
        (SUMMER, (Line(60, 120, months=(5, 6, 7)), Line(180, 240, months=(8, 9, 10))), (9, 1, 1, 30), 0),
        (SUMMER, (Line(60, 120, months=(5, 6, 7)), Line(180, 240, months=(8, 9, 10))), (1, 7, 1, 30), 0),
    ],
)
def test_lines_act_in_their_months(months, lines, moment, state):
    """By hand: month, day, hour, minute of 2025, and whether the contact is closed then; out of season it stays open."""
    gene = Times("a", GEAR["sun-timer"], lines, months, rests_open=bool(months))
    assert state_at(gene, dt.datetime(2025, *moment)) == state


def test_lines_of_quarters():
    """Stretches of wanted quarters become lines; one over midnight is one line; all of the day is two that meet."""
    wanted = np.zeros(96, np.bool_)
    wanted[[0, 1, 95]] = True
    wanted[40:44] = True
    assert lines_of(wanted, WEEKEND) == (Line(600, 660, WEEKEND), Line(1425, 30, WEEKEND))
    assert lines_of(np.ones(96, np.bool_)) == (Line(0, 1425), Line(1425, 0))
    assert lines_of(np.zeros(96, np.bool_)) == ()


@pytest.mark.parametrize(("value", "nearest"), [(0.0, 1.0), (2.6, 3.0), (2.4, 2.0), (99.0, 9.0)])
def test_values_lie_on_the_grid(value, nearest):
    """From 1 to 10 in steps of 2/..: the nearest that is not beyond the end."""
    assert on_grid(value, 1.0, 1.0, 9.5) == nearest


def test_a_plan_replaces_the_rules_of_its_loads_only():
    """Today's rule of the load that is set goes, that of the other stays; its gear's time is in the actuator."""
    told = {"rule": [DAYTIME["rule"][0], {**DAYTIME["rule"][0], "id": "other", "load": "other"}]}
    today = Control.model_validate(told)
    plan = Plan().put(Below("pump", GEAR["radio-switch"], 6000.0, 4000.0))
    made = plan.control(today)
    assert [(one.id, one.load) for one in made.rules] == [("other", "other"), ("plan-1-limit", "pump")]
    assert made.actuator("pump").link_s == pytest.approx(2.05)
    assert made.actuator("other").link_s == 0.0
    assert made.shedding is None


def test_one_device_serves_all_rules_of_a_load_where_it_can():
    """A programme and a limit fit on one radio switch; a programme of a wall timer and a set point take two controllers."""
    lines = (Line(60, 120),)
    one = Plan((Below("a", GEAR["radio-switch"], 6000.0, 4000.0), Times("a", GEAR["wall-timer"], lines)))
    two = Plan((SetTo("a", GEAR["thermostat"], 55.0, 5.0, "below", 40.0, 60.0), Times("a", GEAR["wall-timer"], lines)))
    assert [(gear.id, loads) for gear, loads in one.devices()] == [("radio-switch", ("a",))]
    assert sorted(gear.id for gear, _ in two.devices()) == ["thermostat", "wall-timer"]


def test_leaving_a_rule_out_and_putting_one_in():
    """A gene of the same family and load takes the other's place; the shed order is counted last."""
    plan = Plan(order=GENES[-1]).put(GENES[0]).put(GENES[3])
    assert len(plan) == 3
    assert plan.loads == ("a", "b")
    assert plan.put(GENES[2]).genes[1] == GENES[2]
    assert plan.without(2).order is None
    assert plan.without(0).order is not None
    assert len(plan.without(0)) == 2


def known(made):
    """The hints of a case."""
    scorer = Scorer(made)
    return hints(made, scorer.tariff.import_price, scorer.run(made.today).grid_w, bound(made, 3600))


@pytest.mark.parametrize("build", ["pump", "tank", "soil"])
def test_all_proposals_can_be_set(build):
    """Each is held by its gear, and there is one at least of every family that can switch the load."""
    if build == "soil":
        field = {"area_m2": Held(500.0), "pumped_l_h": 3000.0, "field_capacity": Held(0.3), "wilting_point": Held(0.12)}
        load = Irrigation(rating_w=Held(1500.0), roots_m=Held(0.3), start_mm=20.0, **field).compiled("field")
        made = case([load], drivers=steady(2880, 1, rest_w=500.0))
    else:
        made = of_tank() if build == "tank" else case([pump()], told=DAYTIME)
    found = proposals(made, 0, generic_gear(), known(made))
    assert all(holds(one) for one in found)
    families = {one.family for one in found}
    assert {"time programme", "limit on the site's power"} <= families
    assert ("set point" in families) is (build == "soil")


def test_water_is_stored_cooler_only_where_it_is_heated_through():
    """A tank set to 60 degC gets a lower set point only where the job says when it is heated through against Legionella."""
    made = of_tank()
    made.drivers.uses[0, 120:240, 1] = 60.0
    found = proposals(made, 0, generic_gear(), known(made))
    assert {one.set_point for one in found if isinstance(one, SetTo)} == {57.0, 54.0, 51.0}


def test_proposals_with_pv_switch_by_surplus():
    """Where there is PV, its hours and its surplus are tried."""
    drivers = steady(2880, 1, pv_w=0.0)
    drivers.pv_w[600:900] = 3000.0
    made = case([pump()], told=DAYTIME, drivers=drivers, text=TWO_PRICES)
    found = proposals(made, 0, generic_gear(), known(made))
    assert any(one.family == "switching by PV surplus" for one in found)
    assert any(isinstance(one, Times) and one.lines == (Line(600, 900),) for one in found) or found


def test_shed_orders_need_gear_that_sheds():
    """Without any there are none, with one there are both turns."""
    made = case([pump(), pump("other", 2000.0)], told=None)
    told = known(made)
    assert orders(made, [GEAR["wall-timer"]], told) == ()
    turns = {one.loads for one in orders(made, generic_gear(), told)}
    assert turns == {("pump", "other"), ("other", "pump")}


def test_months_of_the_year_are_all_there():
    """The grid of months and days is the calendar's."""
    assert tuple(range(1, 13)) == ALL_MONTHS
    assert (*WORKING, *WEEKEND) == DAYS


def test_a_line_is_left_out_but_not_the_last_of_its_months():
    """Of two lines all year each may go; the only line of some months stays, or the load would be without a say in them."""
    two = Times("a", GEAR["sun-timer"], (Line(60, 120), Line(600, 660)))
    assert [one.lines for one in two.without_a_line()] == [(Line(600, 660),), (Line(60, 120),)]
    apart = Times("a", GEAR["sun-timer"], (Line(60, 120, months=SUMMER), Line(180, 240, months=WINTER)))
    assert apart.without_a_line() == ()
    assert Plan().put(two).entries == 2


def test_a_month_of_few_days_goes_with_its_neighbour():
    """From 3 to 31 March and an hour of April: one season of both, whatever that hour cost."""
    made = case([pump()], days=31, told=DAYTIME)
    told = known(made)
    assert told.seasons == ((3, 4),)
