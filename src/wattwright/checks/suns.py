"""Where the sun stands, what it sends and what falls on a slope, against worked examples of standards and a textbook."""

from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from functools import lru_cache, partial

import numpy as np
from numpy.typing import NDArray

from wattwright.checks.registry import Confidence, register
from wattwright.core.clock import SiteClock
from wattwright.core.fields import Held
from wattwright.core.files import SourceFile
from wattwright.generation.array import Array, Light, light_on
from wattwright.sky.models import clear_ghi, split
from wattwright.sky.sun import SunPositions, sun_positions, sun_times
from wattwright.sky.weather import Element, Weather, WeatherPlace

_SPA = "Reda and Andreas, NREL/TP-560-34302, appendix A.5"
_BOOK = "Duffie and Beckman, Solar Engineering of Thermal Processes, 4th edition"
_GOLDEN = WeatherPlace("", 39.742476, -105.1786, 1830.14, -7 * 3600)
_MANAUS = WeatherPlace("", -3.107, -60.025, 100.0, -4 * 3600)


def _utc_s(text: str, ahead_h: float = 0.0) -> int:
    """Return UTC seconds of a clock that is ``ahead_h`` ahead of UTC."""
    return int((datetime.fromisoformat(text) - timedelta(hours=ahead_h)).replace(tzinfo=UTC).timestamp())


def _stands(place: WeatherPlace, time_s: int) -> SunPositions:
    return sun_positions(np.array([time_s]), place)


def _zenith(place: WeatherPlace, time_s: int) -> float:
    return float(_stands(place, time_s).apparent_zenith_deg[0])


def _azimuth(place: WeatherPlace, time_s: int) -> float:
    return float(_stands(place, time_s).azimuth_deg[0])


def _noon_s(place: WeatherPlace, day: str) -> int:
    """Return when the sun crosses the meridian of a place on a day."""
    number = np.array([np.datetime64(day, "D").astype(np.int64)])
    return round(float(sun_times(number, place.latitude_deg, place.longitude_deg, SiteClock("UTC")).transit_s[0]))


def _solar(latitude_deg: float, day: str, hour: float) -> tuple[WeatherPlace, int]:
    """Return a place on the meridian of Greenwich, and the instant of a solar hour of a day there."""
    place = WeatherPlace("", latitude_deg, 0.0, 0.0, 0)
    return place, _noon_s(place, day) + round(3600 * (hour - 12.0))


def _light(array: Array, stands: SunPositions, ghi: float, dni: float, dhi: float) -> Light:
    given = {Element.GHI: ghi, Element.DNI: dni, Element.DHI: dhi}
    values = {element: np.array([value]) for element, value in given.items()}
    return light_on(array, Weather(SourceFile("worked example", 0, ""), "", None, 0, 3600, values, ()), stands)


def _incidence(tilt_deg: float, azimuth_deg: float, stands: SunPositions) -> float:
    """Return the angle of incidence on a slope, degrees, from what a beam of 1 W/m2 leaves on it."""
    array = Array(peak_w=Held(1000.0), tilt_deg=tilt_deg, azimuth_deg=azimuth_deg)
    return float(np.degrees(np.arccos(_light(array, stands, 1.0, 1.0, 0.0).beam[0])))


def _from_hour_angle(latitude: float, declination: float, hour_angle: float) -> SunPositions:
    """Return where the sun stands by the spherical triangle, all in degrees; morning is negative."""
    phi, delta, omega = np.radians((latitude, declination, hour_angle))
    up = np.sin(phi) * np.sin(delta) + np.cos(phi) * np.cos(delta) * np.cos(omega)
    across, along = np.cos(delta) * np.sin(omega), np.sin(phi) * np.cos(delta) * np.cos(omega) - np.cos(phi) * np.sin(delta)
    azimuth = 180.0 + np.degrees(np.arctan2(across, along))
    return SunPositions(np.array([np.degrees(np.arccos(up))]), np.array([azimuth]), np.array([1367.0]))


