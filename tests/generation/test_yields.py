"""Part-load efficiency, horizons, fading and the way of the losses, against published points, closed forms and plain pvlib."""

from dataclasses import replace
from functools import lru_cache
from pathlib import Path

import numpy as np
import pvlib
import pytest
from hypothesis import example, given, settings, strategies as st
from pydantic import ValidationError

from wattwright.core.fields import Held
from wattwright.generation.array import Array, chain, light_on, power_w
from wattwright.generation.horizon import height_deg, sky_share
from wattwright.generation.inverter import CEC, EUROPEAN, direct_limit_w, efficiency, given_w, weighted
from wattwright.generation.yields import array_yield
from wattwright.sky.door import read_weather
from wattwright.sky.sun import sun_positions
from wattwright.sky.weather import Element, Weather

# An invented curve of a data sheet; its weighted efficiencies by hand from the published weights: 0.96680 and 0.97031.
CURVE = ((0.05, 0.90), (0.10, 0.94), (0.20, 0.96), (0.30, 0.97), (0.50, 0.975), (0.75, 0.972), (1.0, 0.968))
HILLS = ((90.0, 10.0), (180.0, 25.0), (270.0, 10.0))


@lru_cache(maxsize=3)
def year(name: str = "723170TYA.CSV") -> Weather:
    return read_weather(Path(pvlib.__file__).parent / "data" / name, 1990)


def array(**changed) -> Array:
    held = ("peak_w", "limit_w", "fade", "efficiency")
    usual = {"peak_w": 1000.0, "tilt_deg": 20.0, "azimuth_deg": 180.0, **changed}
    return Array(**{key: Held(value) if key in held else value for key, value in usual.items()})


@pytest.mark.parametrize("name", ["723170TYA.CSV", "703165TY.csv", "12839.tm2"])
def test_the_chain_is_that_of_a_plain_script(name: str) -> None:
    """Over a year, each hour is what pvlib alone gives with the same models: to 1e-9 W of 1 kWp, the sun at mid-hour."""
    import pandas as pd

    weather = year(name)
    ghi, dni, dhi, air_c, wind = (
        weather.values[one] for one in (Element.GHI, Element.DNI, Element.DHI, Element.TEMPERATURE, Element.WIND)
    )
    when = pd.DatetimeIndex((weather.times_s + 1800).astype("datetime64[s]")).tz_localize("UTC")
    place = weather.place
    sun = pvlib.solarposition.get_solarposition(when, place.latitude_deg, place.longitude_deg, altitude=place.elevation_m)
    zenith = sun["apparent_zenith"].to_numpy()
    lit = pvlib.irradiance.get_total_irradiance(
        20, 180, zenith, sun["azimuth"].to_numpy(), dni, ghi, dhi,
        dni_extra=pvlib.irradiance.get_extra_radiation(when.day_of_year.to_numpy()),
        airmass=pvlib.atmosphere.get_relative_airmass(zenith), albedo=0.2, model="perez",
    )["poa_global"]  # fmt: skip
    lit = np.where(zenith < 90, np.nan_to_num(lit), 0.0)
    king = pvlib.temperature.TEMPERATURE_MODEL_PARAMETERS["sapm"]["open_rack_glass_polymer"]
    cell = pvlib.temperature.sapm_cell(lit, air_c, wind, **king)
    lost = pvlib.pvsystem.pvwatts_losses() / 100
    direct = pvlib.pvsystem.pvwatts_dc(lit, cell, 1000, -0.0047) * (1 - lost)
    plain = pvlib.inverter.pvwatts(direct, 1000 / 0.96, 0.96)
    assert np.abs(power_w(array(), weather, place) - plain).max() < 1e-9
    assert plain.sum() > 7e5


@pytest.mark.parametrize(
    ("load", "share"),
    [(0.02, 0.68783), (0.05, 0.86366), (0.1, 0.92163), (0.3, 0.95758), (0.5, 0.96219), (0.75, 0.96208), (1.0, 0.96)],
)
def test_efficiency_by_part_load(load: float, share: float) -> None:
    """The form of Dobos 2014 at a nominal 96 %: points worked by hand."""
    assert efficiency(np.array([load]), 0.96)[0] == pytest.approx(share, abs=5e-6)


