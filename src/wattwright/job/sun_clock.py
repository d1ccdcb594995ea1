"""Whether a weather file's clock is that of its sun: light must be centred on the sun's noon where it stands."""

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
_ZONES_H: Final = (-12.0, 14.0)
"""The clocks of the world, hours from UTC (the IANA time zone database)."""
_DAY_H, _HOUR_S, _DEGREE_S = 24.0, 3600.0, 240.0


def sun_shift(weather: Weather, place: WeatherPlace) -> tuple[Finding, ...]:
    """Return by how many hours the light of clear days lies beside a place's sun, and what to set; at most one finding.

    Nothing is said of weather without global irradiance, nor where too few whole days of it are clear. Raises nothing.
    """
    if Element.GHI not in weather.values or DAY_S % weather.step_s:
        return ()
    each_h = _shifts_h(weather, place)
    shift_h = float(np.median(each_h)) if len(each_h) >= _FEWEST_DAYS else 0.0
    if abs(shift_h) < _SHIFT_H:
        return ()
    told_h = round(2.0 * shift_h) / 2.0
    side = "later" if told_h > 0.0 else "earlier"
    mend = _mend(weather, told_h)
    return (kinds.SUN_SHIFT.at(str(weather.source.name), shift=_HOUR_S * abs(told_h), side=side, days=len(each_h), mend=mend),)


def _shifts_h(weather: Weather, place: WeatherPlace) -> Floats:
    """Return by how much the middle of the light lies after that of a clear sky on each of the clearest days, hours, (m,).

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
    days = days[np.argsort(-sums[days] / most[days], kind="stable")][:_MOST_DAYS]
    turned = (ghi[days] * turn[days]).sum(axis=1) / (clear[days] * turn[days]).sum(axis=1)
    return np.asarray(np.angle(turned) * _DAY_H / (2.0 * np.pi))


def _mend(weather: Weather, shift_h: float) -> str:
    """Return what to set: the time zone of a head that names one, else the offset of the stamps."""
    if weather.place is None:
        more = "more" if shift_h > 0.0 else "less"
        return f"Write its stamps with their offset from UTC, {abs(shift_h):g} h {more} than they were read with"
    read_h = weather.place.offset_s / _HOUR_S
    if not _ZONES_H[0] <= read_h + shift_h <= _ZONES_H[1]:
        return "No time zone moves it so far: look at the sign of its longitude, and whether morning and evening are swapped"
    return f"Its head says UTC{read_h:+g}; by its light the clock is UTC{read_h + shift_h:+g}: mend the time zone there"
