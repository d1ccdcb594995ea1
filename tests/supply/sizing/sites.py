"""Small invented sites for the tests of sizes."""

import datetime as dt

import numpy as np

from wattwright.control.compiled import compile_control
from wattwright.control.programmes import Span
from wattwright.control.rules import Control
from wattwright.core.clock import SiteClock
from wattwright.core.fields import Held
from wattwright.core.quantity import Phase
from wattwright.loads.plain import Resistive
from wattwright.loads.water_heater import WaterHeater
from wattwright.simulate.drivers import steady
from wattwright.simulate.scenario import Scenario, SiteLoad
from wattwright.simulate.supply import Connection, Supply
from wattwright.supply.sizing.asking import USUAL_INVERTER, USUAL_STORE, Asking
from wattwright.supply.sizing.costing import USUAL, Costing
from wattwright.supply.sizing.roofs import Roof, layouts_of
from wattwright.supply.sizing.spec import MoneySpec, Prices, QuoteSpec
from wattwright.supply.sizing.way import Way, reference

MIDNIGHT = int(dt.datetime(2025, 3, 3, tzinfo=dt.UTC).timestamp())
DAYS = 7


def sun(days=DAYS):
    """W per W of modules in each minute: a half sine from six to six."""
    minute = np.arange(1440 * days) % 1440
    return np.maximum(0.0, np.sin((minute - 360) / 720 * np.pi)) * 0.8


def scenario(days=DAYS, control=None, seed=3):
    """A tank of 3 kW, a pump of 1.5 kW from ten to two, and a rest that is high in the evening."""
    chance = np.random.default_rng(seed)
    loads = [
        WaterHeater(volume_l=Held(150.0), rating_w=Held(3000.0), loss_w_k=1.5, nodes=1, start_c=Held(60.0)).compiled("tank"),
        Resistive(rating_w=Held(1500.0)).compiled("pump"),
    ]
    n = 1440 * days
    drivers, minute = steady(n, 2), np.arange(n) % 1440
    drivers.rest_w[:, 0] = np.where((minute > 1080) & (minute < 1320), chance.uniform(800, 2500, n), 300.0)
    drivers.uses[0, :, 0] = np.where((minute >= 420) & (minute < 440), 4.0 / 60.0, 0.0)
    span = Span(MIDNIGHT, MIDNIGHT + 60 * n, SiteClock("UTC"))
    told = control if control is not None else today()
    sited = tuple(SiteLoad(one, Phase.TOTAL) for one in loads)
    return Scenario(span, 60.0, sited, compile_control(told, ["tank", "pump"], span), Supply(connection=Connection()), drivers)


def today():
    """The pump's own time switch."""
    times = [{"on": dt.time(10), "off": dt.time(14)}]
    return Control.model_validate({"rule": [{"id": "pump-times", "load": "pump", "kind": "time programme", "times": times}]})


def way(order=(), *, alone=False, days=DAYS, seed=3):
    """The site under its rules."""
    return Way(reference(scenario(days, seed=seed)), today(), order, alone=alone)


def asking(purpose="beside the grid", *, days=DAYS, prices=None, money=None, outage_s=None, tariff=None, price=None, **spec):
    """A question about that site."""
    made = scenario(days)
    told = QuoteSpec.model_validate({"steps": 8, **spec})
    costing = Costing(USUAL if prices is None else Prices.model_validate(prices), money or MoneySpec.model_validate({}),
                      "" if prices is None else "EUR")  # fmt: skip
    more = {} if price is None else {"price": price}
    return Asking(
        spec=told, purpose=purpose, outage_s=outage_s, gone=np.zeros(1440 * days, np.bool_), connection=made.supply.connection,
        battery=USUAL_STORE, inverter=USUAL_INVERTER, generator=None, hidden_va=0.0,
        layouts=layouts_of((Roof("south", 6000.0 * sun(days), 6000.0),)),
        accepted=False, tariff=tariff, costing=costing, clock=SiteClock("UTC"), seed=5, **more,
    )  # fmt: skip
