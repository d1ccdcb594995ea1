"""The storage water heater against closed forms, a reference integrator, a published day, and a plain twin."""

import numpy as np
import pytest
from hypothesis import assume, given, settings, strategies as st
from scipy.integrate import solve_ivp

from tests.loads import plain_tank
from tests.loads.conftest import Running
from wattwright.core.fields import Held
from wattwright.loads.columns import S_CALL, S_RUN, S_STARTS, S_STORED_J, S_UNMET, S_VALUE
from wattwright.loads.draws import EU_PROFILES, flows_l_s
from wattwright.loads.tank_kernels import HEAT_J_L_K, P_CONDUCT_W_K, S_DRAWN_J, S_HEAT_J, S_LOST_J, S_NODE, S_RAISED_C
from wattwright.loads.water_heater import WaterHeater, loss_w_per_k

pytestmark = pytest.mark.kernel
PUBLISHED_KWH = {"S": 2.100, "M": 5.845, "L": 11.655, "XL": 19.070}


def heater(**given) -> WaterHeater:
    """150 l, 2 kW, 1.5 W/K in a room of 20 degC, as in the cases of the textbook."""
    usual = {"volume_l": 150, "rating_w": 2000, "room_c": 20, "set_c": 60, "differential_k": 5, "limit_c": 80}
    held = {key: Held(value) for key, value in {**usual, **given}.items() if key not in ("nodes", "loss_w_k", "outdoors")}
    plain = {key: value for key, value in given.items() if key in ("nodes", "loss_w_k", "outdoors")}
    return WaterHeater(**{"loss_w_k": 1.5, "nodes": 1, **held, **plain})


def test_cooling_is_the_closed_form(running) -> None:
    """Off from 60 degC: 57.99 after 6 h, 56.08 after 12 h, 52.54 after 24 h (one node, closed form)."""
    tank = running(heater().compiled("t"))
    for hours, celsius in ((6, 57.99), (6, 56.08), (12, 52.54)):
        tank.run(3600 * hours, closed=False)
        assert tank.s[S_VALUE] == pytest.approx(celsius, abs=0.005)


def test_heating_takes_the_time_of_the_closed_form(running) -> None:
    """150 l from 15 to 60 degC at 2.0 kW: 3.978 h with the loss, 3.925 h without (one node; arithmetic of the closed form)."""
    for loss, hours in ((1.5, 3.978), (0.0, 3.925)):
        tank = running(heater(loss_w_k=loss, start_c=15).compiled("t"))
        # Four hours are too short to cool by the differential again, so there is a single run.
        assert tank.run(4 * 3600) / 2000 / 3600 == pytest.approx(hours, abs=0.0006)
        assert tank.s[S_STARTS] == 1


def test_thermostat_cycles_between_its_thresholds(running) -> None:
    """Over three days without draws the tank stays between 55 and 60 degC and is heated as often as the closed form says.

    Rest from 60 to 55: tau ln(40/35); heating back: tau ln((T_end - 55) / (T_end - 60)), T_end = 20 + 2000/1.5.
    """
    tank = running(heater().compiled("t"))
    tau_h = 150 * HEAT_J_L_K / 1.5 / 3600
    cycle_h = tau_h * (np.log(40 / 35) + np.log((2000 / 1.5 - 35) / (2000 / 1.5 - 40)))
    seen = []
    for _ in range(3 * 1440):
        tank.run(60)
        seen.append(tank.s[S_VALUE])
    assert 55 - 1e-9 <= min(seen) <= max(seen) <= 60 + 1e-9
    assert tank.s[S_STARTS] == np.floor((72 - tau_h * np.log(40 / 35)) / cycle_h) + 1


@pytest.mark.parametrize("nodes", [1, 2, 6, 10])
@pytest.mark.parametrize("profile", ["S", "M", "L", "XL"])
def test_the_energy_of_the_published_day_is_drawn(running, nodes: int, profile: str) -> None:
    """A tank that never runs cold gives the profile's energy within 0.5 % (Regulation (EU) 812/2013, Annex VII)."""
    tank = running(heater(volume_l=400, rating_w=9000, nodes=nodes, use_c=40).compiled("t"))
    for flow in flows_l_s(EU_PROFILES[profile], 60, 40.0, 10.0):
        tank.run(60, use0=flow)
    assert tank.s[S_UNMET] == 0
    assert tank.s[S_DRAWN_J] / 3.6e6 == pytest.approx(PUBLISHED_KWH[profile], rel=0.005)


