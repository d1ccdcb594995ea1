"""A PV array: its power at the site's bus from irradiance, temperature and wind, by the models of pvlib alone.

Sky and ground onto the slope after Perez 1990 (all sites), cell temperature after King 2004, direct-current power, losses
and inverter after Dobos 2014 (NREL/TP-6A20-62641). The sun is taken at the middle of each interval. What the angle of incidence
and the spectrum cost is not reckoned.
"""

from math import prod
from typing import Final, Literal

import numpy as np
from numpy.typing import NDArray
from pydantic import Field

from wattwright.core.errors import Place, WeatherError
from wattwright.core.fields import PowerW, Share, Spec
from wattwright.core.series import of_values, over_windows
from wattwright.sky.sun import SunPositions, sun_positions
from wattwright.sky.weather import Element, Weather, WeatherPlace

Floats = NDArray[np.float64]
Mounting = Literal["open rack", "close to the roof"]
NEEDS: Final = (Element.GHI, Element.DNI, Element.DHI, Element.TEMPERATURE, Element.WIND)
_KING: Final[dict[Mounting, str]] = {"open rack": "open_rack_glass_polymer", "close to the roof": "close_mount_glass_glass"}
_REFERENCE_W_M2 = 1000.0


class Losses(Spec):
    """What an array loses before its inverter, as shares that multiply. Usual values: Dobos 2014, NREL/TP-6A20-62641."""

    soiling: Share = Field(0.02, ge=0, lt=1, description="dirt; usual: 2 %")
    shading: Share = Field(0.03, ge=0, lt=1, description="shade that the weather does not know; usual: 3 %")
    snow: Share = Field(0.0, ge=0, lt=1, description="snow on the modules")
    mismatch: Share = Field(0.02, ge=0, lt=1, description="modules that are not alike; usual: 2 %")
    wiring: Share = Field(0.02, ge=0, lt=1, description="cables; usual: 2 %")
    connections: Share = Field(0.005, ge=0, lt=1, description="plugs and terminals; usual: 0.5 %")
    first_light: Share = Field(0.015, ge=0, lt=1, description="loss of the first days in the sun; usual: 1.5 %")
    nameplate: Share = Field(0.01, ge=0, lt=1, description="less than the plate says; usual: 1 %")
    age: Share = Field(0.0, ge=0, lt=1, description="loss since it was new; usual: 0.5 % a year")
    downtime: Share = Field(0.03, ge=0, lt=1, description="time out of order; usual: 3 %")

    def total(self) -> float:
        """Return the share that is lost in all: 1 less the product of what each leaves."""
        return 1.0 - prod(1.0 - float(share) for share in self.model_dump().values())


class Array(Spec):
    """A PV array that looks one way, behind one inverter. Survey: plates, slope and heading of the roof, what shades it."""

    peak_w: PowerW = Field(alias="peak", gt=0, le=10_000_000, description="power of all modules at standard conditions (kWp)")
    tilt_deg: float = Field(ge=0, le=90, description="slope: 0 lies flat, 90 stands upright")
    azimuth_deg: float = Field(ge=0, lt=360, description="where it looks, from north clockwise: 90 east, 180 south")
    losses: Losses = Field(Losses.model_validate({}), description="what it loses before the inverter")
    limit_w: PowerW | None = Field(
        None, alias="limit", gt=0, le=10_000_000, description="most the inverter gives, alternating current; as peak if left out"
    )
    efficiency: Share = Field(0.96, gt=0.5, le=1, description="inverter's nominal efficiency; usual: 96 to 98 %")
    power_per_k: float = Field(-0.0047, gt=-0.02, le=0, description="power lost per kelvin over 25 degC; usual: -0.003 to -0.005")
    mounting: Mounting = Field("open rack", description="how air comes to its back")
    albedo: Share = Field(0.2, ge=0, le=1, description="share of light the ground throws back; usual: 20 %, fresh snow 80 %")

    def ac_limit_w(self) -> float:
        """Return the most its inverter gives, W."""
        return self.peak_w if self.limit_w is None else self.limit_w


