"""The verb demand with its options about peaks, in text and as JSON."""

import numpy as np
import pytest

from tests.cli.test_verbs import FILE, told

TEXT = ("--peaks",)


@pytest.fixture(autouse=True)
def few_courses(monkeypatch):
    """Fewer invented courses: what is shown does not depend on their number, the time does."""
    monkeypatch.setattr("wattwright.demand.within.peak_bands.COURSES", 20)
    monkeypatch.setattr("wattwright.demand.within.peak_bands.peak_bands.__kwdefaults__", {**_defaults(), "courses": 20})


def _defaults():
    from wattwright.demand.within.peak_bands import peak_bands

    return peak_bands.__kwdefaults__


@pytest.fixture
def fine(place):
    """Minutes of the same days and the four before them: half a kilowatt in the mean, with a minute of 3.5 kW in each hour."""
    minutes = np.where(np.arange(6 * 1440) % 60 == 7, 3.5, 26.5 / 59)
    rows = [f"2025-01-{2 + k // 1440:02d} {k // 60 % 24:02d}:{k % 60:02d},{value}" for k, value in enumerate(minutes.tolist())]
    (place / "fine.csv").write_text("\n".join(["when,P kW", *rows]) + "\n")
    return "fine.csv"


def test_bands_as_json(wattwright):
    """Two days by three windows; a band for each hour only when it is asked for; nothing of it without a word about peaks."""
    demand = told(wattwright("demand", *FILE, "--peaks", "--json"))
    assert set(demand["peak_bands"]) == {"1", "15", "30"}
    assert demand["peak_bands"]["1"]["low"] >= 0.5
    assert demand["peak_bands"]["1"]["nominal"] == 0.9
    assert len(demand["daily_peak_bands"]) == 6
    assert "interval_peak_bands" not in demand
    assert len(told(wattwright("demand", *FILE, "--each", "--json"))["interval_peak_bands"]) == 48
    assert "peak_bands" not in told(wattwright("demand", *FILE, "--json"))


def test_finer_readings_calibrate(wattwright, fine):
    """Hours that the finer file covers have the peak it shows: 3.5 kW for a minute, on both days."""
    demand = told(wattwright("demand", *FILE, "--calibrate", fine, "--limit", "3 kW", "--json"))
    band = demand["peak_bands"]["1"]
    assert (band["low"], band["median"], band["high"]) == pytest.approx((3.5, 3.5, 3.5))
    assert band["rests_on"] == "a finer stretch of the same meter"
    # One minute in each of 48 hours.
    assert demand["limit_passed"]["minutes"] == {"low": 48.0, "median": 48.0, "high": 48.0}
    assert "demand.peaks-few-days" in {one["code"] for one in demand["findings"]}


def test_bands_as_text(wattwright, fine):
    """The text names the windows, what they rest on and how the limit is passed."""
    done = wattwright("demand", *FILE, "--calibrate", fine, "--limit", "3 kW")
    assert done.code == 0, done.err
    words = " ".join(done.out.split())
    assert "Peaks behind the means" in words
    assert "a finer stretch of the same meter" in words
    assert "is passed for 48.0 to 48.0 min" in words
    assert "is not passed in this record" in " ".join(wattwright("demand", *FILE, "--limit", "99 kW").out.split())


def test_a_job_tells_its_loads_limit_and_motor(wattwright, place, fine):
    """A job's survey, main protection and finer file are taken; an option puts another limit in place of the job's."""
    path = place / "job" / "job.toml"
    supply = '[supply]\nsystem = "single-phase"\nvoltage = "230 V"\nmain_protection = "16 A"\n'
    pump = '[[loads]]\nid = "pump"\nname = "Pump"\nkind = "pool pump"\nrating = "750 W"\nbasis = "published"\n'
    path.write_text(path.read_text() + supply + pump)
    words = " ".join(wattwright("demand", "job", "--peaks").out.split())
    assert "the survey's ratings" in words
    assert "Pump draws" in words
    assert told(wattwright("demand", "job", "--peaks", "--json"))["limit_passed"]["limit_kw"] == pytest.approx(3.496)
    given = told(wattwright("demand", "job", "--limit", "10 A", "--json"))
    assert given["limit_passed"]["limit_kw"] == pytest.approx(2.185)
    finer = '[[files]]\nid = "fine"\npath = "../fine.csv"\nmeter = "main"\nfiner = true\n'
    path.write_text(path.read_text() + finer)
    assert told(wattwright("demand", "job", "--peaks", "--json"))["peak_bands"]["1"]["high"] == pytest.approx(3.5)


@pytest.mark.parametrize(
    ("options", "says"),
    [
        (("--limit", "nine"), 'found "nine"; expected a power or a current'),
        (("--limit", "40 A"), "found a limit of current and no supply"),
        (("--calibrate", "readings.csv"), "expected steps shorter than"),
        (("--calibrate", "nowhere.csv"), "nowhere.csv"),
    ],
)
def test_what_cannot_be_told_is_refused(wattwright, options, says):
    """No limit, a current without a supply, a file no finer or not there: a sentence, and no traceback."""
    done = wattwright("demand", *FILE, *options)
    assert done.code != 0
    assert says in " ".join(done.err.split())
    assert "Traceback" not in done.err
