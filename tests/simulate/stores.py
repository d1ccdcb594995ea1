"""An invented site for the compiled engine and its plain twin: a tank, a cold store, a pump, timers, shedding, outages."""

import numpy as np

from tests.control.strategies import written
from tests.loads import plain_years
from tests.simulate import plain_year
from wattwright.control.compiled import compile_control
from wattwright.control.programmes import Span
from wattwright.core.clock import SiteClock
from wattwright.core.fields import Held
from wattwright.core.quantity import Phase
from wattwright.loads.cold_store import ColdStore
from wattwright.loads.columns import W_AIR_C
from wattwright.loads.pool_pump import PoolPump
from wattwright.loads.tank_kernels import U_FLOW_L_S
from wattwright.loads.water_heater import WaterHeater
from wattwright.simulate import columns
from wattwright.simulate.drivers import steady
from wattwright.simulate.run import simulate
from wattwright.simulate.scenario import Scenario, SiteLoad
from wattwright.simulate.supply import Connection, Supply

START_S = 1_735_689_600  # 1 January 2025, 00:00 UTC
TANK = {"volume_l": 150.0, "rating_w": 1800.0, "set_c": 60.0, "differential_k": 5.0, "limit_c": 80.0, "room_c": 20.0}
COLD = {"rating_w": 900.0, "set_c": 3.0, "differential_k": 2.0, "limit_c": 8.0, "probe_s": 1200.0, "starting_s": 0.0}
HEAT_KWH_K, LOSS_W_K, PUMP_W = 0.9, 28.0, 1100.0
KINDS = ("tank", "cold", "pump")
PLAIN = {
    "never": False,
    "min_on": 0,
    "restart": 0,
    "power_up": None,
    "fail_safe": None,
    "lost_after": 0,
    "link": 0,
    "unattended": True,
}
TIMER = {"beside": False, "acts": True, "rests_open": False, "kind": "cycle", "begins": "on"}


def told():
    """The rules as the plain form takes them."""
    return {
        "rules": [
            {**TIMER, "id": "r0", "load": 0, "on": 50_400, "off": 36_000},
            {**TIMER, "id": "r1", "load": 2, "on": 28_830, "off": 57_570, "begins": "off"},
        ],
        "loads": [{**PLAIN, "min_off": 0}, {**PLAIN, "min_off": 240, "restart": 45}, {**PLAIN, "min_off": 60, "restart": 90}],
        "locks": [], "needs": [], "manual": [],
        "shed": {
            "pick": 4300, "restore": 3100, "delay": 15, "next": 10, "back": 180, "interval": 0, "report": 0, "order": [2, 0, 1],
        },
    }  # fmt: skip


def control(rules):
    """The same as a person enters it."""
    given = {**rules, "loads": [{**one, "power_up": "as it was", "fail_safe": "as it was"} for one in rules["loads"]]}
    return written(given)


def outside(days):
    """What comes from outside by minutes: rest of the site in W, outdoors in degC, flow in l/s, and whether the grid is there."""
    draws, n = np.random.default_rng(20), days * 1440
    of_day = 2 * np.pi * np.arange(n) / 1440
    rest = 900.0 + 500.0 * np.sin(of_day - 2.0) + np.where(draws.random(n) < 0.08, 2400.0 * draws.random(n), 0.0)
    air = 14.0 - 9.0 * np.cos(of_day / 365) - 4.0 * np.cos(of_day) + draws.normal(0.0, 0.5, n)
    flow = np.where(draws.random(n) < 0.03, 0.12 * draws.random(n), 0.0)
    grid = np.ones(n, np.bool_)
    for begins in range(1000, n, 7919):  # every five and a half days, for a quarter of an hour
        grid[begins : begins + 15] = False
    return rest, air, flow, grid


def held(given):
    """Numbers in our own units, as a spec takes them."""
    return {key: Held(value) for key, value in given.items()}


