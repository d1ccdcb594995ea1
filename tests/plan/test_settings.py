"""Settings in words: what a person enters into the controller, by family."""

import pytest

from tests.plan.cases import case
from tests.plan.test_families import GEAR, SUMMER, WINTER
from tests.plan.test_options import night, pump
from tests.plan.test_search import DAYTIME
from wattwright.plan.families.cycles import Cycle
from wattwright.plan.families.limits import Below, Surplus
from wattwright.plan.families.order import Order
from wattwright.plan.families.plan import Plan
from wattwright.plan.families.set_points import SetTo
from wattwright.plan.families.times import WEEKEND, WORKING, Line, Times
from wattwright.plan.options import Option
from wattwright.plan.score import Scorer
from wattwright.plan.search import Tried
from wattwright.plan.settings import settings


def told(plan):
    """The settings of a plan on a case of two pumps."""
    made = case([pump(), pump("other")], told=DAYTIME)
    scorer = Scorer(made)
    figures = scorer.figures(scorer.run(night().control(made.today)))
    option = Option(
        "one", Tried(plan, figures, ()), 1.0, 0.5, plan.devices(), (1.25, -0.5)[: len(plan)], None, None, (), 2.0, 10.0
    )
    return settings(made, option)


@pytest.mark.parametrize(
    ("gene", "entries"),
    [
        (Times("pump", GEAR["wall-timer"], (Line(60, 120), Line(1380, 420, WORKING))),
         ("on 01:00, off 02:00, every day", "on 23:00, off 07:00, Mon to Fri")),
        (Times("pump", GEAR["wall-timer"], (Line(0, 1425, WEEKEND), Line(0, 60, ("Tue",)), Line(1425, 0, WEEKEND))),
         ("on all day, Sat and Sun", "on 00:00, off 01:00, Tue")),
        (Times("pump", GEAR["sun-timer"], (Line(60, 120, months=WINTER), Line(180, 240, months=SUMMER))),
         ("on 01:00, off 02:00, every day, Nov to Apr", "on 03:00, off 04:00, every day, May to Oct")),
        (Times("pump", GEAR["sun-timer"], (Line(60, 120),), (1, 3, 5, 6), rests_open=True),
         ("on 01:00, off 02:00, every day", "acts Jan, Mar, May to Jun; in the other months the contact stays open")),
        (Below("pump", GEAR["radio-switch"], 6000.0, 4100.0, 5.0, 300.0),
         ("opens above 6 kW at the main meter for 5 s", "closes at or below 4.1 kW for 5 min")),
        (Surplus("pump", GEAR["programmable"], 800.0, 100.0),
         ("closes when the site gives back more than 0.8 kW for 1 min", "opens when it gives back less than 0.1 kW for 5 min")),
        (Times("pump", GEAR["sun-timer"], (Line(60, 120, months=WINTER),)),
         ("on 01:00, off 02:00, every day, Nov to Apr", "acts Nov to Apr; in the other months the contact stays closed")),
        (SetTo("pump", GEAR["thermostat"], 55.0, 5.0, "below", 40.0, 60.0),
         ("set point 55 °C, differential 5 K: closes below 50, opens at 55",)),
        (SetTo("pump", GEAR["thermostat"], 24.0, 0.5, "above", 20.0, 30.0),
         ("set point 24 °C, differential 0.5 K: closes above 24.5, opens at 24",)),
        (Cycle("pump", GEAR["pulse-relay"], 1200.0, 2400.0), ("on for 20 min, off for 40 min, over and over",)),
    ],
)  # fmt: skip
def test_each_family_in_words(gene, entries):
    """Worked out by hand from the gene: times, thresholds in kW, delays, months."""
    (one,) = told(Plan().put(gene))
    assert one.entries == entries
    assert one.controller == gene.gear.name
    assert one.reason == "without it the plan would save 1.25 EUR less"
    assert one.margin == "runs as long in each day as it does today"


def test_a_shed_order_in_words():
    """All its loads, the turn, both values; what costs more with it is said to."""
    order = Order(GEAR["programmable"], ("other", "pump"), 6000.0, 3000.0, 5.0, 120.0)
    one, two = told(Plan(order=order).put(Times("pump", GEAR["wall-timer"], (Line(60, 120),))))
    assert two.load == "other, pump"
    assert two.entries == (
        "first to go: other, then pump",
        "sheds above 6 kW for 5 s, the next one 15 s later",
        "brings back at or below 3 kW for 2 min, the last one gone first",
    )
    assert two.reason == "without it the plan would save 0.50 EUR more"
    assert one.family == "time programme"
