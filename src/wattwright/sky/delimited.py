"""Weather in delimited text: a column of stamps and columns of elements that name their unit."""

import csv
import datetime as dt
import re
from pathlib import Path
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from wattwright.core.clock import SiteClock
from wattwright.core.errors import Place, WeatherError, quoted
from wattwright.core.files import SourceFile
from wattwright.core.findings import Finding
from wattwright.sky import kinds
from wattwright.sky.typical import missing_notes
from wattwright.sky.weather import Element, Floats, Weather

_NAMES = {
    Element.GHI: {"ghi", "global horizontal irradiance", "global horizontal", "global irradiance", "global radiation"},
    Element.DNI: {"dni", "direct normal irradiance", "direct normal", "beam normal irradiance"},
    Element.DHI: {"dhi", "diffuse horizontal irradiance", "diffuse horizontal", "diffuse irradiance", "diffuse radiation"},
    Element.TEMPERATURE: {
        "temperature", "temp", "air temperature", "air temp", "ambient temperature", "outdoor temperature",
        "outside temperature", "dry bulb", "dry bulb temperature", "t",
    },
    Element.HUMIDITY: {"humidity", "relative humidity", "rh"},
    Element.WIND: {"wind", "wind speed"},
    Element.PRESSURE: {"pressure", "air pressure", "atmospheric pressure", "station pressure"},
}  # fmt: skip
_IRRADIANCE = {"w/m2": (1.0, 0.0), "w/m²": (1.0, 0.0), "w/m^2": (1.0, 0.0), "kw/m2": (1000.0, 0.0), "kw/m²": (1000.0, 0.0)}
_UNITS: dict[Element, dict[str, tuple[float, float]]] = {
    Element.GHI: _IRRADIANCE,
    Element.DNI: _IRRADIANCE,
    Element.DHI: _IRRADIANCE,
    Element.TEMPERATURE: {
        **dict.fromkeys(("c", "°c", "degc", "deg c", "celsius"), (1.0, 0.0)),
        **dict.fromkeys(("f", "°f", "degf", "deg f", "fahrenheit"), (5 / 9, -160 / 9)),
        **dict.fromkeys(("k", "kelvin"), (1.0, -273.15)),
    },
    Element.HUMIDITY: {"%": (1.0, 0.0)},
    Element.WIND: {
        "m/s": (1.0, 0.0),
        "km/h": (1 / 3.6, 0.0),
        # NIST SP 811: a mile is 1609.344 m, a knot 1852 m in an hour.
        "mph": (1609.344 / 3600, 0.0),
        **dict.fromkeys(("kn", "kt", "knots"), (1852 / 3600, 0.0)),
    },
    Element.PRESSURE: {"pa": (1.0, 0.0), "kpa": (1000.0, 0.0), **dict.fromkeys(("hpa", "mbar"), (100.0, 0.0))},
}
"""Factor and addition from each unit to the one held."""
_STAMP_NAMES = {
    "time", "timestamp", "time stamp", "datetime", "date time", "date", "start", "end", "interval start", "interval end",
}  # fmt: skip
_EMPTY = {"", "-", "--", "na", "n/a", "nan", "null"}
_HEAD = re.compile(r"^(?P<name>[^\[(]*?)\s*[\[(](?P<unit>[^\])]*)[\])]\s*$")


def read_delimited(path: Path, source: SourceFile, lines: list[str], zone: str, stamps: Literal["", "start", "end"]) -> Weather:
    """Return the weather of delimited text. Raises WeatherError with row and column of what cannot be read."""
    delimiter = max(";\t,", key=lines[0].count)
    try:
        rows = list(csv.reader(lines, delimiter=delimiter))
    except csv.Error as error:
        raise _in_head(path, "", quoted(str(error)), "lines of cells, every quotation mark closed") from error
    heads = [head.strip() for head in rows[0]]
    elements, unread = _elements(path, heads)
    at = next((i for i, head in enumerate(heads) if _plain(head) in _STAMP_NAMES), 0)
    for number, row in enumerate(rows[1:]):
        if len(row) != len(heads):
            raise _wrong(path, number, "", f"{len(row)} cells", f"{len(heads)} cells, as in the head")
    times, notes = _times(path, [row[at].strip() for row in rows[1:]], heads[at], zone)
    step_s = _step(path, times, heads[at])
    mark, told = _mark(path, heads[at], stamps)
    index = (times - times[0]) // step_s
    values = {}
    for i, (element, (factor, addition)) in elements.items():
        column = np.full(int(index[-1]) + 1, np.nan)
        column[index] = factor * _numbers(path, [row[i] for row in rows[1:]], heads[i], comma=delimiter != ",") + addition
        values[element] = column
    start_s = int(times[0]) - (step_s if mark == "end" else 0)
    other = [kinds.UNREAD.at(path.name, column=heads[i]) for i in unread if i != at]
    years = tuple(sorted({dt.datetime.fromtimestamp(int(one), dt.UTC).year for one in (times[0], times[-1])}))
    found = (*notes, *told, *other, *missing_notes(path.name, values))
    return Weather(source, "delimited text", None, start_s, step_s, values, years, found)


def _plain(head: str) -> str:
    """The name of a column without its unit, in small letters and with plain gaps."""
    named = _HEAD.match(head)
    return " ".join((named["name"] if named else head).lower().replace("_", " ").replace("-", " ").split())


