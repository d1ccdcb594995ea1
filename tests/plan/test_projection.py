"""Any simulated minute trajectory, averaged to the bound's step, is feasible in the bound at no higher cost: load by load."""

import numpy as np
import pytest

from tests.plan.cases import BLOCKS, DEMAND, EXPORT, FALLING, LEVY, TWO_PRICES, case, random_rules
from wattwright.core.fields import Held
from wattwright.loads.charger import Charger
from wattwright.loads.cold_store import ColdStore
from wattwright.loads.columns import (
    W_AIR_C,
    W_COLD_WATER_C,
    W_ET0_MM_S,
    W_HUMIDITY_RATIO,
    W_RAIN_MM_S,
    W_SUN_W_M2,
)
from wattwright.loads.greenhouse import Greenhouse
from wattwright.loads.humidity import DryRoom
from wattwright.loads.irrigation import Irrigation
from wattwright.loads.plain import Resistive
from wattwright.loads.pool_pump import PoolPump
from wattwright.loads.room import Room
from wattwright.loads.water_heater import WaterHeater
from wattwright.plan.bound.bound import assemble
from wattwright.plan.score import Scorer
from wattwright.simulate.drivers import steady
from wattwright.simulate.supply import Battery, Connection, Inverter, Supply

DAYS = 4
N = 1440 * DAYS