def _above_mj(latitude_deg: float, day: str) -> float:
    """Return the light above the air on level ground on a day, MJ/m2, minute by minute."""
    place = WeatherPlace("", latitude_deg, 0.0, 0.0, 0)
    stands = sun_positions(_utc_s(day) + 60 * np.arange(1440) + 30, place)
    level = np.maximum(np.cos(np.radians(stands.apparent_zenith_deg)), 0.0) * stands.extraterrestrial_w_m2
    return float(level.sum()) * 60.0 / 1e6


@lru_cache(maxsize=8)
def _clear_day(day: str, elevation_m: float) -> NDArray[np.float64]:
    place = WeatherPlace("", 40.0, -105.0, elevation_m, -7 * 3600)
    return clear_ghi(sun_positions(_utc_s(day, -7) + 60 * np.arange(1440), place), elevation_m)


def _diffuse_share(clearness: float) -> float:
    """Return the diffuse share of global light with the sun overhead on 1 January."""
    above = sun_positions(np.array([_utc_s("2003-01-01 12:00")]), _GOLDEN).extraterrestrial_w_m2
    stands = SunPositions(np.array([0.0]), np.array([180.0]), above)
    ghi = clearness * above
    return float((split(ghi, stands, np.array([1]))[1] / ghi)[0])


def _tilted(part: str) -> float:
    """Return a part of the light of example 2.16.2, MJ/m2 in its hour: 60 degrees south at latitude 40, 20 February."""
    array = Array(peak_w=Held(1000.0), tilt_deg=60.0, azimuth_deg=180.0, albedo=Held(0.6))
    stands = SunPositions(np.array([62.2198]), np.array([137.622]), np.array([1395.81]))
    light = _light(array, stands, 288.89, 145.36, 221.14)
    parts = {"beam": light.beam, "sky": light.sky + light.about_sun, "ground": light.ground, "all": light.plane_w_m2}
    return float(parts[part][0]) * 3600.0 / 1e6


def _one(
    id_: str, what: str, unit: str, source: str, sure: Confidence, value: float, most: float, why: str, ours: Callable[[], float]
) -> None:
    register(f"sun.{id_}", what, unit=unit, source=source, confidence=sure, published=value, tolerance=most, why=why, ours=ours)


_AT = _utc_s("2003-10-17 12:30:30", -7)
_AIR = "the example's 820 mbar and 11 degC are nearly those taken at its height"
_one(
    "example-zenith",
    "sun's zenith, worked example: 17 October 2003",
    "degree",
    _SPA,
    Confidence.PUBLISHED,
    50.11162,
    0.001,
    _AIR,
    partial(_zenith, _GOLDEN, _AT),
)
_one(
    "example-azimuth",
    "sun's azimuth, the same",
    "degree",
    _SPA,
    Confidence.PUBLISHED,
    194.34024,
    0.0005,
    "five decimals; time of the earth's rotation rounded",
    partial(_azimuth, _GOLDEN, _AT),
)
_one(
    "example-incidence",
    "incidence on 30 degrees, 10 east of south, the same",
    "degree",
    _SPA,
    Confidence.PUBLISHED,
    25.187,
    0.001,
    _AIR,
    lambda: _incidence(30.0, 170.0, _stands(_GOLDEN, _AT)),
)
_TEST_SET = "a public set of test points for the same algorithm"
_JUNE = _utc_s("2015-06-12 09:34:11", -4)
_one(
    "second-zenith",
    "sun's zenith at 3.107 S 60.025 W, 12 June 2015",
    "degree",
    _TEST_SET,
    Confidence.PUBLISHED,
    44.1425,
    0.002,
    "air pressure and temperature taken by height",
    partial(_zenith, _MANAUS, _JUNE),
)
_one(
    "second-azimuth",
    "sun's azimuth, the same",
    "degree",
    _TEST_SET,
    Confidence.PUBLISHED,
    51.608,
    0.001,
    "three decimals",
    partial(_azimuth, _MANAUS, _JUNE),
)
for _place, _at, _ahead, _high, _way in (
    (WeatherPlace("greenwich", 51.4779, 0.0, 0.0, 0), "2024-03-20 12:00", 0, 51.3355, 177.6603),
    (WeatherPlace("sydney", -33.8688, 151.2093, 0.0, 0), "2024-12-21 12:00", 11, 15.6261, 51.6084),
    (WeatherPlace("nairobi", -1.2921, 36.8219, 0.0, 0), "2024-06-21 12:00", 3, 26.1152, 18.2686),
    (WeatherPlace("berlin", 52.52, 13.405, 0.0, 0), "2024-06-21 13:00", 2, 29.1178, 176.0898),
):
    for _what, _value, _ours in (("zenith", _high, _zenith), ("azimuth", _way, _azimuth)):
        _one(
            f"{_place.name}-{_what}",
            f"sun's {_what}, {_place.name.capitalize()}, {_at} at UTC+{_ahead}",
            "degree",
            "pvlib 0.16.1 alone, its plain form of the algorithm",
            Confidence.REFERENCE_LIBRARY,
            _value,
            0.001,
            "four decimals; time of the earth's rotation of another year",
            partial(_ours, _place, _utc_s(_at, _ahead)),
        )
