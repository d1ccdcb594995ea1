"""Weather files: values against published sums, hours against the sun, and damaged files against a sentence."""

import datetime as dt
from pathlib import Path

import numpy as np
import pvlib
import pytest

from wattwright.core.clock import SiteClock
from wattwright.core.errors import FileError, WeatherError
from wattwright.core.show import Show
from wattwright.sky.door import read_weather
from wattwright.sky.sun import sun_times
from wattwright.sky.typical import TYPICAL_YEAR
from wattwright.sky.weather import Element, Weather

DATA = Path(pvlib.__file__).parent / "data"
GREENSBORO, SAND_POINT, MIAMI = "723170TYA.CSV", "703165TY.csv", "12839.tm2"
ZONES = {GREENSBORO: "Etc/GMT+5", SAND_POINT: "Etc/GMT+9", MIAMI: "Etc/GMT+5"}

# Sums of irradiance in kWh/m2 (global, direct, diffuse), temperature mean, least, most in degC, mean wind in m/s of the weather
# years of the United States' government that come with pvlib, added up with pvlib 0.16.1 alone.
SUMS = {
    GREENSBORO: ((1566.2, 1476.5, 682.2), (14.42, -16.7, 35.6), 3.05),
    SAND_POINT: ((829.2, 819.2, 460.9), (4.42, -10.6, 19.4), 5.07),
    MIAMI: ((1792.6, 1504.9, 809.5), (24.31, 3.3, 33.9), 4.34),
}
PLACES = {
    GREENSBORO: (36.1, -79.95, 273, -5),
    SAND_POINT: (55.317, -160.517, 7, -9),
    # 25 degrees 48 minutes north, 80 degrees 16 minutes west, as the file's first line has it.
    MIAMI: (25.8, -80.2667, 2, -5),
}


@pytest.fixture(scope="module")
def weathers() -> dict[str, Weather]:
    """The three years that come with pvlib."""
    return {name: read_weather(DATA / name) for name in SUMS}


def codes(weather: Weather) -> list[str]:
    return [one.code for one in weather.findings]


@pytest.mark.parametrize("name", SUMS)
def test_values_are_the_published_ones(weathers, name: str) -> None:
    """Sums and means of the year agree to the last digit published; pressure and humidity lie where air can have them."""
    weather, (irradiance, temperature, wind) = weathers[name], SUMS[name]
    values = weather.values
    sums = [values[one].sum() / 1000 for one in (Element.GHI, Element.DNI, Element.DHI)]
    assert sums == pytest.approx(irradiance, abs=0.051)
    degrees = values[Element.TEMPERATURE]
    assert (degrees.mean(), degrees.min(), degrees.max()) == pytest.approx(temperature, abs=0.0051)
    assert values[Element.WIND].mean() == pytest.approx(wind, abs=0.0051)
    assert (values[Element.PRESSURE] > 90_000).all()
    assert (values[Element.PRESSURE] < 108_000).all()
    assert values[Element.HUMIDITY].max() <= 100
    assert Element.PRESSURE.unit == "Pa"


@pytest.mark.parametrize("name", SUMS)
def test_place_and_year(weathers, name: str) -> None:
    """Place, offset and first hour: midnight of standard time on the typical year, 8,760 hours, and notes on both."""
    weather = weathers[name]
    latitude, longitude, elevation, offset_h = PLACES[name]
    place = weather.place
    assert (place.latitude_deg, place.longitude_deg) == pytest.approx((latitude, longitude), abs=1e-4)
    assert (place.elevation_m, place.offset_s) == (elevation, 3600 * offset_h)
    zone = dt.timezone(dt.timedelta(hours=offset_h))
    assert weather.start_s == dt.datetime(TYPICAL_YEAR, 1, 1, tzinfo=zone).timestamp()
    assert (len(weather), weather.step_s, weather.times_s[1] - weather.times_s[0]) == (8760, 3600, 3600)
    assert codes(weather) == ["sky.stamps-moved", "sky.typical-year"]
    assert len(weather.years) > 1
    assert f"put onto the year {TYPICAL_YEAR}" in weather.findings[1].says(Show())