def engine(days):
    """The compiled engine's scenario of these days."""
    rest, air, flow, grid = outside(days)
    tank = WaterHeater(**held(TANK), loss_w_k=1.6, nodes=1).compiled("a")
    cold = ColdStore(**held(COLD), heat_kwh_k=HEAT_KWH_K, loss_w_k=LOSS_W_K).compiled("b")
    pump = PoolPump(rating_w=Held(PUMP_W), pool_l=Held(60_000.0), flow_m3_h=15.0, starting_s=Held(0.0)).compiled("c")
    drivers = steady(len(rest), 3, cold_water_c=10.0)
    drivers.rest_w[:, 0], drivers.weather[:, W_AIR_C], drivers.uses[0, :, U_FLOW_L_S], drivers.grid[:] = rest, air, flow, grid
    span = Span(START_S, START_S + 86_400 * days, SiteClock("UTC"))
    placed = tuple(SiteLoad(one, Phase.L1) for one in (tank, cold, pump))
    rules = compile_control(control(told()), ("a", "b", "c"), span)
    return Scenario(span, 60.0, placed, rules, Supply(connection=Connection()), drivers)


def plain(days):
    """The plain twin, after these days."""
    stores = [
        plain_year.Store(TANK["rating_w"], [60.0], 55.0, 60.0), plain_year.Store(COLD["rating_w"], [3.0], 5.0, 3.0),
        plain_year.Pump(PUMP_W),
    ]  # fmt: skip
    site, heat = plain_year.Site(told(), stores), HEAT_KWH_K * 3.6e6
    for rest, air, flow, grid in zip(*(one.tolist() for one in outside(days)), strict=True):
        # The machine reaches 0.4 of the ideal one, evaporates 8 K below its set point and condenses 12 K above its air.
        performance = 0.4 * (3.0 - 8.0 + 273.15) / (max(air + 12.0, 25.0) - (3.0 - 8.0))
        ends = (air, air - performance * COLD["rating_w"] / LOSS_W_K)
        ahead = (
            plain_years.mixed_tank(
                heat=150.0 * 4186.8, loss=1.6, room=20.0, cold=10.0, use=40.0, flow=flow, power=TANK["rating_w"]
            ),
            plain_years.first_order(ends, (heat / LOSS_W_K, heat / LOSS_W_K)), None,
        )  # fmt: skip
        site.minute(rest, ahead, grid)
    return site


def both(days):
    """Run both forms; what differs, and how far: a plain answer for a study and a test."""
    of, twin = engine(days), plain(days)
    run = simulate(of)
    closes = [one for one in run.events if one[2] in (columns.OPENS, columns.CLOSES)]
    moves = sorted((round(float(at)), int(i), what == columns.CLOSES, of.control.cause(why)) for at, i, what, why in closes)
    apart, counts = [], []
    for i in range(3):
        mine = run.events[(run.events[:, 1] == i) & np.isin(run.events[:, 2], (columns.BEGINS, columns.STOPS))]
        theirs = twin.switched[i]
        counts.append((len(mine), len(theirs)))
        told_on = [bool(what == columns.BEGINS) for what in mine[:, 2]]
        same = len(mine) == len(theirs) and told_on == [on for _, on in theirs]
        apart.append(float(np.max(np.abs(mine[:, 0] - [at for at, _ in theirs]), initial=0.0)) if same else float("inf"))
    ran = [abs(float(a) / twin.loads[i].run_s - 1.0) for i, a in enumerate(run.run_s)]
    ends = [abs(float(run.values[0, -1]) - twin.loads[0].state[0])]
    return {
        "days": days,
        "contacts_moved": len(moves),
        "contacts_alike": moves == sorted(twin.moves),
        "causes": sorted({why for *_, why in moves}),
        "own_switchings": sum(count for count, _ in counts),
        "own_switchings_alike": all(a == b for a, b in counts) and max(apart) < np.inf,
        "furthest_apart_s": max(apart),
        "running_times_apart": max(ran),
        "tank_apart_k": ends[0],
        "nearest_to_a_threshold_w": twin.nearest,
    }
