"""Loads found in the readings at the desk: shown, taken into the survey, refused with a reason; what else sheets say."""

import datetime as dt
import re
from pathlib import Path

import pytest

from tests.handover.test_what_readings_say import SITE, readings
from tests.web.conftest import Asked
from tests.web.test_answers import plain
from tests.web.test_details import shown, spec
from wattwright.web.links import FOUND, SHEETS, made_for

UNTOLD = SITE[: SITE.index("[[not_loads]]")]


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The folder of ten weeks of an invented house whose heater is in nobody's survey yet."""
    folder = tmp_path_factory.mktemp("found")
    (folder / "job.toml").write_text(UNTOLD.replace('rating = "2 kW"', 'rating = "2.6 kW"'))
    (folder / "readings.csv").write_text(readings())
    return folder


@pytest.fixture
def ask(made: Path, tmp_path: Path) -> Asked:
    """A desk with that job."""
    return Asked(made, tmp_path / "store")


def test_a_found_load_is_taken_into_the_survey_with_what_is_known(ask: Asked) -> None:
    """The survey leads there; the form holds level and note, a person says what it is, and the load stands in the survey."""
    assert "Loads found in the readings, to be taken or refused" in plain(ask("/survey"))
    assert f"survey?look={FOUND}" in ask("/survey").text
    page = ask(f"/survey?look={FOUND}")
    (form,) = re.findall(r'id="(take-found-[^".]*)"', page.text)
    held = shown(page.text, form)
    assert float(held["loads.2.rating"]) == pytest.approx(2.0, rel=0.05)
    assert "found in the record" in held["loads.2.note"]
    assert 'name="back" value="found"' in page.text
    # The house was away on 4 of 69 days that were read; 06:00 to 10:00 is how its readings were made.
    assert (held["loads.2.hours.0.from"], held["loads.2.hours.0.until"]) == ("06:00", "10:00")
    assert float(held["loads.2.hours.0.duty"]) == pytest.approx(100 * 65 / 69, abs=2)
    assert held["loads.2.hours.1.duty"] == ""  # a line for more
    done = ask.post("/do/add-load", {"back": FOUND, **held, "loads.2.name": "Laundry boiler"})
    assert done.status_code == 303
    assert done.headers["location"].endswith(f"?look={FOUND}")  # the next of them waits there
    load = spec(ask).loads[2]
    assert (load.id, load.name, load.kind, load.basis) == ("laundry-boiler", "Laundry boiler", "other", "assumed")
    (runs,) = load.runs
    assert (runs.begins, runs.ends, len(runs.days), len(runs.seasons)) == (dt.time(6), dt.time(10), 3, 4)
    sheet = shown(ask("/survey?look=2").text, "hours-2")
    assert sheet["loads.2.hours.0.from"] == "06:00"
    later = {"group": "hours-2", "sheet": "survey", **sheet, "loads.2.hours.0.until": "09:30"}
    assert ask.post("/do/set", later).status_code == 303
    assert [one.ends for one in spec(ask).loads[2].runs] == [dt.time(9, 30)]
    page = ask(f"/survey?look={FOUND}")
    assert "Laundry boiler" in plain(page)  # by its level it may be that one now
    assert not re.findall(r'id="take-found-', page.text)  # and it is not offered again