def power_w(array: Array, weather: Weather, place: WeatherPlace) -> Floats:
    """Return what the array gives in each interval of the weather, W, alternating current, shape (n,); NaN where it lacks one.

    Raises WeatherError where the weather lacks a quantity of NEEDS. Source: the models named at the top of this module.
    """
    from pvlib import inverter, pvsystem, temperature

    _has_all(weather)
    sun = sun_positions(weather.times_s + weather.step_s // 2, place)
    irradiance = plane_w_m2(array, weather, sun)
    king = temperature.TEMPERATURE_MODEL_PARAMETERS["sapm"][_KING[array.mounting]]
    air_c, wind = (weather.values[element] for element in (Element.TEMPERATURE, Element.WIND))
    cell_c = temperature.sapm_cell(irradiance, air_c, wind, **king, irrad_ref=_REFERENCE_W_M2)
    direct_w = pvsystem.pvwatts_dc(irradiance, cell_c, array.peak_w, array.power_per_k) * (1.0 - array.losses.total())
    limit_w = array.ac_limit_w()
    # The inverter turns down what is more than it takes; far beyond that its efficiency curve would fall below nought.
    taken_w = np.clip(direct_w, 0.0, limit_w / array.efficiency)
    given = inverter.pvwatts(taken_w, limit_w / array.efficiency, array.efficiency)
    return np.asarray(np.clip(given, 0.0, limit_w), np.float64)


def plane_w_m2(array: Array, weather: Weather, sun: SunPositions) -> Floats:
    """Return the irradiance on the array's slope, W/m2, shape (n,); nought without sun, NaN where weather is missing."""
    from pvlib import atmosphere, irradiance

    ghi, dni, dhi = (weather.values[element] for element in (Element.GHI, Element.DNI, Element.DHI))
    up = sun.apparent_zenith_deg < 90.0
    parts = irradiance.get_total_irradiance(
        array.tilt_deg,
        array.azimuth_deg,
        sun.apparent_zenith_deg,
        sun.azimuth_deg,
        dni,
        ghi,
        dhi,
        dni_extra=sun.extraterrestrial_w_m2,
        airmass=atmosphere.get_relative_airmass(np.where(up, sun.apparent_zenith_deg, np.nan)),
        albedo=array.albedo,
        model="perez",
    )
    # At the edges of the day the file may hold light while the sun stands below the horizon at mid-interval.
    lit = np.nan_to_num(np.asarray(parts["poa_global"], np.float64))
    missing = np.isnan(ghi) | np.isnan(dni) | np.isnan(dhi)
    return np.where(missing, np.nan, np.where(up, np.maximum(lit, 0.0), 0.0))


def on_steps(
    power_w: Floats, weather: Weather, start_s: int, step_s: int, steps: int, *, every_year: bool = False
) -> Floats:  # fmt: skip
    """Return the weather's ``power_w`` as means of ``steps`` steps of ``step_s`` from ``start_s`` on, shape (steps,).

    The energy over the common stretch is kept; a step beyond the weather, or of which a part is missing, is NaN. With
    ``every_year`` the weather is that of every year and follows itself, before and after.
    """
    begins_s = weather.start_s
    if every_year:
        whole_s = len(power_w) * weather.step_s
        first, last = (start_s - begins_s) // whole_s, (start_s + steps * step_s - 1 - begins_s) // whole_s
        power_w, begins_s = np.tile(power_w, last - first + 1), begins_s + first * whole_s
    edges = start_s + step_s * np.arange(steps + 1, dtype=np.int64)
    windows = over_windows(of_values(begins_s, weather.step_s, power_w), edges)
    return np.where(windows.full, windows.mean, np.nan)


def _has_all(weather: Weather) -> None:
    lacks = [element.value for element in NEEDS if element not in weather.values]
    if lacks:
        raise WeatherError.one(
            "generation.weather",
            Place(str(weather.source.name)),
            found=f"no {', no '.join(lacks)}",
            wanted="global, direct and diffuse irradiance, air temperature and wind speed",
            next_step="Take a weather file of the trade (TMY3, TM2, EPW) or add the columns.",
        )
