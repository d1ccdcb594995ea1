"""The picture of a simulated stretch: what it draws comes from what happened."""

from datetime import date
from pathlib import Path

import pytest

from tests.job.simulated import HEATER, PUMP, SUPPLY, TIMES, hourly, question
from wattwright.charts.picture import Picture
from wattwright.charts.render import svg
from wattwright.control.rules import Control
from wattwright.core.show import THIN, Show
from wattwright.handover.simulated import limits_of, period_words, simulated_picture, switchings_table

DAY = date(2025, 1, 7)
ATHENS = Show(zone="Europe/Athens")
SHED = '[control.shedding]\npick_up = "3.2 kW"\nrestore = "2 kW"\norder = ["pump"]\n'


def drawn(folder: Path, *parts: str, show: Show = ATHENS) -> Picture:
    """The picture of these days of the small job."""
    ask = question(folder, SUPPLY, HEATER, PUMP, TIMES, *parts)
    return simulated_picture(ask.simulate(DAY, DAY), ask.job.spec, ask.job.spec.control, show)


def test_the_picture_tells_the_day(tmp_path: Path) -> None:
    """Title with the highest power, limits, stores with their unit, loads, clock, numbers of switchings."""
    picture = drawn(tmp_path, SHED)
    text = svg(picture.spec)
    assert picture.title.startswith("The site reaches")
    for words in (
        "main protection 20",
        "loads go at 3.20",
        "Water heater, at its thermostat, °C",
        ">Pump<",
        ">24:00<",
        ">06:00<",
    ):
        assert words in text.replace("&#176;", "°"), words
    assert [row[2:] for row in picture.table.rows] == [
        ("Pump", "contact closes", "rule pump-times"),
        ("Pump", "contact opens", "rule pump-times"),
    ]
    assert picture.narrow is not None


def test_figures_of_a_stretch(tmp_path: Path) -> None:
    """The pump runs from ten to twelve: a stretch that holds a switching lists it under its number, another does not."""
    picture = drawn(tmp_path, SHED)
    figures = picture.reading.zoom.figures
    closes, opens = picture.table.rows
    assert [row[:2] for row in (closes, opens)] == [("1", "2025-01-07 10:00"), ("2", "2025-01-07 12:00")]
    assert figures(0.0, 24.0).rows == picture.table.rows
    assert figures(11.5, 12.5).rows == (opens,)
    assert figures(0.0, 9.5).rows == ()


def test_what_nobody_served_is_not_drawn_as_used(tmp_path: Path) -> None:
    """In an outage from 08:00 to 10:00 the rest of the site uses nothing, and no area is drawn over the line of the site."""
    outage = "[[outages]]\nbegins = 2025-01-07T08:00:00\nends = 2025-01-07T10:00:00\n"
    power = [one for one in _rows(drawn(tmp_path, outage).spec) if set(one) == {"h", "p"}]
    dark = [one["p"] for one in power if 8.0 <= one["h"] < 9.98]
    assert dark
    assert max(one for one in dark if one < 20.0) == 0.0  # what is 20 or more is a temperature


def test_nights_are_shaded_by_the_sun_of_the_place(tmp_path: Path) -> None:
    """At 37 degrees north in early January the sun is down from about five in the afternoon to half past seven."""
    values = [one for one in _rows(drawn(tmp_path).spec) if "g" in one and "y" not in one]
    nights = sorted({(round(one["h"], 1), round(one["g"], 1)) for one in values})
    (first, last) = nights
    assert first[0] == 0.0
    assert first[1] == pytest.approx(7.5, abs=0.3)
    assert last[0] == pytest.approx(17.3, abs=0.3)
    assert last[1] == 24.0


def _rows(spec: object) -> list[dict[str, float]]:
    """All rows of data in a specification."""
    if isinstance(spec, list):
        return [one for part in spec for one in _rows(part)]
    if not isinstance(spec, dict):
        return []
    own = spec.get("datasets", {}) if isinstance(spec.get("datasets"), dict) else {}
    here = [row for rows in own.values() for row in rows]
    values = spec.get("data", {}).get("values", []) if isinstance(spec.get("data"), dict) else []
    return here + list(values) + [one for key, part in spec.items() if key not in ("datasets", "data") for one in _rows(part)]


def test_several_days_are_figured_by_midnights(tmp_path: Path) -> None:
    """Over many days the clock shows days; the table then tells the date, and the period both ends."""
    ask = question(tmp_path, SUPPLY, PUMP, TIMES, readings=hourly(days=20))
    made = ask.simulate(date(2025, 1, 7), date(2025, 1, 20))
    text = svg(simulated_picture(made, ask.job.spec, ask.job.spec.control, Show(zone="Europe/Athens")).spec)
    assert ">9 Jan<" in text
    assert period_words(made, Show()) == "7 Jan 2025 to 20 Jan 2025"
    assert len(switchings_table(made, Show(zone="Europe/Athens")).rows) == 28
    assert "08 10:00" in str(switchings_table(made, Show(zone="Europe/Athens")).rows[2][1])


def test_own_switchings_are_listed_when_asked(tmp_path: Path) -> None:
    """The heater's thermostat appears only with ``own``, with its own cause."""
    made = question(tmp_path, SUPPLY, HEATER, PUMP, TIMES).simulate(DAY, DAY)
    every = switchings_table(made, Show(zone="Europe/Athens"), own=True).rows
    assert ("Water heater", "starts", "its own controller") in {row[2:] for row in every}
    assert len(every) > len(switchings_table(made, Show(zone="Europe/Athens")).rows) == 2


def test_temperatures_follow_the_unit_system(tmp_path: Path) -> None:
    """A job in US units shows the tank in Fahrenheit: a set point of 60 degC at 140."""
    spec = drawn(tmp_path, show=Show(units="US", zone="Europe/Athens")).spec
    assert "Water heater, at its thermostat, °F" in str(spec)
    assert {"p": 140.0, "text": "off"} in _rows(spec)


def test_limits_are_those_of_the_job(tmp_path: Path) -> None:
    """Three conductors of 20 A at 230 V and 0.95 are 13.11 kW; a limit on current, or none, draws no line of power."""
    ask = question(tmp_path, SUPPLY.replace("single-phase", "three-phase"), PUMP, TIMES)
    (fuse,) = limits_of(ask.job.spec, ask.job.spec.control, Show())
    assert (fuse.name, fuse.power_w) == (f"main protection 20{THIN}A", pytest.approx(13_110.0))
    alone = '[inverter]\nrating = "6 kVA"\nrole = "stand-alone"\n[battery]\ncapacity = "9 kWh"\ncharge_power = "3 kW"\n'
    off_grid = question(tmp_path, alone, 'discharge_power = "5 kW"\n', SUPPLY, PUMP).job.spec
    assert [(one.name, one.power_w) for one in limits_of(off_grid, off_grid.control, Show())] == [
        (f"inverter 6{THIN}kVA", 6000.0), (f"main protection 20{THIN}A", pytest.approx(4370.0))
    ]  # fmt: skip
    amps = Control.model_validate({"shedding": {"quantity": "current", "pick_up": "18 A", "restore": "10 A", "order": ["pump"]}})
    bare = question(tmp_path, SUPPLY.replace('main_protection = "20 A"\n', ""), PUMP, TIMES)
    assert limits_of(bare.job.spec, amps, Show()) == []
