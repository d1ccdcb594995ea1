"""Found loads as entries of the survey."""

import datetime as dt
from dataclasses import replace

import numpy as np
import pytest
import tomlkit

from tests.job.hand import write_job
from wattwright.core.calendar import days_between
from wattwright.core.clock import SiteClock
from wattwright.core.errors import JobError, UsageError
from wattwright.core.series import of_values
from wattwright.demand.switched.analyse import SwitchedLoad, in_series
from wattwright.demand.switched.times import times_on
from wattwright.job.file import load_job
from wattwright.job.found import accept_load, fitting, proposal_lines, proposed
from wattwright.job.found_hours import hours_of
from wattwright.job.refused import NotLoad

CLOCK = SiteClock("UTC")
DAYS = days_between(CLOCK, 0, 4 * 86400)
MONDAY_S = 1_737_331_200


@pytest.fixture(scope="module")
def load():
    """A load of 1.5 kW, on for 20 minutes of every hour."""
    minute = np.arange(4 * 1440)
    values = 300 + np.random.default_rng(1).normal(0, 5, len(minute)) + 1500 * (minute % 60 < 20)
    return in_series(of_values(0, 60, values), SiteClock("UTC")).loads[0]


def test_lines_are_the_entry(load) -> None:
    """The lines that are shown read as what would be written."""
    entry = proposed(load, DAYS, CLOCK)
    told = tomlkit.parse("\n".join(proposal_lines(entry))).unwrap()
    assert told == {"loads": [entry]}
    assert told["loads"][0]["rating"] == "1.50 kW"
    assert told["loads"][0]["hours"] == [{"duty": "33 %"}]
    assert "33 % of the time" in told["loads"][0]["note"]


def hours_seen(share: np.ndarray) -> list[dict]:
    """The hours of a load that was on for these shares of each quarter hour, from Monday 20 January 2025 on."""
    days = days_between(CLOCK, MONDAY_S, MONDAY_S + 900 * len(share))
    series = of_values(MONDAY_S, 900, 1500 * share)
    times = times_on(share, MONDAY_S, 900, CLOCK, is_exact=True)
    return hours_of(SwitchedLoad("found-1", 1500.0, share, series, 1.0, 0.1, 0.1, times, 1.0, 0.0), days, CLOCK)


def test_hours_are_those_that_were_seen_by_type_of_day_and_season() -> None:
    """From 6 to 8 and from 22:30 to 1: working days of winter all of it, of spring half, Saturdays a quarter, Sundays none."""
    at = np.arange(70 * 96)
    day, slot = at // 96, at % 96
    share = np.where(((slot >= 24) & (slot < 32)) | (slot >= 90) | (slot < 4), 1.0, 0.0)
    share *= np.where(day % 7 == 6, 0.0, np.where(day % 7 == 5, 0.25, np.where(day < 40, 1.0, 0.5)))  # 1 March follows
    share[96 * 20 : 96 * 21] = np.nan  # a day without readings counts for nothing
    week, late = {"from": dt.time(6), "until": dt.time(8)}, {"from": dt.time(22, 30), "until": dt.time(1)}
    alike = [
        {"days": ["working day"], "seasons": ["winter", "summer", "autumn"], "duty": "100 %"},
        {"days": ["working day"], "seasons": ["spring"], "duty": "50 %"},
        {"days": ["Saturday"], "duty": "25 %"},
    ]
    assert hours_seen(share) == [{**span, **one} for span in (week, late) for one in alike]


def test_hours_that_differ_too_much_are_taken_together() -> None:
    """Three spans that differ by day and season would be nine lines; by type of day alone they are six."""
    at = np.arange(70 * 96)
    day, slot = at // 96, at % 96
    share = np.where((slot % 32 >= 8) & (slot % 32 < 16), 1.0, 0.0)
    share *= np.where(day % 7 == 6, 0.0, np.where(day % 7 == 5, 0.25, np.where(day < 40, 1.0, 0.5)))
    made = hours_seen(share)
    assert len(made) == 6
    assert {one["duty"] for one in made} == {"80 %", "25 %"}  # 30 working days of winter, 20 of spring at half of it
    assert all("seasons" not in one for one in made)
    nothing = np.zeros(96 * 7)
    assert hours_seen(nothing) == []


def test_a_load_without_hours_of_its_own_is_told_over_the_day(load) -> None:
    """Where no part of the day stands out, the share of the whole day is told: 20 minutes of every hour."""
    bare = replace(load, times=replace(load.times, windows=()))
    assert proposed(bare, DAYS, CLOCK)["hours"] == [{"duty": "33 %"}]


def test_loads_of_the_survey_that_it_may_be(load, tmp_path) -> None:
    """1.5 kW may be a rating within a tenth of it, the nearest first; standby never switches, and a survey may be empty."""
    entry = '[[loads]]\nid = "{0}"\nname = "{0}"\nkind = "{1}"\nrating = "{2}"\n'
    survey = [
        ("far", "other", "1.7 kW"),
        ("near", "other", "1.4 kW"),
        ("same", "cooking", "1.52 kW"),
        ("idle", "standby", "1.5 kW"),
    ]
    path = write_job(tmp_path / "job") / "job.toml"
    path.write_text(path.read_text().split("[[loads]]")[0] + "".join(entry.format(*one) for one in survey))
    loads = load_job(path).spec.loads
    assert [one.id for one in fitting(load, loads)] == ["same", "near"]
    assert fitting(load, ()) == ()


@pytest.mark.parametrize(
    ("entry", "fits"),
    [
        ({"level": "1.4 kW"}, True),
        ({"level": "1.3 kW"}, False),
        ({"level": "1.5 kW", "from": "18:00", "until": "06:30"}, True),
        ({"level": "1.5 kW", "from": "06:30", "until": "18:00"}, False),
    ],
)
def test_a_refused_load_is_known_by_level_and_hours(load, entry, fits) -> None:
    """1.5 kW is within a tenth of 1.4 and not of 1.3; of a load that runs evenly 12.5 hours of the day hold half, 11.5 do not."""
    assert NotLoad.model_validate({"reason": "seen on site", **entry}).fits(load) is fits


def test_an_accepted_load_stands_in_the_survey_and_comments_stay(load, tmp_path) -> None:
    """The job file is sound afterwards and holds every line it had; a second time is refused in a sentence."""
    write_job(tmp_path / "job")
    path = tmp_path / "job" / "job.toml"
    path.write_text(path.read_text() + "\n# the last word\n")
    before = path.read_text()
    had = len(load_job(path).spec.loads)
    accept_load(path, proposed(load, DAYS, CLOCK))
    assert [one for one in before.splitlines() if one not in path.read_text().splitlines()] == []
    spec = load_job(path).spec
    assert len(spec.loads) == had + 1
    assert (spec.loads[-1].id, spec.loads[-1].rating_w) == (load.id, 1500.0)
    assert [one.duty for one in spec.loads[-1].runs] == [pytest.approx(0.33)]
    with pytest.raises(UsageError, match="already"):
        accept_load(path, proposed(load, DAYS, CLOCK))


def test_loads_that_are_no_tables_are_refused(load, tmp_path) -> None:
    """A survey written as one value is left as it is."""
    path = tmp_path / "job.toml"
    path.write_text("loads = []\n")
    with pytest.raises(JobError, match="loads"):
        accept_load(path, proposed(load, DAYS, CLOCK))
    assert path.read_text() == "loads = []\n"
