"""A cold room against the coast-down of the closed form, its heat balance, its defrosts and a plain twin."""

import math

import numpy as np
import pytest
from hypothesis import given, settings, strategies as st

from tests.loads import plain_loads
from tests.loads.conftest import Running
from wattwright.core.fields import Held
from wattwright.loads.cold_kernels import S_AIR_C, S_CAME_J, S_DEFROSTS, S_PHASE, S_PHASE_LEFT_S, S_PROBE_C, S_TAKEN_J
from wattwright.loads.cold_store import ColdStore
from wattwright.loads.columns import S_RUN, S_RUN_S, S_STARTS, S_STORED_J, S_UNMET, S_VALUE

pytestmark = pytest.mark.kernel
J_KWH = 3.6e6
BARE = ("heat_kwh_k", "loss_w_k", "door_w_k", "defrosts", "ice_kg")


def store(**given) -> ColdStore:
    """3 kWh/K, 15 W/K, -20 degC in a hall of 25 degC: the worked coast-down."""
    usual = {"rating_w": 1000.0, "heat_kwh_k": 3.0, "loss_w_k": 15.0, "set_c": -20.0, "limit_c": -18.0, "room_c": 25.0}
    wanted = {**usual, "condenser_c": 25.0, **given}
    return ColdStore(**{key: value if key in BARE or value is None else Held(value) for key, value in wanted.items()})


def test_coast_is_the_closed_form(running) -> None:
    """From -20 to -18 degC without cooling takes 200 h ln(45/43) = 9.09 h."""
    load = running(store(probe_s=1e-3).compiled("c"))
    load.run(3600 * 200 * math.log(45 / 43), 3600 * 200 * math.log(45 / 43) / 500, closed=False)
    assert load.s[S_AIR_C] == pytest.approx(-18.0, abs=1e-9)
    assert load.s[S_UNMET] == pytest.approx(0.0, abs=1e-3)
    load.run(3600, closed=False)
    # An hour more at (43 K over 200 h) warms it by 0.2145 K, on average half that over the limit.
    assert load.s[S_UNMET] == pytest.approx(3600 * 43 * (1 - 200 * (1 - math.exp(-1 / 200))), rel=1e-3)


def test_less_cold_the_warmer_it_is_outdoors(running) -> None:
    """The cold given over the power is 0.4 x 245.15 / 75 at 35 degC (evaporating -28, condensing 47), more at 10 degC.

    Carnot's machine: T_e / (T_c - T_e) in kelvin; at 10 degC the condensing temperature is kept at its least, 25 degC.
    """
    for outdoors, cop in ((35.0, 0.4 * 245.15 / 75), (10.0, 0.4 * 245.15 / 53)):
        load = running(store(condenser_c=None, start_c=0.0).compiled("c"))
        load.weather[0] = outdoors
        used = load.run(3600)
        assert used == 3.6e6
        assert load.s[S_TAKEN_J] / used == pytest.approx(cop, rel=1e-12)


def test_without_a_room_the_weather_is_about_it(running) -> None:
    """A store outdoors at its own temperature neither warms nor cools."""
    load = running(store(room_c=None).compiled("c"))
    load.weather[0] = -20.0
    load.run(86_400, closed=False)
    assert load.s[S_VALUE] == pytest.approx(-20.0)


@pytest.mark.parametrize(("heater_w", "rest_s"), [(2000.0, 600.0), (0.0, 600.0)])
def test_defrosts_by_the_clock(running, heater_w: float, rest_s: float) -> None:
    """Four defrosts a day take four times heater and time; the compressor rests meanwhile; without a heater the fan melts."""
    spec = store(defrosts=4.0, defrost_w=heater_w, defrost_s=rest_s, drip_s=120.0, fan_w=100.0, start_c=10.0)
    load = running(spec.compiled("c"))
    used = load.run(86_400)
    assert load.s[S_DEFROSTS] == 4
    assert load.s[S_RUN_S] == pytest.approx(86_400 - 4 * (rest_s + 120))  # so warm that it never ceases by itself
    fan_s = 86_400 - 4 * 120 - (4 * rest_s if heater_w else 0)
    assert used == pytest.approx(1000 * load.s[S_RUN_S] + 4 * heater_w * rest_s + 100 * fan_s)
    assert load.s[S_STARTS] == 4 + (load.s[S_RUN] > 0)


def test_a_defrost_ends_when_the_ice_is_melted() -> None:
    """3 kg of ice take 1.002 MJ: at 2 kW of which half stays in, 1002 s; never longer than the longest."""
    given = {"defrosts": 4.0, "defrost_w": 2000.0, "ice_kg": 3.0}
    assert store(**given).defrost_time_s() == pytest.approx(1002.0)
    assert store(**given, defrost_s=600.0).defrost_time_s() == 600.0
    assert store(**given, inside=1.0).defrost_time_s() == 1800.0
    assert store(defrosts=4.0, defrost_w=2000.0).defrost_time_s() == 1800.0


def test_the_defrosting_clock_stands_without_feed(running) -> None:
    """Ten hours without feed do not bring the next defrost nearer; a defrost cut short goes on when fed again."""
    load = running(store(defrosts=4.0, defrost_w=1000.0, drip_s=0.0).compiled("c"))
    before = load.s[S_PHASE_LEFT_S]
    load.run(36_000, closed=False)
    assert load.s[S_PHASE_LEFT_S] == before
    load.run(before + 600, before + 600)
    assert load.s[S_PHASE] == 1.0
    assert load.run(600, closed=False) == 0.0
    load.run(1200)
    assert load.s[S_PHASE] == 0.0


