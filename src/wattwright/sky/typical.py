"""Years of hours in the three formats of the trade, values by pvlib's readers, every hour's place checked here."""

import calendar
import datetime as dt
import re
import warnings
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np

from wattwright.core.errors import Place, WeatherError, quoted
from wattwright.core.files import SourceFile
from wattwright.core.findings import Finding
from wattwright.sky import kinds
from wattwright.sky.weather import Element, Floats, Weather, WeatherPlace

TYPICAL_YEAR = 2023
"""The year a year made of several goes onto unless another is named: a common one, so that no day is made up."""
_HOUR_S = 3600
_FEB_28 = (31 + 27) * 24
"""The first hour of 28 February in a year of hours."""

Stamp = tuple[int, int, int, int]
"""Year, month, day and hour (0 to 23) in which an interval begins, on local standard time."""


@dataclass(frozen=True, slots=True)
class Column:
    """Where an element stands: name of pvlib's column, factor to the unit held, and the least number that means missing."""

    name: str
    factor: float
    missing: float


@dataclass(frozen=True, slots=True)
class Form:
    """A format: its name, rows above the first hour, how a row's stamp is read, pvlib's reader, and its columns."""

    name: str
    above: int
    stamp: Callable[[str], Stamp]
    read: Callable[[Path], tuple[Any, dict[str, Any]]]
    columns: Mapping[Element, Column]
    place: Callable[[dict[str, Any]], str]


def _tmy3_stamp(line: str) -> Stamp:
    month, day, year, hour = (int(part) for part in re.split("[/,:]", line, maxsplit=4)[:4])
    return year, month, day, _began(hour)


def _tm2_stamp(line: str) -> Stamp:
    year, month, day, hour = (int(line[i : i + 2]) for i in (1, 3, 5, 7))
    if len(line.rstrip()) < _TM2_LENGTH:
        raise ValueError("a line cut short")
    return 1900 + year, month, day, _began(hour)


def _epw_stamp(line: str) -> Stamp:
    fields = line.split(",")
    if not _EPW_FIELDS[0] <= len(fields) <= _EPW_FIELDS[1]:
        raise ValueError("a line of another number of fields")
    year, month, day, hour = (int(part) for part in fields[:4])
    return year, month, day, _began(hour)


def _began(hour: int) -> int:
    """The hour in which an interval begins whose end is marked 1 to 24."""
    if not 1 <= hour <= 24:
        raise ValueError("an hour outside 1 to 24")
    return hour - 1


_TM2_LENGTH = 129
"""Characters of a line up to the depth of snow; some files leave out the last field."""
_EPW_FIELDS = (22, 35)
"""Fields of a line: those up to the wind speed are needed."""


def _read_tmy3(path: Path) -> tuple[Any, dict[str, Any]]:
    from pvlib.iotools import read_tmy3

    with path.open(encoding="utf-8-sig", errors="replace") as text:
        data, said = read_tmy3(text)
    return data, said


def _read_tm2(path: Path) -> tuple[Any, dict[str, Any]]:
    from pvlib.iotools import read_tmy2

    data, said = read_tmy2(path)
    return data, said


def _read_epw(path: Path) -> tuple[Any, dict[str, Any]]:
    from pvlib.iotools import read_epw

    with path.open(encoding="utf-8-sig", errors="replace") as text:
        data, said = read_epw(text)
    return data, said


def _irradiances(names: tuple[str, str, str], missing: float) -> dict[Element, Column]:
    three = (Element.GHI, Element.DNI, Element.DHI)
    return {element: Column(name, 1.0, missing) for element, name in zip(three, names, strict=True)}


