"""A greenhouse against its balance at rest, heat and water kept, and a plain twin."""

import pytest
from hypothesis import given, settings, strategies as st

from tests.loads import plain_loads
from tests.loads.conftest import Running
from wattwright.core.fields import Held
from wattwright.loads.columns import S_RUN, S_STORED_J, S_UNMET, S_VALUE
from wattwright.loads.greenhouse import Greenhouse
from wattwright.loads.greenhouse_kernels import (
    P_AIR_KG,
    P_LEAK_KG_S,
    P_UA_W_K,
    P_VENT_KG_S,
    S_AIR_C,
    S_CONDENSED_KG,
    S_EVAPORATED_KG,
    S_GAINED_J,
    S_LOST_J,
    S_RATIO,
    S_RELATIVE,
    S_VENT,
    S_VENTED_KG,
)

pytestmark = pytest.mark.kernel
BARE = ("cover_w_m2_k", "height_m3_m2", "changes", "vent_changes")
HEAT = 150_000.0 * 50


def house(**given) -> Greenhouse:
    """50 m2 under 120 m2 of glass, heated with 6 kW."""
    wanted = {"rating_w": 6000.0, "floor_m2": 50.0, "cover_m2": 120.0, **given}
    return Greenhouse(**{key: value if key in BARE else Held(value) for key, value in wanted.items()})


def loss(load: Running) -> float:
    return load.params[0, P_UA_W_K] + 1006 * load.params[0, P_LEAK_KG_S]


def test_frost_is_kept_off_by_heat_for_the_loss(running) -> None:
    """At -1 degC outdoors it stays within 5 to 6 degC, and the mean power is the loss times the rise."""
    load = running(house(start_c=5.0).compiled("g"))
    load.weather[0] = -1.0
    load.run(86_400)
    used, low = load.run(86_400), load.s[S_VALUE]
    assert 5 - 1e-9 <= low <= 6 + 1e-9
    assert loss(load) * 6.0 < used / 86_400 < loss(load) * 7.0
    assert load.s[S_UNMET] == 0.0
    load.run(86_400, closed=False)
    assert load.s[S_UNMET] > 0.0


def test_a_closed_house_stands_at_sun_over_loss(running) -> None:
    """With no vents it rests at outdoors plus what of the sun is not evaporated over the loss: 0.6 x 35 m2 x 400 W/m2."""
    load = running(house(vent_changes=0.0, high_c=15.0).compiled("g"))
    load.weather[[0, 2]] = 5.0, 400.0
    load.run(5 * 86_400)
    assert load.s[S_VALUE] == pytest.approx(5 + 0.6 * 35 * 400 / loss(load), rel=1e-9)
    assert load.s[S_UNMET] > 0.0


def test_vents_open_in_proportion_and_cool(running) -> None:
    """On a warm day the vents find the opening at which air and sun balance; the temperature stays under that without vents."""
    load = running(house(start_c=20.0).compiled("g"))
    load.weather[[0, 2]] = 20.0, 400.0
    load.run(2 * 86_400)
    share, now = load.s[S_VENT], load.s[S_AIR_C]
    assert share == pytest.approx((now - 24) / 4, abs=1e-6)
    assert 0 < share < 1
    moved = 1006 * share * load.params[0, P_VENT_KG_S]
    assert (loss(load) + moved) * (now - 20) == pytest.approx(0.6 * 35 * 400, rel=1e-6)


def test_air_under_glass_gets_damp(running) -> None:
    """Sun evaporates 0.4 of its heat at 2.45 MJ/kg; at rest that is what the air carries out; at night it condenses."""
    load = running(house(vent_changes=0.0, changes=5.0).compiled("g"))
    load.weather[[0, 2, 3]] = 15.0, 100.0, 0.005
    load.run(2 * 86_400)
    assert load.s[S_EVAPORATED_KG] == pytest.approx(0.4 * 35 * 100 * 2 * 86_400 / 2.45e6)
    expected = 0.005 + 0.4 * 35 * 100 / 2.45e6 / load.params[0, P_LEAK_KG_S]
    assert load.s[S_RATIO] == pytest.approx(expected, rel=1e-6)
    load.weather[[0, 2]] = 0.0, 0.0
    load.run(36_000, use0=1e-3)
    assert load.s[S_CONDENSED_KG] > 0
    assert load.s[S_RELATIVE] == pytest.approx(100.0)


@settings(max_examples=60)
@given(now=st.floats(-5, 23), outdoors=st.floats(-20, 35), sun=st.floats(0, 1000), runs=st.booleans(), seconds=st.floats(1, 60))
def test_one_step_is_that_of_the_plain_twin(now, outdoors, sun, runs, seconds) -> None:
    """From the same state with shut vents, away from a threshold, air, heat lost and water agree to 1e-12."""
    load = Running(house(start_c=now, humidity=0.4, set_c=34.0 if runs else -5.0).compiled("g"))
    load.weather[[0, 2, 3]] = outdoors, sun, 0.002
    ratio, p = float(load.s[S_RATIO]), load.params[0]
    if not runs and now <= -5.0:
        return
    load.run(seconds, seconds)
    after, lost = plain_loads.room(
        now, seconds, heat=HEAT, loss=loss(load), outdoors=outdoors, gains=0.6 * 35 * sun, given=6000.0 * runs
    )
    source = 0.4 * 35 * sun / 2.45e6
    wet, out, _ = plain_loads.moist_air(
        ratio, seconds, mass=p[P_AIR_KG], moved=p[P_LEAK_KG_S], outdoors=0.002, source=source, dries=0.0
    )
    assert load.s[S_RUN] == runs
    assert load.s[S_AIR_C] == pytest.approx(after, rel=1e-12, abs=1e-11)
    assert load.s[S_LOST_J] == pytest.approx(lost, rel=1e-11, abs=1e-6)
    if load.s[S_CONDENSED_KG] == 0.0:
        assert load.s[S_RATIO] == pytest.approx(wet, rel=1e-12)
    assert load.s[S_VENTED_KG] == pytest.approx(out, rel=1e-9, abs=1e-12)


@settings(max_examples=40)
@given(
    steps=st.lists(
        st.tuples(st.floats(-15, 35), st.floats(0, 1000), st.floats(0, 0.015), st.booleans()), min_size=3, max_size=40
    ),
    min_off=st.floats(0, 900),
)
def test_heat_and_water_are_kept(steps, min_off) -> None:
    """Heat gained less lost is what it holds more, and so for water, to 1e-9 of what passed."""
    load = Running(house(min_off_s=min_off).compiled("g"))
    before, mass = float(load.s[S_RATIO]), load.params[0, P_AIR_KG]
    for outdoors, sun, ratio, closed in steps:
        load.weather[[0, 2, 3]] = outdoors, sun, ratio
        load.run(600, 60, closed=closed, use0=1e-5)
    stored = (load.s[S_AIR_C] - 10.0) * HEAT
    assert abs(load.s[S_STORED_J] - stored) <= 1e-9 * (load.s[S_GAINED_J] + abs(load.s[S_LOST_J]) + HEAT)
    water = load.s[[S_EVAPORATED_KG, S_VENTED_KG, S_CONDENSED_KG]]
    passed = abs(water).sum() + mass * before
    assert abs(water @ [1, -1, -1] - mass * (load.s[S_RATIO] - before)) <= 1e-9 * passed
