"""Today's loads of a job fitted to its records: a heater and a pump that a test runs itself."""

import json
from datetime import datetime, timedelta

import numpy as np
import pytest

from tests.job.simulated import HEAD, SUPPLY, TIMES
from wattwright.core.errors import JobError
from wattwright.core.show import Show
from wattwright.job.assessment import Assessment
from wattwright.job.calibration_json import calibration_json
from wattwright.job.file import load_job

SUB = '[[files]]\nid = "sub"\npath = "sub.csv"\nmeter = "sub"\n[files.layout]\nstamps = "start"\n'
HEATER = """[[loads]]
id = "heater"
name = "Water heater"
kind = "water heater"
rating = "2 kW"
volume = "100 l"
meter = "sub"
basis = "published"
read_on_site = ["set_point"]
[loads.model]
set_point = "60 degC"
differential = "6 delta_degC"
"""
PUMP = '[[loads]]\nid = "pump"\nname = "Pump"\nkind = "pool pump"\nrating = "1.1 kW"\n'
FRIDGE = """[[loads]]
id = "fridge"
name = "Fridge"
kind = "cold room"
rating = "130 W"
[loads.model]
heat_kwh_per_k = 0.02
loss_w_per_k = 2.0
set_point = "4 degC"
limit = "8 degC"
"""
DAYS = 14


def heater_w() -> np.ndarray:
    """Two weeks of minutes: each night idle cycles of 21 min in 350, each morning and evening longer runs, 2 kW."""
    power = np.zeros(1440 * DAYS)
    for day in range(DAYS):
        for start, length in ((30, 21), (380, 60 + 5 * (day % 3)), (760, 21), (1110, 45 + 4 * (day % 4))):
            power[1440 * day + start : 1440 * day + start + length] = 2000.0
    return power


def minutes(power_w: np.ndarray) -> str:
    """A meter file of minutes from 6 January 2025."""
    first = datetime(2025, 1, 6)
    rows = [f"{first + timedelta(minutes=k):%Y-%m-%d %H:%M},{value:.1f}" for k, value in enumerate(power_w)]
    return "\n".join(["time,P [W]", *rows]) + "\n"


HOURS = np.arange(1440 * DAYS) % 1440 / 60


def assessment(folder, *parts, main=None, sub=None) -> Assessment:
    """A job of these parts with a pump of 1.08 kW from ten to noon on its main meter."""
    pump = 1080.0 * ((HOURS >= 10) & (HOURS < 12))
    (folder / "job.toml").write_text("".join((HEAD, SUPPLY, *parts)))
    (folder / "readings.csv").write_text(minutes(300.0 + pump + heater_w() if main is None else main))
    (folder / "sub.csv").write_text(minutes(heater_w() if sub is None else sub))
    return Assessment(load_job(folder), keep=False)


def test_each_load_is_fitted_to_the_meter_that_tells_most_of_it(tmp_path):
    """The heater goes with its own meter, the pump with the main one; what was read on site stays."""
    alone, main = assessment(tmp_path, SUB, HEATER, PUMP, TIMES).fitted()
    assert (alone.meter, alone.alone, main.meter, main.alone) == ("sub", True, "main", False)
    heater = alone.calibration.loads[0]
    for name, value in (("rating_w", 2000.0), ("set_c", 60.0)):
        assert heater.parameter(name).known
        assert heater.parameter(name).value == value
    pump = main.calibration.loads[0].parameter("rating_w")
    assert pump.value == pytest.approx(1080.0, rel=0.01)
    assert pump.identifiable


def test_plain_data_says_what_is_known_and_what_is_not(tmp_path):
    """Each parameter with its interval and what it cannot be told from; numbers that are not there are null."""
    told = calibration_json(assessment(tmp_path, SUB, HEATER, FRIDGE).fitted(), Show())
    (alone, main) = told["meters"]
    (heater,) = alone["loads"]
    assert {one["name"] for one in heater["parameters"]} == {"rating_w", "draw_l", "loss_w_k", "differential_k", "set_c"}
    assert heater["runs"] == 4 * DAYS
    assert main["loads"] == []
    assert [one["code"] for one in main["findings"]] == ["simulate.load-not-seen"]


def test_a_job_without_loads_to_fit_is_told(tmp_path):
    """A list of loads without a model and without programmes gives nothing to fit; nor does one that a timer repeats."""
    with pytest.raises(JobError, match="a load on one time programme"):
        assessment(tmp_path, PUMP).fitted()
    with pytest.raises(JobError, match="pump: a repeat-cycle timer switches it"):
        assessment(tmp_path, PUMP, TIMER).fitted()
    with pytest.raises(JobError, match="not set_piont"):
        assessment(tmp_path, SUB, HEATER.replace('["set_point"]', '["set_piont"]'))