def around_noon(weather: Weather, zone: str, moved_h: int = 0) -> tuple[float, float]:
    """Highest irradiance in the dark in W/m2, and by how many minutes that of the 40 clearest days leans from solar noon.

    ``moved_h`` moves the irradiance by hours, as a file taken wrongly would have it.
    """
    clock, times = SiteClock(zone), weather.times_s
    first = (weather.start_s + weather.place.offset_s) // 86_400
    day = (times + weather.place.offset_s) // 86_400 - first
    sun = sun_times(np.arange(first, first + 365), weather.place.latitude_deg, weather.place.longitude_deg, clock)
    global_w = np.roll(weather.values[Element.GHI], moved_h)
    dark = (times + 3600 <= sun.rise_s[day]) | (times >= sun.set_s[day])
    from_noon_s = times + 1800 - sun.transit_s[day]
    clearest = np.argsort(np.bincount(day, weather.values[Element.DNI]))[-40:]
    leaning = [np.average(from_noon_s[day == one], weights=global_w[day == one]) / 60 for one in clearest]
    return float(global_w[dark].max()), float(np.median(leaning))


@pytest.mark.parametrize("name", SUMS)
def test_sun_stands_where_the_irradiance_says(weathers, name: str) -> None:
    """Every hour of darkness holds none, and clear days are even about solar noon; an hour's shift breaks both."""
    weather = weathers[name]
    dark, leaning = around_noon(weather, ZONES[name])
    assert dark == 0
    assert abs(leaning) < 3
    for moved_h in (-1, 1):
        dark, leaning = around_noon(weather, ZONES[name], moved_h)
        assert dark > 20
        assert leaning == pytest.approx(60 * moved_h, abs=3)


def test_stamps_are_those_of_the_rows(weathers) -> None:
    """The row stamped 01/01/1988 13:00 of Greensboro holds the hour from 12:00: found in the text by hand."""
    row = (DATA / GREENSBORO).read_text().splitlines()[2 + 12].split(",")
    assert row[:2] == ["01/01/1988", "13:00"]
    weather = weathers[GREENSBORO]
    at = int(np.flatnonzero(weather.times_s == dt.datetime(TYPICAL_YEAR, 1, 1, 17, tzinfo=dt.UTC).timestamp())[0])
    assert weather.values[Element.GHI][at] == float(row[4])
    assert weather.values[Element.DNI][at] == float(row[7])


def test_leap_year_asked_for() -> None:
    """Put onto 2024 the year has 8,784 hours; 29 February repeats the day before it, and the rest stands at its own date."""
    common, leap = (read_weather(DATA / GREENSBORO, year=year) for year in (2023, 2024))
    one, other = (weather.values[Element.TEMPERATURE] for weather in (common, leap))
    assert len(leap) == 8784
    day = 24 * (31 + 28)
    assert np.array_equal(other[day : day + 24], one[day - 24 : day])
    assert np.array_equal(other[day + 24 :], one[day:])
    assert np.array_equal(other[:day], one[:day])
    assert "sky.leap-day-repeated" in codes(leap)
    assert "sky.leap-day-repeated" not in codes(common)


def epw(year: dict[int, int] | int, leap: bool = False, change=None) -> str:
    """An invented EPW file, written from the format's description: each hour's values are made from its number.

    ``year`` is that of each row, or by month; ``change`` is given the row's number and its fields, to change them.
    """
    head = [
        "LOCATION,Nowhere,-,NIL,invented,000000,40.50,23.25,2.0,120.0",
        "DESIGN CONDITIONS,0",
        "TYPICAL/EXTREME PERIODS,0",
        "GROUND TEMPERATURES,0",
        "HOLIDAYS/DAYLIGHT SAVINGS,No,0,0,0",
        "COMMENTS 1,invented",
        "COMMENTS 2,",
        "DATA PERIODS,1,1,Data,Sunday,1/1,12/31",
    ]
    rows = []
    for number in range((366 if leap else 365) * 24):
        begins = dt.datetime(2024 if leap else 2023, 1, 1) + dt.timedelta(hours=number)
        stamped = year if isinstance(year, int) else year[begins.month]
        fields = [
            stamped,
            begins.month,
            begins.day,
            begins.hour + 1,
            60,
            "A",
            number % 30 - 5,
            1,
            number % 100,
            101325 - number % 7,
        ]
        fields += [0, 0, 300, number % 900, number % 800, number % 400, 0, 0, 0, 0, 180, (number % 80) / 10]
        fields += [0] * 13
        if change is not None:
            fields = change(number, fields)
        rows.append(",".join(map(str, fields)))
    return "\n".join([*head, *rows]) + "\n"


