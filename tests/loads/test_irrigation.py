"""A watered zone against the worked values of FAO-56, its water balance and a plain twin."""

import numpy as np
import pytest
from hypothesis import given, settings, strategies as st
from pydantic import ValidationError

from tests.loads import plain_loads
from tests.loads.conftest import Running
from wattwright.core.fields import Held
from wattwright.loads.columns import S_RUN, S_STARTS, S_STORED_J, S_UNMET, S_VALUE
from wattwright.loads.irrigation import Irrigation
from wattwright.loads.soil_kernels import (
    S_DEEP_MM,
    S_DEPLETION_MM,
    S_IRRIGATED_MM,
    S_RAN_OFF_MM,
    S_SOAKED_MM,
    S_STRESS,
    S_USED_MM,
    depletable,
    stress,
)

pytestmark = pytest.mark.kernel
ET0, RAIN = 4, 5
UNITS = ("rating_w", "area_m2", "efficiency", "field_capacity", "wilting_point", "roots_m", "depletable")
DAY_S = 86_400


def zone(**given) -> Irrigation:
    """100 m2 at 1200 l/h and 90 %: 10.8 mm/h net; the soil and roots of FAO-56's example 37."""
    usual = {
        "rating_w": 750.0,
        "area_m2": 100.0,
        "pumped_l_h": 1200.0,
        "efficiency": 0.9,
        "field_capacity": 0.32,
        "wilting_point": 0.12,
    }
    wanted = {**usual, "roots_m": 0.8, "depletable": 0.4, "crop": 1.2, "follows_etc": False, **given}
    return Irrigation(**{key: Held(value) if key in UNITS else value for key, value in wanted.items()})


@pytest.mark.parametrize(
    ("held", "wilts", "expected"),
    [
        (0.15, 0.06, ((36, 10.8), (72, 28.8), (108, 59.4))),
        (0.32, 0.15, ((68, 20.4), (136, 54.4), (204, 112.2))),
        (0.35, 0.23, ((48, 14.4), (96, 38.4), (144, 79.2))),
    ],
)
def test_available_water_is_that_of_example_36(held: float, wilts: float, expected: tuple) -> None:
    """TAW and RAW of onion, tomato and maize on three soils (FAO-56, example 36; its inputs from memory, arithmetic exact)."""
    for (roots, share), (taw, raw) in zip(((0.4, 0.3), (0.8, 0.4), (1.2, 0.55)), expected, strict=True):
        spec = zone(field_capacity=held, wilting_point=wilts, roots_m=roots, depletable=share)
        assert spec.available_mm() == pytest.approx(taw)
        assert share * spec.available_mm() == pytest.approx(raw)
        assert stress(raw * 0.999, taw, share) == 1.0
        assert stress(raw * 1.05, taw, share) < 1.0


def test_dry_days_are_those_of_example_37(running) -> None:
    """Ten days without rain from a depletion of 55 mm, TAW 160, p 0.40: Ks and depletion of each day.

    FAO-56, example 37, its trace from memory; the arithmetic of equations 84 and 85 is sure.
    """
    etc = (6, 6, 4.8, 5.4, 5.4, 5.4, 6, 6, 6, 6)
    stresses = (1, 1, 0.97, 0.92, 0.87, 0.82, 0.77, 0.73, 0.68, 0.64)
    ends = (61.0, 67.0, 71.7, 76.6, 81.3, 85.7, 90.4, 94.7, 98.8, 102.6)
    load = running(zone(start_mm=55.0).compiled("z"))
    twin = 55.0
    for wants, ks, end in zip(etc, stresses, ends, strict=True):
        load.weather[ET0] = wants / 1.2 / DAY_S
        load.run(DAY_S, closed=False)
        twin = plain_loads.soil_day(twin, etc=wants, taw=160.0, share=0.4)
        assert load.s[S_STRESS] == pytest.approx(ks, abs=0.005)
        assert load.s[S_VALUE] == pytest.approx(end, abs=0.06)
        assert load.s[S_VALUE] == pytest.approx(twin, rel=1e-12)
    assert load.s[S_UNMET] == pytest.approx(sum(etc) - (load.s[S_VALUE] - 55.0))


def test_share_follows_the_days_need(running) -> None:
    """The share 0.55 becomes 0.63 at 3 mm/d and 0.47 at 7 mm/d (FAO-56, table 22), never under 0.1 or over 0.8."""
    assert [depletable(0.55, etc) for etc in (3.0, 7.0, 5.0)] == pytest.approx([0.63, 0.47, 0.55])
    assert [depletable(0.2, 20.0), depletable(0.7, 0.0)] == [0.1, 0.8]
    load = running(zone(follows_etc=True, start_mm=60.0, crop=1.0).compiled("z"))
    load.weather[ET0] = 7.0 / DAY_S
    load.run(2 * DAY_S, closed=False)
    # The second day begins at 67 mm with p = 0.4 - 0.08: Ks = 93 / (0.68 x 160).
    assert load.s[S_STRESS] == pytest.approx(93 / (0.68 * 160), rel=1e-9)


def test_refilling_takes_the_worked_time(running) -> None:
    """28.8 mm on 100 m2 at 1200 l/h and 90 % take 2.667 h of pumping, 3200 l (32 mm gross)."""
    load = running(zone(begin_mm=28.8, cease_mm=0.0, start_mm=28.8).compiled("z"))
    used = load.run(4 * 3600)
    assert used / 750 / 3600 == pytest.approx(28.8 / 10.8, rel=1e-12)
    assert used / 750 * 1200 / 3600 == pytest.approx(3200.0)
    assert load.s[S_IRRIGATED_MM] == pytest.approx(28.8)
    assert load.s[S_STORED_J] == pytest.approx(used)
    assert load.s[S_STARTS] == 1


