"""The weather of a simulation: from the job's weather file, or constant where there is none."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from math import cos, hypot, radians
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from wattwright.core.clock import DAY_S, SiteClock
from wattwright.core.errors import Place, WeatherError
from wattwright.core.findings import Finding
from wattwright.generation.array import NEEDS, Array, on_steps, power_w
from wattwright.generation.yields import Yield, array_yield
from wattwright.job import kinds
from wattwright.job.days import STEP_S
from wattwright.job.sound_sun import odd_light, refuse_negative, sun_gaps
from wattwright.job.spec import SiteSpec, WeatherSpec
from wattwright.job.sun_clock import sun_shift
from wattwright.loads.columns import (
    W_AIR_C,
    W_COLD_WATER_C,
    W_ET0_MM_S,
    W_HUMIDITY_RATIO,
    W_SUN_W_M2,
    W_WIND_M_S,
    WEATHER,
)
from wattwright.loads.evapotranspiration import reference_mm_day, saturation_kpa
from wattwright.loads.moist_air_kernels import SEA_LEVEL_PA, humidity_ratio
from wattwright.sky.clearness import clearness_weather
from wattwright.sky.door import read_weather
from wattwright.sky.weather import Element, Weather, WeatherPlace

Floats = NDArray[np.float64]
_YEAR_S = 8760 * 3600
_USUAL_HUMIDITY = 0.7
_KM_DEGREE = 111.2
_NEAR_KM = 150.0
"""Weather of a place further away is not the site's: common practice, no source."""
_WANTED = (Element.TEMPERATURE, Element.HUMIDITY, Element.GHI, Element.WIND)


@dataclass(frozen=True, slots=True, eq=False)
class Climate:
    """``rows`` (n, WEATHER) by loads.columns, what PV could give, ``pv_w`` (n,), and what there is to say about them."""

    rows: Floats
    pv_w: Floats
    findings: tuple[Finding, ...]


def climate(
    spec: WeatherSpec,
    inside: Callable[[str], Path],
    site: SiteSpec,
    times_s: NDArray[np.int64],
    depending: Sequence[str],
    arrays: Sequence[Array] = (),
    *,
    seed: int,
) -> Climate:
    """Return the weather at the start of each step of ``times_s`` (n,), UTC seconds, and what PV ``arrays`` could give.

    ``inside`` gives the path of a file that the job names, as `Job.inside` does; ``depending`` are the names of loads that the
    weather moves. Without a file the air stays as the job says, loads are without
    sun, and PV is given one made of monthly values, its days drawn with ``seed``. Raises FileError, and WeatherError for a file
    that does not reach over the times, lacks what PV needs or has a negative sun, and for PV at an unknown place.
    """
    rows, clock = np.zeros((len(times_s), WEATHER)), SiteClock(site.zone)
    rows[:, W_AIR_C], rows[:, W_COLD_WATER_C] = spec.air_c, spec.cold_water_c
    rows[:, W_HUMIDITY_RATIO] = humidity_ratio(spec.air_c, _USUAL_HUMIDITY, SEA_LEVEL_PA)
    if not spec.file:
        told = (kinds.NO_WEATHER.at("weather", loads=", ".join(depending), air=spec.air_c),) if depending else ()
        made = _made_sun(spec, site, clock.day_of(int(times_s[0])).year, seed) if arrays else None
        sun = () if made is None else made.findings
        return Climate(rows, np.zeros(len(times_s)) if made is None else _sunlit(arrays, made, site, times_s), (*told, *sun))
    weather = read_weather(inside(spec.file), clock.day_of(int(times_s[0])).year, site.zone)
    places, used = _places(weather, times_s), bool(depending or arrays)
    gaps = _sound(weather, site, np.unique(places), bool(arrays)) if used else ()
    gaps += odd_light(weather, _place_of(weather, site), arrays) if all(one in weather.values for one in NEEDS) else ()
    is_placed = weather.place is not None or site.longitude_deg is not None
    gaps += sun_shift(weather, _place_of(weather, site)) if used and is_placed else ()
    found = {one: weather.values[one][places] for one in _WANTED if one in weather.values}
    _fill(rows, found, spec.air_c)
    if all(one in found for one in _WANTED):
        elevation_m = weather.place.elevation_m if weather.place is not None else 0.0
        rows[:, W_ET0_MM_S] = _evapotranspiration(rows, found[Element.HUMIDITY], clock, times_s, site.latitude_deg, elevation_m)
    lacking = [one.value for one in _WANTED if one not in found or np.isnan(found[one]).any()]
    # No format read here holds rain.
    note = kinds.WEATHER_LACKS.at(spec.file, elements=", ".join((*lacking, "rain")), air=spec.air_c)
    of_file = (*weather.findings, *_far(weather, site, spec.file), *gaps) if used else ()
    return Climate(rows, _sunlit(arrays, weather, site, times_s), (*of_file, *((note,) if depending else ())))


