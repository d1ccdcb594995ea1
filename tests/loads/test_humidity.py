"""Moist air against psychrolib, a room's moisture against worked balances, and a plain twin."""

import math
import sys
from importlib import import_module
from unittest.mock import patch

import numpy as np
import pytest
from hypothesis import given, settings, strategies as st
from pydantic import ValidationError

from tests.loads import plain_loads
from tests.loads.conftest import Running
from wattwright.core.fields import Held
from wattwright.loads.air_kernels import (
    P_AIR_KG,
    P_DRY_KG_S,
    P_FAN_KG_S,
    P_LEAK_KG_S,
    S_CONDENSED_KG,
    S_GAINED_KG,
    S_RATIO,
    S_TAKEN_KG,
    S_VENTED_KG,
)
from wattwright.loads.columns import S_RUN, S_RUN_S, S_STARTS, S_STORED_J, S_UNMET, S_VALUE
from wattwright.loads.humidity import DryRoom
from wattwright.loads.moist_air_kernels import air_kg_m3, humidity_ratio, relative_humidity, saturation_pa

pytestmark = pytest.mark.kernel
with patch.dict(sys.modules, {"numba": None}):
    # The reference runs as plain Python in both passes: it cannot be compiled where compiling is switched off.
    psychrolib = import_module("psychrolib")
psychrolib.SetUnitSystem(psychrolib.SI)
OUT, SOURCE = 3, 0.40 / 3600
BARE = ("room_m3", "changes", "buffer", "unheated", "fan_m3_h", "pressure_pa")


def a_room(**given) -> DryRoom:
    """75 m3 at 20 degC, half an air change an hour: the room of the worked balance."""
    wanted = {"rating_w": 300.0, "room_m3": 75.0, "takes_l_day": 12.0, **given}
    return DryRoom(**{key: value if key in BARE else Held(value) for key, value in wanted.items()})


@settings(max_examples=200)
@given(celsius=st.floats(-40, 60), share=st.floats(0.02, 1.0), pressure=st.floats(70_000, 105_000))
def test_moist_air_is_that_of_psychrolib(celsius: float, share: float, pressure: float) -> None:
    """Saturation, humidity ratio, relative humidity and dry air in a cubic metre within 0.1 % of psychrolib."""
    ratio = humidity_ratio(celsius, share, pressure)
    assert saturation_pa(celsius) == pytest.approx(psychrolib.GetSatVapPres(celsius), rel=1e-3)
    assert ratio == pytest.approx(psychrolib.GetHumRatioFromRelHum(celsius, share, pressure), rel=1e-3, abs=1.1e-7)
    assert relative_humidity(celsius, ratio, pressure) == pytest.approx(share, rel=1e-12)
    volume = psychrolib.GetMoistAirVolume(celsius, ratio, pressure)
    assert air_kg_m3(celsius, ratio, pressure) == pytest.approx(1 / volume, rel=1e-3)


def test_the_worked_balance_of_a_damp_room(running) -> None:
    """0.40 kg/h at 20 degC, 60 %, against 5 degC, 90 %: air removes 0.1745 kg/h, the dehumidifier 0.2255, 5.41 l a day.

    Worked with air of 1.2 kg/m3; ours is that of the room, 1.187, so the air's part is 1 % less.
    """
    load = running(a_room(begin=0.601, cease=0.599).compiled("a"))
    load.weather[OUT] = 0.004858  # 5 degC, 90 %: psychrolib
    load.run(86_400, use0=SOURCE)
    vented, taken = load.s[S_VENTED_KG], load.s[S_TAKEN_KG]
    load.run(10 * 86_400)
    per_h = (load.s[[S_VENTED_KG, S_TAKEN_KG]] - [vented, taken]) / 240
    assert per_h == pytest.approx([0.1745 * 1.187 / 1.2, 0.4 - 0.1745 * 1.187 / 1.2], rel=0.003)
    assert per_h == pytest.approx([0.1745, 0.2255], rel=0.011)
    assert 59.9 - 1e-6 <= load.s[S_VALUE] <= 60.1 + 1e-6


