"""Plans: how many are tried in a minute, what a second process is worth, and how the bound's time grows."""

from collections.abc import Iterator, Sequence
from contextlib import contextmanager

import numpy as np
from numba import config

from benchmarks.harness import Action, Allowed, Benchmark, Growth
from benchmarks.samples import CLOCK
from wattwright.catalogue.load import generic_gear
from wattwright.control.compiled import compile_control
from wattwright.control.programmes import Span
from wattwright.control.rules import Control
from wattwright.core.fields import Held
from wattwright.core.labour import IN_TURN, Labour, Work
from wattwright.core.quantity import Phase
from wattwright.loads.compiled import CompiledLoad
from wattwright.loads.plain import Motor
from wattwright.loads.water_heater import WaterHeater
from wattwright.plan.bound.bound import bound
from wattwright.plan.case import OBJECTIVES, Case
from wattwright.plan.families.plan import Plan
from wattwright.plan.families.times import Line, Times
from wattwright.plan.score import Figures, Scorer
from wattwright.plan.trial import tried_by
from wattwright.simulate.drivers import steady
from wattwright.simulate.scenario import Scenario, SiteLoad
from wattwright.simulate.supply import Connection, Supply
from wattwright.tariff.load import parse_tariff
from wattwright.work.processes import Processes

_START_S = 1_735_682_400  # 1 January 2025, midnight in Athens
_TARIFF = """[[tariff]]
id = "one"
name = "One"
currency = "EUR"
rest = "day"
[[tariff.window]]
period = "night"
from = "22:00"
to = "07:00"
[[tariff.energy]]
label = "Energy"
prices = { day = "0.20", night = "0.13" }
[[tariff.demand]]
label = "Demand"
price = "2.85"
window = "15 min"
"""
_PUMP = Control.model_validate(
    {"rule": [{"id": "p", "load": "pump", "kind": "time programme", "times": [{"on": "sunrise + 2 h", "off": "sunrise + 8 h"}]}]}
)
PLANS = 24


def _days(days: int) -> int:
    """Return the days of a sample; one where compiling is switched off, since then nobody asks for the time."""
    return 1 if config.DISABLE_JIT else days


def _loads(tanks: int) -> list[CompiledLoad]:
    pump = Motor(rating_w=Held(1100.0), power_factor=Held(0.8)).compiled("pump")
    told = {"loss_w_k": 2.0, "differential_k": Held(7.0)}
    made = [WaterHeater(volume_l=Held(200.0), rating_w=Held(2500.0), **told).compiled(f"tank-{k}") for k in range(tanks)]
    return [pump, *made]


def sample(days: int, tanks: int) -> Case:
    """Return a site like that of the demo through some days: a pump by a time programme, tanks in layers, a rest that moves."""
    chance, n, loads = np.random.default_rng(5), 1440 * days, _loads(tanks)
    drivers = steady(n, len(loads))
    drivers.rest_w[:, 0] = 600.0 + 4000.0 * np.repeat(chance.random(n // 15) ** 4, 15)
    for i in range(1, len(loads)):
        drivers.uses[i, :, 0] = np.where(chance.random(n) < 0.02, 0.1 * chance.random(n), 0.0)
    span = Span(_START_S, _START_S + 60 * n, CLOCK).with_sun(37.0, 23.0)
    scenario = Scenario(
        span, 60.0, tuple(SiteLoad(one, Phase.TOTAL) for one in loads), compile_control(_PUMP, [one.id for one in loads], span),
        Supply(connection=Connection()), drivers,
    )  # fmt: skip
    least = np.zeros((len(loads), days))
    least[0] = 1.1 * 5.9
    return Case(
        scenario, _PUMP, {}, parse_tariff(_TARIFF).tariff(), np.ones(len(loads), np.bool_), np.full(len(loads), 100.0),
        1440 * np.arange(days + 1), least, OBJECTIVES["cost"],
    )  # fmt: skip


def _plans(count: int) -> tuple[Plan, ...]:
    """Return as many time programmes as are asked for, none like another."""
    gear = next(one for one in generic_gear() if one.id == "wall-timer")
    loads = ("tank-0", "tank-1", "pump")
    return tuple(
        Plan(tuple(Times(load, gear, (Line(15 * k, 15 * k + 480), Line(900 + 5 * k, 1000 + 5 * k))) for load in loads))
        for k in range(count)
    )


def _trying(labour: Labour, scorer: Scorer, count: int) -> Action:
    work = Work("plans", tried_by, scorer, Figures)
    return lambda: labour.map(work, _plans(count))


@contextmanager
def prepare_rate() -> Iterator[Action]:
    """Try plans of a year of minutes on two processes."""
    with Processes(2) as labour:
        yield _trying(labour, Scorer(sample(_days(365), 2)), 2 if config.DISABLE_JIT else PLANS)


@contextmanager
def prepare_two() -> Iterator[tuple[Action, Action]]:
    """Try the same plans on two processes, and here."""
    scorer, count = Scorer(sample(_days(365), 2)), 2 if config.DISABLE_JIT else PLANS
    with Processes(2) as labour:
        yield _trying(labour, scorer, count), _trying(IN_TURN, scorer, count)


@contextmanager
def prepare_bound() -> Iterator[Action]:
    """Work out the bound of a year of hours."""
    case = sample(_days(365), 2)
    yield lambda: bound(case, 3600)


@contextmanager
def prepare_horizon(sizes: Sequence[int]) -> Iterator[Sequence[Action]]:
    """Work out the bound for each number of days."""
    cases = [sample(days, 2) for days in sizes]
    yield [lambda case=case: bound(case, 3600) for case in cases]


@contextmanager
def prepare_loads(sizes: Sequence[int]) -> Iterator[Sequence[Action]]:
    """Work out the bound of two months for each number of tanks."""
    cases = [sample(_days(60), tanks) for tanks in sizes]
    yield [lambda case=case: bound(case, 3600) for case in cases]


PLANNING: tuple[Benchmark | Growth | Allowed, ...] = (
    Allowed(name="plan: 24 plans of a year, 400 a minute", allowed=60_000.0 / 400.0 * PLANS, pairs=5, prepare=prepare_rate),
    Benchmark(name="plan: two processes against one", bar=1.0 / 1.7, pairs=5, prepare=prepare_two),
    Allowed(name="plan: the bound of a year of hours, 30 s", allowed=30_000.0, pairs=3, prepare=prepare_bound),
    Growth(name="plan: bound by days", bar=1.5, pairs=3, sizes=(30, 90, 270), prepare=prepare_horizon),
    Growth(name="plan: bound by loads", bar=2.5, pairs=3, sizes=(2, 4, 8), prepare=prepare_loads),
)
