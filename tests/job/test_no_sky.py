"""Light that no sky gives is told of weather of any length, and what real files and clean mountain air hold is not."""

from dataclasses import replace
from datetime import datetime
from pathlib import Path

import numpy as np
import pandas as pd
import pvlib
import pytest

from tests.job.test_sound_sun import SITE, SOUTH
from wattwright.core.findings import Severity
from wattwright.core.show import Show
from wattwright.job.climate import climate
from wattwright.job.sound_sun import odd_light
from wattwright.job.spec import WeatherSpec
from wattwright.sky.door import read_weather
from wattwright.sky.weather import Element, WeatherPlace

DATA = Path(pvlib.__file__).parent / "data"
LIGHT = (Element.GHI, Element.DNI, Element.DHI)


def clear(place, start_s, hours, turbidity):
    """Pvlib's own clear sky of a place: global, direct normal and diffuse at the middle of hours."""
    stamps = pd.to_datetime(start_s + 3600 * np.arange(hours) + 1800, unit="s", utc=True)
    sun = pvlib.location.Location(place.latitude_deg, place.longitude_deg, altitude=place.elevation_m).get_solarposition(stamps)
    relative = pvlib.atmosphere.get_relative_airmass(sun.apparent_zenith)
    air = pvlib.atmosphere.get_absolute_airmass(relative, pvlib.atmosphere.alt2pres(place.elevation_m))
    extra = pvlib.irradiance.get_extra_radiation(stamps.day_of_year.to_numpy())
    with np.errstate(divide="ignore"):  # at night pvlib divides by a sun that has no height
        return pvlib.clearsky.ineichen(sun.apparent_zenith, air, turbidity, place.elevation_m, extra).fillna(0.0)


def part(weather, first, hours, factor=1.0):
    """So many hours of weather from the ``first`` on, their light times a factor."""
    values = {one: values[first : first + hours] * (factor if one in LIGHT else 1.0) for one, values in weather.values.items()}
    return replace(weather, start_s=weather.start_s + 3600 * first, values=values)


def own(weather, place, light, start_s):
    """The weather with the light of a data frame of pvlib instead of its own, as a file that names no place."""
    values = {one: light[name].to_numpy() for one, name in zip(LIGHT, ("ghi", "dni", "dhi"), strict=True)}
    return replace(weather, place=place, start_s=start_s, step_s=3600, values=values)


@pytest.mark.parametrize("name", ["12839.tm2", "703165TY.csv", "723170TYA.CSV"])
def test_every_month_of_real_files_passes_and_twice_of_it_does_not(name):
    """Miami, Sand Point and Greensboro, each month against pvlib's own clear sky in clean air (turbidity 2): at most 84 % of it.

    Twice the light is told wherever pvlib has it above the bound of 115 %, with its share of the clear sky of turbidity 3.
    """
    weather = read_weather(DATA / name, 2025)
    highest, told = 0.0, 0
    for first in range(0, 8760, 730):
        month, twice = part(weather, first, 720), part(weather, first, 720, 2.0)
        assert odd_light(month, weather.place, (SOUTH,)) == ()
        clean, usual = (float(clear(weather.place, month.start_s, 720, one).ghi.sum()) for one in (2.0, 3.0))
        found = float(month.values[Element.GHI].sum())
        highest = max(highest, found / clean)
        if 2.0 * found / clean > 1.15:
            (one,) = odd_light(twice, weather.place, (SOUTH,))
            assert (one.code, one.severity) == ("job.no-sky-days", Severity.STOP)
            assert one.data["share"] == pytest.approx(2.0 * found / usual, rel=0.02)
            assert one.data["light"] == pytest.approx(2.0 * found / 30_000.0)
            told += 1
    assert highest < 0.84
    assert told >= 5


def test_a_year_that_is_doubted_is_stopped_by_its_hours():
    """Sand Point twice: 109 % of a clear sky in a year may be a clean one, its hours outshine what comes from outside the air."""
    weather = read_weather(DATA / "703165TY.csv", 2025)
    (told,) = odd_light(part(weather, 0, 8760, 2.0), weather.place, (SOUTH,))
    assert (told.code, told.severity) == ("job.no-sky-hours", Severity.STOP)


def test_weeks_of_twice_a_clear_sky_as_text_stop_the_quote(tmp_path):
    """The 45 days of pvlib's clear sky over Athens pass; twice of it is told through the whole path of a job's file."""
    start_s = int(datetime.fromisoformat("2025-05-01T00:00+00:00").timestamp())
    place = WeatherPlace("", SITE.latitude_deg, SITE.longitude_deg, 0.0, 0)
    light = clear(place, start_s, 24 * 45, 3.0)
    times_s = start_s + 60 * np.arange(1440)
    for factor, wanted in ((1.0, []), (2.0, ["job.no-sky-days"])):
        rows = ["time,ghi [W/m2],dni [W/m2],dhi [W/m2],temperature [degC],wind [m/s]"]
        for k, (ghi, dni, dhi) in enumerate(factor * light[["ghi", "dni", "dhi"]].to_numpy()):
            rows.append(f"{np.datetime64(start_s + 3600 * k, 's')}+00:00,{ghi:.1f},{dni:.1f},{dhi:.1f},20,2")
        (tmp_path / "own.csv").write_text("\n".join(rows) + "\n")
        made = climate(WeatherSpec(file="own.csv"), tmp_path.joinpath, SITE, times_s, (), (SOUTH,), seed=1)
        stops = [one for one in made.findings if one.severity is Severity.STOP]
        assert [one.code for one in stops] == wanted
    assert "over 45 days, 200" in stops[0].says(Show())