def test_hours_of_a_found_load_are_held_in_bounds(ask: Asked) -> None:
    """What is wrong with an hour or a share is told at its field, the rest stands as typed; corrected it is taken."""
    page = ask(f"/survey?look={FOUND}")
    (form,) = re.findall(r'id="(take-found-[^".]*)"', page.text)
    held = {**shown(page.text, form), "loads.2.name": "Laundry boiler", "back": FOUND}
    second = {"loads.2.hours.1.from": "18:00", "loads.2.hours.1.until": "20:00", "loads.2.hours.1.days.Saturday": "yes"}
    refused = ask.post("/do/add-load", {**held, **second, "loads.2.hours.0.from": "25:00", "loads.2.hours.1.duty": "140"})
    assert refused.status_code == 422
    wrong = re.findall(r'<input id="[^"]*" name="([^"]*)"[^>]*aria-invalid', refused.text)
    assert wrong == ["loads.2.hours.0.from", "loads.2.hours.1.duty"]
    assert 'name="loads.2.hours.1.from" value="18:00"' in refused.text
    assert 'name="back" value="found"' in refused.text
    assert len(spec(ask).loads) == 2
    assert ask.post("/do/add-load", {**held, **second, "loads.2.hours.1.duty": "40"}).status_code == 303
    more = spec(ask).loads[2].runs[1]
    assert (more.begins, more.days, more.duty) == (dt.time(18), ("Saturday",), pytest.approx(0.4))
    # A line that was emptied says nothing: the one behind it moves up.
    emptied = {name: "" for name in held if name.startswith("loads.2.hours.0.") and not name.endswith(".unit")}
    other = {name.replace("loads.2", "loads.3"): value for name, value in {**held, **emptied, **second}.items()}
    assert ask.post("/do/add-load", {**other, "loads.3.name": "Kiln"}).status_code == 303
    assert [one.begins for one in spec(ask).loads[3].runs] == [dt.time(18)]


def test_a_found_load_that_is_taken_makes_the_survey_add_up(made: Path, tmp_path: Path) -> None:
    """Before it nothing is explained; after it the heater, 2 kW for 4 h a day on 65 of 69 days, as a share of all of them."""
    job = tmp_path / "job"
    job.mkdir()
    (job / "readings.csv").write_text((made / "readings.csv").read_text())
    bare = re.sub(r"^hours = .*\n", "", (made / "job.toml").read_text(), flags=re.M)
    (job / "job.toml").write_text(bare)
    desk = Asked(job, tmp_path / "store")
    before = desk.worked.assessment.reconciled().whole
    assert before.explained_share == 0
    page = desk(f"/survey?look={FOUND}").text
    (form,) = re.findall(r'id="(take-found-[^".]*)"', page)
    assert desk.post("/do/add-load", {"back": FOUND, **shown(page, form)}).status_code == 303
    after = desk.worked.assessment.reconciled().whole
    share = 65 / 69  # a survey cannot say on which days nobody was there: so much less of each day it ran, too much of the rest
    assert after.explained_kwh == pytest.approx(65 * 4 * 2.0 * share, rel=0.02)
    assert after.over_kwh == pytest.approx(4 * 4 * (2.0 * share - 0.05), rel=0.05)
    assert after.explained_share > 0.25


def test_a_found_load_is_refused_with_a_reason_and_comes_back(ask: Asked) -> None:
    """Without a reason it is not refused; with one it is named with it alone, until the entry is taken out."""
    page = ask(f"/survey?look={FOUND}")
    (form,) = re.findall(r'id="(refuse-found-[^".]*)"', page.text)
    held = shown(page.text, form)
    level = held["not_loads.0.level"]
    assert float(level) == pytest.approx(2.0, rel=0.05)
    refused = ask.post("/do/add-entry", {"many": "not-load", **held})
    assert refused.status_code == 422
    assert spec(ask).not_loads == ()
    done = ask.post("/do/add-entry", {"many": "not-load", **held, "not_loads.0.reason": "the neighbour's kiln"})
    assert done.status_code == 303
    page = ask(f"/survey?look={FOUND}")
    assert "is none, by the job file: the neighbour's kiln" in plain(page)
    assert not re.findall(r'id="take-found-', page.text)
    assert ask.post("/do/remove-entry", {"many": "not-load", "index": "0"}).status_code == 303
    assert re.findall(r'id="take-found-', ask(f"/survey?look={FOUND}").text)