for _name, _latitude, _day, _hour, _high, _way, _off in (
    ("february", 43.0, "2015-02-13", 9.5, 66.5, 140.0, 0.8),
    ("july", 43.0, "2015-07-01", 18.5, 79.6, 292.0, 0.3),
    ("march", 43.0, "2015-03-16", 16.0, 70.3, 246.8, 0.8),
):
    for _what, _value, _ours in (("zenith", _high, _zenith), ("azimuth", _way, _azimuth)):
        _one(
            f"book-{_name}-{_what}",
            f"sun's {_what} at 43 N, {_day[5:]}, solar hour {_hour:g}",
            "degree",
            f"{_BOOK}, examples 1.6.2 and 1.6.3",
            Confidence.PUBLISHED,
            _value,
            _off,
            "the book's declination is Cooper's, up to a degree off",
            partial(lambda how, *at: how(*_solar(*at)), _ours, _latitude, _day, _hour),
        )
_one(
    "book-incidence",
    "incidence at 43 N, declination -14, 10:30 solar, on 45 degrees 15 west of south",
    "degree",
    f"{_BOOK}, example 1.6.1",
    Confidence.PUBLISHED,
    35.0,
    0.2,
    "whole degrees",
    lambda: _incidence(45.0, 195.0, _from_hour_angle(43.0, -14.0, -22.5)),
)
_MADISON = WeatherPlace("", 43.07, -89.4, 0.0, 0)
_one(
    "book-clock",
    "solar less standard time in Madison, 89.4 W, 3 February",
    "min",
    f"{_BOOK}, example 1.5.1",
    Confidence.PUBLISHED,
    -11.0,
    0.5,
    "whole minutes",
    lambda: (_utc_s("2015-02-03 12:00", -6) - _noon_s(_MADISON, "2015-02-03")) / 60.0,
)
for _day, _value in (("2015-02-16", -14.24), ("2015-05-15", 3.94), ("2015-07-17", -6.01), ("2015-11-14", 15.33)):
    _one(
        f"equation-{_day[5:7]}",
        f"equation of time on {_day[5:]}",
        "min",
        f"{_BOOK}, eq. 1.5.3, by hand",
        Confidence.CLOSED_FORM,
        _value,
        0.5,
        "a series of five terms, for a year of 365 days",
        partial(lambda day: (_utc_s(f"{day} 12:00") - _noon_s(WeatherPlace("", 0.0, 0.0, 0.0, 0), day)) / 60.0, _day),
    )