@settings(max_examples=30)
@given(
    nodes=st.integers(1, 10), litres=st.floats(30, 500), kilowatts=st.floats(0.5, 6), upper=st.sampled_from([0.0, 2000.0]),
    loss=st.floats(0, 5), draws=st.lists(st.tuples(st.floats(0, 0.3), st.booleans(), st.floats(0, 70)), min_size=5, max_size=60),
)  # fmt: skip
def test_energy_is_kept(nodes, litres, kilowatts, upper, loss, draws) -> None:
    """Heat in less heat drawn and lost is what the tank gains, to 1e-9 of what passed; no layer is warmer than that above it."""
    tank = Running(heater(volume_l=litres, rating_w=1000 * kilowatts, upper_w=upper, loss_w_k=loss, nodes=nodes).compiled("t"))
    before = tank.s[S_NODE : S_NODE + nodes].sum()
    for flow, closed, raised in draws:
        tank.run(300, use0=flow, use1=raised, closed=closed)
    layers = tank.s[S_NODE : S_NODE + nodes]
    held = (layers.sum() - before) * litres / nodes * HEAT_J_L_K
    passed = tank.s[S_HEAT_J] + abs(tank.s[S_DRAWN_J]) + abs(tank.s[S_LOST_J]) + 1.0
    assert abs(tank.s[S_STORED_J] - held) <= 1e-9 * passed + 1e-9 * litres * HEAT_J_L_K
    assert (np.diff(layers) <= 1e-9).all()
    assert layers.max() <= 80 + 1e-6  # the heater's own limit


def reference(tank: dict, start: list[float], flows: np.ndarray, power_w: float, room: float, cold: float) -> np.ndarray:
    """A day of layers by scipy's RK45 (rtol 1e-8), minute by minute, with mixing as a strong exchange between inverted layers."""
    layers = np.array(start)

    def slope(_: float, now: np.ndarray, flow: float) -> np.ndarray:
        found = np.array(plain_tank.slopes(tank, list(now), room, cold, flow, power_w, len(now) - 1)[0])
        heat = tank["litres"] / len(now) * plain_tank.WATER
        rises = 2e4 * np.maximum(np.diff(now), 0.0)  # W: what is warmer below gives heat to what lies above it
        found[:-1] += rises / heat
        found[1:] -= rises / heat
        return found

    for flow in flows:
        layers = solve_ivp(slope, (0.0, 60.0), layers, method="RK45", rtol=1e-8, atol=1e-8, args=(flow,)).y[:, -1]
    return layers


@pytest.mark.parametrize(("nodes", "power_w"), [(6, 0.0), (6, 600.0), (3, 900.0)])
def test_layers_follow_the_reference_integrator(running, nodes: int, power_w: float) -> None:
    """Six hours of draws with the element held on or off: every layer within 0.05 K of scipy's RK45 at rtol 1e-8."""
    spec = heater(nodes=nodes, rating_w=max(power_w, 1.0), set_c=95, limit_c=95, start_c=60)
    tank = running(spec.compiled("t"))
    described = {"litres": 150.0, "ua": 1.5, "use": 40.0, "conduct": float(tank.params[0, P_CONDUCT_W_K])}
    flows = flows_l_s(EU_PROFILES["L"], 60, 40.0, 10.0)[6 * 60 : 12 * 60]
    for flow in flows:
        tank.run(60, use0=flow, closed=power_w > 0)
    wanted = reference(described, [60.0] * nodes, flows, power_w, 20.0, 10.0)
    assert tank.s[S_NODE : S_NODE + nodes] == pytest.approx(wanted, abs=0.05)


