"""Whether a weather file's sun can be believed before PV is reckoned with it: neither negative nor brighter than a sky."""

from collections.abc import Sequence
from math import gcd
from typing import Final

import numpy as np
from numpy.typing import NDArray
from scipy.ndimage import maximum_filter1d

from wattwright.core.errors import Place, WeatherError
from wattwright.core.findings import Finding, Severity
from wattwright.generation.array import NEEDS, Array
from wattwright.job import kinds
from wattwright.sky.models import clear_sky
from wattwright.sky.sun import SunPositions, sun_positions
from wattwright.sky.weather import Element, Weather, WeatherPlace

_OFFSET_W_M2: Final = 30.0
"""So far below nought a pyranometer may read by night: zero offset of class C, ISO 9060, from memory."""
_MISSING_SHARE: Final = 0.02
"""More of the day's light may not be missing: common practice, no source."""
_HOUR_S, _DAY_H, _YEAR_H, _K = 3600, 24, 8760, 1000.0
_MOST_LIGHT, _LEAST_LIGHT = 1.0, 0.25
"""Of a clear sky's light in a year: beyond these a file is doubted; common practice, no source."""
_TOO_MUCH, _TOO_LITTLE = 1.15, 0.05
"""Beyond these no turbidity, snow or overcast weeks explain it: common practice, no source."""
_USUAL, _CLEAN = 3.0, 2.0
"""Linke turbidities: no year is all clean, but days may be, and under a low sun that gives a quarter more."""
_HIGHEST_M: Final = 4000.0
"""Where the height of a place is not known it may be so much: hardly anybody lives higher; common practice, no source."""
_ABOVE_AIR: Final = 1.1
"""Clouds beside the sun may lift minutes above what comes from outside the air, never whole hours: common practice, no source."""
_FEW_DAYS, _FOUR_WEEKS = 3, 28
"""So many days cannot lie above a clear sky, nor so many under a twentieth of it: common practice, no source."""
_DAY_WH_M2: Final = 500.0
"""Less light than that a day under a clear sky, as in polar winter, says little: common practice, no source."""
_LIGHT: Final = (Element.GHI, Element.DNI, Element.DHI)
Floats = NDArray[np.float64]


def refuse_negative(weather: Weather, at: NDArray[np.int64]) -> None:
    """Raise WeatherError where an irradiance of the intervals ``at`` (m,) lies below what an instrument's offset explains."""
    for element in (one for one in _LIGHT if one in weather.values):
        lowest = float(np.nanmin(weather.values[element][at], initial=0.0))
        if lowest < -_OFFSET_W_M2:
            raise WeatherError.one(
                "job.negative-sun",
                Place(str(weather.source.name)),
                found=f"{element.value} of {lowest:.0f} W/m2",
                wanted="an irradiance that is not negative",
                next_step="Mend the file: leave empty what was not measured, or take another file.",
            )


