"""The bound: never above what any feasible plan costs, and as tight as it can be worked out by hand."""

import datetime as dt

import numpy as np
import pytest
from hypothesis import given, settings, strategies as st

from tests.plan.cases import BLOCKS, DEMAND, EXPORT, FALLING, LEVY, TWO_PRICES, case, random_rules, with_
from tests.plan.test_search import DAYTIME, of_tank, pump, tank
from wattwright.checks.registry import all_checks
from wattwright.control.rules import Control
from wattwright.core.errors import OwnFault, TariffError
from wattwright.core.fields import Held
from wattwright.plan.bound.bound import bound
from wattwright.plan.bound.linear import Linear
from wattwright.plan.bound.money import hull
from wattwright.plan.bound.steps import steps_of
from wattwright.plan.score import Scorer, breaches
from wattwright.simulate.drivers import steady
from wattwright.simulate.supply import Battery, Connection, Inverter, Supply

RATCHET = """[[tariff.demand]]
label = "Demand"
price = "5"
window = "15 min"
minimum = "1.5"
ratchet = { share = "0.8", months = 2 }
"""
BY_DAY = (
    '[[tariff.energy]]\nlabel = "Energy"\nblocks_per = "day"\nblocks = [{ upto_kwh = "6", price = "0.10" }, { price = "0.30" }]\n'
)
NETTED = EXPORT + 'netting = "each bill"\n'
PEAK_ONLY = TWO_PRICES + DEMAND.rstrip() + '\nperiods = ["day"]\n'
TEXTS = [
    TWO_PRICES,
    TWO_PRICES + DEMAND + LEVY,
    BLOCKS + RATCHET,
    FALLING,
    TWO_PRICES + EXPORT,
    BY_DAY,
    TWO_PRICES + NETTED,
    PEAK_ONLY,
]