def test_weighted_efficiencies() -> None:
    """European and CEC weights add up to one and give what was worked by hand: a data sheet's curve, and the form of Dobos."""
    assert sum(share for _, share in EUROPEAN) == pytest.approx(1.0)
    assert sum(share for _, share in CEC) == pytest.approx(1.0)
    assert (weighted(0.9, CURVE), weighted(0.9, CURVE, CEC)) == (pytest.approx(0.96680), pytest.approx(0.97031))
    assert weighted(0.96) == pytest.approx(0.95424, abs=5e-6)
    assert weighted(0.96, weights=CEC) == pytest.approx(0.95921, abs=5e-6)


@settings(max_examples=60)
@given(st.floats(0, 2), st.floats(0, 1), st.booleans())
@example(load=1e-310, more=0.0, by_curve=False)
def test_more_in_is_never_less_out(load: float, more: float, by_curve: bool) -> None:
    """More direct current never gives less, nothing gives nothing, and what is given stays under what came and the limit."""
    curve = CURVE if by_curve else ()
    most = direct_limit_w(5000.0, 0.96, curve)
    less, much = given_w(np.array([load, load + more]) * most, 5000.0, 0.96, curve)
    assert 0 <= less <= min(load * most, 5000.0) + 1e-9
    assert much >= less - 1e-6
    assert given_w(np.zeros(1), 5000.0, 0.96, curve)[0] == 0


def test_points_of_a_data_sheet_are_met_by_the_inverter() -> None:
    """At the loads of its data sheet an inverter has the efficiency it says; half way the loss is the mean of both."""
    loads, shares = np.array(CURVE).T
    assert efficiency(loads, 0.9, CURVE) == pytest.approx(shares)
    half = efficiency(np.array([0.4]), 0.9, CURVE)[0]
    assert half == pytest.approx(1 - (0.3 * 0.03 + 0.5 * 0.025) / 2 / 0.4)
    # Below the first point the loss stays: at 0.5 % of its rating nothing is left of 0.5 % less 0.5 %.
    assert efficiency(np.array([0.005]), 0.9, CURVE)[0] == pytest.approx(0.0, abs=1e-12)


def test_an_even_horizon_by_closed_form() -> None:
    """On level ground a horizon of height h leaves cos2 h of an even sky; a level horizon leaves all on any slope."""
    for high in (5.0, 30.0, 60.0):
        assert sky_share(((0.0, high),), 0.0, 0.0) == pytest.approx(np.cos(np.radians(high)) ** 2, rel=1e-9)
    for tilt in (0.0, 35.0, 90.0):
        assert sky_share(((123.0, 0.0),), tilt, 50.0) == pytest.approx(1.0)
    # An upright wall sees the even sky above h by 1 - (2 h + sin 2 h) / pi, the integral of cos2 over heights.
    h = np.radians(20.0)
    assert sky_share(((0.0, 20.0),), 90.0, 180.0) == pytest.approx(1 - (2 * h + np.sin(2 * h)) / np.pi, rel=1e-9)


def test_the_sky_left_by_slow_summing() -> None:
    """Hills in three directions, a slope of 35 degrees to the south east: the share by summing the sky patch by patch."""
    tilt, way = np.radians(35.0), 130.0
    high, at = np.meshgrid((np.arange(900) + 0.5) / 10, (np.arange(720) + 0.5) / 2, indexing="ij")
    up, across = np.radians(high), np.radians(at - way)
    cosine = np.maximum(np.sin(up) * np.cos(tilt) + np.cos(up) * np.sin(tilt) * np.cos(across), 0) * np.cos(up)
    seen = high > np.interp(at, [-90, 90, 180, 270, 450], [10, 10, 25, 10, 10])
    assert sky_share(HILLS, 35.0, way) == pytest.approx((cosine * seen).sum() / cosine.sum(), abs=2e-4)


def test_between_the_points_of_a_horizon() -> None:
    """The horizon runs straight from point to point and over the north."""
    assert height_deg(HILLS, np.array([135.0, 0.0, 315.0, 180.0])) == pytest.approx([17.5, 10.0, 10.0, 25.0])


