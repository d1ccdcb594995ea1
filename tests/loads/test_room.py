"""A heated or cooled room against exact cycles of a thermostat, its heat balance and a plain twin."""

import math

import numpy as np
import pytest
from hypothesis import given, settings, strategies as st
from pydantic import ValidationError

from tests.loads import plain_loads
from tests.loads.conftest import Running
from wattwright.core.fields import Held
from wattwright.loads.columns import S_CALL, S_RUN, S_RUN_S, S_SINCE, S_STARTS, S_STORED_J, S_UNMET, S_VALUE
from wattwright.loads.room import Room
from wattwright.loads.room_kernels import S_AIR_C, S_GAINED_J, S_GIVEN_J, S_LOST_J, S_MASS_C

pytestmark = pytest.mark.kernel
J_KWH = 3.6e6


def held(**given) -> dict:
    """Numbers in our units, for the fields that a person writes with a unit."""
    bare = ("mode", "heat_kwh_k", "loss_w_k", "cop", "cop_per_k", "cop_least", "mass_kwh_k", "exchange_w_k")
    return {key: value if key in bare else Held(value) for key, value in given.items()}


def a_room(**given) -> Room:
    """2 kWh/K, 200 W/K, 6 kW, 20 degC: the plant of the worked cycles."""
    return Room(**held(**{"rating_w": 6000.0, "heat_kwh_k": 2.0, "loss_w_k": 200.0, "set_c": 20.0, **given}))


def cycles(load: Running, starts: int, step_s: float = 60.0) -> tuple[float, float]:
    """Return (period, run) of a cycle in s, the mean of those between the second start and the last of ``starts``."""
    clock, begins, runs = 0.0, [], []
    while len(begins) < starts:
        before = load.s[S_STARTS]
        load.run(step_s, step_s)
        clock += step_s
        if load.s[S_STARTS] > before:
            begins.append(clock - load.s[S_SINCE])
            runs.append(load.s[S_RUN_S] - load.s[S_SINCE])
    return (begins[-1] - begins[1]) / (starts - 2), (runs[-1] - runs[1]) / (starts - 2)


@pytest.mark.parametrize(
    ("differential", "on_min", "off_min", "per_h"),
    [(0.5, 30.006, 15.001, 1.33312), (1.0, 60.05, 30.006, 0.66625), (2.0, 120.40, 60.05, 0.33250)],
)
def test_cycles_are_the_exact_ones(running, differential: float, on_min: float, off_min: float, per_h: float) -> None:
    """Run, rest and rate are those of the first-order closed form within 0.1 % (tau ln of the ends, load 2/3 of capacity)."""
    load = running(a_room(differential_k=differential).compiled("r"))
    load.weather[0] = 0.0
    period, run = cycles(load, 12)
    assert run / 60 == pytest.approx(on_min, rel=0.001)
    assert (period - run) / 60 == pytest.approx(off_min, rel=0.001)
    assert 3600 / period == pytest.approx(per_h, rel=0.001)


@pytest.mark.parametrize("share", [0.1, 0.25, 0.5, 0.75, 0.9])
def test_rate_follows_the_parabola_of_the_load(running, share: float) -> None:
    """With a small differential the rate is 4 N X (1 - X), N = Q / (4 C D): the curve of NEMA DC 3, here derived."""
    load = running(a_room(differential_k=0.1).compiled("r"))
    load.weather[0] = 20.0 - share * 6000 / 200
    period, _ = cycles(load, 12)
    highest = 6000 / (4 * 2000 * 0.1)
    assert 3600 / period == pytest.approx(4 * highest * share * (1 - share), rel=0.001)


def test_shortest_times_limit_the_rate(running) -> None:
    """With 5 min on and 5 min off at the least, a room that would cycle faster does so 6 times an hour: 60 / (5 + 5)."""
    load = running(a_room(differential_k=0.001, min_on_s=300.0, min_off_s=300.0).compiled("r"))
    load.weather[0] = 5.0  # half load, so that both times are the shortest
    period, run = cycles(load, 20)
    assert 3600 / period == pytest.approx(6.0, rel=0.001)
    assert run == pytest.approx(300.0, rel=0.001)