def _sound(weather: Weather, site: SiteSpec, at: NDArray[np.int64], lit: bool) -> tuple[Finding, ...]:
    """Return what the weather lacks for PV, if any is ``lit``, in the intervals ``at``; raises WeatherError for a false sun."""
    refuse_negative(weather, at)
    return sun_gaps(weather, _place_of(weather, site), at) if lit else ()


def _far(weather: Weather, site: SiteSpec, file: str) -> tuple[Finding, ...]:
    """Return that the weather's place is not near the site, where both are known."""
    place = weather.place
    if place is None or site.longitude_deg is None:
        return ()
    east_km = _KM_DEGREE * cos(radians(site.latitude_deg)) * ((place.longitude_deg - site.longitude_deg + 180.0) % 360.0 - 180.0)
    distance_km = hypot(_KM_DEGREE * (place.latitude_deg - site.latitude_deg), east_km)
    return (
        (kinds.FAR_WEATHER.at(file, place=place.name or "another place", distance=distance_km),) if distance_km > _NEAR_KM else ()
    )


def _made_sun(spec: WeatherSpec, site: SiteSpec, year: int, seed: int) -> Weather:
    """Return the weather of monthly values at the site, on its solar hours."""
    if site.longitude_deg is None:
        raise WeatherError.one(
            "job.pv-without-weather",
            Place(field="weather.file"),
            found="no weather file, and no longitude of the site",
            wanted="weather with the sun's irradiance, or the place for which a sun can be made, for the PV arrays of the job",
            next_step="Name a file under [weather], such as a typical year of the place, or write longitude under [site].",
        )
    place = WeatherPlace("", site.latitude_deg, site.longitude_deg, 0.0, 3600 * round(site.longitude_deg / 15.0))
    return clearness_weather(spec.sun, place, year, spec.air_c, seed)


def _sunlit(arrays: Sequence[Array], weather: Weather, site: SiteSpec, times_s: NDArray[np.int64]) -> Floats:
    """Return what the arrays together could give in each step, W, (n,); missing weather counts as none."""
    place = _place_of(weather, site)
    given = [
        on_steps(
            np.nan_to_num(power_w(one, weather, place)), weather, int(times_s[0]), STEP_S, len(times_s),
            every_year=is_typical(weather),
        )
        for one in arrays
    ]  # fmt: skip
    return np.nan_to_num(np.sum(given, axis=0)) if given else np.zeros(len(times_s))


def _place_of(weather: Weather, site: SiteSpec) -> WeatherPlace:
    """Return the place of the weather, the site's own where it names none."""
    return weather.place or WeatherPlace("", site.latitude_deg, site.longitude_deg or 0.0, 0.0, 0)