def written(folder: Path, text: str, name: str = "weather.dat") -> Path:
    path = folder / name
    path.write_text(text)
    return path


def test_epw_of_one_year_stays_there(tmp_path: Path) -> None:
    """Hours of 2024 stay in 2024, 29 February among them; each value stands at the start of its hour in SI units."""
    weather = read_weather(written(tmp_path, epw(2024, leap=True)))
    assert (weather.form, weather.years, len(weather), codes(weather)) == ("EPW", (2024,), 8784, ["sky.stamps-moved"])
    assert weather.place.name == "Nowhere"
    assert (weather.place.latitude_deg, weather.place.longitude_deg, weather.place.elevation_m) == (40.5, 23.25, 120)
    numbers = np.arange(8784)
    assert weather.start_s == dt.datetime(2023, 12, 31, 22, tzinfo=dt.UTC).timestamp()
    assert np.array_equal(weather.values[Element.TEMPERATURE], numbers % 30 - 5)
    assert np.array_equal(weather.values[Element.GHI], numbers % 900)
    assert np.array_equal(weather.values[Element.DNI], numbers % 800)
    assert np.array_equal(weather.values[Element.DHI], numbers % 400)
    assert np.array_equal(weather.values[Element.HUMIDITY], numbers % 100)
    assert np.array_equal(weather.values[Element.PRESSURE], 101325 - numbers % 7)
    assert weather.values[Element.WIND] == pytest.approx((numbers % 80) / 10)


def test_epw_of_one_year_onto_another(tmp_path: Path) -> None:
    """Asked for another year that has no 29 February, the day is left out and both are said."""
    weather = read_weather(written(tmp_path, epw(2024, leap=True)), year=2025)
    assert codes(weather) == ["sky.stamps-moved", "sky.other-year", "sky.leap-day-dropped"]
    assert len(weather) == 8760
    # The first hour of March is number 24 * (31 + 29) of a leap year.
    assert weather.values[Element.GHI][24 * (31 + 28)] == 24 * (31 + 29) % 900


def test_epw_without_its_29_february(tmp_path: Path) -> None:
    """8,760 hours of a leap year get the day that the format leaves out."""
    weather = read_weather(written(tmp_path, epw(2024)))
    assert (len(weather), codes(weather)) == (8784, ["sky.stamps-moved", "sky.leap-day-repeated"])


def test_missing_values(tmp_path: Path) -> None:
    """The numbers by which a format says that nothing was measured become gaps, counted by quantity."""

    def change(number: int, fields: list) -> list:
        if number < 5:
            fields[6], fields[13], fields[9] = 99.9, 9999, 999999
        return fields

    weather = read_weather(written(tmp_path, epw(2023, change=change)))
    assert np.isnan(weather.values[Element.TEMPERATURE]).sum() == 5
    assert np.isnan(weather.values[Element.GHI][:5]).all()
    assert weather.values[Element.DNI][4] == 4
    assert codes(weather) == ["sky.stamps-moved"] + ["sky.missing"] * 3
    assert "5 of 8,760 values are missing" in weather.findings[1].says(Show())


def test_missing_in_tmy3(tmp_path: Path) -> None:
    """TMY3 writes -9900."""
    lines = (DATA / SAND_POINT).read_text().splitlines()
    cells = lines[100].split(",")
    cells[31] = "-9900"
    lines[100] = ",".join(cells)
    weather = read_weather(written(tmp_path, "\n".join(lines)))
    assert np.flatnonzero(np.isnan(weather.values[Element.TEMPERATURE])).tolist() == [98]


def test_form_is_told_by_content(tmp_path: Path) -> None:
    """A TMY3 file named as another format is read as what it is."""
    path = tmp_path / "weather.epw"
    path.write_bytes((DATA / GREENSBORO).read_bytes())
    assert read_weather(path).form == "TMY3"


