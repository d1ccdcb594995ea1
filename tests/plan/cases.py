"""Small invented cases for the tests of plans: a site, a tariff, random rules."""

import datetime as dt

import numpy as np

from wattwright.control.compiled import compile_control
from wattwright.control.programmes import Span
from wattwright.control.rules import Control
from wattwright.core.clock import SiteClock
from wattwright.core.quantity import Phase
from wattwright.loads.columns import PLAIN
from wattwright.plan.case import OBJECTIVES, Case
from wattwright.plan.score import Scorer
from wattwright.simulate.drivers import steady
from wattwright.simulate.scenario import Scenario, SiteLoad
from wattwright.simulate.supply import Connection, Supply
from wattwright.tariff.load import parse_tariff

MIDNIGHT = int(dt.datetime(2025, 3, 3, tzinfo=dt.UTC).timestamp())
"""A Monday."""
GRID = Supply(connection=Connection())
HEAD = '[[tariff]]\nid = "one"\nname = "One"\ncurrency = "EUR"\n'
TWO_PRICES = """rest = "day"
[[tariff.window]]
period = "night"
from = "22:00"
to = "06:00"
[[tariff.energy]]
label = "Energy"
prices = { day = "0.30", night = "0.10" }
"""
DEMAND = """[[tariff.demand]]
label = "Demand"
price = "5"
window = "15 min"
"""
BLOCKS = """[[tariff.energy]]
label = "Energy"
blocks = [{ upto_kwh = "20", price = "0.10" }, { price = "0.30" }]
"""
FALLING = BLOCKS.replace('"0.10"', '"0.40"')
EXPORT = """[tariff.export]
label = "Feed-in"
price = "0.08"
"""
LEVY = '[[tariff.levy]]\nlabel = "Value added tax"\npercent = "20"\n'


def tariff(text=TWO_PRICES):
    """One tariff: the lines behind its head."""
    return parse_tariff(HEAD + text).tariff()


def case(loads, *, days=2, told=None, supply=GRID, drivers=None, text=TWO_PRICES, objective="cost", allowed=None, least=None):
    """A case of loads over whole days in UTC; what may fail is what ``told`` fails to give, or ``allowed``."""
    n = 1440 * days
    drivers = steady(n, len(loads)) if drivers is None else drivers
    span = Span(MIDNIGHT, MIDNIGHT + 60 * n, SiteClock("UTC"))
    today = Control.model_validate(told or {})
    ids = [one.id for one in loads]
    scenario = Scenario(
        span, 60.0, tuple(SiteLoad(one, Phase.TOTAL) for one in loads), compile_control(today, ids, span), supply, drivers
    )
    edges = 1440 * np.arange(days + 1, dtype=np.int64)
    made = Case(
        scenario, today, {one: one for one in ids}, tariff(text) if text else None, np.ones(len(ids), np.bool_),
        np.zeros(len(ids)), edges, np.zeros((len(ids), days)), OBJECTIVES[objective],
    )  # fmt: skip
    run = Scorer(made).run(today)
    given = np.array([np.add.reduceat(one, edges[:-1]) / 60_000.0 for one in run.loads_w]).reshape(len(ids), days)
    plain = np.array([one.kind == PLAIN for one in loads])[:, np.newaxis]
    asked = np.where(plain, given * (1.0 - 1e-9), 0.0) if least is None else least
    return with_(made, most_unmet=run.unmet.copy() if allowed is None else np.asarray(allowed, float), least_kwh=asked)


def with_(made, **changes):
    """A case with other entries."""
    from dataclasses import replace

    return replace(made, **changes)


def random_rules(ids, chance, *, lines=3):
    """A time programme for each load with lines at random."""
    rules = []
    for id_ in ids:
        times = []
        for _ in range(int(chance.integers(1, lines + 1))):
            on, length = int(chance.integers(1440)), int(chance.integers(5, 600))
            off = (on + length) % 1440
            times.append({"on": dt.time(on // 60, on % 60), "off": dt.time(off // 60, off % 60)})
        rules.append({"id": f"{id_}-times", "load": id_, "kind": "time programme", "times": times})
    return {"rule": rules}
