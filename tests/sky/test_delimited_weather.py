"""Weather in delimited text: stamps, units, gaps, and what is refused."""

import datetime as dt
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, strategies as st

from wattwright.core.errors import InputError, WeatherError
from wattwright.sky.door import read_weather
from wattwright.sky.weather import Element, Weather


def read(folder: Path, text: str, **said) -> Weather:
    path = folder / "weather.csv"
    path.write_text(text, encoding="utf-8")
    return read_weather(path, **said)


def seconds(text: str) -> int:
    return int(dt.datetime.fromisoformat(text).timestamp())


def codes(weather: Weather) -> list[str]:
    return [one.code for one in weather.findings]


def test_every_element_in_its_unit(tmp_path: Path) -> None:
    """Units are brought to those held: 50 degF is 10 degC (by definition), 36 km/h are 10 m/s, 1 hPa is 100 Pa."""
    text = (
        "start,Air temperature [°F],Relative humidity (%),wind-speed [km/h],pressure [hPa],GHI [kW/m2],dni [W/m²],DHI [W/m^2]\n"
        "2025-06-01T10:00Z,50,40,36,1013.25,0.5,600,100\n2025-06-01T11:00Z,212,,18,1000,0.25,0,250\n"
    )
    weather = read(tmp_path, text)
    assert weather.values[Element.TEMPERATURE] == pytest.approx([10, 100])
    assert weather.values[Element.HUMIDITY].tolist()[0] == 40
    assert np.isnan(weather.values[Element.HUMIDITY][1])
    assert weather.values[Element.WIND] == pytest.approx([10, 5])
    assert weather.values[Element.PRESSURE] == pytest.approx([101_325, 100_000])
    assert weather.values[Element.GHI] == pytest.approx([500, 250])
    assert weather.values[Element.DNI].tolist() == [600, 0]
    assert weather.values[Element.DHI].tolist() == [100, 250]
    assert (weather.start_s, weather.step_s, weather.place) == (seconds("2025-06-01T10:00+00:00"), 3600, None)
    assert (weather.form, weather.years, codes(weather)) == ("delimited text", (2025,), ["sky.missing"])


@pytest.mark.parametrize(
    ("unit", "text", "celsius"), [("K", "273.15", 0.0), ("degC", "-3.5", -3.5), ("F", "-40", -40.0), ("Celsius", "21", 21.0)]
)
def test_temperatures(tmp_path: Path, unit: str, text: str, celsius: float) -> None:
    """Kelvin, Fahrenheit and Celsius at points where they are known."""
    weather = read(tmp_path, f"start,temp [{unit}]\n2025-01-01T00:00Z,{text}\n2025-01-01T00:15Z,{text}\n")
    assert weather.values[Element.TEMPERATURE] == pytest.approx([celsius, celsius])


def test_semicolons_and_commas(tmp_path: Path) -> None:
    """Between semicolons a comma marks the decimals."""
    weather = read(tmp_path, "start;T (°C)\n2025-01-01T00:00Z;3,5\n2025-01-01T01:00Z;-0,5\n")
    assert weather.values[Element.TEMPERATURE].tolist() == [3.5, -0.5]


def test_stamps_at_the_end(tmp_path: Path) -> None:
    """Stamps of the end, said or named so, are moved to the start by one step; where nothing says so it is told."""
    rows = "2025-01-01T01:00Z,3\n2025-01-01T02:00Z,4\n"
    starts = seconds("2025-01-01T00:00+00:00")
    named = read(tmp_path, f"interval_end,temperature [C]\n{rows}")
    said = read(tmp_path, f"time,temperature [C]\n{rows}", stamps="end")
    taken = read(tmp_path, f"time,temperature [C]\n{rows}")
    assert (named.start_s, said.start_s, taken.start_s) == (starts, starts, starts + 3600)
    assert (codes(named), codes(said), codes(taken)) == ([], [], ["sky.stamps-taken"])


def test_clock_of_the_place(tmp_path: Path) -> None:
    """Stamps of a zone's clock are put on UTC over both changes; the hour that happens twice stands twice."""
    spring = "start,temp [C]\n2025-03-30T02:30,1\n2025-03-30T04:00,2\n2025-03-30T04:30,3\n"
    weather = read(tmp_path, spring, zone="Europe/Athens")
    assert weather.start_s == seconds("2025-03-30T00:30+00:00")
    assert weather.values[Element.TEMPERATURE].tolist() == [1, 2, 3]
    hours = ["02:30", "03:00", "03:30", "03:00", "03:30", "04:00"]
    autumn = "start,temp [C]\n" + "".join(f"2025-10-26T{text},{i}\n" for i, text in enumerate(hours))
    weather = read(tmp_path, autumn, zone="Europe/Athens")
    assert (weather.step_s, weather.values[Element.TEMPERATURE].tolist()) == (1800, [0, 1, 2, 3, 4, 5])
    assert weather.start_s == seconds("2025-10-25T23:30+00:00")


def test_no_clock_named(tmp_path: Path) -> None:
    """Without offset and zone the stamps are taken as UTC, which is told; an unknown zone is refused."""
    text = "start,temp [C]\n2025-03-30T03:00,1\n2025-03-30T04:00,2\n"
    weather = read(tmp_path, text)
    assert (weather.start_s, codes(weather)) == (seconds("2025-03-30T03:00+00:00"), ["sky.no-offset"])
    with pytest.raises(InputError, match="IANA"):
        read(tmp_path, text, zone="Europe/Atlantis")