def test_drying_takes_the_worked_water(running) -> None:
    """From 70 to 60 % at 20 degC the air of 75 m3 gives up 0.134 kg (90.3 kg of air; ours has 89)."""
    load = running(a_room(start=0.7, cease=0.6, begin=0.65, changes=1e-9).compiled("a"))
    load.run(86_400, 60)
    assert load.s[S_TAKEN_KG] == pytest.approx(0.134, rel=0.02)
    assert load.s[S_STARTS] == 1
    assert load.s[S_STORED_J] == pytest.approx(load.s[S_TAKEN_KG] * 300 / (12 / 86_400), rel=1e-6)


def test_cycles_are_the_closed_form(running) -> None:
    """Rest and run are tau ln of the distances to their ends, from psychrolib's ratios, within 0.1 %."""
    spec = a_room(begin=0.62, cease=0.58)
    load = running(spec.compiled("a"))
    load.weather[OUT] = 0.004
    p = load.params[0]
    damp, dry = (psychrolib.GetHumRatioFromRelHum(20.0, share, 101_325.0) for share in (0.62, 0.58))
    rest_end, rest_tau = 0.004 + SOURCE / p[P_LEAK_KG_S], p[P_AIR_KG] / p[P_LEAK_KG_S]
    moved = p[P_LEAK_KG_S] + p[P_DRY_KG_S]
    run_end, run_tau = (p[P_LEAK_KG_S] * 0.004 + SOURCE) / moved, p[P_AIR_KG] / moved
    rest = rest_tau * math.log((rest_end - dry) / (rest_end - damp))
    run = run_tau * math.log((damp - run_end) / (dry - run_end))
    load.run(5 * 86_400, use0=SOURCE)
    assert load.s[S_RUN_S] / load.s[S_STARTS] == pytest.approx(run, rel=0.02)  # the last run may be cut
    assert load.s[S_STARTS] == pytest.approx(5 * 86_400 / (rest + run), abs=1.5)


def test_a_fan_dries_by_outdoor_air(running) -> None:
    """A fan alone brings the room to the balance of source and both airs; a year of it takes no water by itself."""
    load = running(a_room(takes_l_day=0.0, fan_m3_h=75.0, cease=0.01, begin=0.02).compiled("a"))
    load.weather[OUT] = 0.004
    load.run(10 * 86_400, 3600, use0=SOURCE)
    p = load.params[0]
    assert load.s[S_RATIO] == pytest.approx(0.004 + SOURCE / (p[P_LEAK_KG_S] + p[P_FAN_KG_S]), rel=1e-9)
    assert p[P_FAN_KG_S] == pytest.approx(2 * p[P_LEAK_KG_S])
    assert load.s[S_TAKEN_KG] == load.s[S_STORED_J] == 0.0


def test_water_beyond_saturation_condenses(running) -> None:
    """An unheated room at 0 degC with much water is full at 100 %, and the rest condenses."""
    load = running(a_room(unheated=True).compiled("a"))
    load.weather[[0, OUT]] = 0.0, 0.003
    load.run(86_400, closed=False, use0=SOURCE)
    assert load.s[S_VALUE] == pytest.approx(100.0)
    assert load.s[S_RATIO] == pytest.approx(0.003774, rel=1e-3)  # psychrolib, saturated at 0 degC
    assert load.s[S_CONDENSED_KG] > 0


def test_dampness_over_the_limit_is_counted(running) -> None:
    """A room kept at 75 % over a limit of 65 gathers 10 per cent for each second, reckoned straight, so within 2 %."""
    load = running(a_room(start=0.75, changes=1000.0 / 60).compiled("a"))
    load.weather[OUT] = psychrolib.GetHumRatioFromRelHum(20.0, 0.75, 101_325.0)
    load.run(36_000, closed=False)
    assert load.s[S_UNMET] == pytest.approx(10 * 36_000, rel=0.02)