def damaged(name: str, change) -> str:
    lines = (DATA / name).read_text().splitlines()
    return "\n".join(change(lines)) + "\n"


def cell(lines: list[str], row: int, column: int, text: str) -> list[str]:
    cells = lines[row].split(",")
    cells[column] = text
    return [*lines[:row], ",".join(cells), *lines[row + 1 :]]


DAMAGES = {
    "cut": (lambda lines: lines[:5000], "line 5000: found 4,998 hours; expected 8,760 hours"),
    "cut within a row": (lambda lines: [*lines[:-1], lines[-1][:30]], "line 8762.*expected a number, the diffuse horizontal"),
    "two rows swapped": (
        lambda lines: [*lines[:50], lines[51], lines[50], *lines[52:]],
        "line 51: found the hour from 3 January, 01:00; expected the hour from 3 January, 00:00",
    ),
    "a row twice": (lambda lines: [*lines[:50], lines[49], *lines[50:]], "line 51: .*expected the hour from 3 January, 00:00"),
    "a row gone": (lambda lines: [*lines[:50], *lines[51:]], "line 51: .*expected the hour from 3 January, 00:00"),
    "a day too many": (lambda lines: [*lines, *lines[-24:]], "found 8,784 hours; expected 8,760 hours"),
    "text in a number": (
        lambda lines: cell(lines, 20, 4, "lots"),
        'line 21, column global horizontal irradiance: found "lots"; expected a number',
    ),
    "no such hour": (lambda lines: cell(lines, 20, 1, "25:00"), "line 21.*begins with a date and an hour"),
    "no such month": (lambda lines: cell(lines, 20, 0, "13/01/1988"), "line 21: found the hour from 1 month 13, 18:00"),
    "no date": (lambda lines: cell(lines, 20, 0, "yesterday"), 'line 21: found "yesterday'),
    "a column renamed": (lambda lines: [lines[0], lines[1].replace("DHI (W/m^2)", "DHI"), *lines[2:]], "diffuse horizontal"),
    "no place": (lambda lines: ["nowhere", *lines[1:]], "expected a file as TMY3 defines it"),
}


@pytest.mark.parametrize("damage", DAMAGES)
def test_damaged_tmy3(tmp_path: Path, damage: str) -> None:
    """What is wrong is told with its line and what was expected, and nothing is read past it."""
    change, told = DAMAGES[damage]
    with pytest.raises(WeatherError, match=told) as raised:
        read_weather(written(tmp_path, damaged(GREENSBORO, change)))
    assert "Fetch the file again" in str(raised.value)


@pytest.mark.parametrize(
    ("change", "told"),
    [
        (lambda lines: lines[:4000], "found 3,999 hours; expected 8,760"),
        (lambda lines: [*lines[:9], lines[9][:60], *lines[10:]], "line 10.*a row of TM2"),
        (lambda lines: [*lines[:9], lines[9][:17] + "lots" + lines[9][21:], *lines[10:]], "expected a file as TM2 defines it"),
    ],
)
def test_damaged_tm2(tmp_path: Path, change, told: str) -> None:
    """A file of fixed columns that was cut, or holds a word where a number stands."""
    with pytest.raises(WeatherError, match=told):
        read_weather(written(tmp_path, damaged(MIAMI, change)))


def test_damaged_epw(tmp_path: Path) -> None:
    """A row with too many fields would shift every column, and is told."""
    text = epw(2023, change=lambda number, fields: [*fields, 0] if number == 7 else fields)
    with pytest.raises(WeatherError, match=r"line 16: .*a row of EPW"):
        read_weather(written(tmp_path, text))


@pytest.mark.parametrize("content", [b"", b" \n \n", b"PK\x03\x04\x00\x00\x00"])
def test_no_text(tmp_path: Path, content: bytes) -> None:
    """An empty file and a packed one are told as such."""
    path = tmp_path / "weather.csv"
    path.write_bytes(content)
    with pytest.raises(WeatherError, match=r"nothing to read|no text"):
        read_weather(path)


def test_no_file(tmp_path: Path) -> None:
    """A file that is not there is no weather file at all."""
    with pytest.raises(FileError, match="no such file"):
        read_weather(tmp_path / "weather.csv")