def test_nothing_is_sought_twice(ask: Asked, monkeypatch: pytest.MonkeyPatch) -> None:
    """What was found lies beside the job: a change of the survey does not seek it anew."""
    ask(f"/survey?look={FOUND}")

    def fail(*_: object) -> None:
        raise AssertionError("sought again")

    monkeypatch.setattr("wattwright.demand.switched.analyse.what_switches", fail)
    assert ask.post("/do/remove-load", {"index": "1"}).status_code == 303
    assert "What switches" in plain(ask(f"/survey?look={FOUND}"))


def test_the_sheets_tell_days_year_voltage_and_whether_the_survey_adds_up(ask: Asked) -> None:
    """Each part stands on the sheet it belongs to."""
    demand = plain(ask("/demand"))
    for title in ("What days are like", "From these readings to a year", "Voltage and current"):
        assert title in demand
    survey = ask("/survey")
    assert "Does the survey add up?" in plain(survey)
    # The second load has no hours: what is said of it leads to where they are written.
    assert re.search(rf'class="cure" href="/jobs/{ask.job}/survey\?look=1#hours-1"', survey.text)
    assert 'id="hours-1"' in ask("/survey?look=1").text


def test_a_weather_file_that_cannot_be_read_takes_one_part_away(made: Path, tmp_path: Path) -> None:
    """The part that needs it says why it cannot be told; the rest of the sheet stands."""
    job = tmp_path / "job"
    job.mkdir()
    (job / "readings.csv").write_text((made / "readings.csv").read_text())
    (job / "weather.csv").write_text("no weather at all\n")
    (job / "job.toml").write_text((made / "job.toml").read_text() + '[weather]\nfile = "weather.csv"\n')
    desk = Asked(job, tmp_path / "weather-store")
    page = plain(desk("/demand"))
    assert "This cannot be told." in page
    assert "weather.csv" in page
    assert "Voltage and current" in page


def test_without_readings_there_is_nothing_to_find(tmp_path: Path) -> None:
    """A job of a survey alone leads to no found loads, and the page says what is missing."""
    job = tmp_path / "job"
    job.mkdir()
    (job / "job.toml").write_text(UNTOLD.replace(UNTOLD[UNTOLD.index("[[files]]") : UNTOLD.index("[supply]")], ""))
    desk = Asked(job, tmp_path / "store")
    assert "look=found" not in desk("/survey").text
    assert "Give the job a file from its main meter." in plain(desk(f"/survey?look={FOUND}"))
    assert "Does the survey add up?" not in plain(desk("/survey"))


def test_readings_that_cannot_be_read_are_told_once(tmp_path: Path) -> None:
    """The page of found loads says what is wrong with the meter file, and the survey still lists its loads."""
    job = tmp_path / "job"
    job.mkdir()
    (job / "job.toml").write_text(UNTOLD)
    (job / "readings.csv").write_text("time,P [kW]\nno time,none\n")
    desk = Asked(job)
    assert "readings.csv" in plain(desk(f"/survey?look={FOUND}"))
    assert "Water heater" in plain(desk("/survey"))


@pytest.mark.parametrize("sheet", SHEETS)
def test_only_what_is_looked_at_makes_a_page_of_its_own(sheet: str) -> None:
    """A meter file on the sheet of meter files, found loads on the survey; a look that is none of these makes nothing."""
    assert made_for(sheet, FOUND) == (FOUND if sheet in ("survey", "meter-files") else "")
    assert made_for(sheet, "3") == ("3" if sheet == "meter-files" else "")


def test_texts_of_pages_are_kept_in_bounds(ask: Asked, monkeypatch: pytest.MonkeyPatch) -> None:
    """An address may name any visit; of the pages made for such only the last few are kept."""
    monkeypatch.setattr("wattwright.web.showing._MOST_SHOWN", 3)
    for number in range(5):
        assert ask(f"/survey?look=visit-{number:064x}").status_code == 200
    assert len(ask.opened.shown) == 3
