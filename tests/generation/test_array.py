"""A PV array against published points of its models, and what must hold of any array and weather."""

from dataclasses import replace
from functools import lru_cache
from pathlib import Path

import numpy as np
import pvlib
import pytest
from hypothesis import given, settings, strategies as st

from wattwright.core.errors import WeatherError
from wattwright.core.fields import Held
from wattwright.generation.array import NEEDS, Array, Losses, on_steps, power_w
from wattwright.sky.door import read_weather
from wattwright.sky.sun import sun_positions
from wattwright.sky.weather import Element, Weather, WeatherPlace

WEEKS = (slice(0, 168), slice(24 * 172, 24 * 179))


@lru_cache(maxsize=1)
def year() -> Weather:
    return read_weather(Path(pvlib.__file__).parent / "data" / "723170TYA.CSV", 1990)


def week(which: int) -> Weather:
    cut = WEEKS[which]
    whole = year()
    values = {element: one[cut] for element, one in whole.values.items()}
    return replace(whole, start_s=whole.start_s + cut.start * whole.step_s, values=values)


def array(**given) -> Array:
    held = ("peak_w", "limit_w", "albedo", "efficiency")
    usual = {"peak_w": 1000.0, "tilt_deg": 20.0, "azimuth_deg": 180.0, **given}
    return Array(**{key: Held(value) if key in held else value for key, value in usual.items()})


def still(place: WeatherPlace, **constant: float) -> Weather:
    """An hour with constant weather, of which each quantity is a number."""
    values = {element: np.array([constant[element.name]]) for element in NEEDS}
    return replace(year(), place=place, values=values, start_s=631_195_200)


def test_the_sun_stands_where_the_published_example_says() -> None:
    """17 October 2003, 12:30:30 at UTC-7: zenith 50.11162, azimuth 194.34024 (NREL/TP-560-34302, A.5).

    The example's 820 mbar and 11 degC are nearly those of its height; the refraction differs by less than 0.001 degrees.
    """
    place = WeatherPlace("example", 39.742476, -105.1786, 1830.14, -25_200)
    when = int(np.datetime64("2003-10-17T19:30:30", "s").astype(np.int64))
    sun = sun_positions(np.array([when]), place)
    assert sun.apparent_zenith_deg[0] == pytest.approx(50.11162, abs=0.001)
    assert sun.azimuth_deg[0] == pytest.approx(194.34024, abs=0.001)


def test_usual_losses_multiply() -> None:
    """2, 3, 0, 2, 2, 0.5, 1.5, 1, 0 and 3 % lose 14.08 % together (Dobos 2014), not their sum of 15; none lose nothing."""
    assert 100 * Losses.model_validate({}).total() == pytest.approx(14.08, abs=0.005)
    assert Losses(**dict.fromkeys(Losses.model_fields, Held(0.0))).total() == 0.0


@settings(max_examples=40)
@given(
    which=st.integers(0, 1), peak=st.floats(100, 50_000), ratio=st.floats(0.3, 3), tilt=st.floats(0, 90),
    azimuth=st.floats(0, 359), albedo=st.floats(0, 1), roof=st.booleans(),
)  # fmt: skip
def test_bounds_hold_whatever_the_array(which, peak, ratio, tilt, azimuth, albedo, roof) -> None:
    """Never negative, never over the limit of alternating current, and nought while the sun is down all through the hour."""
    mounting = "close to the roof" if roof else "open rack"
    some = array(
        peak_w=peak, limit_w=peak * ratio, tilt_deg=tilt, azimuth_deg=azimuth, albedo=albedo, mounting=mounting
    )  # fmt: skip
    weather = week(which)
    made = power_w(some, weather, weather.place)
    assert made.shape == (168,)
    assert ((made >= 0) & (made <= peak * ratio)).all()
    ends = [
        sun_positions(weather.times_s + shift, weather.place).apparent_zenith_deg > 90 for shift in (0, 1800, weather.step_s)
    ]  # fmt: skip
    assert (made[np.logical_and.reduce(ends)] == 0).all()