@pytest.mark.parametrize("power_w", [0.0, 500.0])
def test_standing_layers_follow_the_matrix_exponential(running, power_w: float) -> None:
    """Twenty minutes without a draw: scipy's matrix exponential of the same equations, every layer within 1e-6 K."""
    from scipy.linalg import expm

    tank = running(heater(nodes=6, rating_w=max(power_w, 1.0), set_c=95, limit_c=95, start_c=60).compiled("t"))
    tank.s[S_NODE : S_NODE + 6] = above = np.array([70.0, 66.0, 60.0, 55.0, 48.0, 30.0]) - 20.0
    tank.s[S_NODE : S_NODE + 6] += 20.0
    tank.s[S_CALL] = tank.s[S_RUN] = 1.0
    tank.run(1200, closed=power_w > 0.0)
    heat, conduct = 150.0 / 6 * HEAT_J_L_K, float(tank.params[0, P_CONDUCT_W_K])
    passed = np.diag(np.full(5, 1.0), 1) + np.diag(np.full(5, 1.0), -1)
    slopes = (conduct * (passed - np.diag(passed.sum(axis=0))) - 1.5 / 6 * np.eye(6)) / heat
    # Beside the layers a last row that stays 1: what the element in the lowest layer gives.
    whole = np.zeros((7, 7))
    whole[:6, :6], whole[5, 6] = slopes, power_w / heat
    wanted = (expm(1200.0 * whole) @ [*above, 1.0])[:6] + 20.0
    assert tank.s[S_NODE : S_NODE + 6] == pytest.approx(wanted, abs=1e-6)


@settings(max_examples=60)
@given(
    layers=st.lists(st.floats(10, 80), min_size=2, max_size=10), flow=st.just(0.0) | st.floats(0, 0.03), closed=st.booleans(),
    seconds=st.floats(1, 60), loss=st.floats(0, 5), watts=st.floats(100, 4000),
)  # fmt: skip
def test_one_step_is_that_of_the_plain_twin(layers, flow, closed, seconds, loss, watts) -> None:
    """From the same state, away from a threshold, the compiled step and the plain one agree to 1e-12."""
    layers = sorted(layers, reverse=True)
    tank = Running(heater(nodes=len(layers), set_c=95, limit_c=95, loss_w_k=loss, rating_w=watts, volume_l=200).compiled("t"))
    tank.s[S_NODE : S_NODE + len(layers)] = layers
    tank.s[S_CALL] = tank.s[S_RUN] = 1.0
    described = {"litres": 200.0, "ua": loss, "use": 40.0, "conduct": float(tank.params[0, P_CONDUCT_W_K])}
    tank.run(seconds, seconds, closed=closed, use0=flow)
    after, drawn, lost = plain_tank.step(described, layers, seconds, 20.0, 10.0, flow, watts if closed else 0.0, len(layers) - 1)
    assert tank.s[S_NODE : S_NODE + len(layers)] == pytest.approx(after, rel=1e-12)
    assert tank.s[S_DRAWN_J] == pytest.approx(drawn, rel=1e-12, abs=1e-6)
    assert tank.s[S_LOST_J] == pytest.approx(lost, rel=1e-11, abs=1e-6)


@settings(max_examples=100)
@given(
    now=st.floats(20, 90), set_c=st.floats(30, 70), apart=st.floats(1, 20), limit=st.floats(50, 95), called=st.booleans(),
    raised=st.sampled_from([0.0, 55.0, 60.0, 70.0]), before=st.sampled_from([0.0, 60.0]), nodes=st.integers(1, 6),
)  # fmt: skip
def test_the_thermostat_calls_as_the_plain_twin(now, set_c, apart, limit, called, raised, before, nodes) -> None:
    """In a step too short to move its temperature the thermostat calls as the plain one, heating-through begun or not."""
    spec = heater(nodes=nodes, set_c=set_c, differential_k=apart, limit_c=limit, start_c=now, rating_w=1)
    tank = Running(spec.compiled("t"))
    tank.s[S_CALL], tank.s[S_RAISED_C] = float(called), before
    target = min(max(set_c, raised), limit)
    assume(min(abs(now - target), abs(now - target + apart), abs(now - min(raised, limit))) > 1e-3)
    tank.run(1e-6, 1e-6, use1=raised)
    assert bool(tank.s[S_CALL]) == plain_tank.calling(called, now, set_c, apart, limit, raised, before)
    assert tank.s[S_RAISED_C] == raised


def test_mixing_valve_takes_the_published_share(running) -> None:
    """150 l at 60 degC give 270 l at 40 with water of 15, 250 l with water of 10 (closed form of the valve)."""
    for cold, litres in ((15.0, 270.0), (10.0, 250.0)):
        tank = running(heater(nodes=10, loss_w_k=1e-12).compiled("t"))
        tank.weather[1] = cold
        tank.run(60, use0=0.001, closed=False)
        drawn = tank.s[S_DRAWN_J] / (0.06 * HEAT_J_L_K * (40 - cold))
        assert drawn == pytest.approx(1.0, rel=1e-9)
        assert 150 * (60 - cold) / (40 - cold) == pytest.approx(litres)


