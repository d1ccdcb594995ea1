"""Whether a weather file's clock is that of its sun: light must be centred on the sun's noon where it stands, all year."""

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from wattwright.core.clock import DAY_S
from wattwright.core.findings import Finding
from wattwright.job import kinds
from wattwright.sky.models import clear_sky
from wattwright.sky.sun import sun_positions
from wattwright.sky.weather import Element, Weather, WeatherPlace

Floats = NDArray[np.float64]
_CLEAR_SHARE: Final = 0.7
"""A day that gives so much of a clear sky's light is clear: common practice, no source."""
_MOST_DAYS, _FEWEST_DAYS = 30, 3
"""The clearest days that are looked at, and how few say something: common practice, no source."""
_LIGHT_WH_M2: Final = 1000.0
"""A day with less light than that under a clear sky, as in polar winter, says little: common practice, no source."""
_SHIFT_H: Final = 0.75
"""Mist at one end of clear days, or stamps in the middle of an interval, move the light by less: common practice, no source."""
_SUMMER_H: Final = (0.5, 1.5)
"""The seasons lie nearer to the hour of summer time apart than to none or two, hours."""
_NORTHS_WINTER, _NORTHS_SUMMER = ((11, 8), (3, 7)), ((4, 10), (8, 31))
"""First and last day of the seasons that lie wholly on one side of every change of summer time now kept (the IANA database)."""
_ZONES_H: Final = (-12.0, 14.0)
"""The clocks of the world, hours from UTC (the IANA time zone database)."""
_DAY_H, _HOUR_S, _DEGREE_S = 24.0, 3600.0, 240.0


@dataclass(frozen=True, slots=True, eq=False)
class _Clear:
    """The clear days of a weather file, the clearest first: each as 100 month + day, and by how much its light is late.

    ``month_day`` (m,); ``shift_h`` (m,), hours, the middle of the light after that of a clear sky.
    """

    month_day: NDArray[np.int64]
    shift_h: Floats

    def of(self, season: tuple[tuple[int, int], tuple[int, int]] | None = None) -> Floats:
        """Return the shifts of the clearest days, hours, of a season if one is named; none where too few say something."""
        is_in = np.ones(len(self.shift_h), dtype=np.bool_)
        if season is not None:
            first, last = (100 * month + day for month, day in season)
            after, before = self.month_day >= first, self.month_day <= last
            is_in = after & before if first <= last else after | before
        found = self.shift_h[is_in][:_MOST_DAYS]
        return found if len(found) >= _FEWEST_DAYS else found[:0]


def sun_shift(weather: Weather, place: WeatherPlace) -> tuple[Finding, ...]:
    """Return by how many hours the light of clear days lies beside a place's sun, and what to set; at most two findings.

    One is the shift of the whole year. The other is summer time: the two seasons lie an hour apart, and what is told of the year
    is then what the months of standard time show. Nothing is said of weather without global irradiance, nor where too few whole
    days of it are clear. Raises nothing.
    """
    if Element.GHI not in weather.values or DAY_S % weather.step_s:
        return ()
    clear = _clear_days(weather, place)
    seasons = clear.of(_NORTHS_WINTER), clear.of(_NORTHS_SUMMER)
    standard_h, summer_h = seasons if place.latitude_deg >= 0.0 else seasons[::-1]
    told, each_h = _summer_time(weather, standard_h, summer_h), clear.of()
    if told:
        each_h = standard_h
    shift_h = float(np.median(each_h)) if len(each_h) else 0.0
    if abs(shift_h) < _SHIFT_H:
        return told
    told_h = round(2.0 * shift_h) / 2.0
    side = "later" if told_h > 0.0 else "earlier"
    mend = _mend(weather, told_h)
    whole = kinds.SUN_SHIFT.at(str(weather.source.name), shift=_HOUR_S * abs(told_h), side=side, days=len(each_h), mend=mend)
    return (whole, *told)


def _summer_time(weather: Weather, standard_h: Floats, summer_h: Floats) -> tuple[Finding, ...]:
    """Return that the light of summer lies an hour beside that of the other months, at most one finding."""
    if not len(standard_h) or not len(summer_h):
        return ()
    apart_h = (float(np.median(summer_h)) - float(np.median(standard_h)) + _DAY_H / 2.0) % _DAY_H - _DAY_H / 2.0
    if not _SUMMER_H[0] <= abs(apart_h) <= _SUMMER_H[1]:
        return ()
    side, back = ("later", "earlier") if apart_h > 0.0 else ("earlier", "later")
    mend = "Write its stamps with their offset from UTC"
    if weather.place is not None:
        mend = f"Move its hours of summer time one hour {back}: all of such a file is standard time"
    days = len(standard_h) + len(summer_h)
    return (kinds.SUMMER_TIME.at(str(weather.source.name), days=days, side=side, mend=mend),)


def _clear_days(weather: Weather, place: WeatherPlace) -> _Clear:
    """Return the clear days, and by how much the middle of the light of each lies after that of a clear sky.

    Days are cut at the sun's midnight, and the middle is that of a circle of 24 h: light that was moved over midnight counts.
    """
    times_s, steps = weather.times_s, DAY_S // weather.step_s
    best = clear_sky(sun_positions(times_s + weather.step_s // 2, place), place.elevation_m)[0]
    solar_s = times_s + weather.step_s / 2.0 + _DEGREE_S * place.longitude_deg
    first = int(np.searchsorted(solar_s, np.ceil(solar_s[0] / DAY_S) * DAY_S))
    whole = first + (len(times_s) - first) // steps * steps
    angle = np.exp(2j * np.pi * solar_s / DAY_S)
    found = weather.values[Element.GHI]
    ghi, clear, turn = (one[first:whole].reshape(-1, steps) for one in (found, best, angle))
    sums, most = ghi.sum(axis=1), clear.sum(axis=1)
    # A day with a gap has no sum, and compares as not clear.
    is_clear = (most * weather.step_s / _HOUR_S >= _LIGHT_WH_M2) & (sums >= _CLEAR_SHARE * most)
    days = np.flatnonzero(is_clear)
    days = days[np.argsort(-sums[days] / most[days], kind="stable")]
    turned = (ghi[days] * turn[days]).sum(axis=1) / (clear[days] * turn[days]).sum(axis=1)
    dates = (solar_s[first:whole:steps][days] // DAY_S).astype(np.int64).astype("datetime64[D]")
    months = dates.astype("datetime64[M]")
    month_day = 100 * (months.astype(np.int64) % 12 + 1) + (dates - months).astype(np.int64) + 1
    return _Clear(month_day, np.asarray(np.angle(turned) * _DAY_H / (2.0 * np.pi)))


def _mend(weather: Weather, shift_h: float) -> str:
    """Return what to set: the time zone of a head that names one, else the offset of the stamps."""
    if weather.place is None:
        more = "more" if shift_h > 0.0 else "less"
        return f"Write its stamps with their offset from UTC, {abs(shift_h):g} h {more} than they were read with"
    read_h = weather.place.offset_s / _HOUR_S
    if not _ZONES_H[0] <= read_h + shift_h <= _ZONES_H[1]:
        return "No time zone moves it so far: look at the sign of its longitude, and whether morning and evening are swapped"
    return f"Its head says UTC{read_h:+g}; by its light the clock is UTC{read_h + shift_h:+g}: mend the time zone there"