@settings(max_examples=30)
@given(which=st.integers(0, 1), peak=st.floats(100, 20_000), more=st.floats(1, 5), limit=st.floats(100, 20_000))
def test_more_modules_never_give_less(which, peak, more, limit) -> None:
    """Behind the same inverter, more modules give as much or more in the week; a larger limit never costs more than its rest.

    In a single hour more modules may give no less either: the inverter's efficiency falls more slowly than its load grows.
    """
    weather = week(which)
    small, large = (power_w(array(peak_w=p, limit_w=limit), weather, weather.place) for p in (peak, peak * more))
    assert large.sum() >= small.sum() - 1e-9 * peak
    assert (large >= small - 1e-9 * peak).all()


def test_power_is_in_proportion_to_peak_and_limit() -> None:
    """Twice the modules behind twice the inverter give twice the power, hour by hour."""
    weather = week(1)
    one, two = (power_w(array(peak_w=k * 1000.0, limit_w=k * 900.0), weather, weather.place) for k in (1, 2))
    assert two == pytest.approx(2 * one, rel=1e-12)
    assert one.max() > 500


def test_a_roof_without_air_behind_gives_less() -> None:
    """Modules close to a roof run hotter than on an open rack, and give some per cent less in summer (coefficients of King)."""
    weather = week(1)
    rack, roof = (power_w(array(mounting=m), weather, weather.place).sum() for m in ("open rack", "close to the roof"))
    assert 0.9 * rack < roof < rack


def test_missing_weather_gives_no_power_and_says_so() -> None:
    """An hour without a reading is NaN, its neighbours stay; a missing quantity is an error that names it."""
    weather = week(1)
    holed = {element: one.copy() for element, one in weather.values.items()}
    holed[Element.DNI][12], holed[Element.WIND][14] = np.nan, np.nan
    made, whole = (power_w(array(), w, weather.place) for w in (replace(weather, values=holed), weather))
    assert list(np.flatnonzero(np.isnan(made))) == [12, 14]
    assert np.array_equal(np.delete(made, [12, 14]), np.delete(whole, [12, 14]))
    without = {element: one for element, one in weather.values.items() if element is not Element.DHI}
    with pytest.raises(WeatherError, match="diffuse horizontal irradiance") as caught:
        power_w(array(), replace(weather, values=without), weather.place)
    assert caught.value.faults[0].code == "generation.weather"


@pytest.mark.parametrize("step_s", [60, 900, 3600, 5400, 86_400])
def test_energy_is_kept_on_other_steps(step_s: int) -> None:
    """On finer and coarser steps, aligned or not, the energy of the covered stretch is that of the hours."""
    weather = week(1)
    made = power_w(array(), weather, weather.place)
    steps = 168 * 3600 // step_s
    found = on_steps(made, weather, weather.start_s, step_s, steps)
    assert found.sum() * step_s == pytest.approx(made.sum() * 3600, rel=1e-9)


def test_steps_beyond_the_weather_are_missing() -> None:
    """A step before the weather begins, or reaching past its end, has no power to tell."""
    weather = week(0)
    found = on_steps(np.ones(168), weather, weather.start_s - 900, 900, 4 * 168 + 2)
    assert np.isnan(found[[0, -1]]).all()
    assert (found[1:-1] == 1.0).all()


@pytest.mark.parametrize("days", [-365, -3, 0, 5, 400])
def test_weather_of_every_year_follows_itself(days: int) -> None:
    """A week that stands for every week: from any day on, over its end and back to its beginning, by quarter hours."""
    weather = week(0)
    hours = np.arange(168.0)
    found = on_steps(hours, weather, weather.start_s + 86_400 * days, 900, 4 * 200, every_year=True)
    assert np.array_equal(found, np.repeat(hours[(24 * days + np.arange(200)) % 168], 4))
