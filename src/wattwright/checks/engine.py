"""The engine as a whole against closed forms and figures worked out by hand."""

from functools import partial
from math import log

import numpy as np

from wattwright.checks.registry import Confidence, register
from wattwright.control.compiled import compile_control
from wattwright.control.programmes import Span
from wattwright.control.rules import Control
from wattwright.core.clock import SiteClock
from wattwright.core.fields import Held
from wattwright.core.quantity import Phase
from wattwright.loads.cold_store import ColdStore
from wattwright.loads.compiled import CompiledLoad
from wattwright.loads.plain import Resistive
from wattwright.loads.room import Room
from wattwright.simulate.columns import BEGINS, OPENS, STOPS, TRIPS, X_DISCHARGE_J, X_IMPORT_J
from wattwright.simulate.drivers import Drivers, steady
from wattwright.simulate.run import Run, simulate
from wattwright.simulate.scenario import Scenario, SiteLoad
from wattwright.simulate.supply import Battery, Connection, Inverter, Supply

_FLOAT = "floating point"
_GRID = Supply(connection=Connection())


def _run(load: CompiledLoad, drivers: Drivers, told: dict[str, object] | None = None, supply: Supply = _GRID) -> Run:
    span = Span(0, 60 * len(drivers), SiteClock("UTC"))
    control = compile_control(Control.model_validate(told or {}), (load.id,), span)
    return simulate(Scenario(span, 60.0, (SiteLoad(load, Phase.TOTAL),), control, supply, drivers))


def _heater(watts: float = 3000.0) -> CompiledLoad:
    return Resistive(rating_w=Held(watts)).compiled("heater")


def _room(air_c: float) -> Run:
    # 2 kWh/K and 200 W/K: a time constant of 10 h; 6 kW lift it 30 K above the outdoors.
    spec = Room(rating_w=Held(6000.0), heat_kwh_k=2.0, loss_w_k=200.0, set_c=Held(20.0), differential_k=Held(1.0))
    return _run(spec.compiled("room"), steady(2 * 1440, 1, air_c=air_c))


def _cycle_s(air_c: float) -> float:
    events = _room(air_c).events
    return float(np.mean(np.diff(events[events[:, 2] == BEGINS, 0])))


def _duty(air_c: float) -> float:
    events = _room(air_c).events
    begins, stops = events[events[:, 2] == BEGINS, 0], events[events[:, 2] == STOPS, 0]
    whole = min(len(begins) - 1, len(stops))
    return float(np.sum(stops[:whole] - begins[:whole]) / (begins[whole] - begins[0]))


for _air_c in (5.0, -5.0):
    _on = 36_000.0 * log((_air_c + 30.0 - 19.5) / (_air_c + 30.0 - 20.5))
    _off = 36_000.0 * log((20.5 - _air_c) / (19.5 - _air_c))
    register(
        f"engine.cycle-{_air_c:g}C",
        f"period of a thermostat through the whole engine, outdoors {_air_c:g} degC",
        unit="s",
        source="closed form of the first-order body with a differential",
        confidence=Confidence.CLOSED_FORM,
        published=_on + _off,
        tolerance=0.001 * (_on + _off),
        why="0.1 %",
        ours=partial(_cycle_s, _air_c),
    )
    register(
        f"engine.duty-{_air_c:g}C",
        f"share of the time it runs, outdoors {_air_c:g} degC",
        unit="1",
        source="closed form of the first-order body with a differential",
        confidence=Confidence.CLOSED_FORM,
        published=_on / (_on + _off),
        tolerance=0.001,
        why="0.1 %",
        ours=partial(_duty, _air_c),
    )


def _coast_h() -> float:
    store = ColdStore(
        rating_w=Held(2000.0), heat_kwh_k=1.0, loss_w_k=50.0, set_c=Held(2.0), differential_k=Held(2.0), limit_c=Held(8.0),
        room_c=Held(22.0), start_c=Held(2.0), fan_w=Held(0.0), probe_s=Held(1.0),
    )  # fmt: skip
    drivers = steady(12 * 60, 1)
    drivers.grid[:] = False
    values = _run(store.compiled("store"), drivers).values[0]
    over = int(np.argmax(values >= 7.0))
    return float(over + 1 - (values[over] - 7.0) / (values[over] - values[over - 1])) / 60.0


register(
    "engine.coast-down",
    "how long a cold store takes from 2 to 7 degC in an outage, 1 kWh/K and 50 W/K in a room of 22 degC",
    unit="h",
    source="T = T_room + (T_0 - T_room) exp(-t / tau), tau = 20 h: 20 ln(20 / 15)",
    confidence=Confidence.CLOSED_FORM,
    published=20.0 * log(20.0 / 15.0),
    tolerance=0.001,
    why="its probe follows within a second; read between minutes on a straight line",
    ours=_coast_h,
)


