"""``demand --switched``: shown, as data, and accepted into a job."""

import json
import re

import numpy as np
import pytest

from wattwright.job.file import load_job


@pytest.fixture
def minutes(place):
    """Four days of minutes with 1.5 kW for 20 minutes of every hour, and a job that names the file."""
    minute = np.arange(4 * 1440)
    kw = (300 + np.random.default_rng(1).normal(0, 5, len(minute)) + 1500 * (minute % 60 < 20)) / 1000
    stamps = np.datetime64("2025-01-06T00:00") + minute.astype("timedelta64[m]")
    rows = "\n".join(f"{str(at).replace('T', ' ')},{value:.4f}" for at, value in zip(stamps, kw, strict=True))
    (place / "minutes.csv").write_text(f"time,Power (kW)\n{rows}\n")
    return place


SAID = ("--zone", "UTC", "--stamps", "start")


def test_a_found_load_is_shown(wattwright, minutes) -> None:
    """Level, energy and times of the planted load, and the lines that would take it into a survey."""
    out = wattwright("demand", "minutes.csv", *SAID, "--switched").out
    assert "found-1-50-kw" in out
    assert "[[loads]]" in out
    assert "cycles" in out
    energy = float(re.search(r"found-1-50-kw +1\.50\u202fkW +([0-9.]+)\u202fkWh", out)[1])
    assert energy == pytest.approx(48.0, rel=1e-3)  # 1.5 kW x 96 h / 3


def test_a_found_load_and_the_survey(wattwright, minutes) -> None:
    """A load found again in the survey says which it may be and is not proposed anew; one that is not there says so."""
    wattwright("new", "mine", "--zone", "UTC", "--record", "../minutes.csv")
    job = minutes / "mine" / "job.toml"
    entry = '\n[[loads]]\nid = "kettle"\nname = "Kettle"\nkind = "other"\nrating = "{}"\n'
    plain = job.read_text().replace('path = "../minutes.csv"', 'path = "../minutes.csv"\nlayout = { stamps = "start" }')
    job.write_text(plain + entry.format("1.55 kW"))
    words = " ".join(wattwright("demand", "mine", "--switched").out.split())
    assert "it may be Kettle of 1.55" in words
    assert "To take one into" not in words
    told = json.loads(wattwright("demand", "mine", "--switched", "--json").out)
    assert told["switched_loads"][0]["fits_in_survey"] == ["kettle"]
    job.write_text(plain + entry.format("2.2 kW"))
    words = " ".join(wattwright("demand", "mine", "--switched").out.split())
    assert "no load of the survey has its level" in words
    assert "To take one into" in words


def test_a_refused_load_is_not_proposed_again(wattwright, minutes) -> None:
    """Refused by level and hours, a load is named with the reason and not proposed; one that runs at others still is."""
    wattwright("new", "mine", "--zone", "UTC", "--record", "../minutes.csv")
    job = minutes / "mine" / "job.toml"
    plain = job.read_text().replace('path = "../minutes.csv"', 'path = "../minutes.csv"\nlayout = { stamps = "start" }')
    refusal = '\n[[not_loads]]\nlevel = "1.4 kW"\nreason = "a timer on the test bench"\n'
    job.write_text(plain + refusal)
    words = " ".join(wattwright("demand", "mine", "--switched").out.split())
    assert "found-1-50-kw: refused in the job: a timer on the test bench" in words
    assert "To take one into" not in words
    told = json.loads(wattwright("demand", "mine", "--switched", "--json").out)
    assert told["switched_loads"] == []
    assert told["switched_refused"] == [
        {"id": "found-1-50-kw", "level_kw": pytest.approx(1.5, abs=0.01), "reason": "a timer on the test bench"}
    ]
    # It runs all day: a third of its time lies in these eight hours.
    job.write_text(plain + refusal + "from = 22:00:00\nuntil = 06:00:00\n")
    told = json.loads(wattwright("demand", "mine", "--switched", "--json").out)
    assert [one["id"] for one in told["switched_loads"]] == ["found-1-50-kw"]
    assert told["switched_refused"] == []


def test_found_loads_as_data(wattwright, minutes) -> None:
    """The demand's own entries stay, and the loads join them."""
    told = json.loads(wattwright("demand", "minutes.csv", *SAID, "--switched", "--json").out)
    assert told["schema"] == "wattwright.demand/1"
    assert told["switched_loads"][0]["level_kw"] == pytest.approx(1.5, abs=0.01)
    assert "demand.switched-limit" in {one["code"] for one in told["findings"]}


def test_nothing_found_is_said(wattwright, place) -> None:
    """Hours of half a kilowatt hold no load, and that is told; runs are not shown where the step hides them."""
    out = wattwright("demand", "readings.csv", "--zone", "Europe/Athens", "--stamps", "start", "--switched").out
    assert "No load that switches stands out" in out.replace("\n", " ").replace("      ", "")
    assert "--accept" not in out


def test_accepting_writes_the_survey(wattwright, minutes) -> None:
    """With a job beside the file, the load goes into its survey; what was not found, or has no job, is refused."""
    refused = wattwright("demand", "minutes.csv", *SAID, "--switched", "--accept", "found-1-50-kw")
    assert refused.code == 2
    assert "No job file" in refused.err
    assert wattwright("new", "mine", "--zone", "UTC", "--record", "../minutes.csv").code == 0
    job = minutes / "mine" / "job.toml"
    job.write_text(
        job.read_text() + '\n[files.layout]\nstamps = "start"\n' if "[files.layout]" not in job.read_text() else job.read_text()
    )
    done = wattwright("demand", "mine", "--accept", "found-1-50-kw")
    assert done.code == 0, done.err
    assert load_job(job).spec.loads[-1].id == "found-1-50-kw"
    again = wattwright("demand", "mine/job.toml", "--switched", "--accept", "found-1-50-kw", "--json")
    assert again.code == 2
    wrong = wattwright("demand", "mine", "--switched", "--accept", "kettle")
    assert wrong.code == 2
    assert "found-1-50-kw" in wrong.err