def test_mountains_are_not_taken_for_a_fault_where_the_height_is_not_known():
    """Lhasa at 3650 m under pvlib's clean sky has 129 % of a clear sky at sea level: a file without place may be of it."""
    weather = read_weather(DATA / "12839.tm2", 2025)
    lhasa = WeatherPlace("Lhasa", 29.67, 91.13, 3650.0, 28800)
    light = clear(lhasa, weather.start_s, 24 * 30, 2.0)
    sea = replace(lhasa, elevation_m=0.0)
    assert odd_light(own(weather, None, light, weather.start_s), sea, (SOUTH,)) == ()
    (told,) = odd_light(own(weather, sea, light, weather.start_s), sea, (SOUTH,))
    assert told.code == "job.no-sky-days"


def test_how_many_days_are_enough():
    """Of two days nothing is summed, of three too much is; too little is told of four weeks and not of one day less."""
    weather = read_weather(DATA / "723170TYA.CSV", 2025)
    light = 1.25 * clear(weather.place, weather.start_s, 24 * 28, 2.0)
    for hours, wanted in ((71, []), (72, ["job.no-sky-days"])):
        found = part(own(weather, weather.place, light, weather.start_s), 0, hours)
        assert [one.code for one in odd_light(found, weather.place, (SOUTH,))] == wanted
    for hours, wanted in ((24 * 28 - 1, []), (24 * 28, ["job.no-sky-days"])):
        dark = part(own(weather, weather.place, light, weather.start_s), 0, hours, 0.03)
        assert [one.code for one in odd_light(dark, weather.place, (SOUTH,))] == wanted


def test_weeks_without_sun_say_nothing():
    """Tromso in December: the sun does not rise, and the 20 W/m2 of an instrument's offset are no light above a clear sky."""
    weather = read_weather(DATA / "12839.tm2", 2025)
    tromso = WeatherPlace("Tromso", 69.65, 18.96, 10.0, 3600)
    start_s = int(datetime.fromisoformat("2025-12-01T00:00+00:00").timestamp())
    light = clear(tromso, start_s, 24 * 30, 2.0) + 20.0
    assert odd_light(own(weather, tromso, light, start_s), tromso, (SOUTH,)) == ()


def one_hour(element, value, minutes=60, step_s=60):
    """Two days of Greensboro's June on minutes, one hour of which has another value for some of its minutes."""
    weather = part(read_weather(DATA / "723170TYA.CSV", 2025), 24 * 171, 48)
    values = {one: np.repeat(values, 3600 // step_s) for one, values in weather.values.items()}
    at = 17 * 3600 // step_s
    values[element][at : at + minutes] = value
    return odd_light(replace(weather, step_s=step_s, values=values), weather.place, (SOUTH,))


@pytest.mark.parametrize("element", LIGHT)
def test_one_hour_brighter_than_outside_the_air_is_told(element):
    """On 21 June 1324 W/m2 come there (Spencer, by pvlib) and at 36.1 N 1292 of them on the level at noon, by hand cos(12.7)."""
    outside = float(pvlib.irradiance.get_extra_radiation(172))
    outside *= 1.0 if element is Element.DNI else np.cos(np.radians(36.1 - 23.44))
    assert one_hour(element, 1.1 * outside) == ()
    (told,) = one_hour(element, 1.1 * outside + 45.0)
    assert (told.code, told.severity) == ("job.no-sky-hours", Severity.STOP)
    assert told.data["outside"] == pytest.approx(outside, rel=0.01)
    assert f"in 1 h than comes from outside the air: {element.value} of 1," in told.says(Show())
    assert "from 2025-06-21 22:00 UTC" in told.says(Show())


def test_minutes_beside_clouds_and_hours_half_missing_are_no_fault():
    """Ten minutes far above what comes from outside pass in their hour; an hour of which most is missing says nothing."""
    assert one_hour(Element.GHI, 1900.0, minutes=10) == ()
    assert [one.code for one in one_hour(Element.GHI, 1900.0, minutes=60)] == ["job.no-sky-hours"]
    weather = part(read_weather(DATA / "723170TYA.CSV", 2025), 24 * 171, 48)
    values = {one: np.repeat(values, 60) for one, values in weather.values.items()}
    values[Element.GHI][17 * 60 : 18 * 60] = [1900.0] * 29 + [np.nan] * 31
    assert odd_light(replace(weather, step_s=60, values=values), weather.place, (SOUTH,)) == ()


def test_means_of_days_are_summed_as_their_hours():
    """Twelve days of clear means of days pass, and twice of them are told: a step may be longer than an hour."""
    weather = read_weather(DATA / "12839.tm2", 2025)
    light = clear(weather.place, weather.start_s, 24 * 12, 3.0).to_numpy().reshape(12, 24, 3).mean(axis=1)
    for factor, wanted in ((1.0, []), (2.0, ["job.no-sky-days"])):
        values = dict(zip(LIGHT, factor * light.T, strict=True))
        found = odd_light(replace(weather, step_s=86400, values=values), weather.place, (SOUTH,))
        assert [one.code for one in found] == wanted