def small_site(chance):
    """A tank and a pump, with PV or a battery or none, under one of the tariffs, and rules at random."""
    n, days = 2880, 2
    drivers = steady(n, 2)
    drivers.uses[0, :, 0] = np.where(chance.random(n) < 0.03, 0.1 * chance.random(n), 0.0)
    drivers.rest_w[:, 0] = 2000.0 * np.repeat(chance.random(n // 15) ** 2, 15)
    supply = Supply(connection=Connection())
    if chance.random() < 0.5:
        drivers.pv_w[:] = 3000.0 * np.maximum(np.sin((np.arange(n) / 60.0 - 6.0) / 12.0 * np.pi), 0.0) * chance.random()
    if chance.random() < 0.4:
        battery = Battery(capacity_wh=Held(4000.0), charge_w=Held(2000.0), discharge_w=Held(2000.0))
        supply = Supply(connection=Connection(), battery=battery, inverter=Inverter(rating_va=Held(3000.0)))
    load = tank(nodes=int(chance.integers(1, 7)), loss_w_k=float(chance.uniform(0.5, 4.0)))
    text = TEXTS[int(chance.integers(len(TEXTS)))]
    return case([load, pump()], days=days, told=random_rules(["tank", "pump"], chance), drivers=drivers, supply=supply, text=text)


@pytest.mark.parametrize("block", range(10))
def test_no_feasible_plan_costs_less_than_the_bound(block):
    """Three hundred small sites, each under three rules at random: those that keep the case's limits cost the bound or more."""
    feasible = 0
    for seed in range(30):
        chance = np.random.default_rng([block, seed])
        made = small_site(chance)
        scorer, least = Scorer(made), bound(made, 3600).value
        today = scorer.figures(scorer.run(made.today))
        tried = [made.today, Control(), *(Control.model_validate(random_rules(["tank"], chance)) for _ in range(2))]
        for control in tried:
            told = scorer.figures(scorer.run(control))
            if not breaches(made, today, told):
                feasible += 1
                assert told.value >= least - 1e-6 * max(abs(told.value), 1.0)
    assert feasible >= 30


@settings(max_examples=40, deadline=None)
@given(st.floats(0.0, 40.0), st.floats(0.0, 40.0))
def test_a_looser_limit_never_raises_the_bound(litres, more):
    """The more litres may fail, the less it costs."""
    made = of_tank(days=1, allowed=[litres])
    assert bound(with_(made, most_unmet=np.array([litres + more])), 3600).value <= bound(made, 3600).value + 1e-9


@pytest.mark.parametrize("text", TEXTS, ids=range(len(TEXTS)))
def test_finer_steps_never_lower_the_bound(text):
    """On steps of a quarter of an hour less is relaxed than on hours."""
    made = case([tank(loss_w_k=2.0), pump()], told=DAYTIME, text=text, drivers=drawn())
    assert bound(made, 900).value >= bound(made, 3600).value - 1e-7


def drawn():
    """Two days of draws beside a rest that moves."""
    drivers = steady(2880, 2)
    minute = np.arange(2880)
    drivers.uses[0, :, 0] = np.where(minute % 1440 // 30 == 40, 0.06, 0.0)
    drivers.rest_w[:, 0] = 300.0 + 1500.0 * (minute % 97 < 20)
    return drivers


def test_charges_on_some_periods_ask_for_steps_that_fit_their_windows():
    """An hour may lie half in the period of a charge on 15 min, so its steps are 15 min; a charge on all hours allows hours."""
    assert steps_of(case([pump()], text=PEAK_ONLY)).step_s == 900
    assert steps_of(case([pump()], text=TWO_PRICES + DEMAND)).step_s == 3600


def test_prices_that_cut_hours_ask_for_finer_steps():
    """Prices that change at a quarter past need steps of a quarter."""
    assert steps_of(case([pump()], text=TWO_PRICES.replace("22:00", "22:15"))).step_s == 900


def test_a_tariff_that_cannot_be_compiled_is_refused():
    """A charge on reactive energy is none that a search can plan for."""
    text = TWO_PRICES + '[[tariff.reactive]]\nlabel = "Reactive"\nprice = "0.01"\n'
    made = with_(case([pump()], text=None), tariff=case([pump()], text=TWO_PRICES).tariff)
    assert bound(made, 3600).value > 0.0
    from tests.plan.cases import tariff

    with pytest.raises(TariffError):
        bound(with_(made, tariff=tariff(text)), 3600)


def test_the_curve_below_points_is_convex():
    """By hand: (0, 0), (1, 3), (2, 2), (3, 6) lie above slopes 1 and 4."""
    slopes, lengths = hull(np.array([0.0, 1.0, 2.0, 3.0]), np.array([0.0, 3.0, 2.0, 6.0]))
    assert slopes.tolist() == [1.0, 4.0]
    assert lengths.tolist() == [2.0, 1.0]


def test_a_programme_without_a_solution_is_our_fault():
    """Every bound holds today's own powers, so what has no optimum was put together wrongly."""
    program = Linear()
    columns = program.columns(1, 0.0, 1.0)
    program.rows([(columns, 1.0)], 2.0, 3.0)
    with pytest.raises(OwnFault, match="no optimum"):
        program.solve()


def test_at_least_twenty_five_optima_are_worked_out_by_hand():
    """The registered checks of the bound, which the suite of checks runs."""
    assert len([one for one in all_checks() if one.id.startswith("plan.bound-")]) >= 25


def plain_tank(lines, flow_l_s, days):
    """A mixed tank followed plainly, second by second: litres drawn too cold, and seconds of each hour in which it is heated."""
    heat, use, cold, room, on = 300.0 * 4186.8, 40.0, 12.0, 20.0, False
    now, short, heated = 60.0, 0.0, np.zeros(24 * days)
    for second in range(86_400 * days):
        minute = second // 60 % 1440
        fed = any(a <= minute < b if a < b else (minute >= a or minute < b) for a, b in lines)
        on = False if now >= 60.0 else True if now <= 55.0 else on
        flow = flow_l_s[second // 60]
        drawn = flow * 4186.8 * (use - cold if now > use else now - cold)
        short += flow if now < use else 0.0
        heated[second // 3600] += fed and on
        now += ((2000.0 if fed and on else 0.0) - drawn - 0.01 * (now - room)) / heat
    return short, heated


def test_a_plan_found_keeps_its_limits_in_a_plain_twin():
    """The best plan of a tank replayed by a loop that imports nothing of ours: no litre too cold, and the same cost."""
    from tests.plan.test_search import search
    from wattwright.plan.families.times import Times

    made = of_tank(allowed=[0.0])
    found, _ = search(made, 120)
    best = next(
        one for one in found.tried
        if not one.breaches and len(one.plan) == 1 and isinstance(one.plan.genes[0], Times)
        and all(len(line.days) == 7 and not line.months for line in one.plan.genes[0].lines)
    )  # fmt: skip
    lines = [(line.on, line.off) for line in best.plan.genes[0].lines]
    short, heated = plain_tank(lines, made.drivers.uses[0, :, 0], 3)
    assert short == 0.0
    price = np.array([0.10 if hour % 24 >= 22 or hour % 24 < 6 else 0.30 for hour in range(72)])
    assert heated @ price * 2000.0 / 3.6e6 == pytest.approx(best.figures.cost + Scorer(made).worth(run_of(made, best)), rel=2e-3)


def run_of(made, tried):
    """The engine's run of what was tried."""
    return Scorer(made).run(tried.plan.control(made.today))


def test_days_are_those_of_the_clock():
    """The case's tables must fit its loads and days."""
    made = case([pump()], told=DAYTIME)
    assert made.least_kwh[0] == pytest.approx([4.0, 4.0], rel=1e-4)
    assert dt.timedelta(minutes=int(made.days[1])) == dt.timedelta(days=1)
    with pytest.raises(OwnFault):
        with_(made, least_kwh=np.zeros((2, 2)))