def yields(
    spec: WeatherSpec, inside: Callable[[str], Path], site: SiteSpec, start_s: int, arrays: Sequence[Array], seed: int
) -> tuple[tuple[float, Yield], ...]:  # fmt: skip
    """Return over how many days of weather each array yields what, loss by loss; the weather is that of :func:`climate`.

    Raises FileError, and WeatherError as that does.
    """
    year = SiteClock(site.zone).day_of(start_s).year
    weather = read_weather(inside(spec.file), year, site.zone) if spec.file else _made_sun(spec, site, year, seed)
    if spec.file:
        _sound(weather, site, np.arange(len(weather)), lit=True)
    days, place = len(weather) * weather.step_s / DAY_S, _place_of(weather, site)
    return tuple((days, array_yield(one, weather, place)) for one in arrays)


def is_typical(weather: Weather) -> bool:
    """Return whether it is a year that stands for every year."""
    return len(weather) * weather.step_s >= _YEAR_S and weather.place is not None


def _places(weather: Weather, times_s: NDArray[np.int64]) -> NDArray[np.int64]:
    """Return which interval of the weather each time lies in; a year of hours stands for every year."""
    places = (times_s - weather.start_s) // weather.step_s
    if is_typical(weather):
        return np.asarray(places % len(weather), np.int64)
    if places.min() < 0 or places.max() >= len(weather):
        raise WeatherError.one(
            "job.weather-span",
            Place(str(weather.source.name)),
            found=f"{len(weather)} intervals that do not reach over the days to be simulated",
            wanted="weather of those days, or a typical year",
            next_step="Choose days the file holds, or name another file.",
        )
    return np.asarray(places, np.int64)


def _fill(rows: Floats, found: dict[Element, Floats], air_c: float) -> None:
    """Put what was found into its columns; what is missing keeps the usual."""
    air = np.nan_to_num(found.get(Element.TEMPERATURE, rows[:, W_AIR_C]), nan=air_c)
    rows[:, W_AIR_C] = air
    relative = np.nan_to_num(found.get(Element.HUMIDITY, np.full(len(rows), 100 * _USUAL_HUMIDITY)), nan=100 * _USUAL_HUMIDITY)
    vapour_pa = 1000.0 * saturation_kpa(air) * relative / 100.0
    rows[:, W_HUMIDITY_RATIO] = 0.622 * vapour_pa / (SEA_LEVEL_PA - vapour_pa)
    for element, column in ((Element.GHI, W_SUN_W_M2), (Element.WIND, W_WIND_M_S)):
        rows[:, column] = np.nan_to_num(found.get(element, np.zeros(len(rows))), nan=0.0)


def _evapotranspiration(
    rows: Floats, humidity: Floats, clock: SiteClock, times_s: NDArray[np.int64], latitude_deg: float, elevation_m: float
) -> Floats:
    """Return the reference evapotranspiration of each step, mm/s: the day's (FAO-56), spread as the sun shines."""
    days, place = np.unique(clock.local_s(times_s) // DAY_S, return_inverse=True)
    air, sun = rows[:, W_AIR_C], rows[:, W_SUN_W_M2]
    low, high = (np.array([pick(air[place == k]) for k in range(len(days))]) for pick in (np.min, np.max))
    count = np.bincount(place)
    wind, relative, shines = (np.bincount(place, np.nan_to_num(one)) / count for one in (rows[:, W_WIND_M_S], humidity, sun))
    vapour = (saturation_kpa(low) + saturation_kpa(high)) / 2.0 * relative / 100.0
    of_year = days.astype("datetime64[D]").astype("datetime64[D]")
    day_of_year = (of_year - of_year.astype("datetime64[Y]")).astype(np.float64) + 1.0
    mm_day = reference_mm_day(low, high, vapour, wind, shines * DAY_S / 1e6, day_of_year, latitude_deg, elevation_m)
    with np.errstate(invalid="ignore", divide="ignore"):
        share = np.where(shines[place] > 0.0, sun / shines[place], 1.0)
    return np.asarray(mm_day[place] / DAY_S * share)
