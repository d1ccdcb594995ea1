"""Yields of PV arrays over published years of weather, and single points of the models they are made of."""

from functools import lru_cache, partial
from pathlib import Path

import numpy as np

from wattwright.checks.registry import Confidence, register
from wattwright.core.files import SourceFile
from wattwright.generation.array import Array, Chain, Losses, chain, plane_w_m2, power_w
from wattwright.generation.horizon import sky_share
from wattwright.generation.inverter import CEC, EUROPEAN, Curve, efficiency, weighted
from wattwright.sky.clearness import MonthlySun, clearness_weather
from wattwright.sky.door import read_weather
from wattwright.sky.sun import sun_positions
from wattwright.sky.weather import Element, Weather, WeatherPlace

_YEARS = {
    "greensboro": ("723170TYA.CSV", 1746.3, 1365.5, 1191.3),
    "sand-point": ("703165TY.csv", 973.7, 820.1, 680.3),
    "miami": ("12839.tm2", 1913.5, 1458.2, 1338.0),
}
"""File, then for one kWp by pvlib 0.16.1 alone: kWh/m2 on a slope of 20 degrees south, kWh given there, and given east."""


@lru_cache(maxsize=3)
def _read(place: str) -> tuple[Weather, WeatherPlace]:
    import pvlib

    weather = read_weather(Path(pvlib.__file__).parent / "data" / _YEARS[place][0], 1990)
    assert weather.place is not None  # these formats say where they are
    return weather, weather.place


def _array(azimuth_deg: float, **changed: object) -> Array:
    return Array.model_validate({"peak": "1 kW", "tilt_deg": 20.0, "azimuth_deg": azimuth_deg, **changed})


def _given_kwh(place: str, azimuth_deg: float, **changed: object) -> float:
    weather, where = _read(place)
    return float(power_w(_array(azimuth_deg, **changed), weather, where).sum()) * weather.step_s / 3.6e6


def _by_months_kwh(place: str) -> float:
    """Return the yield under a sun made of the months of the same year, at its mean temperature."""
    weather, where = _read(place)
    daily = weather.values[Element.GHI].reshape(365, 24).sum(axis=1) / 1000.0
    month_of = (np.datetime64("1990-01-01") + np.arange(365)).astype("datetime64[M]").astype(np.int64) % 12
    sun = MonthlySun(daily_kwh_m2=tuple(np.bincount(month_of, daily) / np.bincount(month_of)))
    made = clearness_weather(sun, where, 1990, float(weather.values[Element.TEMPERATURE].mean()), 1)
    return float(power_w(_array(180.0), made, where).sum()) / 1000.0


def _level(lit: float, air_c: float, mounting: str = "open rack", per_k: float = -0.0047) -> Chain:
    """Return an array of 4 kW lying flat under an even sky, wind of 1 m/s."""
    array = _array(180.0, peak="4 kW", tilt_deg=0.0, mounting=mounting, power_per_k=per_k, albedo="0 %")
    given = {Element.GHI: lit, Element.DNI: 0.0, Element.DHI: lit, Element.TEMPERATURE: air_c, Element.WIND: 1.0}
    place = WeatherPlace("", 0.0, 0.0, 0.0, 0)
    values = {element: np.array([value]) for element, value in given.items()}
    # An hour about noon on the equator in March: the sun is high, whatever the sky is said to give.
    weather = Weather(SourceFile("worked point", 0, ""), "", place, 1_426_852_800 - 1800, 3600, values, ())
    return chain(array, weather, place)


def _cell_c(lit: float, mounting: str) -> float:
    return float(_level(lit, 20.0, mounting).cell_c[0])


def _module_w(lit: float, cell_c: float, per_k: float) -> float:
    """Return the power at a cell temperature, the air being as cold as it takes."""
    air_c = cell_c - (_cell_c(lit, "open rack") - 20.0)
    return float(_level(lit, air_c, per_k=per_k).module_w[0])


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
for _place, _flat, _west, _ratio, _whole in (
    ("greensboro", 1228.1, 1194.4, 1357.7, 1591.6),
    ("sand-point", 699.6, 686.1, 819.2, 957.8),
    ("miami", 1362.9, 1308.5, 1449.6, 1699.3),
):
    for _id, _what, _value, _given in (
        ("flat", "lying flat", _flat, {"azimuth_deg": 180.0, "tilt_deg": 0.0}),
        ("west", "sloping 20 degrees west", _west, {"azimuth_deg": 270.0}),
        (
            "small-inverter",
            "sloping 20 degrees south, inverter of 1 / 1.5 kW",
            _ratio,
            {"azimuth_deg": 180.0, "limit": f"{1000 / 1.5} W"},
        ),
        (
            "no-losses",
            "the same without losses, inverter of 1 kW",
            _whole,
            {"azimuth_deg": 180.0, "losses": dict.fromkeys(Losses.model_fields, "0 %")},
        ),
    ):
        register(
            f"generation.{_place}-{_id}",
            f"power of a year of 1 kWp {_what}, {_YEARS[_place][0]}",
            unit="kWh",
            source="the same file and models with pvlib 0.16.1 alone",
            confidence=Confidence.REFERENCE_LIBRARY,
            published=_value,
            tolerance=0.001 * _value,
            why="0.1 %: rounded, and light at the edges of the day",
            ours=partial(_given_kwh, _place, **_given),
        )
    register(
        f"generation.{_place}-months",
        f"the same 1 kWp south under a sun made of the months of {_YEARS[_place][0]}",
        unit="kWh",
        source="the file's own hours with pvlib 0.16.1 alone",
        confidence=Confidence.REFERENCE_LIBRARY,
        published=_YEARS[_place][2],
        tolerance=0.05 * _YEARS[_place][2],
        why="5 %: days and hours are made up, the air stands still",
        ours=partial(_by_months_kwh, _place),
    )