def _round_trip() -> float:
    # An hour of 2 kW of sun that nobody uses, then an hour of 3 kW of need.
    supply = Supply(
        connection=Connection(),
        inverter=Inverter(rating_va=Held(5000.0)),
        battery=Battery(
            capacity_wh=Held(10_000.0), charge_w=Held(4000.0), discharge_w=Held(4000.0), charge_efficiency=Held(0.95),
            discharge_efficiency=Held(0.93), reserve=Held(0.2), start=Held(0.2),
        ),
    )  # fmt: skip
    drivers = steady(120, 1)
    drivers.pv_w[:60] = 2000.0
    drivers.rest_w[60:, 0] = 3000.0
    run = _run(_heater(), drivers, {"override": [_hand("off", 0, 120)]}, supply)
    return float(run.supply[X_DISCHARGE_J]) / 3.6e6


def _hand(state: str, begins: int, ends: int) -> dict[str, str]:
    at = [f"1970-01-01T{minute // 60:02d}:{minute % 60:02d}:00" for minute in (begins, ends)]
    return {"load": "heater", "state": state, "begins": at[0], "ends": at[1]}


register(
    "engine.battery-round-trip",
    "energy that comes back of 2 kWh stored at 95 % in and 93 % out",
    unit="kWh",
    source="by hand: 2 x 0.95 x 0.93",
    confidence=Confidence.CLOSED_FORM,
    published=2.0 * 0.95 * 0.93,
    tolerance=1e-9,
    why=_FLOAT,
    ours=_round_trip,
)


def _holds_s(watts: float) -> float:
    supply = Supply(
        connection=Connection(),
        inverter=Inverter(
            rating_va=Held(3000.0), role="carries the site in outages", withstands=((1.1, 60.0), (1.5, 10.0), (2.0, 0.5))
        ),
        battery=Battery(capacity_wh=Held(10_000.0), charge_w=Held(9000.0), discharge_w=Held(9000.0), start=Held(1.0)),
    )
    drivers = steady(10, 1)
    drivers.grid[5:] = False
    run = _run(_heater(watts), drivers, supply=supply)
    trips = run.events[run.events[:, 2] == TRIPS, 0]
    return float(trips[0]) - 300.0 if len(trips) else 0.0


for _watts, _seconds in ((3200.0, 60.0), (4000.0, 10.0), (3000.0, 0.0)):
    register(
        f"engine.overload-{_watts:.0f}W",
        f"how long an inverter of 3 kVA carries {_watts:.0f} W in an outage before it trips (0: it does not)",
        unit="s",
        source="its stated overloads: 1.1 times for 60 s, 1.5 times for 10 s, 2 times for 0.5 s",
        confidence=Confidence.CLOSED_FORM,
        published=_seconds,
        tolerance=1e-6,
        why=_FLOAT,
        ours=partial(_holds_s, _watts),
    )


def _shed_s() -> float:
    told: dict[str, object] = {
        "shedding": {
            "pick_up": "9 kW", "restore": "5 kW", "order": ["heater"], "delay": "2 s", "measured_every": "4 s",
            "reported_after": "1 s",
        },
        "actuator": [{"load": "heater", "link_delay": "3 s"}],
    }  # fmt: skip
    drivers = steady(10, 1, rest_w=2000.0)
    drivers.rest_w[5:, 0] = 8000.0
    events = _run(_heater(), drivers, told).events
    return float(events[events[:, 2] == OPENS, 0][0]) - 300.0


register(
    "engine.shed-response",
    "from too much power to the open contact: measured every 4 s, reported after 1 s, delay 2 s, link 3 s",
    unit="s",
    source="by hand: what flows from 300 s on is first measured at 304 s, seen at 305 s, too long at 307 s, and 3 s on the link",
    confidence=Confidence.CLOSED_FORM,
    published=10.0,
    tolerance=1e-6,
    why=_FLOAT,
    ours=_shed_s,
)


def _imported_kwh() -> float:
    told: dict[str, object] = {
        "rule": [{"id": "t", "load": "heater", "kind": "repeat-cycle timer", "on_for": "7 min", "off_for": "13 min"}]
    }
    return float(_run(_heater(), steady(24 * 60, 1), told).supply[X_IMPORT_J]) / 3.6e6


register(
    "engine.timer-energy",
    "energy of 3 kW on a timer of 7 min on and 13 min off, over a day",
    unit="kWh",
    source="by hand: 72 rounds of 7 min",
    confidence=Confidence.CLOSED_FORM,
    published=3.0 * 72 * 7 / 60,
    tolerance=1e-9,
    why=_FLOAT,
    ours=_imported_kwh,
)
