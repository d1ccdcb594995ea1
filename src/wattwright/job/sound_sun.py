"""Whether a weather file's sun can be believed before PV is reckoned with it: nothing negative, and little of it missing."""

from collections.abc import Sequence
from typing import Final

import numpy as np
from numpy.typing import NDArray

from wattwright.core.errors import Place, WeatherError
from wattwright.core.findings import Finding
from wattwright.generation.array import NEEDS, Array
from wattwright.job import kinds
from wattwright.sky.models import clear_sky
from wattwright.sky.sun import sun_positions
from wattwright.sky.weather import Element, Weather, WeatherPlace

_OFFSET_W_M2: Final = 30.0
"""So far below nought a pyranometer may read by night: zero offset of class C, ISO 9060, from memory."""
_MISSING_SHARE: Final = 0.02
"""More of the day's light may not be missing: common practice, no source."""
_YEAR_S: Final = 8760 * 3600
_MOST_LIGHT, _LEAST_LIGHT = 1.0, 0.25
"""Of a clear sky's light in a year: beyond these a file is doubted; common practice, no source."""
_TOO_MUCH, _TOO_LITTLE = 1.5, 0.05
"""Beyond these no turbidity, height or overcast year explains it: common practice, no source."""
_J_KWH: Final = 3.6e6
_LIGHT: Final = (Element.GHI, Element.DNI, Element.DHI)


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
    """Return where the light of a year of weather on the level is odd, or cannot be that of a sky, at most one finding.

    A slope says less: one to the north has little light under the best of skies. Nothing is said where no array needs it, or of
    less than a year, whose days may well be dull. Raises nothing.
    """
    if not arrays or len(weather) * weather.step_s < _YEAR_S:
        return ()
    sun = sun_positions(weather.times_s + weather.step_s // 2, place)
    found, best = weather.values[Element.GHI], clear_sky(sun, place.elevation_m)[0]
    share = float(np.nansum(found)) / float(best[np.isfinite(found)].sum())
    if _LEAST_LIGHT <= share <= _MOST_LIGHT:
        return ()
    light = float(np.nansum(found)) * weather.step_s / _J_KWH / (len(weather) * weather.step_s / _YEAR_S)
    kind = kinds.ODD_LIGHT if _TOO_LITTLE <= share <= _TOO_MUCH else kinds.NO_SKY
    return (kind.at(str(weather.source.name), light=light, share=share),)
