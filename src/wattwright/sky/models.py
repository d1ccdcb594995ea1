"""pvlib's models of sky, slope, cell and inverter as plain functions of arrays: the one door to them for every other room.

Only this room imports pvlib; it brings pandas, which takes longer to load than most commands take to run.
"""

from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from wattwright.sky.sun import SunPositions

Floats = NDArray[np.float64]
Mounting = Literal["open rack", "close to the roof"]
_KING: dict[Mounting, str] = {"open rack": "open_rack_glass_polymer", "close to the roof": "close_mount_glass_glass"}
REFERENCE_W_M2 = 1000.0
"""Irradiance of standard conditions, IEC 60904-3."""


@dataclass(frozen=True, slots=True, eq=False)
class SlopeLight:
    """What falls on a slope by where it comes from, W/m2, shape (n,) each; ``even`` and ``band`` are sky and its bright foot."""

    beam: Floats
    about_sun: Floats
    even: Floats
    band: Floats
    ground: Floats


def slope_light(
    tilt_deg: float, azimuth_deg: float, sun: SunPositions, ghi: Floats, dni: Floats, dhi: Floats, albedo: float
) -> SlopeLight:
    """Return what falls on a slope, W/m2, from irradiances of shape (n,); nought while the sun is down, NaN where one is missing.

    Source: Perez et al. 1990, all sites; relative air mass after Kasten and Young 1989; ground by its albedo.
    """
    from pvlib import atmosphere, irradiance

    slope, at = (tilt_deg, azimuth_deg), (sun.apparent_zenith_deg, sun.azimuth_deg)
    up = sun.apparent_zenith_deg < 90.0
    # At the edges of the day the file may hold light while the sun stands below the horizon at mid-interval.
    dark = np.where(np.isnan(ghi) | np.isnan(dni) | np.isnan(dhi), np.nan, 0.0)
    air_mass = atmosphere.get_relative_airmass(np.where(up, sun.apparent_zenith_deg, np.nan))
    parts = irradiance.perez(*slope, dhi, dni, sun.extraterrestrial_w_m2, *at, air_mass, return_components=True)
    given = (
        irradiance.beam_component(*slope, *at, dni),
        *(parts[f"poa_{name}"] for name in ("circumsolar", "isotropic", "horizon")),
        irradiance.get_ground_diffuse(tilt_deg, ghi, albedo),
    )
    lit = up & ~np.isnan(dark)
    return SlopeLight(*(np.where(lit, np.nan_to_num(np.asarray(one, np.float64)), dark) for one in given))


def cell_c(lit_w_m2: Floats, air_c: Floats, wind_m_s: Floats, mounting: Mounting) -> Floats:
    """Return the temperature of the cells, degC, shape as given. Source: King et al. 2004, SAND2004-3535."""
    from pvlib import temperature

    king = temperature.TEMPERATURE_MODEL_PARAMETERS["sapm"][_KING[mounting]]
    return np.asarray(temperature.sapm_cell(lit_w_m2, air_c, wind_m_s, **king, irrad_ref=REFERENCE_W_M2), np.float64)


def module_w(lit_w_m2: Floats, cells_c: Floats, peak_w: float, per_k: float) -> Floats:
    """Return the power of modules, W, direct current, shape as given. Source: Dobos 2014, NREL/TP-6A20-62641."""
    from pvlib import pvsystem

    return np.asarray(pvsystem.pvwatts_dc(lit_w_m2, cells_c, peak_w, per_k), np.float64)


def inverter_w(direct_w: Floats, most_w: float, nominal: float) -> Floats:
    """Return the power of an inverter, W, alternating current, that takes ``most_w`` at full load; shape as ``direct_w``.

    Source: Dobos 2014, NREL/TP-6A20-62641.
    """
    from pvlib import inverter

    # Far below the load at which its own use takes all, the form would divide by almost nothing.
    held_w = np.where(direct_w < 1e-9 * most_w, 0.0, direct_w)
    return np.asarray(inverter.pvwatts(held_w, most_w, nominal), np.float64)


def clear_ghi(sun: SunPositions, elevation_m: float, turbidity: float = 3.0) -> Floats:
    """Return the global irradiance under a clear sky, W/m2, shape (n,), nought without sun; as :func:`clear_sky` has it."""
    return clear_sky(sun, elevation_m, turbidity)[0]


def clear_sky(sun: SunPositions, elevation_m: float, turbidity: float = 3.0) -> tuple[Floats, Floats, Floats]:
    """Return global, direct normal and diffuse irradiance under a clear sky, W/m2, shape (n,) each, nought without sun.

    Source: Ineichen and Perez 2002, from a Linke turbidity; usual: 2 in the mountains to 5 in a town, common practice, no source.
    """
    from pvlib import atmosphere, clearsky

    up = sun.apparent_zenith_deg < 90.0
    zenith = sun.apparent_zenith_deg[up]
    air_mass = atmosphere.get_absolute_airmass(atmosphere.get_relative_airmass(zenith), atmosphere.alt2pres(elevation_m))
    found = clearsky.ineichen(zenith, air_mass, turbidity, elevation_m, sun.extraterrestrial_w_m2[up])
    ghi, dni, dhi = (_where(up, found[name]) for name in ("ghi", "dni", "dhi"))
    return ghi, dni, dhi


def _where(up: NDArray[np.bool_], given: object) -> Floats:
    """Return values of the time the sun is up on all times, nought in between."""
    made = np.zeros(len(up))
    made[up] = np.nan_to_num(np.asarray(given, np.float64))
    return made


def split(ghi: Floats, sun: SunPositions, day_of_year: NDArray[np.int64]) -> tuple[Floats, Floats]:
    """Return direct normal and diffuse irradiance, W/m2, from the global one and the day of the year; shape (n,) each.

    Source: Erbs, Klein and Duffie 1982, for hours; on minutes it leans to one side.
    """
    from pvlib.irradiance import erbs

    parts = erbs(ghi, sun.apparent_zenith_deg, day_of_year)
    return np.asarray(parts["dni"], np.float64), np.asarray(parts["dhi"], np.float64)