def test_gaps_stay_gaps(tmp_path: Path) -> None:
    """Steps without a row are missing; other columns are named as not read."""
    text = "time stamp,mood,temp [C]\n" + "".join(f"2025-01-01T0{h}:00Z,fine,{h}\n" for h in (0, 1, 2, 5))
    weather = read(tmp_path, text, stamps="start")
    assert np.array_equal(weather.values[Element.TEMPERATURE], [0, 1, 2, np.nan, np.nan, 5], equal_nan=True)
    assert codes(weather) == ["sky.unread", "sky.missing"]


REFUSED = {
    "no unit": ("start,temperature\n", "line 1, column temperature: found no unit; expected the unit of air temperature"),
    "a unit of something else": ("start,temperature [bar]\n", 'found the unit "bar"'),
    "twice": ("start,temp [C],T [C]\n", "a second column of air temperature"),
    "nothing of weather": ("start,mood\n", 'line 1: found "start, mood"; expected a head that names temperature'),
    "a date of another order": ("start,temp [C]\n31/12/2025 10:00,1\n", 'line 2, column start: found "31/12/2025 10:00"'),
    "some with offset": ("start,temp [C]\n2025-01-01T00:00Z,1\n2025-01-01T01:00,1\n", "line 3.*in every stamp, or in none"),
    "one row": ("start,temp [C]\n2025-01-01T00:00Z,1\n", "at least two"),
    "no row": ("start,temp [C]\n", "0 rows; expected at least two"),
    "a stamp twice": ("start,temp [C]\n2025-01-01T00:00Z,1\n2025-01-01T00:00Z,1\n", "line 3, column start: found a stamp twice"),
    "wrong order": ("start,temp [C]\n2025-01-01T01:00Z,1\n2025-01-01T00:00Z,1\n", "line 3.*before the one above"),
    "between the steps": (
        "start,temp [C]\n2025-01-01T00:00Z,1\n2025-01-01T01:00Z,1\n2025-01-01T02:00Z,1\n2025-01-01T02:20Z,1\n",
        "line 5.*between the steps; expected a stamp every 3600 s",
    ),
    "a word": ("start,temp [C]\n2025-01-01T00:00Z,1\n2025-01-01T01:00Z,warm\n", 'line 3, column temp .C.: found "warm"'),
    "no finite number": ("start,temp [C]\n2025-01-01T00:00Z,1\n2025-01-01T01:00Z,inf\n", 'line 3.*found "inf"'),
    "a cell too few": ("start,temp [C],rh [%]\n2025-01-01T00:00Z,1\n", "line 2: found 2 cells; expected 3 cells"),
}


@pytest.mark.parametrize("case", REFUSED)
def test_refused_with_row_and_column(tmp_path: Path, case: str) -> None:
    """What cannot be read is told with row, column, what stands there, what was expected and what to do."""
    text, told = REFUSED[case]
    with pytest.raises(WeatherError, match=told) as raised:
        read(tmp_path, text)
    assert all(fault.next_step for fault in raised.value.faults)


def test_mark_never_closed(tmp_path: Path) -> None:
    """A quotation mark that swallows a whole long file is told and not read as one cell."""
    rows = "".join(f"2025-01-01T00:{i % 60:02d}Z,1\n" for i in range(9000))
    with pytest.raises(WeatherError, match="every quotation mark closed"):
        read(tmp_path, f'start,temp [C]\n2025-01-01T00:00Z,"1\n{rows}')


def test_hour_that_never_was(tmp_path: Path) -> None:
    """A stamp in the hour that the clock leaves out is refused."""
    with pytest.raises(WeatherError, match="a time that the clock of Europe/Athens shows"):
        read(tmp_path, "start,temp [C]\n2025-03-30T03:30,1\n2025-03-30T04:30,1\n", zone="Europe/Athens")


@given(
    st.lists(st.one_of(st.none(), st.integers(-400, 500)), min_size=2, max_size=40).filter(
        lambda one: None not in (one[0], one[-1])
    ),
    st.sampled_from([1, 5, 15, 30, 60]),
    st.sampled_from([",", ";", "\t"]),
)
def test_round_trip(tmp_path_factory, tenths: list[int | None], minutes: int, delimiter: str) -> None:
    """What is written is read: values to the tenth, gaps as gaps, on the same steps."""
    first = dt.datetime(2025, 10, 26, tzinfo=dt.UTC)
    mark = "," if delimiter == ";" else "."
    lines = [f"start{delimiter}temp [degC]"]
    for i, tenth in enumerate(tenths):
        value = "" if tenth is None else f"{tenth / 10:.1f}".replace(".", mark)
        lines.append(f"{(first + dt.timedelta(minutes=minutes * i)).isoformat()}{delimiter}{value}")
    weather = read(tmp_path_factory.mktemp("trip"), "\n".join(lines) + "\n")
    assert (weather.start_s, weather.step_s) == (int(first.timestamp()), 60 * minutes)
    wanted = [np.nan if one is None else one / 10 for one in tenths]
    assert np.array_equal(weather.values[Element.TEMPERATURE], wanted, equal_nan=True)
