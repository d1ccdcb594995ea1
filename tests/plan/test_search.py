"""The search: known optima are reached, constraints kept, and the same is found whoever does the work."""

import datetime as dt
from dataclasses import replace

import numpy as np
import pytest

from tests.plan.cases import DEMAND, TWO_PRICES, case, with_
from wattwright.catalogue.load import generic_gear
from wattwright.core.errors import Cancelled
from wattwright.core.fields import Held
from wattwright.core.labour import IN_TURN, unheard
from wattwright.core.progress import Reporting
from wattwright.core.seeds import Streams
from wattwright.loads.plain import Resistive
from wattwright.loads.water_heater import WaterHeater
from wattwright.plan.bound.bound import bound
from wattwright.plan.families.plan import TODAY
from wattwright.plan.options import Asking, plan_for
from wattwright.plan.score import Scorer
from wattwright.plan.search import Effort, Search
from wattwright.plan.trial import tried_by
from wattwright.simulate.drivers import steady
from wattwright.work.journal import Journal, Kept

DAYTIME = {"rule": [{"id": "day", "load": "pump", "kind": "time programme", "times": [{"on": dt.time(10), "off": dt.time(14)}]}]}
FLAT = '[[tariff.energy]]\nlabel = "Energy"\nprice = "0.20"\n'


def pump(id_="pump", watts=1000.0):
    return Resistive(rating_w=Held(watts)).compiled(id_)


def tank(**more):
    """A mixed tank with hardly a loss."""
    told = {"loss_w_k": 0.01, "nodes": 1, "start_c": Held(60.0), **more}
    return WaterHeater(volume_l=Held(300.0), rating_w=Held(2000.0), **told).compiled("tank")


def of_tank(days=3, **more):
    """A tank drawn from every morning and evening, heated at once today."""
    drivers = steady(1440 * days, 1)
    minute = np.arange(1440 * days) % 1440
    drivers.uses[0, :, 0] = np.where(((minute >= 420) & (minute < 440)) | ((minute >= 1140) & (minute < 1160)), 0.06, 0.0)
    return case([tank()], days=days, drivers=drivers, **more)


def search(made, evaluations=200, **more):
    """What a search finds on a case, and its bound."""
    best = bound(made, 3600)
    return Search(Scorer(made), generic_gear(), best, Streams(1), **more).run(Effort(evaluations)), best


def test_pump_hours_fill_the_cheapest_hours():
    """4 h of 1 kW a day at 0.30 by day cost 1.20; in the night, the least there is, 0.40: two days save 1.60 of 1.60."""
    made = case([pump()], told=DAYTIME)
    found, best = search(made)
    assert best.value == pytest.approx(0.80, rel=1e-6)
    assert found.tried[0].figures.value == pytest.approx(0.80, rel=1e-9)
    assert not found.tried[0].breaches


def test_a_tank_is_heated_in_the_night():
    """Within 2 % of the bound, or within what the grid of 15 minutes costs: nothing is drawn colder than today."""
    made = of_tank(allowed=[0.0])
    found, best = search(made)
    assert found.tried[0].figures.value <= best.value * 1.02
    assert found.tried[0].figures.unmet == (0.0,)


def test_one_price_leaves_nothing_to_save():
    """Under one price the bound is what today costs, only today is put forward, and it is said why."""
    made = case([pump()], told=DAYTIME, text=FLAT)
    planned = plan_for(made, generic_gear(), Asking(2, Effort(60), 1))
    assert planned.bound.value == pytest.approx(2 * 4 * 0.20, rel=1e-6)
    assert [one.name for one in planned.options] == ["as today"]
    assert [one.code for one in planned.findings] == ["plan.not-a-year", "plan.nothing-pays"]


def test_two_loads_that_are_never_fed_together_share_the_cheap_hours():
    """3 h each of the eight cheap hours: both fit, 2 x 3 h x 1 kW x 0.10 a day."""
    rules = [{**DAYTIME["rule"][0], "times": [{"on": dt.time(10), "off": dt.time(13)}]}]
    rules.append({**rules[0], "id": "other", "load": "other", "times": [{"on": dt.time(14), "off": dt.time(17)}]})
    lock = [{"kind": "never both", "loads": ["pump", "other"]}]
    made = case([pump(), pump("other")], told={"rule": rules, "interlock": lock})
    found, best = search(made, 400)
    assert best.value == pytest.approx(1.20, rel=1e-6)
    assert found.tried[0].figures.value <= 1.20 * 1.02