def _elements(path: Path, heads: list[str]) -> tuple[dict[int, tuple[Element, tuple[float, float]]], list[int]]:
    """Which columns hold which element and how their numbers become the unit held, and which columns hold none."""
    found: dict[int, tuple[Element, tuple[float, float]]] = {}
    for i, head in enumerate(heads):
        element = next((one for one, names in _NAMES.items() if _plain(head) in names), None)
        if element is None:
            continue
        named = _HEAD.match(head)
        unit = named["unit"].strip().lower() if named else ""
        if unit not in _UNITS[element]:
            wanted = f"the unit of {element.value} in brackets, one of {', '.join(_UNITS[element])}"
            raise _in_head(path, head, f"the unit {quoted(unit)}" if unit else "no unit", wanted)
        if element in [one for one, _ in found.values()]:
            raise _in_head(path, head, f"a second column of {element.value}", "one column for each element")
        found[i] = (element, _UNITS[element][unit])
    if not found:
        wanted = "a head that names temperature, irradiance, humidity, wind or pressure, or a file of TMY3, TM2 or EPW"
        raise _in_head(path, "", quoted(", ".join(heads)), wanted)
    return found, [i for i in range(len(heads)) if i not in found]


def _times(path: Path, texts: list[str], head: str, zone: str) -> tuple[NDArray[np.int64], list[Finding]]:
    """The UTC seconds of the stamps. Those without offset are of the zone's clock, or of UTC where none is named."""
    given = []
    for number, text in enumerate(texts):
        try:
            given.append(dt.datetime.fromisoformat(text))
        except ValueError as error:
            wanted = "a stamp as ISO 8601 writes it, such as 2025-03-30T14:00+02:00"
            raise _wrong(path, number, head, quoted(text), wanted) from error
    with_offset = [one.tzinfo is not None for one in given]
    if all(with_offset):
        return np.array([int(one.timestamp()) for one in given], np.int64), []
    if any(with_offset):
        number = with_offset.index(not with_offset[0])
        raise _wrong(path, number, head, quoted(texts[number]), "an offset from UTC in every stamp, or in none")
    local = np.array([int(one.replace(tzinfo=dt.UTC).timestamp()) for one in given], np.int64)
    resolved = SiteClock(zone or "UTC").resolve(local)
    if resolved.absent.any():
        number = int(np.flatnonzero(resolved.absent)[0])
        wanted = f"a time that the clock of {zone} shows"
        raise _wrong(path, number, head, quoted(texts[number]), wanted)
    times = resolved.first_s.copy()
    # An hour that happens twice stands twice in the file: its second run begins where the stamps go back.
    for i in np.flatnonzero(resolved.ambiguous).tolist():
        if i and times[i] <= times[i - 1]:
            times[i] = resolved.last_s[i]
    return times, [] if zone else [kinds.NO_OFFSET.at(path.name)]


def _step(path: Path, times: NDArray[np.int64], head: str) -> int:
    """The step that all stamps lie on, in seconds."""
    if len(times) < 2:
        raise _wrong(path, len(times) - 1, head, f"{len(times)} rows", "at least two, so that there is a step")
    apart = np.diff(times)
    if (apart <= 0).any():
        number = int(np.flatnonzero(apart <= 0)[0]) + 1
        found = "a stamp twice" if apart[number - 1] == 0 else "a stamp before the one above it"
        raise _wrong(path, number, head, found, "stamps in order, each once")
    steps, counts = np.unique(apart, return_counts=True)
    step_s = int(steps[np.argmax(counts)])
    off = np.flatnonzero((times - times[0]) % step_s)
    if len(off):
        raise _wrong(path, int(off[0]), head, "a stamp between the steps", f"a stamp every {step_s} s from the first on")
    return step_s


def _mark(path: Path, head: str, stamps: Literal["", "start", "end"]) -> tuple[str, list[Finding]]:
    """Which end of its interval a stamp marks: as said, else as the column's name says, else the start."""
    named = next((end for end in ("start", "end") if end in _plain(head).split()), "")
    if stamps or named:
        return stamps or named, []
    return "start", [kinds.STAMPS_TAKEN.at(path.name, column=head)]


def _numbers(path: Path, cells: list[str], head: str, *, comma: bool) -> Floats:
    """The numbers of a column, NaN where a cell is empty; a decimal comma where commas do not part the columns."""
    found = np.full(len(cells), np.nan)
    for number, cell in enumerate(cells):
        text = cell.strip()
        if text.lower() in _EMPTY:
            continue
        try:
            found[number] = float(text.replace(",", ".") if comma else text)
        except ValueError as error:
            raise _wrong(path, number, head, quoted(text), "a number, or nothing where none was read") from error
        if not np.isfinite(found[number]):
            raise _wrong(path, number, head, quoted(text), "a number, or nothing where none was read")
    return found


def _in_head(path: Path, head: str, found: str, wanted: str) -> WeatherError:
    step = "Write the heads as in: time, temperature [degC], ghi [W/m2]."
    return WeatherError.one("sky.head", Place(str(path), line=1, column=head), found=found, wanted=wanted, next_step=step)


def _wrong(path: Path, number: int, head: str, found: str, wanted: str) -> WeatherError:
    step = "Mend this row, or leave the cell empty if nothing was read."
    return WeatherError.one("sky.row", Place(str(path), line=number + 2, column=head), found=found, wanted=wanted, next_step=step)
