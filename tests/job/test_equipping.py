"""By which rules a job is equipped: a file's, the plan's, its own; and what is known of how often a contact moves."""

import datetime as dt
from dataclasses import replace

import pytest

from tests.job.simulated import HEATER, PUMP, SUPPLY, TIMES, question
from tests.job.test_planning import MAY_HEATER, MAY_PUMP
from wattwright.control.rules import Control
from wattwright.job.assessment import Assessment
from wattwright.job.equipping import can_equip, gear_of, ruled_by
from wattwright.job.file import load_job
from wattwright.job.planned import KeptOption, KeptPlan
from wattwright.plan.settings import Setting
from wattwright.plan.shed.results import ShedCheck

SETTING = Setting("time switch", "Pump", "time programme", ("on 01:00, off 03:00, every day",), "saves", "room", "watch it")


def job_at(folder, *parts, keep=True):
    """The assessment of a job of these parts."""
    question(folder, *parts)
    return Assessment(load_job(folder), keep=keep)


def option(name, control=None, classes=()):
    """An option of a plan with these rules."""
    return KeptOption(
        name, 1, (), None, 1.0, 0.5, 0.5, 2000.0, 0.5, 0.0, 0.0, 2.0, None, (SETTING,), (), None, None, (),
        control or Control(), classes, 0.0,
    )  # fmt: skip


def plan_of(*options):
    """A plan with these options, its other figures of no matter here."""
    shed = ShedCheck.__new__(ShedCheck)
    day = dt.date(2025, 1, 6)
    return KeptPlan(day, day, "EUR", "cost", "EUR", 0.0, 900, 2, options, None, shed, ())


def planned_times(load="pump"):
    """Rules that switch the pump at night."""
    rule = {"id": "planned", "load": load, "kind": "time programme", "times": [{"on": dt.time(1), "off": dt.time(3)}]}
    return Control.model_validate({"rule": [rule]})


def test_rules_of_a_file_go_before_the_plan_and_that_before_the_own(tmp_path, monkeypatch):
    """The order of the three; a plan in which nothing is worth switching leaves the job's own rules."""
    job = job_at(tmp_path, SUPPLY, MAY_HEATER, MAY_PUMP, TIMES)
    own = ruled_by(job)
    assert (own.by, own.control, own.says) == ("job", job.job.spec.control, "the job's own rules")
    best = option("best", planned_times(), (("pump", ("wall-timer",)),))
    monkeypatch.setattr(Assessment, "plan", lambda _: plan_of(option("as today"), best))
    planned = ruled_by(job)
    assert (planned.by, planned.control, planned.says) == ("plan", best.control, "the plan sought last")
    assert (planned.classes, planned.settings) == (best.classes, (SETTING,))
    given = ruled_by(job, Control())
    assert (given.by, given.control, given.says) == ("file", Control(), "the rules of the file given")
    monkeypatch.setattr(Assessment, "plan", lambda _: plan_of(option("as today")))
    assert ruled_by(job).by == "job"


def test_a_plan_brings_its_class_of_gear(tmp_path, monkeypatch):
    """A clock on the rail where the plan counts on one, in place of whatever would work the rule."""
    job = job_at(tmp_path, SUPPLY, MAY_HEATER, MAY_PUMP, TIMES)
    best = option("best", planned_times(), (("pump", ("wall-timer",)),))
    monkeypatch.setattr(Assessment, "plan", lambda _: plan_of(option("as today"), best))
    monkeypatch.setattr(Assessment, "switchings", lambda *_: {})
    chosen = {one.load.id: one.answer.choice for one in gear_of(job).gear.loads}
    assert chosen["pump"].need.classes == ("wall-timer",)
    assert "wall-timer" in chosen["pump"].selected.controller.works_as


def test_switchings_are_counted_by_simulation_and_kept(tmp_path, monkeypatch):
    """The pump is switched on and off once a day: 365 times a year; the count is kept until the rules are others."""
    job = job_at(tmp_path, SUPPLY, MAY_PUMP, TIMES)
    made = gear_of(job)
    assert made.gear.loads[0].answer.choice.need.switchings_a_year == pytest.approx(365.0, rel=0.35)
    simulated = []
    monkeypatch.setattr(Assessment, "question", lambda _: simulated.append(1) or pytest.fail("kept already"))
    again = gear_of(Assessment(load_job(tmp_path)))
    assert again.gear.loads[0].answer.choice.need == made.gear.loads[0].answer.choice.need
    assert simulated == []


def test_wiring_changes_neither_plan_nor_count(tmp_path):
    """What is told of routes and cables leaves a plan's mark as it was; another rule does not."""
    job = job_at(tmp_path, SUPPLY, MAY_PUMP, TIMES)
    mark = job._plan_mark()
    wired = MAY_PUMP + 'wiring = { length = "20 m", method = "C" }\n'
    assert job_at(tmp_path, SUPPLY, wired, TIMES, "[gear]\nyears = 12\n")._plan_mark() == mark
    assert job_at(tmp_path, SUPPLY, wired, TIMES.replace("12:00", "13:00"))._plan_mark() != mark


def test_other_rules_than_the_own_are_simulated_too(tmp_path):
    """Rules given count for themselves: two times a day make twice as many switchings as one."""
    job = job_at(tmp_path, SUPPLY, MAY_PUMP, TIMES)
    once = job.switchings(job.job.spec.control)
    rule = job.job.spec.control.rules[0]
    more = rule.model_copy(update={"times": (*rule.times, *planned_times().rules[0].times)})
    assert job.switchings(Control(rules=(more,)))["pump"] == pytest.approx(2.0 * once["pump"], rel=0.35)


def test_a_job_that_cannot_be_simulated_is_equipped_without(tmp_path):
    """How often is then a question, and everything else is chosen; so it is before there is a record."""
    gap = question(tmp_path, SUPPLY, MAY_PUMP, TIMES).job
    text = (gap.folder / "readings.csv").read_text().splitlines()
    (gap.folder / "readings.csv").write_text("\n".join([*text[:10], text[10].split(",")[0] + ",", *text[11:]]) + "\n")
    made = gear_of(Assessment(load_job(tmp_path)))
    assert made.gear.loads[0].answer.choice.need.switchings_a_year is None
    assert any("how often" in one for one in made.gear.loads[0].asked)
    job = load_job(tmp_path)
    bare = Assessment(replace(job, spec=job.spec.model_copy(update={"files": ()})), keep=False)
    assert gear_of(bare).ruled.by == "job"
    assert gear_of(bare).gear.measuring is not None


def test_only_a_job_with_supply_and_something_to_switch_is_equipped(tmp_path):
    """Neither without a supply nor without a load that may be switched."""
    assert can_equip(job_at(tmp_path, SUPPLY, MAY_PUMP))
    assert not can_equip(job_at(tmp_path, MAY_PUMP))
    assert not can_equip(job_at(tmp_path, SUPPLY, HEATER, PUMP))
    assert ruled_by(job_at(tmp_path, SUPPLY, PUMP)).says.startswith("no rules")