# TMY3 writes -9900 for what is missing; it is below every other number and so told apart by its sign.
TMY3 = Form(
    "TMY3",
    2,
    _tmy3_stamp,
    _read_tmy3,
    {
        **_irradiances(("ghi", "dni", "dhi"), np.inf),
        Element.TEMPERATURE: Column("temp_air", 1.0, np.inf),
        Element.HUMIDITY: Column("relative_humidity", 1.0, np.inf),
        Element.WIND: Column("wind_speed", 1.0, np.inf),
        Element.PRESSURE: Column("pressure", 100.0, np.inf),
    },
    lambda said: str(said["Name"]).strip('" '),
)
TM2 = Form(
    "TM2",
    1,
    _tm2_stamp,
    _read_tm2,
    {
        **_irradiances(("GHI", "DNI", "DHI"), 9999.0),
        Element.TEMPERATURE: Column("DryBulb", 0.1, 9999.0),
        Element.HUMIDITY: Column("RHum", 1.0, 999.0),
        Element.WIND: Column("Wspd", 0.1, 999.0),
        Element.PRESSURE: Column("Pressure", 100.0, 9999.0),
    },
    lambda said: str(said["City"]),
)
EPW = Form(
    "EPW",
    8,
    _epw_stamp,
    _read_epw,
    {
        **_irradiances(("ghi", "dni", "dhi"), 9999.0),
        Element.TEMPERATURE: Column("temp_air", 1.0, 99.9),
        Element.HUMIDITY: Column("relative_humidity", 1.0, 999.0),
        Element.WIND: Column("wind_speed", 1.0, 999.0),
        Element.PRESSURE: Column("atmospheric_pressure", 1.0, 999999.0),
    },
    lambda said: str(said["city"]),
)
_TM2_HEAD = re.compile(r" ?\d{5} .{22} [A-Z]{2} +-?\d+ [NS] +\d+ +\d+ [EW] +\d+ +\d+ +-?\d+")


def form_of(lines: list[str]) -> Form | None:
    """Return the format that the first lines show, or None for delimited text."""
    if lines[0].upper().startswith("LOCATION,"):
        return EPW
    if len(lines) > 1 and lines[1].startswith("Date (MM/DD/YYYY)"):
        return TMY3
    return TM2 if _TM2_HEAD.match(lines[0]) else None


def read_year(path: Path, source: SourceFile, lines: list[str], form: Form, year: int | None) -> Weather:
    """Return a year of hours, on the year wanted. Raises WeatherError where an hour is missing, doubled or out of order."""
    stamps = _stamps(path, lines[form.above :], form)
    data, said = _by_pvlib(path, form)
    values = {element: _values(path, data, element, form) for element in form.columns}
    years = tuple(sorted({stamp[0] for stamp in stamps}))
    onto = year or (years[0] if len(years) == 1 else TYPICAL_YEAR)
    long = len(stamps) == 366 * 24
    place = WeatherPlace(
        form.place(said), float(said["latitude"]), float(said["longitude"]), float(said["altitude"]), round(said["TZ"] * _HOUR_S)
    )
    start = dt.datetime(onto, 1, 1, tzinfo=dt.UTC)
    notes = [kinds.STAMPS_MOVED.at(path.name, form=form.name), *_year_notes(path.name, years, onto, long)]
    return Weather(
        source,
        form.name,
        place,
        int(start.timestamp()) - place.offset_s,
        _HOUR_S,
        {element: _of_length(one, long, calendar.isleap(onto)) for element, one in values.items()},
        years,
        (*notes, *missing_notes(path.name, values)),
    )


def missing_notes(where: str, values: Mapping[Element, Floats]) -> list[Finding]:
    """Return a finding for each element that lacks values."""
    counts = {element: int(np.isnan(one).sum()) for element, one in values.items()}
    return [kinds.MISSING.at(where, what=e.value, missing=n, total=len(values[e])) for e, n in counts.items() if n]


def _year_notes(where: str, years: tuple[int, ...], onto: int, long: bool) -> list[Finding]:
    notes = []
    if len(years) > 1:
        notes.append(kinds.TYPICAL.at(where, first=str(years[0]), last=str(years[-1]), year=str(onto)))
    elif years[0] != onto:
        notes.append(kinds.OTHER_YEAR.at(where, first=str(years[0]), year=str(onto)))
    if long != calendar.isleap(onto):
        notes.append((kinds.LEAP_DROPPED if long else kinds.LEAP_REPEATED).at(where, year=str(onto)))
    return notes