def weather(drivers, chance):
    """Days and nights, clouds, showers: every column of the weather moves from minute to minute."""
    hour = np.arange(N) / 60.0
    made, day = drivers.weather, np.maximum(np.sin((hour - 6.0) / 12.0 * np.pi), 0.0)
    made[:, W_AIR_C] = 12.0 + 9.0 * np.sin((hour - 9.0) / 12.0 * np.pi) + np.cumsum(chance.normal(0.0, 0.02, N))
    made[:, W_COLD_WATER_C] = 12.0
    made[:, W_SUN_W_M2] = 800.0 * day * np.repeat(chance.random(N // 60), 60)
    made[:, W_HUMIDITY_RATIO] = 0.006 + 0.002 * chance.random()
    made[:, W_ET0_MM_S] = 5.0 / 43_200.0 * day
    made[:, W_RAIN_MM_S] = np.where(np.repeat(chance.random(N // 60) < 0.05, 60), 4.0 / 3600.0, 0.0)
    drivers.rest_w[:, 0] = 300.0 + 2500.0 * np.repeat(chance.random(N // 10) ** 3, 10)
    return drivers


def tank(chance, uses):
    uses[:, 0] = np.where(chance.random(N) < 0.04, 0.12 * chance.random(N), 0.0)
    uses[120:300, 1] = 65.0
    return WaterHeater(
        volume_l=Held(150.0), rating_w=Held(2000.0), nodes=int(chance.integers(1, 8)), outdoors=bool(chance.random() < 0.3),
        upper_w=Held(1500.0 if chance.random() < 0.3 else 0.0),
    ).compiled("load")  # fmt: skip


def room(chance, uses, **more):
    uses[:, 0] = np.repeat(300.0 * chance.random(N // 60), 60)
    told = {"heat_kwh_k": 2.0, "loss_w_k": 150.0, "set_c": Held(20.0), "differential_k": Held(1.0), **more}
    return Room(rating_w=Held(3000.0), **told).compiled("load")


def heavy_room(chance, uses):
    return room(chance, uses, mass_kwh_k=6.0, exchange_w_k=400.0)


def cooled_room(chance, uses):
    return room(chance, uses, mode="cool", cop=3.0, sun_m2=Held(4.0))


def cold_store(chance, uses):
    uses[:, 0] = np.where(chance.random(N) < 0.05, 0.5, 0.0)
    uses[:, 1] = 100.0
    return ColdStore(rating_w=Held(900.0), **COLD).compiled("load")


def greenhouse(chance, uses):
    return Greenhouse(rating_w=Held(4000.0), **GLASS).compiled("load")


def damp(chance, uses):
    uses[:, 0] = np.repeat(2e-4 * chance.random(N // 60), 60)
    return DryRoom(rating_w=Held(600.0), **DAMP).compiled("load")


def soil(chance, uses):
    return Irrigation(rating_w=Held(1500.0), **FIELD).compiled("load")


def pool(chance, uses):
    uses[:, 0] = 1.0
    return PoolPump(rating_w=Held(1100.0), pool_l=Held(60_000.0), flow_m3_h=10.0).compiled("load")


def charger(chance, uses):
    hour = np.arange(N) / 60.0 % 24.0
    uses[:, 0] = (hour >= 18.0) | (hour < 7.0)
    uses[:, 1] = np.where(uses[:, 0] > 0.0, 9000.0, 0.0)
    return Charger(rating_w=Held(3600.0), taper_wh=Held(1500.0)).compiled("load")


def plain(chance, uses):
    return Resistive(rating_w=Held(1200.0)).compiled("load")


COLD = {
    "heat_kwh_k": 0.4, "loss_w_k": 20.0, "set_c": Held(3.0), "limit_c": Held(8.0), "door_w_k": 60.0, "fan_w": Held(60.0),
    "defrosts": 4.0,
}  # fmt: skip
GLASS = {"floor_m2": Held(50.0), "cover_m2": Held(90.0)}
DAMP = {"room_m3": 120.0, "takes_l_day": Held(20.0), "fan_m3_h": 50.0, "buffer": 5.0}
FIELD = {
    "area_m2": Held(500.0), "pumped_l_h": 3000.0, "field_capacity": Held(0.3), "wilting_point": Held(0.12), "roots_m": Held(0.3),
    "start_mm": 20.0,
}  # fmt: skip
KINDS = [tank, room, heavy_room, cooled_room, cold_store, greenhouse, damp, soil, pool, charger, plain]
TEXTS = [TWO_PRICES, TWO_PRICES + DEMAND + LEVY, BLOCKS + DEMAND, FALLING, TWO_PRICES + EXPORT]


def held(made, run):
    """The bound with every load held to its simulated powers, averaged, and the run by the plan's own figures."""
    assembled = assemble(made, 3600)
    for columns, watts in zip(assembled.loads, run.loads_w, strict=True):
        mean_kw = assembled.steps.means(watts) / 1000.0
        assembled.program.rows([(columns, 1.0)], mean_kw * (1.0 - 1e-9) - 1e-9, mean_kw * (1.0 + 1e-9) + 1e-9)
    return assembled.program.solve().value, Scorer(made).figures(run).value


@pytest.mark.parametrize("build", KINDS, ids=lambda one: one.__name__)
@pytest.mark.parametrize("seed", range(4))
def test_a_load_under_any_rules_lies_within_the_bound(build, seed):
    """Random weather, uses and time programmes: the averaged powers are feasible, and cost no more than the run did."""
    chance = np.random.default_rng([seed, KINDS.index(build)])
    drivers = weather(steady(N, 1), chance)
    load = build(chance, drivers.uses[0])
    made = case([load], days=DAYS, told=random_rules(["load"], chance), drivers=drivers, text=TEXTS[seed % len(TEXTS)])
    least, simulated = held(made, Scorer(made).run(made.today))
    assert least <= simulated + 1e-6 * abs(simulated)


@pytest.mark.parametrize("build", KINDS, ids=lambda one: one.__name__)
def test_a_stretch_that_ends_at_a_negative_price_has_a_bound(build):
    """What stores hold at the end is then worth less than nothing: emptying them for ever must not pay; the run still fits."""
    chance = np.random.default_rng([9, KINDS.index(build)])
    drivers = weather(steady(N, 1), chance)
    load = build(chance, drivers.uses[0])
    text = TWO_PRICES.replace('"0.10"', '"-0.10"') + EXPORT
    made = case([load], days=DAYS, told=random_rules(["load"], chance), drivers=drivers, text=text)
    least, simulated = held(made, Scorer(made).run(made.today))
    assert least <= simulated + 1e-6 * abs(simulated)


@pytest.mark.parametrize("seed", range(len(TEXTS)))
def test_supplies_under_any_rules_lie_within_the_bound(seed):
    """The same with PV, a battery and an inverter that draws by itself, under every tariff."""
    chance = np.random.default_rng(100 + seed)
    drivers = weather(steady(N, 2), chance)
    drivers.pv_w[:] = 5.0 * drivers.weather[:, W_SUN_W_M2]
    loads = [tank(chance, drivers.uses[0]), Resistive(rating_w=Held(1200.0)).compiled("plain")]
    supply = Supply(
        connection=Connection(), inverter=Inverter(rating_va=Held(4000.0), idle_w=Held(30.0)),
        battery=Battery(capacity_wh=Held(6000.0), charge_w=Held(3000.0), discharge_w=Held(3000.0)),
    )  # fmt: skip
    rules = random_rules(["load", "plain"], chance)
    made = case(loads, days=DAYS, told=rules, drivers=drivers, supply=supply, text=TEXTS[seed])
    least, simulated = held(made, Scorer(made).run(made.today))
    assert least <= simulated + 1e-6 * abs(simulated)


@pytest.mark.parametrize("objective", ["peak", "own-use", "autonomy"])
def test_every_objective_lies_within_the_bound(objective):
    """Peak, PV given away and energy not served, with an outage of three hours."""
    chance = np.random.default_rng(7)
    drivers = weather(steady(N, 1), chance)
    drivers.pv_w[:] = 5.0 * drivers.weather[:, W_SUN_W_M2]
    drivers.grid[2000:2200] = False
    supply = Supply(
        connection=Connection(), inverter=Inverter(rating_va=Held(4000.0), role="carries the site in outages"),
        battery=Battery(capacity_wh=Held(3000.0), charge_w=Held(3000.0), discharge_w=Held(3000.0)),
    )  # fmt: skip
    made = case(
        [tank(chance, drivers.uses[0])], days=DAYS, told=random_rules(["load"], chance), drivers=drivers, supply=supply,
        objective=objective,
    )  # fmt: skip
    least, simulated = held(made, Scorer(made).run(made.today))
    assert least <= simulated + 1e-6 * max(abs(simulated), 1.0)
