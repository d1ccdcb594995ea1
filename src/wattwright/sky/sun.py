"""Where the sun stands, and sunrise, noon and sunset of a place, through pvlib's solar position algorithm."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from wattwright.core.clock import DAY_S, SiteClock
from wattwright.sky.weather import WeatherPlace

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True, eq=False)
class SunTimes:
    """UTC seconds of sunrise, transit and sunset on each local day; shape (n,) each.

    ``rise_s`` and ``set_s`` are NaN on days on which the sun stays up or stays down.
    """

    rise_s: Floats
    transit_s: Floats
    set_s: Floats


@dataclass(frozen=True, slots=True, eq=False)
class SunPositions:
    """Where the sun stands at each instant, degrees, and what it sends above the air, W/m2; shape (n,) each.

    The zenith is that seen through standard refraction; the azimuth counts from north, clockwise.
    """

    apparent_zenith_deg: Floats
    azimuth_deg: Floats
    extraterrestrial_w_m2: Floats


def sun_positions(times_s: NDArray[np.int64], place: WeatherPlace) -> SunPositions:
    """Return where the sun stands at UTC seconds, shape (n,), seen from a place.

    Source: Reda and Andreas, NREL/TP-560-34302, and the extraterrestrial series of Spencer, as pvlib implements them.
    """
    import pandas as pd
    from pvlib.irradiance import get_extra_radiation
    from pvlib.solarposition import get_solarposition

    when = pd.DatetimeIndex(np.asarray(times_s, np.int64).astype("datetime64[s]")).tz_localize("UTC")
    found = get_solarposition(when, place.latitude_deg, place.longitude_deg, altitude=place.elevation_m)
    columns = (found["apparent_zenith"], found["azimuth"], get_extra_radiation(when.day_of_year.to_numpy()))
    return SunPositions(*(np.array(one, np.float64) for one in columns))


def sun_times(day_numbers: NDArray[np.int64], latitude_deg: float, longitude_deg: float, clock: SiteClock) -> SunTimes:
    """Return when the sun rises, crosses the meridian and sets on local days (since 1970-01-01, shape (n,)).

    Longitude counts positive eastwards. The upper limb on a level horizon with standard refraction (zenith 90.833 degrees).
    Source: Reda and Andreas, NREL/TP-560-34302, as pvlib implements it.
    """
    wanted = np.asarray(day_numbers, np.int64)
    found = _on_utc_days(wanted, latitude_deg, longitude_deg)
    # Near the date line the noon of a UTC day belongs to another day of the site's clock.
    beside = wanted - clock.local_s(found.transit_s.astype(np.int64)) // DAY_S
    return _on_utc_days(wanted + beside, latitude_deg, longitude_deg) if beside.any() else found


def _on_utc_days(days: NDArray[np.int64], latitude_deg: float, longitude_deg: float) -> SunTimes:
    # pvlib brings pandas, which takes longer to load than most commands take to run.
    import pandas as pd
    from pvlib.solarposition import sun_rise_set_transit_spa

    dates = pd.DatetimeIndex(days.astype("datetime64[D]").astype("datetime64[ns]")).tz_localize("UTC")
    found = sun_rise_set_transit_spa(dates, latitude_deg, longitude_deg)
    return SunTimes(*(_seconds(found[name].dt.tz_localize(None).to_numpy()) for name in ("sunrise", "transit", "sunset")))


def _seconds(times: NDArray[np.datetime64]) -> Floats:
    """Return times as UTC seconds, NaN where there is none."""
    return np.where(np.isnat(times), np.nan, times.astype("datetime64[ns]").astype(np.int64) / 1e9)