for _id, _day, _value in (
    ("january", "2003-01-01", 1413.98),
    ("june", "2003-06-21", 1321.62),
    ("september", "2003-09-22", 1355.82),
):
    _one(
        f"above-{_id}",
        f"light above the air on {_day[5:]}",
        "W/m2",
        "series of Spencer, 1366.1 W/m2, pvlib 0.16.1 alone",
        Confidence.REFERENCE_LIBRARY,
        _value,
        0.01,
        "two decimals",
        partial(lambda day: float(_stands(_GOLDEN, _utc_s(f"{day} 12:00")).extraterrestrial_w_m2[0]), _day),
    )
for _id, _latitude, _day, _value in (
    ("april", 43.0, "2015-04-15", 33.8),
    ("winter", 40.0, "2015-12-10", 13.76),
    ("summer", 40.0, "2015-06-11", 41.76),
    ("equator", 0.0, "2015-03-21", 37.83),
):
    _source = f"{_BOOK}, example 1.10.1" if _id == "april" else f"{_BOOK}, eq. 1.10.3, by hand"
    _one(
        f"level-{_id}",
        f"light above the air on level ground, latitude {_latitude:g}, {_day[5:]}",
        "MJ/m2",
        _source,
        Confidence.PUBLISHED if _id == "april" else Confidence.CLOSED_FORM,
        _value,
        0.015 * _value,
        "1.5 %: Cooper's declination, 1367 against 1366.1 W/m2, refraction",
        partial(_above_mj, _latitude, _day),
    )
for _kt, _value in (
    (0.1, 0.9910),
    (0.2, 0.9820),
    (0.3, 0.9486),
    (0.4, 0.8400),
    (0.5, 0.6591),
    (0.6, 0.4395),
    (0.7, 0.2440),
    (0.8, 0.1653),
    (0.85, 0.165),
):
    _one(
        f"diffuse-{100 * _kt:.0f}",
        f"diffuse share of an hour's light at a clearness of {_kt:g}",
        "",
        "Erbs, Klein and Duffie 1982, polynomial by hand",
        Confidence.CLOSED_FORM,
        _value,
        6e-5,
        "four decimals",
        partial(_diffuse_share, _kt),
    )
for _part, _value, _source, _sure in (
    ("beam", 0.418, f"{_BOOK}, example 2.15.1, by hand", Confidence.CLOSED_FORM),
    ("ground", 0.156, f"{_BOOK}, example 2.15.1, by hand", Confidence.CLOSED_FORM),
    ("sky", 0.796, "Perez 1990, all sites, pvlib 0.16.1 alone", Confidence.REFERENCE_LIBRARY),
    ("all", 1.3705, "Perez 1990, all sites, pvlib 0.16.1 alone", Confidence.REFERENCE_LIBRARY),
):
    _one(
        f"tilted-{_part}",
        f"light of 1.04 MJ/m2 on 60 degrees south, latitude 40, 20 February, 9 to 10: {_part}",
        "MJ/m2",
        _source,
        _sure,
        _value,
        0.0005,
        "three decimals",
        partial(_tilted, _part),
    )
for _id, _day, _high_m, _value in (
    ("march", "2015-03-20", 0.0, 5.62),
    ("june", "2015-06-21", 0.0, 8.43),
    ("december", "2015-12-21", 0.0, 2.29),
    ("mountain", "2015-06-21", 1800.0, 9.38),
):
    _one(
        f"clear-{_id}",
        f"clear day at latitude 40, {_high_m:g} m, {_day[5:]}",
        "kWh/m2",
        "Ineichen and Perez 2002, pvlib 0.16.1 alone",
        Confidence.REFERENCE_LIBRARY,
        _value,
        0.01 * _value,
        "1 %: day of another year, two decimals",
        partial(lambda day, high_m: float(_clear_day(day, high_m).sum()) / 60_000.0, _day, _high_m),
    )