def sun_gaps(weather: Weather, place: WeatherPlace, at: NDArray[np.int64]) -> tuple[Finding, ...]:
    """Return that PV is taken as dark where the intervals ``at`` (m,) lack what it needs by day.

    Raises WeatherError where that is more than a small share of them: its yield would be that of a file's faults.
    """
    high = sun_positions(weather.times_s[at] + weather.step_s // 2, place).apparent_zenith_deg < 90.0
    lacking = np.any([np.isnan(weather.values[one][at]) for one in NEEDS if one in weather.values], axis=0) & high
    missing, total = int(lacking.sum()), int(high.sum())
    if missing == 0:
        return ()
    if missing > _MISSING_SHARE * total:
        raise WeatherError.one(
            "job.sun-missing",
            Place(str(weather.source.name)),
            found=f"{missing} of {total} intervals by day lack a value that PV needs",
            wanted=f"at most {100 * _MISSING_SHARE:.0f} % without: where one is missing PV would be taken as dark",
            next_step="Take a whole file, such as a typical year of the place, or leave days out that lack it.",
        )
    return (kinds.SUN_GAPS.at(str(weather.source.name), missing=missing, total=total),)


def odd_light(weather: Weather, place: WeatherPlace, arrays: Sequence[Array]) -> tuple[Finding, ...]:
    """Return where the light of weather is odd, or cannot be that of a sky, at most one finding.

    The sum on the level is held against a clear sky's: too much from a few days on, too little from four weeks on, since so long
    it may well be dull, and what is merely odd of a year. A slope says less: one to the north has little light under the best of
    skies. Single hours, of whichever irradiance, are held against what comes from outside the air. Nothing is said where no array
    needs it. Raises nothing.
    """
    if not arrays:
        return ()
    light = {one: _hours(weather.values[one], weather.step_s) for one in _LIGHT}
    times_s = weather.start_s + _HOUR_S * np.arange(len(light[Element.GHI]), dtype=np.int64)
    sun = sun_positions(times_s + _HOUR_S // 2, place)
    name, heights = str(weather.source.name), (place.elevation_m, _HIGHEST_M if weather.place is None else place.elevation_m)
    told = _odd_sum(name, light[Element.GHI], sun, heights)
    if told and told[0].severity is Severity.STOP:
        return told
    return _odd_hours(name, light, sun, times_s) or told


def _hours(given: Floats, step_s: int) -> Floats:
    """Return the means of whole hours, (h,), of means (n,) on any steps; NaN where more than half of one is missing."""
    grain_s = gcd(step_s, _HOUR_S)
    each = _HOUR_S // grain_s
    fine = np.repeat(given, step_s // grain_s)
    parts = fine[: len(fine) // each * each].reshape(-1, each)
    count = np.isfinite(parts).sum(axis=1)
    return np.where(2 * count >= each, np.nansum(parts, axis=1) / np.maximum(count, 1), np.nan)


def _odd_sum(name: str, found: Floats, sun: SunPositions, heights_m: tuple[float, float]) -> tuple[Finding, ...]:
    """Return what hours of light on the level (h,), W/m2, say by their sum; heights are the place's, and the most it may have.

    Whole days are summed, so that a clock set wrong, which is told by itself, moves no light out of them.
    """
    days = len(found) // _DAY_H
    known = np.isfinite(found) & (np.arange(len(found)) < days * _DAY_H)
    best = clear_sky(sun, heights_m[0], _USUAL)[0][known]
    if days < _FEW_DAYS or best.sum() < _DAY_WH_M2 * days:
        return ()
    is_year = len(found) >= _YEAR_H
    total = float(np.maximum(found[known], 0.0).sum())
    share = total / float(best.sum())
    most = _TOO_MUCH * float(clear_sky(sun, heights_m[1], _USUAL if is_year else _CLEAN)[0][known].sum())
    if total > most or (share < _TOO_LITTLE and days >= _FOUR_WEEKS):
        if is_year:
            return (kinds.NO_SKY.at(name, light=total / _K * _YEAR_H / (days * _DAY_H), share=share),)
        return (kinds.NO_SKY_DAYS.at(name, light=total / _K / days, days=days, share=share),)
    if is_year and not _LEAST_LIGHT <= share <= _MOST_LIGHT:
        return (kinds.ODD_LIGHT.at(name, light=total / _K * _YEAR_H / (days * _DAY_H), share=share),)
    return ()


def _odd_hours(name: str, light: dict[Element, Floats], sun: SunPositions, times_s: NDArray[np.int64]) -> tuple[Finding, ...]:
    """Return that hours (h,) have more light than comes from outside the air, the worst irradiance of them.

    What falls on the level is held against the highest of a day before and after: a clock set wrong is told by itself.
    """
    height = np.maximum(np.cos(np.radians(sun.apparent_zenith_deg)), 0.0)
    level = maximum_filter1d(sun.extraterrestrial_w_m2 * height, 2 * _DAY_H + 1, mode="nearest")
    outside = {Element.GHI: level, Element.DNI: sun.extraterrestrial_w_m2, Element.DHI: level}
    above = {one: values - _OFFSET_W_M2 > _ABOVE_AIR * outside[one] for one, values in light.items()}
    element = max(above, key=lambda one: int(above[one].sum()))
    if not above[element].any():
        return ()
    worst = int(np.argmax(np.where(above[element], light[element] - outside[element], -np.inf)))
    return (
        kinds.NO_SKY_HOURS.at(
            name,
            element=element.value,
            hours=int(above[element].sum()),
            light=float(light[element][worst]),
            outside=float(outside[element][worst]),
            when=str(np.datetime64(int(times_s[worst]), "s")).replace("T", " ")[:16],
        ),
    )
