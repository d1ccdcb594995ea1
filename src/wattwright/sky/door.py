"""Weather files through one door: whatever the format, told apart by what they hold and not by name."""

from pathlib import Path
from typing import Literal

from wattwright.core.errors import Place, WeatherError
from wattwright.core.files import read_bytes, source_of
from wattwright.sky.weather import Weather


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