for _mounting, _lit, _value in (
    ("open rack", 1000.0, 49.384), ("open rack", 800.0, 43.507), ("close to the roof", 1000.0, 69.456),
    ("close to the roof", 800.0, 59.565),
):  # fmt: skip
    register(
        f"generation.cell-{_mounting.split()[0]}-{_lit:.0f}",
        f"cell temperature {_mounting}, {_lit:g} W/m2, 20 degC, 1 m/s",
        unit="degC",
        source="King 2004, SAND2004-3535, coefficients as pvlib 0.16.1 holds them",
        confidence=Confidence.REFERENCE_LIBRARY,
        published=_value,
        tolerance=0.0005,
        why="three decimals",
        ours=partial(_cell_c, _lit, _mounting),
    )
for _lit, _cell, _per_k, _value in (
    (900.0, 50.0, -0.0047, 3177.0),
    (1000.0, 25.0, -0.0047, 4000.0),
    (200.0, 10.0, -0.0035, 842.0),
):
    register(
        f"generation.module-{_lit:.0f}",
        f"power of 4 kW at {_lit:g} W/m2, cells at {_cell:g} degC, {100 * _per_k:g} %/K",
        unit="W",
        source="Dobos 2014, NREL/TP-6A20-62641, by hand",
        confidence=Confidence.CLOSED_FORM,
        published=_value,
        tolerance=1e-6,
        why="floating point",
        ours=partial(_module_w, _lit, _cell, _per_k),
    )
for _load, _value in ((0.01, 0.39412), (0.02, 0.68783), (0.05, 0.86366), (0.1, 0.92163), (0.2, 0.94940), (0.3, 0.95758),
                      (0.5, 0.96219), (0.75, 0.96208), (0.9, 0.96096), (1.0, 0.96)):  # fmt: skip
    register(
        f"generation.inverter-{100 * _load:.0f}",
        f"inverter's efficiency at {100 * _load:g} % load, nominal 96 %",
        unit="",
        source="Dobos 2014, NREL/TP-6A20-62641, by hand",
        confidence=Confidence.CLOSED_FORM,
        published=_value,
        tolerance=6e-6,
        why="five decimals",
        ours=partial(lambda load: float(efficiency(np.array([load]), 0.96)[0]), _load),
    )
_SHEET: Curve = ((0.05, 0.90), (0.10, 0.94), (0.20, 0.96), (0.30, 0.97), (0.50, 0.975), (0.75, 0.972), (1.0, 0.968))
for _id, _curve, _weights, _value in (
    ("sheet-european", _SHEET, EUROPEAN, 0.96680), ("sheet-cec", _SHEET, CEC, 0.97031), ("form-european", (), EUROPEAN, 0.95424),
    ("form-cec", (), CEC, 0.95921),
):  # fmt: skip
    register(
        f"generation.weighted-{_id}",
        f"{'European' if _weights is EUROPEAN else 'CEC'} efficiency of {'a worked curve' if _curve else 'the form at 96 %'}",
        unit="",
        source="weights of EN 50530 and of the California Energy Commission, as three public pages agree on; by hand",
        confidence=Confidence.PUBLISHED,
        published=_value,
        tolerance=6e-6,
        why="five decimals",
        ours=partial(weighted, 0.96, _curve, _weights),
    )
for _high in (10.0, 30.0):
    register(
        f"generation.horizon-{_high:.0f}",
        f"share of an even sky's light that an even horizon of {_high:g} degrees leaves on level ground",
        unit="",
        source="the integral over the sky: cos2 h",
        confidence=Confidence.CLOSED_FORM,
        published=float(np.cos(np.radians(_high)) ** 2),
        tolerance=1e-9,
        why="floating point",
        ours=partial(sky_share, ((0.0, _high),), 0.0, 0.0),
    )
