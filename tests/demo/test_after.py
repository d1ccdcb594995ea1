"""The year after at the invented property: moved to the same weekdays, the plan in it, and the fault from its day on."""

import datetime as dt
from pathlib import Path

import numpy as np
import pytest

from tests.job.test_equipping import option, plan_of, planned_times
from wattwright.control.rules import Control
from wattwright.demo import after
from wattwright.demo.after import LATER_D, STUCK_FROM, STUCK_LOAD, after_text, power_under, stuck_load, year_after
from wattwright.demo.job import TEXTS
from wattwright.job.assessment import Assessment

FIRST = STUCK_FROM - dt.timedelta(days=2)


class Told:
    """A question that writes down what is asked, and answers with one reading for each day."""

    def __init__(self):
        self.asked = []

    def days(self):
        """Four days about that of the fault."""
        return FIRST, FIRST + dt.timedelta(days=3)

    def simulate(self, begins, ends, control=None):
        """As many readings as days."""
        self.asked.append((begins, ends, control))
        run = type("Run", (), {"site_w": np.full((ends - begins).days + 1, 1234.5)})
        return type("Made", (), {"run": run})


def rules(*loads):
    """Time programmes for some loads, as a plan keeps them."""
    one = {"kind": "time programme", "times": [{"days": ["Mon"], "on": dt.time(22), "off": dt.time(6)}]}
    return Control.model_validate({"rules": [{"id": f"r-{load}", "load": load, **one} for load in loads]})


def test_the_fault_begins_on_its_day():
    """Up to the day before, the plan's rules hold; from then on all but those of the heater whose contact is stuck."""
    told = Told()
    power = power_under(told, rules(STUCK_LOAD, "other"), *told.days())
    assert len(power) == 4
    (first, second) = told.asked
    assert first[:2] == (FIRST, STUCK_FROM - dt.timedelta(days=1))
    assert [one.load for one in first[2].rules] == [STUCK_LOAD, "other"]
    assert second[:2] == (STUCK_FROM, told.days()[1])
    assert [one.load for one in second[2].rules] == ["other"]


def test_a_plan_that_leaves_that_heater_alone_has_the_fault_elsewhere():
    """The fault is in a load that the plan does switch, so that there is one to be found; in none without a plan."""
    told = Told()
    power_under(told, rules("other", "third"), *told.days())
    assert [one.load for one in told.asked[1][2].rules] == ["third"]
    assert stuck_load(rules("other", STUCK_LOAD)) == STUCK_LOAD
    assert (stuck_load(None), stuck_load(rules())) == ("", "")


def test_days_on_one_side_of_the_fault_are_asked_once():
    """Days before it, days after it, and days without a plan are one stretch each."""
    early, late, bare = Told(), Told(), Told()
    power_under(early, rules("other"), FIRST, STUCK_FROM - dt.timedelta(days=1))
    power_under(late, rules("other"), STUCK_FROM, STUCK_FROM)
    power_under(bare, None, *bare.days())
    assert [len(one.asked) for one in (early, late, bare)] == [1, 1, 1]
    assert len(bare.asked[0]) == 3
    assert bare.asked[0][2] is None


def test_weekdays_and_changes_of_the_clock_stay():
    """364 days on it is the same weekday, and both changes of the clock of the zone fall on the moved days."""
    from wattwright.core.clock import SiteClock

    clock = SiteClock("Europe/Athens")
    for day in (dt.date(2025, 3, 30), dt.date(2025, 10, 26)):
        moved = day + dt.timedelta(days=LATER_D)
        assert day.weekday() == moved.weekday()
        lengths = [np.diff(clock.midnights_s(one, 2))[0] for one in (day, moved)]
        assert lengths[0] == lengths[1] != 86_400


def test_the_file_by_hand():
    """Two minutes from 1 January 2025 UTC on come out on 31 December, in kW, and say that they are invented."""
    lines = after_text(np.array([1234.56, 0.0]), 1_735_689_600).splitlines()
    assert lines[0].startswith("Invented")
    assert lines[1:] == ["start,P mean [kW]", "2025-12-31T00:00:00Z,1.235", "2025-12-31T00:01:00Z,0.000"]


@pytest.mark.parametrize("is_planned", [True, False])
def test_it_is_written_beside_the_job(tmp_path: Path, monkeypatch, is_planned: bool):
    """The file lies beside the job file, and says whether a plan was kept; the drawn year is read as the job says."""
    from importlib.resources import files

    for name in TEXTS:
        (tmp_path / name).write_bytes(files("wattwright.demo").joinpath(name).read_bytes())
    written = []
    monkeypatch.setattr(after, "write_files_of", lambda known, folder: written.append(folder))
    monkeypatch.setattr(after, "truth", lambda seed: seed)
    monkeypatch.setattr(Assessment, "question", lambda _: Told())
    plan = plan_of(option("as today"), option("best", planned_times())) if is_planned else None
    monkeypatch.setattr(Assessment, "plan", lambda _: plan)
    made = year_after(tmp_path)
    assert made.is_planned is is_planned
    assert bool(made.stuck) is is_planned
    assert made.path == tmp_path / "main-meter-2026.csv.gz"
    assert made.path.read_bytes()[:2] == b"\x1f\x8b"
    assert (written[0].name.startswith("wattwright-demo-"), written[0].exists()) == (True, False)
