"""Invented sites whose outages can be reckoned by hand: steady loads, one battery."""

import datetime as dt
from dataclasses import replace

import numpy as np

from tests.simulate.sites import MIDNIGHT, heater
from wattwright.control.compiled import compile_control
from wattwright.control.programmes import Span
from wattwright.control.rules import Control
from wattwright.core.clock import SiteClock
from wattwright.core.fields import Held
from wattwright.core.quantity import Phase
from wattwright.simulate.drivers import steady
from wattwright.simulate.scenario import Scenario, SiteLoad
from wattwright.simulate.supply import Battery, Connection, Generator, Inverter, Supply
from wattwright.supply.backup.results import ProbeDay, UnderRules
from wattwright.supply.backup.spec import OutageRate

STEP_S = 600.0
DAY = dt.date(2025, 3, 4)
SHED = {"shedding": {"pick_up": "2.5 kW", "restore": "1.9 kW", "order": ["second", "first"], "delay": "30 s"}}


def supply(capacity_wh=10_000.0, *, rating_va=8000.0, role="carries the site in outages", reserve=0.5, generator=False, **more):
    """An inverter with a battery of 95 % either way and a floor of 10 %; without one where ``capacity_wh`` is nought."""
    battery = None
    if capacity_wh:
        shares = {"reserve": Held(reserve), "floor": Held(0.1), "back": Held(0.2), "start": Held(reserve)}
        battery = Battery(capacity_wh=Held(capacity_wh), charge_w=Held(5000.0), discharge_w=Held(8000.0), **shares)
    made = Generator(rating_w=Held(6000.0)) if generator else None
    return Supply(
        connection=Connection(), inverter=Inverter(rating_va=Held(rating_va), role=role), battery=battery, generator=made, **more
    )


def scenario(of, rules=None, *, rest_w=1000.0, watts=(), days=3, second_w=None):
    """Three days of ten-minute steps: a steady rest, and heaters named first and second that are always on."""
    n = round(days * 86400 / STEP_S)
    loads = tuple(SiteLoad(heater(name, w), Phase.TOTAL) for name, w in zip(("first", "second"), watts, strict=False))
    span = Span(MIDNIGHT - 86400, MIDNIGHT - 86400 + int(n * STEP_S), SiteClock("UTC"))
    control = compile_control(Control.model_validate(rules or {}), [one.load.id for one in loads], span)
    drivers = steady(n, len(loads), rest_w=rest_w)
    if second_w is not None:
        rest = drivers.rest_w.copy()
        hours = np.arange(n) * STEP_S / 3600.0 % 24
        rest[hours >= 12, 0] = second_w
        drivers = replace(drivers, rest_w=rest)
    return Scenario(span, STEP_S, loads, control, of, drivers, 1.0)


def ruled(of, name="today", rules=None, seasons=("winter",), **told):
    """The same day for each season under one set of rules."""
    made = scenario(of, rules, **told)
    days = tuple(ProbeDay(season, DAY, made, round(86400 / STEP_S)) for season in seasons)
    return UnderRules(name, Control.model_validate(rules or {}), days)


def rate(a_year=10.0, durations=("2 h",), **more):
    """Outages so often and so long."""
    return OutageRate.model_validate({"a_year": a_year, "durations": list(durations), **more})
