"""A job as the case of a plan: what may be switched, what must be given, and what is refused with a next step."""

from datetime import date

import numpy as np
import pytest

from tests.job.simulated import HEATER, PUMP, SUPPLY, TIMES, hourly, question
from wattwright.core.errors import JobError
from wattwright.core.labour import IN_TURN
from wattwright.core.progress import SILENT
from wattwright.core.show import Show
from wattwright.job.plan_json import plan_json
from wattwright.job.planning import plan_case
from wattwright.plan.case import OBJECTIVES, Weights
from wattwright.plan.options import Asking, plan_for
from wattwright.plan.search import Effort

FIRST, LAST = date(2025, 1, 6), date(2025, 1, 8)
TARIFF = '[tariff]\nfiles = ["tariff.toml"]\npaid = "one"\n'
PRICES = """[[tariff]]
id = "one"
name = "One"
currency = "EUR"
rest = "day"
[[tariff.window]]
period = "night"
from = "22:00"
to = "06:00"
[[tariff.energy]]
label = "Energy"
prices = { day = "0.30", night = "0.10" }
"""
MAY_HEATER = HEATER.replace('interrupt = "mains"', 'interrupt = "mains"\ncontrollable = true')
MAY_PUMP = PUMP.replace('interrupt = "mains"', 'interrupt = "mains"\ncontrollable = true')


def asked(folder, *parts, objective=None):
    """The case of a job of these parts."""
    (folder / "tariff.toml").write_text(PRICES)
    ask = question(folder, SUPPLY, *parts)
    return plan_case(ask, FIRST, LAST, objective)


def test_the_case_of_a_job(tmp_path):
    """Three local days; both loads may be switched; the pump must be given its 2 kWh a day, the heater 0.3 l a day may fail."""
    told = asked(tmp_path, TARIFF, MAY_HEATER, MAY_PUMP, TIMES)
    case = told.case
    assert case.ids == ("heater", "pump")
    assert case.switchable.tolist() == [True, True]
    assert case.days.tolist() == [0, 1440, 2880, 4320]
    assert case.least_kwh[1] == pytest.approx([2.0, 2.0, 2.0])
    assert not case.least_kwh[0].any()
    assert case.most_unmet == pytest.approx([0.9, 0.0])
    assert case.weights == OBJECTIVES["cost"]
    assert case.compiled_tariff(60).currency == "EUR"
    # The readings are hourly, and do not show when the heater ran.
    assert {one.code for one in told.findings} == {"job.rest-moved", "job.coarse"}


def test_other_prices_make_another_mark(tmp_path):
    """A journal knows a plan's inputs by the mark: the same files give the same, another price in the tariff's file another."""
    parts = (TARIFF, MAY_HEATER, MAY_PUMP, TIMES)
    first = asked(tmp_path, *parts).mark
    assert asked(tmp_path, *parts).mark == first
    (tmp_path / "tariff.toml").write_text(PRICES.replace("0.30", "0.31"))
    other = plan_case(question(tmp_path, SUPPLY, *parts), FIRST, LAST, None)
    assert other.mark != first


def test_what_may_not_be_switched_is_left_alone(tmp_path):
    """A load that nobody said may be switched, and one without a model, which is told."""
    washer = '[[loads]]\nid = "washer"\nname = "Washer"\nkind = "laundry"\nrating = "2 kW"\ncontrollable = true\n'
    told = asked(tmp_path, TARIFF, HEATER, MAY_PUMP, washer, TIMES)
    assert told.case.switchable.tolist() == [False, True]
    assert told.findings[0].code == "job.not-planned"
    assert "Washer" in told.findings[0].says(Show())


def test_wishes_of_the_job(tmp_path):
    """Weights in place of an objective, comfort by load; an objective asked for takes the weights' place."""
    wish = '[plan]\nobjective = "peak"\n[plan.weights]\ncost = 1\npeak = 2.5\n[[plan.comfort]]\nload = "heater"\na_day = 5\n'
    told = asked(tmp_path, TARIFF, wish, MAY_HEATER, TIMES, PUMP)
    assert told.case.weights == Weights(cost=1.0, peak=2.5)
    assert told.case.most_unmet[0] == pytest.approx(15.0)
    assert asked(tmp_path, TARIFF, wish, MAY_HEATER, TIMES, PUMP, objective="peak").case.weights == OBJECTIVES["peak"]
    assert asked(tmp_path, '[plan]\nobjective = "peak"\n', MAY_HEATER).case.weights == OBJECTIVES["peak"]