@settings(max_examples=60)
@given(
    share=st.floats(0.3, 0.9), out=st.floats(0, 0.02), source=st.floats(0, 3e-4), changes=st.floats(0.1, 10), runs=st.booleans(),
    fan=st.floats(0, 500), takes=st.floats(1, 50), seconds=st.floats(1, 60),
)  # fmt: skip
def test_one_step_is_that_of_the_plain_twin(share, out, source, changes, runs, fan, takes, seconds) -> None:
    """From the same state, away from a threshold, water in the air, carried out and taken agree to 1e-12."""
    band = {"begin": 0.02, "cease": 0.01} if runs else {"begin": 0.99, "cease": 0.98}
    load = Running(a_room(start=share, changes=changes, fan_m3_h=fan, takes_l_day=takes, **band).compiled("a"))
    load.weather[OUT] = out
    before, p = float(load.s[S_RATIO]), load.params[0]
    load.run(seconds, seconds, use0=source)
    after, vented, taken = plain_loads.moist_air(
        before, seconds, mass=p[P_AIR_KG], moved=p[P_LEAK_KG_S] + runs * p[P_FAN_KG_S], outdoors=out, source=source,
        dries=runs * p[P_DRY_KG_S],
    )  # fmt: skip
    assert load.s[S_RUN] == runs
    if load.s[S_CONDENSED_KG] == 0:
        assert load.s[S_RATIO] == pytest.approx(after, rel=1e-12)
    assert load.s[S_VENTED_KG] == pytest.approx(vented, rel=1e-11, abs=1e-14)
    assert load.s[S_TAKEN_KG] == pytest.approx(taken, rel=1e-11, abs=1e-14)


@settings(max_examples=40)
@given(
    steps=st.lists(st.tuples(st.floats(-10, 35), st.floats(0, 0.02), st.floats(0, 5e-4), st.booleans()), min_size=3, max_size=40),
    unheated=st.booleans(), buffer=st.floats(1, 20), min_off=st.floats(0, 900), fan=st.floats(0, 300),
)  # fmt: skip
def test_water_is_kept(steps, unheated, buffer, min_off, fan) -> None:
    """What comes less what is carried out, taken and condensed is what the air holds more, to 1e-9 of what passed."""
    load = Running(a_room(unheated=unheated, buffer=buffer, min_off_s=min_off, fan_m3_h=fan).compiled("a"))
    before, mass = float(load.s[S_RATIO]), load.params[0, P_AIR_KG]
    for celsius, out, source, closed in steps:
        load.weather[[0, OUT]] = celsius, out
        load.run(900, 300, closed=closed, use0=source)
    flows = load.s[[S_GAINED_KG, S_VENTED_KG, S_TAKEN_KG, S_CONDENSED_KG]]
    assert abs(flows @ [1, -1, -1, -1] - mass * (load.s[S_RATIO] - before)) <= 1e-9 * (np.abs(flows).sum() + mass * before)
    assert load.s[S_RATIO] >= 0


def test_what_cannot_be_is_refused() -> None:
    """A hygrostat turned about, and a room without anything that dries."""
    with pytest.raises(ValidationError, match="to begin"):
        a_room(begin=0.5, cease=0.6)
    with pytest.raises(ValidationError, match="or both"):
        a_room(takes_l_day=0.0)


def test_a_year_switches_as_the_plain_twin(running) -> None:
    """Over a year of ten-minute steps, fed by a clock, the dehumidifier runs and rests as the plain twin's."""
    draws, steps = np.random.default_rng(8), np.arange(6 * 24 * 365)
    out = 0.006 - 0.002 * np.cos(2 * np.pi * steps / len(steps)) + 0.0005 * draws.random(len(steps))
    sources, fed = 2 * SOURCE * draws.random(len(steps)), steps % 144 < 130
    load = running(a_room(buffer=3.0, min_off_s=300.0).compiled("a"))
    p = load.params[0]
    damp, dry = (humidity_ratio(20.0, share, 101_325.0) for share in (0.62, 0.58))
    assert damp == pytest.approx(psychrolib.GetHumRatioFromRelHum(20.0, 0.62, 101_325.0), rel=1e-3)
    twin = plain_loads.Thermostat(float(load.s[S_RATIO]), damp, dry, min_off=300.0)
    moved = p[P_LEAK_KG_S] + p[P_DRY_KG_S]
    for ratio, source, closed in zip(out, sources, fed, strict=True):
        load.weather[OUT], load.use[0] = ratio, source
        load.run(600, 600, closed=bool(closed))
        rest = (ratio + source / p[P_LEAK_KG_S], p[P_AIR_KG] / p[P_LEAK_KG_S])
        twin.step(600, bool(closed), rest, ((p[P_LEAK_KG_S] * ratio + source) / moved, p[P_AIR_KG] / moved))
        assert load.s[S_RUN] == twin.runs
    assert load.s[S_CONDENSED_KG] == 0.0
    assert load.s[S_RATIO] == pytest.approx(twin.value, rel=1e-9)
    assert load.s[S_STARTS] == sum(on for _, on in twin.switchings) > 1000
