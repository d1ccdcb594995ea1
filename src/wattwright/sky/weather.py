"""Weather as data: series on UTC steps by the start of the interval, in SI units, whatever file they come from."""

from dataclasses import dataclass, field
from enum import StrEnum

import numpy as np
from numpy.typing import NDArray

from wattwright.core.files import SourceFile
from wattwright.core.findings import Finding

Floats = NDArray[np.float64]


class Element(StrEnum):
    """A quantity of the weather."""

    GHI = "global horizontal irradiance"
    DNI = "direct normal irradiance"
    DHI = "diffuse horizontal irradiance"
    TEMPERATURE = "air temperature"
    HUMIDITY = "relative humidity"
    WIND = "wind speed"
    PRESSURE = "air pressure"

    @property
    def unit(self) -> str:
        """Return the unit the values are held in."""
        return _UNITS[self]


_UNITS = {
    Element.GHI: "W/m2",
    Element.DNI: "W/m2",
    Element.DHI: "W/m2",
    Element.TEMPERATURE: "degC",
    Element.HUMIDITY: "%",
    Element.WIND: "m/s",
    Element.PRESSURE: "Pa",
}


@dataclass(frozen=True, slots=True)
class WeatherPlace:
    """Where the weather was: degrees north and east, metres above the sea, and the offset of its standard time from UTC."""

    name: str
    latitude_deg: float
    longitude_deg: float
    elevation_m: float
    offset_s: int


@dataclass(frozen=True, slots=True, eq=False)
class Weather:
    """What a weather file holds: each element's values, shape (n,), NaN where missing, on steps of ``step_s``.

    The i-th value is that of the interval that begins ``start_s`` + i ``step_s`` (UTC seconds). Irradiances are means over the
    interval. Other elements are held as the file gives them for it, in hourly formats a reading near the end of the hour.
    ``form`` is the format; ``place`` is None where the file does not say; ``years`` are the years the values come from.
    """

    source: SourceFile
    form: str
    place: WeatherPlace | None
    start_s: int
    step_s: int
    values: dict[Element, Floats]
    years: tuple[int, ...]
    findings: tuple[Finding, ...] = field(default=())

    def __len__(self) -> int:
        """Return the number of intervals."""
        return len(next(iter(self.values.values())))

    @property
    def times_s(self) -> NDArray[np.int64]:
        """Return the start of each interval in UTC seconds, shape (n,)."""
        return self.start_s + self.step_s * np.arange(len(self), dtype=np.int64)