def test_a_record_that_cannot_carry_a_plan_says_so(tmp_path):
    """Readings of what is given back leave the rest of the site at nought: a stop in a simulation, and so in a plan."""
    (tmp_path / "tariff.toml").write_text(PRICES)
    text = hourly().replace("2025-01-07 13:00,1.500", "2025-01-07 13:00,-2.000")
    ask = question(tmp_path, SUPPLY, TARIFF, MAY_HEATER, MAY_PUMP, TIMES, readings=text)
    found = plan_case(ask, FIRST, LAST, None).findings
    assert "job.export-cut" in {one.code for one in found}


def test_weights_that_weigh_nothing_are_refused(tmp_path):
    """All nought would call every plan alike."""
    with pytest.raises(JobError, match="at least one weight above nought"):
        asked(tmp_path, TARIFF, "[plan.weights]\ncost = 0\n", MAY_HEATER)


def test_gear_of_the_users_own(tmp_path):
    """A file of gear takes the place of the generic range, and the mark of the work with it."""
    (tmp_path / "gear.toml").write_text(
        '[[gear]]\nid = "clock"\nname = "a clock"\nfunctions = ["time programme"]\nentries = 4\nsource = "its data sheet"\n'
    )
    told = asked(tmp_path, '[plan]\ngear = "gear.toml"\n', TARIFF, MAY_HEATER)
    assert [one.id for one in told.gear] == ["clock"]
    assert told.mark != asked(tmp_path, TARIFF, MAY_HEATER).mark


@pytest.mark.parametrize(
    ("parts", "objective", "code"),
    [
        ((TARIFF, HEATER), None, "job.nothing-to-switch"),
        ((MAY_HEATER,), None, "job.plan-means"),
        ((TARIFF, MAY_HEATER), "own-use", "job.plan-means"),
        ((TARIFF, MAY_HEATER), "autonomy", "job.plan-means"),
        ((TARIFF, MAY_HEATER, '[[plan.comfort]]\nload = "heather"\na_day = 5\n'), None, "job.plan-comfort"),
    ],
)
def test_what_cannot_be_planned_is_refused(tmp_path, parts, objective, code):
    """Nothing to switch, no tariff, no PV, no outages, comfort of a load that is not there: each with a next step."""
    with pytest.raises(JobError) as told:
        asked(tmp_path, *parts, objective=objective)
    assert told.value.faults[0].code == code
    assert told.value.faults[0].next_step


def test_a_plan_as_plain_data(tmp_path):
    """Options, their rules with what each is worth, comfort of each load, and findings with their sentences."""
    told = asked(tmp_path, TARIFF, MAY_HEATER, MAY_PUMP, TIMES)
    planned = plan_for(told.case, told.gear, Asking(1, Effort(90), 1, told.mark), IN_TURN, SILENT)
    made = plan_json(told, planned, Show(zone="Europe/Athens"))
    assert made["from"] == "2025-01-06T00:00:00+02:00"
    assert made["options"][0]["name"] == "as today"
    best = made["options"][-1]
    assert best["saving"] == pytest.approx(made["options"][0]["cost"] - best["cost"], abs=1e-3)
    # Three days are told as a year by days alone, and a finding says so.
    assert made["days"] == 3
    assert best["annual_cost"] == pytest.approx(best["cost"] * 365 / 3, rel=1e-3)
    assert best["annual_saving"] == pytest.approx(best["saving"] * 365 / 3, rel=1e-3)
    assert "plan.not-a-year" in {one["code"] for one in made["findings"]}
    assert best["saving"] >= 3 * 2 * 0.20 - 1e-3  # the pump's 2 kWh a day can go to the night
    assert 0.0 < best["gap_share"] <= 1.0
    assert made["bound"] == best["bound"] <= best["cost"]
    assert all(np.isfinite(one["worth"]) for one in best["rules"])
    assert {one["load"] for one in best["comfort"]} == {"heater", "pump"}
    assert any(one["says"] for one in made["findings"])