def test_water_beyond_the_roots_is_lost(running) -> None:
    """Fed without a sensor, it waters on: all beyond field capacity percolates and nothing is kept."""
    load = running(zone(start_mm=10.8).compiled("z"))
    load.run(2 * 3600)
    assert load.s[S_VALUE] == 0.0
    assert load.s[S_DEEP_MM] == pytest.approx(10.8)
    assert load.s[S_RUN] == 1.0


def test_rain_faster_than_the_soil_takes_runs_off(running) -> None:
    """An hour of 30 mm on a soil that takes 20 mm/h: 20 soak in and 10 run off."""
    load = running(zone(start_mm=50.0).compiled("z"))
    load.weather[RAIN] = 30 / 3600
    load.run(3600, closed=False)
    assert load.s[[S_SOAKED_MM, S_RAN_OFF_MM, S_VALUE]] == pytest.approx([20.0, 10.0, 30.0])


def test_nothing_evaporates_that_is_not_there(running) -> None:
    """A soil at its wilting point stays there; what rains then is used at once."""
    load = running(zone(start_mm=159.0, depletable=0.999).compiled("z"))
    load.weather[ET0] = 8.0 / DAY_S
    load.run(DAY_S, closed=False)
    assert load.s[S_VALUE] == 160.0
    load.run(DAY_S, closed=False)
    assert load.s[S_UNMET] == pytest.approx(2 * 9.6 - 1.0)


def test_the_crops_own_coefficient_of_the_step_goes_first(running) -> None:
    """With a Kc of 0.5 in the step, half of ET0 is used; without one, that of the zone."""
    for given_kc, used in ((0.5, 2.0), (0.0, 4.8)):
        load = running(zone().compiled("z"))
        load.weather[ET0] = 4.0 / DAY_S
        load.run(DAY_S, closed=False, use0=given_kc)
        assert load.s[S_USED_MM] == pytest.approx(used)


@settings(max_examples=60)
@given(
    start=st.floats(0, 160), begin=st.floats(20, 150), sensor=st.booleans(), min_off=st.floats(0, 3600),
    steps=st.lists(st.tuples(st.floats(0, 15), st.floats(0, 60), st.booleans()), min_size=3, max_size=60),
)  # fmt: skip
def test_water_is_kept(start, begin, sensor, min_off, steps) -> None:
    """Water in less water used and percolated is what the depletion falls, to 1e-9; it stays in 0 to TAW."""
    spec = zone(start_mm=start, begin_mm=begin if sensor else None, cease_mm=5.0, follows_etc=True, min_off_s=Held(min_off))
    load = Running(spec.compiled("z"))
    for etc, rain, closed in steps:
        load.weather[[ET0, RAIN]] = etc / DAY_S, rain / DAY_S
        load.run(6 * 3600, 900, closed=closed)
        assert -1e-9 <= load.s[S_DEPLETION_MM] <= 160.0 + 1e-9
    gained = load.s[S_SOAKED_MM] + load.s[S_IRRIGATED_MM] - load.s[S_USED_MM] - load.s[S_DEEP_MM]
    passed = load.s[[S_SOAKED_MM, S_IRRIGATED_MM, S_USED_MM, S_DEEP_MM]].sum() + 160
    assert abs(start - load.s[S_DEPLETION_MM] - gained) <= 1e-9 * passed
    assert load.s[S_UNMET] >= -1e-9


def test_a_year_is_that_of_the_plain_twin(running) -> None:
    """A year of seeded days, half an inch of rain now and then, a sensor: every day's end and every start agree."""
    draws = np.random.default_rng(9)
    load = running(zone(begin_mm=50.0, cease_mm=20.0, start_mm=10.0, infiltration_mm_h=1000.0).compiled("z"))
    depletion, calls, starts = 10.0, False, 0
    for _ in range(365):
        et0, rain = draws.uniform(0, 8) / DAY_S, 12 * float(draws.random() < 0.1) / DAY_S
        ks = 1.0 if depletion <= 64 else (160 - depletion) / (0.6 * 160)
        load.weather[[ET0, RAIN]] = et0, rain
        for _ in range(24):
            load.run(3600, 3600)
            left = 3600.0
            while left > 1e-9:
                was, calls = calls, True if depletion >= 50 else False if depletion <= 20 else calls
                starts += calls and not was
                slope = 1.2 * et0 * ks - rain - (10.8 / 3600 if calls else 0.0)
                target = 20.0 if calls else 50.0
                part = (target - depletion) / slope if slope else left
                depletion = target if 0 < part <= left else max(0.0, depletion + slope * left)
                left -= part if 0 < part <= left else left
        assert load.s[S_DEPLETION_MM] == pytest.approx(depletion, rel=1e-9, abs=1e-9)
        assert load.s[S_STARTS] == starts
    assert starts > 20


def test_what_cannot_be_is_refused() -> None:
    """Soils that hold less at field capacity than at wilting point, sensors turned about and deeper depletions than there are."""
    for given_, says in (
        ({"field_capacity": 0.1}, "wilting point"),
        ({"begin_mm": 10.0, "cease_mm": 20.0}, "to begin"),
        ({"start_mm": 161.0}, "depletions"),
    ):
        with pytest.raises(ValidationError, match=says):
            zone(**given_)