def test_the_sun_behind_a_hill() -> None:
    """While the sun is behind the hills neither it nor the sky about it shines; what the horizon took is what is missing."""
    weather = year()
    sun = sun_positions(weather.times_s + 1800, weather.place)
    open_, behind = (light_on(array(horizon=one), weather, sun) for one in ((), HILLS))
    hidden = 90 - sun.apparent_zenith_deg <= height_deg(HILLS, sun.azimuth_deg)
    assert (behind.beam[hidden] == 0).all()
    assert (behind.about_sun[hidden] == 0).all()
    assert np.array_equal(behind.beam[~hidden], open_.beam[~hidden])
    assert open_.plane_w_m2 - behind.plane_w_m2 == pytest.approx(behind.shaded)
    assert (hidden & (open_.beam > 0)).any()
    level = light_on(array(horizon=((0.0, 0.0),)), weather, sun)
    assert level.plane_w_m2 == pytest.approx(open_.plane_w_m2, abs=1e-9)


@settings(max_examples=20)
@given(st.floats(0, 40), st.floats(0, 30), st.floats(0, 90), st.floats(0, 359))
def test_a_higher_horizon_never_gives_more(high: float, more: float, tilt: float, way: float) -> None:
    """Raising the horizon all round never lets more of the sky through, nor gives more energy in a week."""
    low, up = (((0.0, high), (120.0, high)), ((0.0, high + more), (120.0, high + more)))
    assert sky_share(up, tilt, way) <= sky_share(low, tilt, way) + 1e-9


def test_fading_begins_in_the_second_year() -> None:
    """The first year is whole; where nothing is clipped each later one loses its share of the direct current."""
    weather = year()
    first, third = (chain(array(fade=0.02), weather, weather.place, one).direct_w.sum() for one in (1, 3))
    assert third == pytest.approx(first * 0.98**2)
    found = array_yield(array(fade=0.02), weather, weather.place, 3)
    assert found.years_kwh[0] == pytest.approx(found.given_kwh)
    assert found.years_kwh[2] == pytest.approx(power_w(array(fade=0.02), weather, weather.place, 3).sum() / 1000)
    assert (np.diff(array_yield(array(), weather, weather.place, 25).years_kwh) < 0).all()


def test_losses_add_up_to_what_is_missing() -> None:
    """Every kWh between the cold modules and the bus is in one named loss; the shares of named losses are those entered."""
    weather = year()
    found = array_yield(array(limit_w=600.0, horizon=HILLS), weather, weather.place)
    assert sum(one.loss_kwh for one in found.steps) == pytest.approx(found.cold_kwh - found.given_kwh)
    named = {one.name: one.share for one in found.steps}
    assert (named["soiling"], named["downtime"]) == (pytest.approx(0.02), pytest.approx(0.03))
    assert named["beyond the inverter's limit"] > 0.01
    assert "snow" not in named
    assert found.lost_share == pytest.approx(1 - found.given_kwh / found.cold_kwh)
    assert found.per_kwp == pytest.approx(found.given_kwh)
    assert found.shaded_kwh_m2 > 10
    # The file's own sum of the year, kWh/m2.
    assert found.level_kwh_m2 == pytest.approx(1566.2, abs=0.05)


def test_a_dark_week_yields_nothing_and_divides_by_nothing() -> None:
    """Without any sun all is nought; hours that lack a reading are counted and give nothing."""
    weather = year()
    dark = {one: np.zeros(len(weather)) if "irradiance" in one.value else values for one, values in weather.values.items()}
    dark[Element.GHI] = dark[Element.GHI].copy()
    dark[Element.GHI][5] = np.nan
    found = array_yield(array(), replace(weather, values=dark), weather.place)
    assert (found.given_kwh, found.lost_share, found.missing) == (0.0, 0.0, 1)
    assert {one.share for one in found.steps} == {0.0}


@pytest.mark.parametrize(
    ("wrong", "says"),
    [
        ({"horizon": ((180.0, 10.0), (90.0, 10.0))}, "rising azimuths"),
        ({"horizon": ((0.0, 90.0),)}, "rising azimuths"),
        ({"horizon": ((360.0, 9.0),)}, "rising azimuths"),
        ({"curve": ((0.5, 0.9),)}, "loads rising to 1"),
        ({"curve": ((0.5, 0.2), (1.0, 0.9))}, "30 to 100 %"),
        ({"curve": ((0.9, 0.99), (1.0, 0.5))}, "loads rising to 1"),
        ({"curve": ((0.0, 0.9), (1.0, 0.9))}, "loads rising to 1"),
    ],
)
def test_what_is_no_horizon_and_no_curve_is_refused(wrong, says: str) -> None:
    """Points out of order, heights of the zenith, curves that do not end at full load or give less for more are refused."""
    with pytest.raises(ValidationError, match=says):
        array(**wrong)