def test_a_demand_charge_spreads_a_pump():
    """A charge on the highest 15 min: the search comes within the grid's loss of the bound."""
    drivers = steady(2880, 1)
    drivers.rest_w[:, 0] = np.where(np.arange(2880) % 1440 < 720, 2000.0, 200.0)
    made = case([pump(watts=1500.0)], told=DAYTIME, text=TWO_PRICES + DEMAND, drivers=drivers)
    found, best = search(made)
    assert best.value <= found.tried[0].figures.value < found.today.figures.value


def test_the_same_is_found_after_an_interruption(tmp_path):
    """A run stopped at its 60th plan and taken up again from its journal ends as one that was never stopped."""
    made, count = of_tank(text=TWO_PRICES + DEMAND), 0
    whole, _ = search(made, 120)

    def stopped():
        nonlocal count
        count += 1
        return count > 60

    best = bound(made, 3600)
    with Journal(tmp_path / "tried", "mark") as journal, pytest.raises(Cancelled):
        Search(Scorer(made), generic_gear(), best, Streams(1), Kept(IN_TURN, journal)).run(
            Effort(120), Reporting(lambda *_: None, stopped)
        )  # fmt: skip
    with Journal(tmp_path / "tried", "mark") as journal:
        known = len(journal)
        again = Search(Scorer(made), generic_gear(), best, Streams(1), Kept(IN_TURN, journal)).run(Effort(120))
    assert 0 < known < len(whole.tried)
    assert [(one.plan, one.figures) for one in again.tried] == [(one.plan, one.figures) for one in whole.tried]


def test_a_looser_limit_never_costs_more():
    """More litres that may fail never raise the bound, and a search begun from the tighter answer never costs more."""
    tight = of_tank(allowed=[0.0])
    loose = with_(tight, most_unmet=np.array([60.0]))
    first, least = search(tight, 80)
    then, looser = search(loose, 80, starts=(first.tried[0].plan,))
    assert looser.value <= least.value + 1e-9
    assert then.tried[0].figures.fitted <= first.tried[0].figures.fitted + 1e-9


def test_an_effort_is_kept():
    """No more plans are tried than were allowed, today's among them, but for what one more look at the best costs."""
    found, _ = search(case([pump()], told=DAYTIME), 30)
    assert found.evaluations <= 31
    assert not found.finished
    assert found.tried[-1].plan != TODAY or len(found.tried) > 1


class Ticking:
    """A labour that does tasks in turn while a clock goes on by a second for each, and notes the rounds it finished."""

    def __init__(self):
        self.now, self.finished = 0.0, []

    def map(self, work, tasks, progress, heard=unheard):
        made = IN_TURN.map(replace(work, do=self.do), tasks, progress, heard)
        self.finished.append(len(tasks))
        return made

    def do(self, given, task):
        self.now += 1.0
        return tried_by(given, task)


@pytest.mark.parametrize("budget_s", [0.0, 7.5, 60.5, 150.5])
def test_a_budget_ends_a_search_within_a_round(monkeypatch, budget_s):
    """The clock runs out in a round: no further plan is begun, and the answer is that of as many plans as whole rounds hold."""
    made, clock = of_tank(text=TWO_PRICES + DEMAND), Ticking()
    monkeypatch.setattr("wattwright.plan.search.time.monotonic", lambda: clock.now)
    tried = []
    monkeypatch.setattr(Search, "_simpler", lambda self, plan: tried.append((clock.now, len(self._known))) or [])
    best = bound(made, 3600)
    found = Search(Scorer(made), generic_gear(), best, Streams(1), clock).run(Effort(10_000, budget_s=budget_s))
    over_s, known = tried[0]
    assert over_s <= budget_s + 1.0
    assert known == 1 + sum(clock.finished) == found.evaluations
    assert not found.finished
    again, _ = search(made, known)
    assert [(one.plan, one.figures) for one in again.tried] == [(one.plan, one.figures) for one in found.tried]
