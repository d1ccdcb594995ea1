"""Reference evapotranspiration of a day, by FAO Irrigation and Drainage Paper 56, chapters 2 to 4."""

from typing import Final

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

_SOLAR_MJ_M2_MIN: Final = 0.0820
_BOLTZMANN_MJ_K4_M2_DAY: Final = 4.903e-9
_KELVIN: Final = 273.16


def saturation_kpa(celsius: Floats) -> Floats:
    """Return the pressure of saturated vapour, kPa (equation 11)."""
    return np.asarray(0.6108 * np.exp(17.27 * celsius / (celsius + 237.3)))


def extraterrestrial_mj_m2(latitude_deg: float, day_of_year: Floats) -> Floats:
    """Return the sun's energy outside the air on the level in a day, MJ/m2 (equations 21 to 25)."""
    latitude, turn = np.radians(latitude_deg), 2.0 * np.pi * day_of_year / 365.0
    distance, declination = 1.0 + 0.033 * np.cos(turn), 0.409 * np.sin(turn - 1.39)
    # Beyond the polar circles the sun may stay up or down all day.
    sunset = np.arccos(np.clip(-np.tan(latitude) * np.tan(declination), -1.0, 1.0))
    height = sunset * np.sin(latitude) * np.sin(declination) + np.cos(latitude) * np.cos(declination) * np.sin(sunset)
    return np.asarray(24.0 * 60.0 / np.pi * _SOLAR_MJ_M2_MIN * distance * height)


def net_radiation_mj_m2(
    sun_mj_m2: Floats, outside_mj_m2: Floats, low_c: Floats, high_c: Floats, vapour_kpa: Floats, elevation_m: float
) -> Floats:
    """Return what a green cover keeps of the day's radiation, MJ/m2 (equations 37 to 40, albedo 0.23)."""
    clear = (0.75 + 2e-5 * elevation_m) * outside_mj_m2
    # Where the sun does not rise, the sky's share is taken as of a half-clouded day.
    share = np.where(clear > 0.0, np.clip(sun_mj_m2 / np.where(clear > 0.0, clear, 1.0), 0.3, 1.0), 0.65)
    warmth = ((high_c + _KELVIN) ** 4 + (low_c + _KELVIN) ** 4) / 2.0
    lost = _BOLTZMANN_MJ_K4_M2_DAY * warmth * (0.34 - 0.14 * np.sqrt(vapour_kpa)) * (1.35 * share - 0.35)
    return np.asarray(0.77 * sun_mj_m2 - lost)


def reference_mm_day(
    low_c: Floats, high_c: Floats, vapour_kpa: Floats, wind_m_s: Floats, sun_mj_m2: Floats, day_of_year: Floats,
    latitude_deg: float, elevation_m: float = 0.0,
) -> Floats:  # fmt: skip
    """Return the reference evapotranspiration of each day, mm (equation 6), never under nought.

    Coldest and warmest of each day in degC, vapour in the air in kPa, mean wind 2 m above the ground in m/s, global radiation on
    the level in MJ/m2, day of the year from 1; arrays of one shape. Latitude counts up to the north, elevation in m.
    """
    mean_c = (low_c + high_c) / 2.0
    slope = 4098.0 * saturation_kpa(mean_c) / (mean_c + 237.3) ** 2
    psychrometric = 0.665e-3 * 101.3 * ((293.0 - 0.0065 * elevation_m) / 293.0) ** 5.26
    outside = extraterrestrial_mj_m2(latitude_deg, day_of_year)
    net = net_radiation_mj_m2(sun_mj_m2, outside, low_c, high_c, vapour_kpa, elevation_m)
    lacks = (saturation_kpa(low_c) + saturation_kpa(high_c)) / 2.0 - vapour_kpa
    drying = psychrometric * 900.0 / (mean_c + 273.0) * wind_m_s * lacks
    return np.asarray(np.maximum(0.0, (0.408 * slope * net + drying) / (slope + psychrometric * (1.0 + 0.34 * wind_m_s))))