def test_without_feed_nothing_runs(running) -> None:
    """A room that is not fed drifts to the outdoors in the closed form, even within the shortest run."""
    load = running(a_room(min_on_s=3600.0).compiled("r"))
    load.weather[0] = 0.0
    load.run(7200)
    load.run(600, closed=True)
    start = load.s[S_VALUE]
    assert load.run(36_000, closed=False) == 0.0
    assert load.s[S_VALUE] == pytest.approx(start * math.exp(-1.0), rel=1e-12)  # tau is 10 h
    assert load.s[S_RUN] == 0


def test_cooling_runs_the_other_way(running) -> None:
    """A room of 30 degC outdoors and 24 degC set stays between 23.5 and 24.5 degC, and the cold given is COP times the power."""
    load = running(a_room(mode="cool", set_c=24.0, cop=3.0, cop_at_c=30.0, cop_per_k=-0.05, rating_w=2000.0).compiled("r"))
    load.weather[0] = 32.0
    used = load.run(86_400, use0=500.0)
    assert 23.5 - 1e-9 <= load.s[S_VALUE] <= 24.5 + 1e-9
    assert load.s[S_GIVEN_J] == pytest.approx(-2.9 * used, rel=1e-12)
    assert load.s[S_UNMET] == 0.0


def test_performance_never_falls_below_its_least(running) -> None:
    """At -40 degC a heat pump of 3 at 7 degC, less 0.1 a kelvin, gives no less than plain heat."""
    load = running(a_room(cop=3.0, cop_per_k=0.1).compiled("r"))
    load.weather[0] = -40.0
    used = load.run(3600)
    assert load.s[S_GIVEN_J] == pytest.approx(used)
    assert used > 0


def test_degree_seconds_outside_the_band(running) -> None:
    """Cooling from 20 degC to 0 outdoors, limit 19: the closed form of 19 t - integral of T after T fell under 19."""
    load = running(a_room().compiled("r"))
    load.weather[0] = 0.0
    load.run(36_000, closed=False)
    under = 36_000 * math.log(20 / 19)
    rest = 36_000 - under
    assert load.s[S_UNMET] == pytest.approx(19 * rest - 19 * 36_000 * (1 - math.exp(-rest / 36_000)), rel=1e-9)


def test_degree_seconds_are_the_sum_over_small_steps(running) -> None:
    """Warming through the band from below and out above: the sum by steps of 1 s agrees, and so does one step at once."""

    def made() -> Running:
        load = running(a_room(low_c=19.0, high_c=21.0, start_c=18.0).compiled("r"))
        load.weather[0] = 30.0
        return load

    at_once, slowly = made(), made()
    at_once.run(36_000, 36_000, closed=False)
    total = 0.0
    for _ in range(3600):
        slowly.run(10, 10, closed=False)
        total += 10 * max(0.0, 19 - slowly.s[S_VALUE], slowly.s[S_VALUE] - 21)
    assert at_once.s[S_UNMET] == pytest.approx(slowly.s[S_UNMET], rel=1e-9)
    assert at_once.s[S_UNMET] == pytest.approx(total, rel=2e-3)


def test_sun_and_people_warm_it(running) -> None:
    """At rest a room stands at outdoors plus gains over loss: (300 W + 2 m2 x 500 W/m2) / 200 W/K = 6.5 K."""
    load = running(a_room(sun_m2=2.0, set_c=5.0).compiled("r"))
    load.weather[[0, 2]] = 10.0, 500.0
    load.run(40 * 86_400, 3600, use0=300.0)
    assert load.s[S_VALUE] == pytest.approx(16.5, rel=1e-9)