def _of_length(values: Floats, long: bool, leap: bool) -> Floats:
    """The hours of a year with or without 29 February, as the year wanted has it."""
    if long == leap:
        return values
    day = slice(_FEB_28 + 24, _FEB_28 + 48)
    if long:
        return np.delete(values, day)
    return np.insert(values, _FEB_28 + 24, values[_FEB_28 : _FEB_28 + 24])


def _stamps(path: Path, rows: list[str], form: Form) -> list[Stamp]:
    """The stamp of each row, checked to be every hour of a year once and in order."""
    stamps: list[Stamp] = []
    for number, row in enumerate(rows):
        try:
            stamps.append(form.stamp(row))
        except ValueError as error:
            wanted = f"a row of {form.name} that begins with a date and an hour"
            raise _wrong_row(path, form, number, quoted(row[:40]), wanted) from error
    leap = any(stamp[1:3] == (2, 29) for stamp in stamps)
    first = dt.datetime(2024 if leap else 2023, 1, 1)
    hours = (366 if leap else 365) * 24
    for number in range(min(len(stamps), hours)):
        due = first + dt.timedelta(hours=number)
        if stamps[number][1:] != (due.month, due.day, due.hour):
            found = f"the hour from {_spoken(*stamps[number][1:])}"
            wanted = f"the hour from {_spoken(due.month, due.day, due.hour)}"
            raise _wrong_row(path, form, number, found, wanted)
    if len(stamps) != hours:
        found = f"{len(stamps):,} hours"
        raise _wrong_row(path, form, len(stamps) - 1, found, f"{hours:,} hours, those of a whole year")
    return stamps


def _spoken(month: int, day: int, hour: int) -> str:
    named = calendar.month_name[month] if 1 <= month <= 12 else f"month {month}"
    return f"{day} {named}, {hour:02d}:00"


def _by_pvlib(path: Path, form: Form) -> tuple[Any, dict[str, Any]]:
    try:
        with warnings.catch_warnings():
            # Columns of mixed kinds are judged value by value below.
            warnings.simplefilter("ignore")
            return form.read(path)
    except (ValueError, KeyError, IndexError) as error:
        raise WeatherError.one(
            "sky.unreadable",
            Place(str(path)),
            found=quoted(" ".join(str(error).split()), 120),
            wanted=f"a file as {form.name} defines it",
            next_step="Fetch the file again from where it came, without opening it in a spreadsheet.",
        ) from error


def _values(path: Path, data: Any, element: Element, form: Form) -> Floats:
    """The values of an element in the unit held, NaN where the format says missing. Raises WeatherError for text among them."""
    import pandas as pd

    column = form.columns[element]
    if column.name not in data.columns:
        raise WeatherError.one(
            "sky.no-column",
            Place(str(path), line=form.above),
            found="no such column",
            wanted=f"a column of {element.value}",
            next_step="Fetch the file again from where it came; its heads were changed.",
        )
    given = data[column.name]
    numbers = pd.to_numeric(given, errors="coerce").to_numpy(np.float64)
    wrong = np.flatnonzero(~np.isfinite(numbers))
    if len(wrong):
        text = given.iloc[int(wrong[0])]
        found = "nothing" if text != text else quoted(text)
        raise _wrong_row(path, form, int(wrong[0]), found, f"a number, the {element.value}", element.value)
    missing = (numbers >= column.missing) | (numbers <= _FAR_BELOW)
    return np.where(missing, np.nan, numbers * column.factor)


_FAR_BELOW = -9900.0


def _wrong_row(path: Path, form: Form, number: int, found: str, wanted: str, column: str = "") -> WeatherError:
    return WeatherError.one(
        "sky.row",
        Place(str(path), line=form.above + number + 1, column=column),
        found=found,
        wanted=wanted,
        next_step="Fetch the file again from where it came; a changed hour would shift all that follow.",
    )
