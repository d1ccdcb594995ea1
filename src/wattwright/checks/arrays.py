"""Yields of PV arrays over published years of weather, and single points of the models they are made of."""

from functools import partial
from pathlib import Path

import numpy as np

from wattwright.checks.registry import Confidence, register
from wattwright.core.fields import Held
from wattwright.generation.array import Array, Losses, plane_w_m2, power_w
from wattwright.sky.door import read_weather
from wattwright.sky.sun import sun_positions
from wattwright.sky.weather import Weather, WeatherPlace

_YEARS = {
    "greensboro": ("723170TYA.CSV", 1746.3, 1365.5, 1191.3),
    "sand-point": ("703165TY.csv", 973.7, 820.1, 680.3),
    "miami": ("12839.tm2", 1913.5, 1458.2, 1338.0),
}
"""File, then for one kWp by pvlib 0.16.1 alone: kWh/m2 on a slope of 20 degrees south, kWh given there, and given east."""


def _read(place: str) -> tuple[Weather, WeatherPlace]:
    import pvlib

    weather = read_weather(Path(pvlib.__file__).parent / "data" / _YEARS[place][0], 1990)
    assert weather.place is not None  # these formats say where they are
    return weather, weather.place


def _array(azimuth_deg: float) -> Array:
    return Array(peak_w=Held(1000.0), tilt_deg=20.0, azimuth_deg=azimuth_deg)


def _given_kwh(place: str, azimuth_deg: float) -> float:
    weather, where = _read(place)
    return float(power_w(_array(azimuth_deg), weather, where).sum()) * weather.step_s / 3.6e6


def _lit_kwh_m2(place: str) -> float:
    weather, where = _read(place)
    sun = sun_positions(weather.times_s + weather.step_s // 2, where)
    return float(np.sum(plane_w_m2(_array(180.0), weather, sun))) * weather.step_s / 3.6e6


def _lost_percent() -> float:
    return 100.0 * Losses.model_validate({}).total()


for _place, (_file, _lit, _south, _east) in _YEARS.items():
    for _what, _heads, _unit, _value, _ours in (
        ("irradiance", "south", "kWh/m2", _lit, partial(_lit_kwh_m2, _place)),
        ("south", "south", "kWh", _south, partial(_given_kwh, _place, 180.0)),
        ("east", "east", "kWh", _east, partial(_given_kwh, _place, 90.0)),
    ):
        register(
            f"generation.{_place}-{_what}",
            f"{'irradiance' if _what == 'irradiance' else 'power'} of a year on 1 kWp sloping 20 degrees {_heads}, {_file}",
            unit=_unit,
            source="the same file and models with pvlib 0.16.1 alone",
            confidence=Confidence.REFERENCE_LIBRARY,
            published=_value,
            tolerance=0.001 * _value,
            why="0.1 %: rounded, and light at the edges of the day",
            ours=_ours,
        )
register(
    "generation.usual-losses",
    "usual losses before the inverter, taken together",
    unit="%",
    source="Dobos 2014, NREL/TP-6A20-62641",
    confidence=Confidence.PUBLISHED,
    published=14.08,
    tolerance=0.005,
    why="published to two decimals",
    ours=_lost_percent,
)