@settings(max_examples=60)
@given(
    now=st.floats(-10, 40), outdoors=st.floats(-20, 40), gains=st.floats(0, 3000), heat=st.floats(0.05, 20),
    loss=st.floats(5, 1000), seconds=st.floats(1, 60), runs=st.booleans(),
)  # fmt: skip
def test_one_step_is_that_of_the_plain_twin(now, outdoors, gains, heat, loss, seconds, runs) -> None:
    """From the same state, away from a threshold, temperature and heat lost agree to 1e-12."""
    spec = a_room(heat_kwh_k=heat, loss_w_k=loss, set_c=59.0 if runs else -29.0, rating_w=500.0, start_c=now)
    load = Running(spec.compiled("r"))
    load.weather[0] = outdoors
    load.run(seconds, seconds, use0=gains)
    after, lost = plain_loads.room(now, seconds, heat=heat * J_KWH, loss=loss, outdoors=outdoors, gains=gains, given=500.0 * runs)
    assert load.s[S_AIR_C] == pytest.approx(after, rel=1e-12, abs=1e-11)
    assert load.s[S_LOST_J] == pytest.approx(lost, rel=1e-11, abs=1e-7)
    assert load.s[S_RUN] == runs


def test_a_year_switches_as_the_plain_twin(running) -> None:
    """Over a year of ten-minute steps, fed by a clock, every run and rest is that of the plain twin."""
    draws = np.random.default_rng(5)
    steps = np.arange(6 * 24 * 365)
    outdoors = (
        8 - 9 * np.cos(2 * np.pi * steps / len(steps)) + 4 * np.sin(2 * np.pi * steps / 144) + draws.normal(0, 1, len(steps))
    )
    gains = 300 * draws.random(len(steps))
    fed = (steps % 144 < 130) | (steps % 1440 < 144)
    load = running(a_room(heat_kwh_k=0.5, min_off_s=180.0).compiled("r"))
    twin = plain_loads.Thermostat(20.0, 19.5, 20.5, min_off=180.0)
    tau = 0.5 * J_KWH / 200
    for warm, gain, closed in zip(outdoors, gains, fed, strict=True):
        load.weather[0], load.use[0] = warm, gain
        load.run(600, 600, closed=bool(closed))
        rest = warm + gain / 200
        twin.step(600, bool(closed), (rest, tau), (rest + 30, tau))
        assert load.s[S_RUN] == twin.runs
    assert load.s[S_VALUE] == pytest.approx(twin.value, rel=1e-9)
    assert load.s[S_CALL] == twin.calls
    on_times = np.array([when for when, on in twin.switchings if on])
    off_times = np.array([when for when, on in twin.switchings if not on] + ([twin.clock] if twin.runs else []))
    assert load.s[S_RUN_S] == pytest.approx((off_times - on_times).sum(), rel=1e-9)
    assert load.s[S_STARTS] == len(on_times) > 2000


@settings(max_examples=40)
@given(
    steps=st.lists(st.tuples(st.floats(-20, 40), st.floats(0, 2000), st.floats(0, 900), st.booleans()), min_size=3, max_size=40),
    mode=st.sampled_from(["heat", "cool"]), heat=st.floats(0.02, 10), loss=st.floats(5, 2000), min_off=st.floats(0, 900),
)  # fmt: skip
def test_heat_is_kept(steps, mode, heat, loss, min_off) -> None:
    """What is gained and given less what is lost is what the room holds more, to 1e-9 of what passed."""
    load = Running(a_room(mode=mode, heat_kwh_k=heat, loss_w_k=loss, min_off_s=min_off, sun_m2=1.0).compiled("r"))
    sign = 1 if mode == "heat" else -1
    for outdoors, gains, sun, closed in steps:
        load.weather[[0, 2]] = outdoors, sun
        load.run(600, 300, closed=closed, use0=gains)
    stored = (load.s[S_AIR_C] - 20.0) * heat * J_KWH
    passed = abs(load.s[S_LOST_J]) + load.s[S_GAINED_J] + abs(load.s[S_GIVEN_J]) + heat * J_KWH
    assert abs(sign * load.s[S_STORED_J] - stored) <= 1e-9 * passed
    assert sign * load.s[S_GIVEN_J] >= 0


def test_limits_in_the_wrong_order_are_refused() -> None:
    """A room that is too warm below where it is too cold is no room."""
    with pytest.raises(ValidationError, match="low limit"):
        a_room(low_c=22.0, high_c=20.0)
    assert a_room(low_c=18.0, high_c=24.0).band() == (18.0, 24.0)