def test_water_too_cold_is_counted(running) -> None:
    """A tank at 30 degC gives 40 l of 40 degC as 40 l that are too cold; one above it gives none such."""
    for start, unmet in ((30.0, 40.0), (60.0, 0.0)):
        tank = running(heater(start_c=start, nodes=4).compiled("t"))
        tank.run(400, 40, use0=0.1, closed=False)
        assert tank.s[S_UNMET] == pytest.approx(unmet)


def test_the_upper_element_goes_first_and_alone(running) -> None:
    """From cold, the top is hot long before the whole tank is, and never do both elements draw."""
    tank = running(heater(nodes=6, start_c=15, rating_w=2000, upper_w=3000).compiled("t"))
    powers = [tank.run(60) / 60 for _ in range(300)]
    assert max(powers) <= 3000 + 1e-6
    assert powers[0] == pytest.approx(3000)
    assert tank.s[S_NODE] == pytest.approx(60, abs=1)
    assert powers[120] == pytest.approx(2000)


def test_the_set_point_is_raised_but_never_beyond_the_limit(running) -> None:
    """Raised to 65 the tank is heated to 65; raised to 95 only to its own limit of 80."""
    for raised, highest in ((65.0, 65.0), (95.0, 80.0)):
        tank = running(heater(nodes=4).compiled("t"))
        tank.run(4 * 3600, use1=raised)
        assert tank.s[S_VALUE] <= highest + 1e-6
        assert tank.s[S_VALUE] >= highest - 5


@pytest.mark.parametrize(("nodes", "upper_w"), [(1, 0.0), (6, 0.0), (6, 1500.0)])
def test_heating_through_begins_within_the_differential(running, nodes: int, upper_w: float) -> None:
    """A tank of 58 degC is heated to 60 when heating-through to 60 begins, and then cycles as usual: it waits for 55 again."""
    tank = running(heater(nodes=nodes, upper_w=upper_w, start_c=58, set_c=55).compiled("t"))
    tank.run(60)
    assert tank.s[S_RUN] == 0
    tank.run(3600, use1=60.0)
    assert tank.s[S_RUN] == 0
    assert 59.5 < tank.s[S_VALUE] <= 60 + 1e-6
    starts = tank.s[S_STARTS]
    tank.run(3600)
    assert tank.s[S_STARTS] == starts


def test_heating_through_to_less_than_there_is_starts_nothing(running) -> None:
    """At 58 degC with the thermostat at 60, heating-through to 57 has nothing to do."""
    tank = running(heater(nodes=6, start_c=58, set_c=60).compiled("t"))
    tank.run(3600, use1=57.0)
    assert tank.s[S_STARTS] == 0


def test_loss_is_that_of_class_c() -> None:
    """1.438, 1.744, 1.911 and 2.183 W/K for 80, 150, 200 and 300 l (Regulation (EU) 812/2013, Annex II, class C over 45 K)."""
    assert [loss_w_per_k(v) for v in (80, 150, 200, 300)] == pytest.approx([1.438, 1.744, 1.911, 2.183], abs=0.0006)


def test_outdoors_the_loss_goes_to_the_weather(running) -> None:
    """A tank outdoors at 0 degC loses half as much again as one in a room of 20 degC: (60 - 0) / (60 - 20)."""
    lost = []
    for outdoors in (False, True):
        tank = running(heater(outdoors=outdoors).compiled("t"))
        tank.weather[0] = 0.0
        tank.run(60, closed=False)
        lost.append(tank.s[S_LOST_J])
    assert lost[1] / lost[0] == pytest.approx(1.5, rel=1e-4)


def test_flows_of_a_day_hold_its_energy() -> None:
    """The litres of the day times the heat of their rise are the published kWh, whatever the step; use must be above cold."""
    for name, kwh in PUBLISHED_KWH.items():
        for step in (1, 60, 900):
            litres = flows_l_s(EU_PROFILES[name], step, 45.0, 12.0).sum() * step
            assert litres * HEAT_J_L_K * 33 / 3.6e6 == pytest.approx(kwh, rel=1e-9)
    with pytest.raises(ValueError, match="warmer"):
        flows_l_s(EU_PROFILES["M"], 60, 10.0, 10.0)