TIMER = '[[control.rule]]\nid = "t"\nload = "pump"\nkind = "repeat-cycle timer"\non_for = "1 h"\noff_for = "2 h"\n'


def test_a_programmed_heater_is_fitted_in_part_and_says_so(tmp_path):
    """Its rating and its mean day: on 2 kW for 21 + 65 + 21 + 51 min a day or so, never its loss or set point."""
    at_night = TIMES.replace('"pump"', '"heater"').replace("10:00:00", "00:00:00").replace("12:00:00", "23:00:00")
    (alone,) = assessment(tmp_path, SUB, HEATER, at_night).fitted()
    (heater,) = alone.calibration.loads
    assert {one.name for one in heater.parameters} == {"rating_w", "duty"}
    assert heater.parameter("rating_w").value == pytest.approx(2000.0, rel=0.01)
    assert heater.parameter("duty").value == pytest.approx(heater_w().mean() / 2000.0, rel=0.02)
    assert [(one.code, one.data["load"]) for one in alone.findings if one.code == "job.heater-programmed"] == [
        ("job.heater-programmed", "heater")
    ]


def test_a_load_that_is_not_fitted_is_named_with_the_reason(tmp_path):
    """The heater is fitted; the pump has two rules, and is told beside it."""
    both = TIMES + TIMER
    (alone,) = assessment(tmp_path, SUB, HEATER, PUMP, both).fitted()
    (told,) = [one for one in alone.findings if one.code == "job.not-fitted"]
    assert told.says(Show()) == ('The load "pump" is not fitted: 2 rules switch it, and which of them made a run is not seen.')


def test_a_load_that_was_not_seen_is_named(tmp_path):
    """The fridge of 130 W is in nobody's record."""
    (_, main) = assessment(tmp_path, SUB, HEATER, FRIDGE).fitted()
    assert main.findings[0].says(Show()).startswith('No runs of "fridge", of about 130')


def test_the_verb_shows_it(tmp_path, wattwright_at):
    """Parameters with intervals, what was read on site, and what the record cannot tell."""
    assessment(tmp_path, SUB, HEATER, PUMP, TIMES)
    done = wattwright_at("calibrate", tmp_path)
    assert "Meter sub: the one load it measures explains" in " ".join(done.split())
    assert "read on site" in done
    assert "pump: 14 runs seen" in done
    assert json.loads(wattwright_at("calibrate", tmp_path, "--json"))["schema"] == "wattwright.calibration/1"


def test_days_too_few_to_judge_a_fit_are_told(tmp_path, wattwright_at):
    """Three days hold no more than the pump's three parameters: the fit is not passed as if it were close."""
    few = (300.0 + 1080.0 * ((HOURS >= 10) & (HOURS < 12)))[: 3 * 1440]
    (main,) = assessment(tmp_path, PUMP, TIMES, main=few).fitted()
    (told,) = [one for one in main.findings if one.code == "simulate.too-few-days"]
    assert told.data == {"fitted": 3}
    done = " ".join(wattwright_at("calibrate", tmp_path).split())
    assert "Meter main: how closely today as simulated follows it cannot be told." in done
    assert "where the load is what it is entered as" in done


def test_the_verb_tells_a_duty_as_a_share(tmp_path, wattwright_at):
    """The heater under a programme is on for about a tenth of the time: per cent, and no bare 1 as a unit."""
    at_night = TIMES.replace('"pump"', '"heater"').replace("10:00:00", "00:00:00").replace("12:00:00", "23:00:00")
    assessment(tmp_path, SUB, HEATER, at_night)
    done = wattwright_at("calibrate", tmp_path)
    (line,) = [one for one in done.splitlines() if one.strip().startswith("duty")]
    assert line.count("%") == 3


def test_the_verb_needs_a_job(tmp_path, wattwright_at):
    """A meter file alone is refused in a sentence."""
    (tmp_path / "readings.csv").write_text("time,P [W]\n")
    with pytest.raises(AssertionError, match="no loads to fit"):
        wattwright_at("calibrate", tmp_path / "readings.csv")


@pytest.fixture
def wattwright_at(capsys, monkeypatch):
    """Call the command line in this process and return what it wrote; an error fails the call with its text."""
    import sys

    from wattwright.cli.main import run

    def call(*given) -> str:
        monkeypatch.setattr(sys, "argv", ["wattwright", *map(str, given)])
        with pytest.raises(SystemExit) as ended:
            run()
        out, err = capsys.readouterr()
        assert not ended.value.code, err
        return out

    return call