@settings(max_examples=60)
@given(
    air=st.floats(-10, 40), mass=st.floats(-10, 40), outdoors=st.floats(-20, 40), gains=st.floats(0, 3000), runs=st.booleans(),
    sun=st.floats(0, 1000), light=st.floats(0.05, 5), heavy=st.floats(0.5, 50), loss=st.floats(5, 500),
    exchange=st.floats(50, 2000), seconds=st.floats(1, 60),
)  # fmt: skip
def test_one_step_of_air_and_mass_is_that_of_the_plain_twin(
    air, mass, outdoors, gains, runs, sun, light, heavy, loss, exchange, seconds
) -> None:
    """From the same state, away from a threshold, both temperatures and the heat lost agree to 1e-12."""
    spec = a_room(
        heat_kwh_k=light, mass_kwh_k=heavy, loss_w_k=loss, exchange_w_k=exchange, rating_w=500.0, sun_m2=1.0,
        set_c=59.0 if runs else -29.0,
    )  # fmt: skip
    load = Running(spec.compiled("r"))
    load.s[S_AIR_C], load.s[S_MASS_C] = air, mass
    load.weather[[0, 2]] = outdoors, sun
    load.run(seconds, seconds, use0=gains)
    assert load.s[S_RUN] == runs
    after, kept, lost = plain_loads.heavy_room(
        air, mass, seconds, light=light * J_KWH, heavy=heavy * J_KWH, loss=loss, exchange=exchange, outdoors=outdoors,
        gains=gains + 500.0 * runs, sun=sun,
    )  # fmt: skip
    assert load.s[S_AIR_C] == pytest.approx(after, rel=1e-12, abs=1e-11)
    assert load.s[S_MASS_C] == pytest.approx(kept, rel=1e-12, abs=1e-11)
    # A curve's integral is taken between large ends: what counts is the heat they stand for.
    assert load.s[S_LOST_J] == pytest.approx(lost, rel=1e-9, abs=1e-6 * loss)


def test_air_and_mass_cycle_between_the_thresholds(running) -> None:
    """The thermostat keeps the air in its band, the mass follows, and over ten days heat given is heat lost and kept."""
    load = running(a_room(heat_kwh_k=0.2, mass_kwh_k=5.0, exchange_w_k=600.0, low_c=19.4, high_c=20.6).compiled("r"))
    load.weather[0] = 0.0
    seen = []
    for _ in range(1440):
        load.run(600, 60)
        seen.append(load.s[S_VALUE])
    assert 19.5 - 1e-9 <= min(seen) <= max(seen) <= 20.5 + 1e-9
    assert 19.5 < load.s[S_MASS_C] < 20.5
    assert load.s[S_UNMET] == 0.0
    kept = 0.2 * J_KWH * (load.s[S_AIR_C] - 20) + 5.0 * J_KWH * (load.s[S_MASS_C] - 20)
    assert load.s[S_STORED_J] == pytest.approx(kept, abs=1e-9 * load.s[S_GIVEN_J])
    assert load.s[S_STARTS] > 100


def test_a_heavy_room_far_outside_its_band_counts_it(running) -> None:
    """Unheated for a day at 0 degC, the degree-seconds are those of the plain twin's air by small steps."""
    load = running(a_room(heat_kwh_k=0.2, mass_kwh_k=5.0, exchange_w_k=600.0).compiled("r"))
    load.weather[0] = 0.0
    load.run(86_400, 600, closed=False)

    def slope(x):
        passes = 600 * (x[1] - x[0])
        return [(passes - 200 * x[0]) / (0.2 * J_KWH), -passes / (5 * J_KWH), max(0.0, 19.0 - x[0])]

    air, mass, total = 20.0, 20.0, 0.0
    for _ in range(8640):
        air, mass, more = plain_loads.march(slope, [air, mass, 0.0], 10.0, 2)
        total += more
    assert load.s[S_VALUE] == pytest.approx(air, rel=1e-9)
    assert load.s[S_UNMET] == pytest.approx(total, rel=1e-6)
