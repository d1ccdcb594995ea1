"""Small invented sites for the tests of the engine."""

import datetime as dt

import numpy as np

from wattwright.control.compiled import compile_control
from wattwright.control.programmes import Span
from wattwright.control.rules import Control
from wattwright.core.clock import SiteClock
from wattwright.core.fields import Held
from wattwright.core.quantity import Phase
from wattwright.loads.plain import Motor, Resistive
from wattwright.loads.room import Room
from wattwright.simulate.columns import CAUSES, WHAT
from wattwright.simulate.drivers import steady
from wattwright.simulate.scenario import Scenario, SiteLoad
from wattwright.simulate.supply import Connection, Supply

MIDNIGHT = int(dt.datetime(2025, 3, 4, tzinfo=dt.UTC).timestamp())
GRID = Supply(connection=Connection())


def heater(id_, watts, **more):
    return Resistive(rating_w=Held(float(watts)), **more).compiled(id_)


def motor(id_, watts, **more):
    return Motor(rating_w=Held(float(watts)), **more).compiled(id_)


def room(id_="room", watts=6000.0, **more):
    """A room of 10 h time constant that would settle at 30 K above the outdoors."""
    settings = {"heat_kwh_k": 2.0, "loss_w_k": 200.0, "set_c": Held(20.0), "differential_k": Held(1.0), **more}
    return Room(rating_w=Held(watts), **settings).compiled(id_)


def scenario(loads, told=None, *, steps=60, step_s=60.0, supply=GRID, drivers=None, phase=Phase.TOTAL, fine_s=1.0):
    """A run of loads under the rules ``told``; steady drivers if none are given."""
    placed = tuple(one if isinstance(one, SiteLoad) else SiteLoad(one, phase) for one in loads)
    n = steps if drivers is None else len(drivers)
    span = Span(MIDNIGHT, MIDNIGHT + int(n * step_s), SiteClock("UTC"))
    control = compile_control(Control.model_validate(told or {}), [one.load.id for one in placed], span)
    return Scenario(span, step_s, placed, control, supply, drivers or steady(n, len(placed)), fine_s)


def switchings(of, run):
    """Events as (second, load or supply, what, cause) in words."""
    ids = [one.load.id for one in of.loads]
    return [
        (
            round(float(at), 6),
            ids[int(load)] if load >= 0 else "supply",
            WHAT[int(what)],
            CAUSES.get(int(cause)) or of.control.cause(cause),
        )
        for at, load, what, cause in run.events
    ]


def same(one, other):
    """Whether two runs are the same to the last digit."""
    return all(np.array_equal(getattr(one, name), getattr(other, name), equal_nan=True) for name in one.__dataclass_fields__)
