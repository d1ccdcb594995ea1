"""Weather through one door: whatever the file, series on UTC steps by the start of the interval, in SI units."""

from dataclasses import dataclass, field
from enum import StrEnum
from pathlib import Path
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from wattwright.core.errors import Place, WeatherError
from wattwright.core.files import SourceFile, read_bytes, source_of
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


def read_weather(path: Path, year: int | None = None, zone: str = "", stamps: Literal["", "start", "end"] = "") -> Weather:
    """Return the weather in a TMY3, TM2 or EPW file or in delimited text, told apart by what they hold and not by name.

    ``year`` puts a whole year of hours onto that year; left out, hours of one year stay where they are and a year made of
    several goes onto TYPICAL_YEAR. ``zone`` (IANA) and ``stamps`` say how the stamps of delimited text are meant where it does
    not say so itself. Raises FileError, WeatherError, and InputError for a zone there is not.
    """
    from wattwright.sky.delimited import read_delimited
    from wattwright.sky.typical import form_of, read_year

    content = read_bytes(path)
    source = source_of(path, content)
    if b"\0" in content[:4096] or not content.strip():
        raise WeatherError.one(
            "sky.no-text",
            Place(str(path)),
            found="nothing to read" if not content.strip() else "bytes that are no text",
            wanted="a weather file: TMY3, TM2, EPW or delimited text",
            next_step="Unpack it first if it is packed.",
        )
    lines = content.decode("utf-8-sig", errors="replace").splitlines()
    while not lines[-1].strip():
        lines.pop()
    form = form_of(lines)
    return read_delimited(path, source, lines, zone, stamps) if form is None else read_year(path, source, lines, form, year)
