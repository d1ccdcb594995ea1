"""The verb that seeks a plan, called as a person calls it."""

import json

import pytest

from tests.job.simulated import SUPPLY, TIMES, question
from tests.job.test_planning import MAY_HEATER, MAY_PUMP, PRICES, TARIFF


@pytest.fixture
def small(place):
    """The folder to work in, with a small job of three days beside."""
    folder = place / "small"
    folder.mkdir()
    question(folder, SUPPLY, MAY_HEATER, MAY_PUMP, TIMES, TARIFF)
    (folder / "tariff.toml").write_text(PRICES)
    return folder


def test_options_are_shown_with_their_settings(wattwright, small):
    """The bound, options side by side, what to set and why, findings and the caution, none wider than a terminal."""
    done = wattwright("plan", "small", "--plans", "70", "--processes", "1")
    assert done.code == 0
    assert "plans tried on the engine" in done.out
    assert "as today" in done.out
    assert "without it the plan would save" in done.out.replace("\n    ", " ")
    assert "Control is not protection" in done.out
    assert max(map(len, done.out.splitlines())) <= 80


def test_programs_get_plain_data_and_a_journal_goes_on(wattwright, small):
    """The JSON names its schema; the same search from its journal comes to the same options; another one refuses it."""
    asked = ("plan", "small", "--plans", "50", "--processes", "1", "--journal", "tried", "--json")
    first = json.loads(wattwright(*asked).out)
    again = json.loads(wattwright(*asked).out)
    assert first["schema"] == "wattwright.plan/1"
    assert first["options"] == again["options"]
    assert first["evaluations"] <= 51
    other = wattwright("plan", "small", "--plans", "50", "--processes", "1", "--journal", "tried", "--objective", "peak")
    assert other.code == 1
    assert "Start anew" in other.err
    assert wattwright(*asked[:-1], "--objective", "peak", "--anew").code == 0


@pytest.mark.parametrize(
    ("more", "told"),
    [
        (("--objective", "beauty"), "--objective"),
        (("--anew",), "--journal"),
        (("--from", "yesterday"), "--from"),
        (("--to", "2025-02-30"), "--to"),
        (("--budget", "long"), "--budget"),
        (("--budget", "0s"), "above nought"),
        (("--budget=-5s",), "above nought"),
    ],
)
def test_what_cannot_be_asked_is_refused(wattwright, small, more, told):
    """Each names the option and what was expected."""
    done = wattwright("plan", "small", *more)
    assert done.code in (1, 2)
    assert told in done.err


def test_a_meter_file_alone_has_nothing_to_plan(wattwright, small):
    """It says that a job is needed."""
    done = wattwright("plan", "small/readings.csv")
    assert done.code == 2
    assert "Give a job" in done.err
