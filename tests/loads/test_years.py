"""Each kind of load over a year against its plain twin: the same switchings, and the same state at the end.

Rooms of one node, cold stores, moist air and soil have theirs beside their other tests.
"""

import numpy as np
import pytest

from tests.loads import plain_years
from wattwright.core.fields import Held
from wattwright.loads.charger import Charger
from wattwright.loads.charger_kernels import S_DELIVERED_J, S_WANTED_J
from wattwright.loads.columns import S_ENERGY_J, S_RUN, S_RUN_S, S_STARTS, S_UNMET
from wattwright.loads.greenhouse import Greenhouse
from wattwright.loads.greenhouse_kernels import P_HEAT_J_K, P_LEAK_KG_S, P_SUN_M2, P_UA_W_K, P_VENT_KG_S, S_AIR_C
from wattwright.loads.plain import Motor
from wattwright.loads.pool_pump import PoolPump
from wattwright.loads.pump_kernels import P_FLOW_M3_S
from wattwright.loads.room import Room
from wattwright.loads.room_kernels import S_MASS_C
from wattwright.loads.tank_kernels import P_CONDUCT_W_K, P_ELEMENT, P_SENSOR, S_NODE
from wattwright.loads.water_heater import WaterHeater

pytestmark = pytest.mark.kernel
DAY = 86_400
AIR_J_KG_K = 1006.0


