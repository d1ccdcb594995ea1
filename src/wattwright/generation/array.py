"""A PV array: its power at the site's bus from irradiance, temperature and wind, by the models of pvlib alone.

Sky and ground onto the slope after Perez 1990 (all sites), cell temperature after King 2004, direct-current power, losses
and inverter after Dobos 2014 (NREL/TP-6A20-62641), the inverter from its data sheet where one is given. The sun is taken at the
middle of each interval. What the angle of incidence and the spectrum cost is not reckoned.
"""

from dataclasses import dataclass, replace
from math import prod
from typing import Final, Self

import numpy as np
from numpy.typing import NDArray
from pydantic import Field, model_validator

from wattwright.core.errors import Place, WeatherError
from wattwright.core.fields import PowerW, Share, Spec
from wattwright.core.series import of_values, over_windows
from wattwright.generation.horizon import Horizon, height_deg, sky_share
from wattwright.generation.inverter import Curve, given_w
from wattwright.sky.models import REFERENCE_W_M2, Mounting, cell_c, module_w, slope_light
from wattwright.sky.sun import SunPositions, sun_positions
from wattwright.sky.weather import Element, Weather, WeatherPlace

Floats = NDArray[np.float64]
NEEDS: Final = (Element.GHI, Element.DNI, Element.DHI, Element.TEMPERATURE, Element.WIND)


class Losses(Spec):
    """What an array loses before its inverter, as shares that multiply. Usual values: Dobos 2014, NREL/TP-6A20-62641."""

    soiling: Share = Field(0.02, ge=0, lt=1, description="dirt; usual: 2 %")
    shading: Share = Field(0.03, ge=0, lt=1, description="shade that neither weather nor horizon knows; usual: 3 %")
    snow: Share = Field(0.0, ge=0, lt=1, description="snow on the modules")
    mismatch: Share = Field(0.02, ge=0, lt=1, description="modules that are not alike; usual: 2 %")
    wiring: Share = Field(0.02, ge=0, lt=1, description="cables; usual: 2 %")
    connections: Share = Field(0.005, ge=0, lt=1, description="plugs and terminals; usual: 0.5 %")
    first_light: Share = Field(0.015, ge=0, lt=1, description="loss of the first days in the sun; usual: 1.5 %")
    nameplate: Share = Field(0.01, ge=0, lt=1, description="less than the plate says; usual: 1 %")
    age: Share = Field(0.0, ge=0, lt=1, description="loss of an array that is not new; its fade goes on from there")
    downtime: Share = Field(0.03, ge=0, lt=1, description="time out of order; usual: 3 %")

    @property
    def items(self) -> tuple[tuple[str, float], ...]:
        """Return each loss by its name, as a share, in the order in which they come."""
        return tuple((name.replace("_", " "), float(share)) for name, share in self.model_dump().items())

    def total(self) -> float:
        """Return the share that is lost in all: 1 less the product of what each leaves."""
        return 1.0 - prod(1.0 - share for _, share in self.items)


class Array(Spec):
    """A PV array that looks one way, behind one inverter. Survey: plates, slope and heading of the roof, what shades it."""

    peak_w: PowerW = Field(alias="peak", ge=10, le=10_000_000, description="power of all modules at standard conditions (kWp)")
    tilt_deg: float = Field(ge=0, le=90, description="slope: 0 lies flat, 90 stands upright")
    azimuth_deg: float = Field(ge=0, lt=360, description="where it looks, from north clockwise: 90 east, 180 south")
    losses: Losses = Field(Losses.model_validate({}), description="what it loses before the inverter")
    limit_w: PowerW | None = Field(
        None, alias="limit", ge=10, le=10_000_000, description="most the inverter gives, alternating current; as peak if left out"
    )
    efficiency: Share = Field(0.96, gt=0.5, le=1, description="inverter's nominal efficiency; usual: 96 to 98 %")
    power_per_k: float = Field(-0.0047, gt=-0.02, le=0, description="power lost per kelvin over 25 degC; usual: -0.003 to -0.005")
    mounting: Mounting = Field("open rack", description="how air comes to its back")
    albedo: Share = Field(0.2, ge=0, le=1, description="share of light the ground throws back; usual: 20 %, fresh snow 80 %")
    fade: Share = Field(0.005, ge=0, lt=0.1, description="power lost each year from the second on; usual: 0.5 %")
    horizon: Horizon = Field(
        (), max_length=360, description="pairs: azimuth from north and height in degrees of what hides the sun; level if left out"
    )
    curve: Curve = Field(
        (), max_length=20, description="pairs: load over rating and inverter's efficiency, the last at 1; instead of efficiency"
    )

    @model_validator(mode="after")
    def _in_order(self) -> Self:
        ways = [one for one, _ in self.horizon]
        if ways != sorted(set(ways)) or any(not (0 <= way < 360 and 0 <= high < 90) for way, high in self.horizon):
            raise ValueError("a horizon of rising azimuths under 360 and heights of 0 to under 90 degrees|Begin in the north.")
        loads, given = [one for one, _ in self.curve], [one * share for one, share in self.curve]
        whole = not loads or (loads == sorted(set(loads)) and loads[0] > 0 and loads[-1] == 1 and given == sorted(given))
        if not whole or any(not 0.3 < share <= 1 for _, share in self.curve):
            raise ValueError("loads rising to 1, each with an efficiency of 30 to 100 %|Read them again from the data sheet.")
        return self

    def faded_share(self, year: int) -> float:
        """Return what age leaves of its power in a year, counted from 1: all in the first."""
        return float((1.0 - self.fade) ** (year - 1))

    def ac_limit_w(self) -> float:
        """Return the most its inverter gives, W."""
        return self.peak_w if self.limit_w is None else self.limit_w


