"""A sun for a place without a weather file: monthly clearness over a clear sky, with days drawn from a seed.

It is no measured weather. The clear sky is that of Ineichen and Perez as pvlib has it, with one turbidity all year. Days of a
month are spread between overcast and clear as Bendt et al. 1981 found them (a truncated exponential law, from memory), one after
another with the memory that Graham et al. 1988 found (0.29 from day to day, from memory), and moved together until the month
holds its mean. Within a day the sky is alike in every hour. Diffuse light after Erbs et al. 1982. Air and wind do not change.
"""

import calendar
import datetime as dt
from typing import Final, Self

import numpy as np
from numpy.typing import NDArray
from pydantic import Field, model_validator

from wattwright.core.errors import InputError, Place
from wattwright.core.fields import Spec
from wattwright.core.files import SourceFile
from wattwright.core.findings import Finding
from wattwright.core.seeds import Streams
from wattwright.sky import kinds
from wattwright.sky.models import clear_ghi, split
from wattwright.sky.sun import sun_positions
from wattwright.sky.weather import Element, Weather, WeatherPlace

Floats = NDArray[np.float64]
Places = NDArray[np.int64]
USUAL_SHARE: Final = 0.7
"""Of a clear sky, in every month, where nothing is stated: common practice, no source."""
_WIND_M_S: Final = 1.0
_OVERCAST, _CLEAR = 0.07, 1.0
"""The dullest and the clearest day, as shares of a clear one."""
_MEMORY: Final = 0.29
_STEEPEST: Final = 300.0
_HOUR_S = 3600


class MonthlySun(Spec):
    """What is known of the sun of a place, January first; without a weather file PV is simulated by it."""

    clearness: tuple[float, ...] = Field(
        (), description="month's light on level ground over that above the air; usual: 0.3 to 0.7"
    )
    daily_kwh_m2: tuple[float, ...] = Field((), description="instead: mean day's light on level ground of each month, kWh/m2")

    @model_validator(mode="after")
    def _twelve(self) -> Self:
        given = self.clearness or self.daily_kwh_m2
        if (self.clearness and self.daily_kwh_m2) or (given and len(given) != 12) or any(not 0 <= one < 15 for one in given):
            raise ValueError("twelve values of nought or more, clearness or kWh/m2|Write one list, January first.")
        return self


def clearness_weather(sun: MonthlySun, place: WeatherPlace, year: int, air_c: float, seed: int) -> Weather:
    """Return a year of hours with irradiances, air and wind, each month with the light that ``sun`` states.

    The same seed gives the same days. Raises InputError for a month duller than the dullest sky or clearer than the clear one.
    """
    days = 366 if calendar.isleap(year) else 365
    start_s = int(dt.datetime(year, 1, 1, tzinfo=dt.UTC).timestamp()) - place.offset_s
    times_s = start_s + _HOUR_S * np.arange(24 * days, dtype=np.int64)
    stands = sun_positions(times_s + _HOUR_S // 2, place)
    clear = clear_ghi(stands, place.elevation_m)
    above = np.maximum(np.cos(np.radians(stands.apparent_zenith_deg)), 0.0) * stands.extraterrestrial_w_m2
    daily_clear, daily_above = (one.reshape(days, 24).sum(axis=1) / 1000.0 for one in (clear, above))
    dates = np.datetime64(f"{year}-01-01") + np.arange(days)
    month_of = dates.astype("datetime64[M]").astype(np.int64) % 12
    wanted = _wanted_kwh(sun, month_of, daily_clear, daily_above)
    shares = _shares(month_of, daily_clear, wanted, _memory(days, seed))
    ghi = clear * np.repeat(shares, 24)
    values = dict(zip((Element.DNI, Element.DHI), split(ghi, stands, np.repeat(np.arange(days) + 1, 24)), strict=True))
    steady = {Element.TEMPERATURE: np.full(len(ghi), air_c), Element.WIND: np.full(len(ghi), _WIND_M_S)}
    source = SourceFile("monthly clearness", 0, "")
    return Weather(
        source, "clearness", place, start_s, _HOUR_S, {Element.GHI: ghi, **values, **steady}, (year,), _told(sun, place, seed)
    )


def _told(sun: MonthlySun, place: WeatherPlace, seed: int) -> tuple[Finding, ...]:
    where = place.name or "weather"
    if sun.clearness or sun.daily_kwh_m2:
        return (kinds.MADE_OF_MONTHS.at(where, seed=seed),)
    return (kinds.MADE_OF_NOTHING.at(where, share=USUAL_SHARE, seed=seed),)


def _wanted_kwh(sun: MonthlySun, month_of: Places, clear: Floats, above: Floats) -> Floats:
    """Return the light of each month, kWh/m2, (12,), from what is stated: ``clear`` and ``above`` are those of each day."""
    if sun.daily_kwh_m2:
        return np.asarray(np.asarray(sun.daily_kwh_m2) * np.bincount(month_of), np.float64)
    if sun.clearness:
        return np.asarray(np.asarray(sun.clearness) * np.bincount(month_of, above), np.float64)
    return np.asarray(USUAL_SHARE * np.bincount(month_of, clear), np.float64)


def _memory(days: int, seed: int) -> Floats:
    """Return numbers for the days, each of which remembers a little of the one before."""
    fresh = Streams(seed).stream("sky.clearness").standard_normal(days)
    made, part = np.empty(days), np.sqrt(1.0 - _MEMORY**2)
    made[0] = fresh[0]
    for day in range(1, days):
        made[day] = _MEMORY * made[day - 1] + part * fresh[day]
    return made


def _shares(month_of: Places, clear: Floats, wanted_kwh: Floats, order: Floats) -> Floats:
    """Return each day's share of a clear day, (days,), so that each month holds its light; days in the ``order`` given."""
    shares = np.zeros(len(clear))
    for month in range(12):
        mine = np.flatnonzero(month_of == month)
        # Each of n days stands for an equal part of the law, so that a month of few days has its spread too.
        even = (np.argsort(np.argsort(order[mine])) + 0.5) / len(mine)
        if clear[mine].any():
            shares[mine] = _moved(month, even, clear[mine], float(wanted_kwh[month]))
    return shares


def _moved(month: int, even: Floats, clear: Floats, wanted_kwh: float) -> Floats:
    """Return the days of a month by the law that gives ``wanted_kwh`` in all."""
    from scipy.optimize import brentq

    def over(steepness: float) -> float:
        return float(_law(even, steepness) @ clear) - wanted_kwh

    if not over(-_STEEPEST) <= 0.0 <= over(_STEEPEST):
        least, most = (float(_law(even, one) @ clear) / len(clear) for one in (-_STEEPEST, _STEEPEST))
        raise InputError.one(
            "sky.clearness",
            Place(field=f"weather.sun, {calendar.month_name[month + 1]}"),
            found=f"{wanted_kwh / len(clear):.2f} kWh/m2 a day",
            wanted=f"{least:.2f} to {most:.2f} kWh/m2 a day, from a dull month to one of clear days only",
            next_step="Look whether the list is of this place, begins in January, and is of level ground.",
        )
    return _law(even, float(brentq(over, -_STEEPEST, _STEEPEST, xtol=1e-13)))


def _law(even: Floats, steepness: float) -> Floats:
    """Return shares of a clear day at the parts ``even`` (0 to 1) of an exponential law cut at both ends."""
    # At nought every share is as likely; hardly beside it the law is the same and can be worked out.
    steepness = steepness or 1e-12
    return np.asarray(_OVERCAST + (_CLEAR - _OVERCAST) * np.log1p(even * np.expm1(steepness)) / steepness, np.float64)