class Year:
    """A year in steps: outdoors, sun, chance, and a clock that leaves the load without a feed now and then."""

    def __init__(self, step_s: int, seed: int) -> None:
        draws = np.random.default_rng(seed)
        self.step_s, self.steps = step_s, np.arange(365 * DAY // step_s)
        of_day = 2 * np.pi * (self.steps * step_s % DAY) / DAY
        season = -np.cos(2 * np.pi * self.steps / len(self.steps))
        noise = draws.normal(0, 1, len(self.steps))
        self.outdoors = 10 + 9 * season + 4 * np.sin(of_day) + noise
        self.sun = np.maximum(0.0, (450 + 250 * season) * -np.cos(of_day)) * draws.random(len(self.steps))
        self.chance = draws.random((2, len(self.steps)))
        self.fed = (self.steps * step_s % DAY < 0.9 * DAY) | (self.steps * step_s // DAY % 10 == 0)


def held(model, bare, **given):
    return model(**{key: value if key in bare else Held(value) for key, value in given.items()})


def same(load, twin, more_than: int) -> None:
    """The counters at the end of the year."""
    assert load.s[S_STARTS] == twin.starts > more_than
    assert load.s[S_RUN_S] == pytest.approx(twin.run_s, rel=1e-8)


def test_a_motor(running) -> None:
    """It runs while fed, over 60,000 changes of its feed at random: starts, running time and energy."""
    year = Year(300, 1)
    load, twin = running(Motor(rating_w=Held(750.0), standby_w=Held(3.0)).compiled("m")), plain_years.Contact()
    for chance in year.chance[0]:
        load.run(300, 300, closed=chance < 0.4)
        twin.switch(chance < 0.4)
        twin.passes(300)
        assert load.s[S_RUN] == twin.runs
    same(load, twin, 20_000)
    assert load.s[S_ENERGY_J] == pytest.approx(753.0 * twin.run_s, rel=1e-9)


def test_a_pool_pump(running) -> None:
    """Fed at random with a season: the water left unfiltered day by day adds up to the same."""
    year = Year(900, 2)
    load = running(
        held(PoolPump, ("flow_m3_h", "turnovers"), rating_w=1100.0, pool_l=60_000.0, flow_m3_h=15.0, turnovers=2.0).compiled("p")
    )
    twin = plain_years.Pump(60.0, float(load.params[0, P_FLOW_M3_S]), 2.0)
    for k, chance in enumerate(year.chance[0]):
        closed, season = bool(chance < 0.35), float(8000 < k < 26_000)
        load.run(900, 900, closed=closed, use0=season)
        twin.step(900, closed, season)
    same(load, twin, 5000)
    assert load.s[S_UNMET] == pytest.approx(twin.short, rel=1e-9)
    assert twin.short > 100


def test_a_charger(running) -> None:
    """Two arrivals a day with an energy at random, and a feed that fails: given, missing and still wanted."""
    year = Year(600, 3)
    load = running(
        held(Charger, (), rating_w=7200.0, efficiency=0.9, taper_wh=4000.0, least_w=1400.0).compiled("c")
    )  # fmt: skip
    twin = plain_years.Charger(7200.0, 0.9, 4000.0 * 3600, 1400.0)
    newly = 0.0
    for k, (arrives, chance) in enumerate(year.chance.T):
        newly = 20_000.0 * arrives if k % 72 == 0 else newly
        plugged, closed = bool(k % 72 < 50), bool(chance < 0.95)
        load.run(600, 600, closed=closed, use0=float(plugged), use1=newly)
        twin.step(600, closed, plugged, newly * 3600)
        assert load.s[S_WANTED_J] == pytest.approx(twin.wanted, rel=1e-9, abs=1e-3)
        assert load.s[S_RUN] == twin.runs or abs(twin.wanted) < 1e-3
    assert load.s[S_DELIVERED_J] == pytest.approx(twin.given, rel=1e-9)
    assert load.s[S_UNMET] == pytest.approx(twin.missing / 3.6e6, rel=1e-9)
    assert load.s[S_RUN_S] == pytest.approx(twin.run_s, rel=1e-9)
    assert load.s[S_STARTS] > 700


def test_a_greenhouse(running) -> None:
    """Heating against frost under sun and vents, by quarter hours: every run and rest, and the air at the end."""
    year = Year(900, 4)
    given = {"rating_w": 6000.0, "floor_m2": 50.0, "cover_m2": 120.0, "evaporated": 0.4, "set_c": 5.0, "differential_k": 1.0}
    load = running(held(Greenhouse, (), **given, vent_c=24.0, vent_span_k=4.0).compiled("g"))
    p = load.params[0]
    begin, cease, vent, span = 5.0, 6.0, 24.0, 4.0
    twin = plain_years.Followed([float(load.s[S_AIR_C])], begin, cease)
    for warm, sun, closed in zip(year.outdoors - 8, year.sun, year.fed, strict=True):
        load.weather[[0, 2]] = warm, sun
        load.run(900, 900, closed=bool(closed))
        open_ = min(max((twin.state[0] - vent) / span, 0.0), 1.0)
        loss = p[P_UA_W_K] + AIR_J_KG_K * (p[P_LEAK_KG_S] + open_ * p[P_VENT_KG_S])
        rest, tau = warm + 0.6 * p[P_SUN_M2] * sun / loss, p[P_HEAT_J_K] / loss
        twin.step(900, bool(closed), plain_years.first_order((rest, rest + 6000.0 / loss), (tau, tau)))
        assert load.s[S_RUN] == twin.runs
    same(load, twin, 500)
    assert load.s[S_AIR_C] == pytest.approx(twin.state[0], rel=1e-8)


def test_a_room_of_air_and_mass(running) -> None:
    """Heated between thresholds, with sun on its mass, by half hours: every run and rest, air and mass at the end."""
    year = Year(1800, 5)
    given = {"rating_w": 5000.0, "heat_kwh_k": 0.4, "mass_kwh_k": 6.0, "exchange_w_k": 700.0, "loss_w_k": 180.0, "sun_m2": 2.0}
    load = running(held(Room, ("heat_kwh_k", "mass_kwh_k", "exchange_w_k", "loss_w_k"), **given, set_c=20.0).compiled("r"))
    twin = plain_years.Followed([20.0, 20.0], 19.5, 20.5)
    for warm, sun, chance, closed in zip(year.outdoors - 5, year.sun, year.chance[0], year.fed, strict=True):
        load.weather[[0, 2]] = warm, sun
        load.run(1800, 1800, closed=bool(closed), use0=400.0 * chance)
        ahead = plain_years.pair(
            air=0.4 * 3.6e6, mass=6.0 * 3.6e6, loss=180.0, exchange=700.0, outdoors=warm, gains=400.0 * chance, sun=2.0 * sun,
            given=5000.0,
        )  # fmt: skip
        twin.step(1800, bool(closed), ahead)
        assert load.s[S_RUN] == twin.runs
    same(load, twin, 2000)
    assert [load.s[S_AIR_C], load.s[S_MASS_C]] == pytest.approx(twin.state, rel=1e-7)


def a_heater(**given) -> WaterHeater:
    usual = {"volume_l": 150.0, "rating_w": 1800.0, "set_c": 60.0, "differential_k": 5.0, "limit_c": 80.0, "room_c": 20.0}
    return held(WaterHeater, ("nodes", "loss_w_k"), **usual, loss_w_k=1.6, **given)


def test_a_mixed_tank(running) -> None:
    """Draws at random by ten minutes, some so large that it runs cold: every run and rest, and the water at the end."""
    year = Year(600, 6)
    load, twin = running(a_heater(nodes=1).compiled("t")), plain_years.Followed([60.0], 55.0, 60.0)
    for chance, size, closed in zip(*year.chance, year.fed, strict=True):
        flow = 0.12 * size if chance < 0.06 else 0.0
        load.run(600, 600, closed=bool(closed), use0=flow)
        ahead = plain_years.mixed_tank(
            heat=150.0 * 4186.8, loss=1.6, room=20.0, cold=10.0, use=40.0, flow=flow, power=1800.0
        )  # fmt: skip
        twin.step(600, bool(closed), ahead)
        assert load.s[S_RUN] == twin.runs
    same(load, twin, 1500)
    assert load.s[S_NODE] == pytest.approx(twin.state[0], rel=1e-8)
    assert load.s[S_UNMET] > 0


def test_a_tank_in_layers(running) -> None:
    """Three layers, draws at random by half hours: every run and rest, and each layer at the end.

    The twin takes steps of the same length, so that both have the same error of integration; the thermostat's instant is found
    in two ways, to a millionth of a second, so layers may differ by as little.
    """
    year = Year(1800, 7)
    load = running(a_heater(nodes=3).compiled("t"))
    p = load.params[0]
    tank = {"litres": 150.0, "ua": 1.6, "use": 40.0, "conduct": float(p[P_CONDUCT_W_K])}
    twin = plain_years.Layers([60.0] * 3, 55.0, 60.0, int(p[P_SENSOR]))
    for chance, size, closed in zip(*year.chance, year.fed, strict=True):
        flow = 0.03 * size if chance < 0.15 else 0.0
        load.run(1800, 1800, closed=bool(closed), use0=flow)
        ahead = plain_years.layered_tank(tank, room=20.0, cold=10.0, flow=flow, power=1800.0, element=int(p[P_ELEMENT]))
        twin.step(1800, bool(closed), ahead, flow)
        assert load.s[S_RUN] == twin.runs
    same(load, twin, 500)
    assert load.s[S_NODE : S_NODE + 3] == pytest.approx(twin.state, abs=1e-4)