@dataclass(frozen=True, slots=True, eq=False)
class Light:
    """What falls on a slope, W/m2, shape (n,) each; NaN where the weather lacks something.

    ``beam`` is the sun itself and ``about_sun`` the bright sky about it, ``sky`` the rest of the sky, ``ground`` what the ground
    throws back; ``shaded`` is what the horizon took of the first three.
    """

    beam: Floats
    about_sun: Floats
    sky: Floats
    ground: Floats
    shaded: Floats

    @property
    def plane_w_m2(self) -> Floats:
        """Return all that is left, never negative."""
        return np.maximum(self.beam + self.about_sun + self.sky, 0.0) + self.ground


@dataclass(frozen=True, slots=True, eq=False)
class Chain:
    """Each step from the sky to the site's bus, shape (n,) each; NaN where the weather lacks something.

    ``cold_w`` is what the modules would give at 25 degC, ``module_w`` what they give as warm as they are, ``direct_w`` what
    reaches the inverter after losses and age, ``given_w`` what leaves it.
    """

    light: Light
    cell_c: Floats
    cold_w: Floats
    module_w: Floats
    direct_w: Floats
    given_w: Floats


def power_w(array: Array, weather: Weather, place: WeatherPlace, year: int = 1) -> Floats:
    """Return what the array gives in each interval of the weather, W, alternating current, shape (n,); NaN where it lacks one.

    ``year`` counts from 1; from the second on it fades. Raises WeatherError where the weather lacks a quantity of NEEDS.
    Source: the models named at the top of this module.
    """
    return chain(array, weather, place, year).given_w


def chain(array: Array, weather: Weather, place: WeatherPlace, year: int = 1) -> Chain:
    """Return each step from the sky to the site's bus, as ``power_w`` takes them. Raises WeatherError as it does."""
    _has_all(weather)
    light = light_on(array, weather, sun_positions(weather.times_s + weather.step_s // 2, place))
    lit = light.plane_w_m2
    cells_c = cell_c(lit, weather.values[Element.TEMPERATURE], weather.values[Element.WIND], array.mounting)
    warm_w = module_w(lit, cells_c, array.peak_w, array.power_per_k)
    direct_w = warm_w * (1.0 - array.losses.total()) * array.faded_share(year)
    given = given_w(direct_w, array.ac_limit_w(), array.efficiency, array.curve)
    return Chain(light, cells_c, array.peak_w * lit / REFERENCE_W_M2, warm_w, direct_w, given)


def plane_w_m2(array: Array, weather: Weather, sun: SunPositions) -> Floats:
    """Return the irradiance on the array's slope, W/m2, shape (n,); nought without sun, NaN where weather is missing."""
    return light_on(array, weather, sun).plane_w_m2


def light_on(array: Array, weather: Weather, sun: SunPositions) -> Light:
    """Return what falls on the array's slope, by where it comes from, less what its horizon takes."""
    ghi, dni, dhi = (weather.values[element] for element in (Element.GHI, Element.DNI, Element.DHI))
    made = slope_light(array.tilt_deg, array.azimuth_deg, sun, ghi, dni, dhi, array.albedo)
    whole = Light(made.beam, made.about_sun, made.even + made.band, made.ground, np.zeros(len(ghi)))
    if not array.horizon:
        return whole
    seen = 90.0 - sun.apparent_zenith_deg > height_deg(array.horizon, sun.azimuth_deg)
    left = sky_share(array.horizon, array.tilt_deg, array.azimuth_deg)
    cut = replace(whole, beam=whole.beam * seen, about_sun=whole.about_sun * seen, sky=left * whole.sky)
    return replace(cut, shaded=whole.plane_w_m2 - cut.plane_w_m2)


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