def test_a_door_lets_heat_in(running) -> None:
    """A door of 90 W/K open a third of the time, and 300 W of goods: the store drifts to the balance of all three."""
    load = running(store(door_w_k=90.0, heat_kwh_k=0.1).compiled("c"))
    load.run(10 * 86_400, 3600, closed=False, use0=1 / 3, use1=300.0)
    assert load.s[S_AIR_C] == pytest.approx(25 + 300 / 45, rel=1e-9)


def test_the_compressor_rests_as_long_as_it_must(running) -> None:
    """With 5 min of rest at the least and a band of next to nothing, no rest is shorter, fed or cut off again and again."""
    load = running(store(heat_kwh_k=0.02, differential_k=0.01, min_off_s=300.0, rating_w=3000.0).compiled("c"))
    off, rests = 0.0, []
    for k in range(8640):
        was = load.s[S_RUN]
        load.run(10, 10, closed=k % 97 > 5)
        if load.s[S_RUN] > was:
            rests.append(off + 10)
        off = off + 10 if load.s[S_RUN] == 0.0 else 0.0
    assert len(rests) > 50
    assert min(rests[1:]) >= 300.0


@settings(max_examples=60)
@given(
    air=st.floats(-30, 10), probe=st.floats(-30, 10), heat=st.floats(0.02, 10), loss=st.floats(2, 200), door=st.floats(0, 1),
    goods=st.floats(0, 1000), probe_s=st.floats(60, 3600), seconds=st.floats(1, 60), runs=st.booleans(),
)  # fmt: skip
def test_one_step_is_that_of_the_plain_twin(air, probe, heat, loss, door, goods, probe_s, seconds, runs) -> None:
    """From the same state, away from a threshold, air, goods and heat come in agree to 1e-12."""
    spec = store(heat_kwh_k=heat, loss_w_k=loss, door_w_k=50.0, fan_w=80.0, probe_s=probe_s, set_c=-60.0 if runs else 20.0)
    load = Running(spec.compiled("c"))
    load.s[S_AIR_C], load.s[S_PROBE_C] = air, probe
    load.run(seconds, seconds, use0=door, use1=goods)
    assert load.s[S_RUN] == runs
    cold = 0.4 * (-68 + 273.15) / (37 + 68) * 1000.0 if runs else 0.0
    after, follows, came = plain_loads.cold_store(
        air,
        probe,
        seconds,
        heat=heat * J_KWH,
        loss=loss + 50 * door,
        outdoors=25.0,
        inside=80 + goods,
        cold=cold,
        probe_s=probe_s,
    )
    assert load.s[S_AIR_C] == pytest.approx(after, rel=1e-12, abs=1e-11)
    # Where store and goods have nearly one time constant, the difference of the two exponentials loses digits.
    tau = heat * J_KWH / (loss + 50 * door)
    digits = 1e-12 if abs(tau / probe_s - 1) > 0.02 else 1e-8
    assert load.s[S_PROBE_C] == pytest.approx(follows, rel=digits, abs=10 * digits)
    assert load.s[S_CAME_J] == pytest.approx(came, rel=1e-11, abs=1e-6)


@settings(max_examples=40)
@given(
    steps=st.lists(st.tuples(st.floats(-10, 40), st.floats(0, 1), st.floats(0, 2000), st.booleans()), min_size=3, max_size=40),
    heat=st.floats(0.02, 10), defrosts=st.floats(0, 24), heater=st.sampled_from([0.0, 1500.0]), min_off=st.floats(0, 600),
)  # fmt: skip
def test_heat_is_kept(steps, heat, defrosts, heater, min_off) -> None:
    """Heat come in less heat taken is what the store holds more, to 1e-9 of what passed; the goods stay within what was met."""
    spec = store(
        heat_kwh_k=heat, defrosts=defrosts, defrost_w=heater, min_off_s=min_off, condenser_c=None, door_w_k=60.0, fan_w=50.0
    )
    load = Running(spec.compiled("c"))
    for outdoors, door, goods, closed in steps:
        load.weather[0] = outdoors
        load.run(1800, 300, closed=closed, use0=door, use1=goods)
    gained = (load.s[S_AIR_C] + 20.0) * heat * J_KWH
    passed = abs(load.s[S_CAME_J]) + load.s[S_TAKEN_J] + heat * J_KWH
    assert abs(-load.s[S_STORED_J] - gained) <= 1e-9 * passed
    assert load.s[S_UNMET] >= 0.0


def test_a_year_switches_as_the_plain_twin(running) -> None:
    """Over a year of ten-minute steps, fed by a clock, the compressor runs and rests as the plain twin's."""
    draws, steps = np.random.default_rng(6), np.arange(6 * 24 * 365)
    outdoors = 12 - 9 * np.cos(2 * np.pi * steps / len(steps)) + 4 * np.sin(2 * np.pi * steps / 144)
    doors, fed = 0.3 * draws.random(len(steps)), steps % 144 < 130
    load = running(store(heat_kwh_k=0.5, min_off_s=300.0, door_w_k=40.0, condenser_c=None).compiled("c"))
    twin = plain_loads.Thermostat(-20.0, -18.0, -20.0, min_off=300.0)
    for warm, door, closed in zip(outdoors, doors, fed, strict=True):
        load.weather[0], load.use[0] = warm, door
        load.run(600, 600, closed=bool(closed))
        loss = 15 + 40 * door
        cold = 0.4 * 245.15 / (max(warm + 12, 25.0) + 28) * 1000.0
        twin.step(600, bool(closed), (25.0, 0.5 * J_KWH / loss), (25.0 - cold / loss, 0.5 * J_KWH / loss))
        assert load.s[S_RUN] == twin.runs
    assert load.s[S_AIR_C] == pytest.approx(twin.value, rel=1e-9)
    assert load.s[S_STARTS] == sum(on for _, on in twin.switchings) > 1000
