"""Non-routine events: planted steps are found where they are, clean years tell none, and a saving is no event."""

from dataclasses import replace

import numpy as np
import pytest

from tests.proof.invented import Grain, before_and_after
from wattwright.core.show import Show
from wattwright.proof.choose import baseline
from wattwright.proof.events import _clean_courses, _of_chance, _steps, events


@pytest.fixture(scope="module")
def case():
    """A heated site with the baseline of the year before, and the year after with a tenth saved."""
    before, after = before_and_after(Grain.DAY, office_w=0.0, saved=0.1)
    return baseline(before), after


def stepped(after, share, first, days):
    """The record with a step of a share of the mean day."""
    used = after.energy_kwh.copy()
    used[first : first + days] += share * after.energy_kwh.mean()
    return replace(after, energy_kwh=used)


@pytest.mark.parametrize(("share", "first", "days"), [(0.15, 100, 14), (-0.4, 200, 60), (0.2, 304, 60), (0.3, 0, 90)])
def test_a_planted_event_is_found_where_it_is(case, share, first, days):
    """A step up or down, in the middle or at an end, is told with its days and its size."""
    found, after = case
    told = events(found, stepped(after, share, first, days))
    (one,) = told.found
    assert one.share == pytest.approx(share, rel=0.2)
    assert abs(one.start_s - after.starts_s[first]) <= 4 * 86_400
    assert abs(one.days - days) <= 7
    assert one.end_s - one.start_s == pytest.approx(one.days * 86_400, abs=3600)
    (said,) = told.findings
    assert ("more" if share > 0 else "less") in said.says(Show(zone="Europe/Athens"))
    assert said.why(Show())
    assert said.do(Show())


@pytest.mark.parametrize(
    ("first", "days", "words"), [(0, 90, ("more until", "less from then on")), (120, 244, ("less until", "more from then on"))]
)
def test_a_step_at_an_end_is_told_both_ways(case, first, days, words):
    """A load that came to stay divides the record in two; which side is as usual is left to who was there."""
    found, after = case
    told = events(found, stepped(after, 0.3, first, days))
    (said,) = told.findings
    assert said.code == "proof.event-at-end"
    turn_s = int(after.starts_s[90 if first == 0 else first])
    assert abs(int(said.data["turn"]) - turn_s) <= 4 * 86_400
    assert all(one in said.says(Show(zone="Europe/Athens")) for one in words)


def test_two_events_are_told_in_the_order_of_time(case):
    """A greater event later does not hide a lesser one before."""
    found, after = case
    told = events(found, stepped(stepped(after, 0.2, 50, 30), -0.5, 250, 40))
    assert [round(one.share, 1) for one in told.found] == [0.2, -0.5]


def test_a_saving_is_no_event(case):
    """A tenth saved in proportion throughout is told as no step."""
    found, after = case
    assert events(found, after).found == ()
    assert events(found, after).findings == ()


def test_a_small_step_is_left_alone(case):
    """A step of a twentieth is under what is looked for, however clear."""
    found, after = case
    assert events(found, stepped(after, 0.05, 100, 60)).found == ()


def test_days_without_scatter(case):
    """Where the model tells each day to the bit, nothing is an event, and a step is one."""
    found, after = case
    exact = replace(after, energy_kwh=np.full(len(after), 24.0))
    steady = replace(found, fitted=replace(found.fitted, coefficients=np.array([24.0, 0.0])))
    exact = replace(exact, days=np.ones(len(after)))
    assert events(steady, exact).found == ()
    assert len(events(steady, stepped(exact, 0.5, 100, 14)).found) == 1


def test_steps_by_a_plain_loop():
    """Step and squares explained are those that a plain loop over places makes by two means."""
    course = np.random.default_rng(2).normal(size=60)
    step, explained = _steps(course, 14)
    for at in (0, 17, 46):
        inside = np.zeros(60, bool)
        inside[at : at + 14] = True
        assert step[at] == pytest.approx(course[inside].mean() - course[~inside].mean())
        fitted = np.where(inside, course[inside].mean(), course[~inside].mean())
        assert explained[at] == pytest.approx(((course - course.mean()) ** 2).sum() - ((course - fitted) ** 2).sum())


def test_days_alike_look_like_steps(case):
    """Days that are alike show clearer steps by chance than days on their own."""
    found, after = case
    clean = _clean_courses(found, after, found.fitted.predict(after))
    draws = np.random.default_rng(1)
    assert np.median(_of_chance(clean(0.6, draws))) > 2 * np.median(_of_chance(clean(0.0, draws)))


def test_clean_courses_hold_the_error_of_the_model(case):
    """A course is scatter after less what scatter before moves the model by: its variance is 1 plus that of a prediction.

    Closed form of least squares for independent scatter of unit spread: 1 + x (X'X)^-1 x', less the share that the level takes.
    """
    found, after = case
    expected = found.fitted.predict(after)
    draws = np.random.default_rng(2)
    courses = np.concatenate([_clean_courses(found, after, expected)(0.0, draws) for _ in range(10)])
    x, before = found.fitted.columns(after), found.fitted.columns(found.record)
    whole = np.eye(len(after)) + x @ np.linalg.inv(before.T @ before) @ x.T
    level = np.eye(len(after)) - np.outer(expected, expected) / (expected @ expected)
    wanted = np.diag(level @ whole @ level)
    assert courses.var(axis=0) == pytest.approx(wanted, rel=0.15)
    assert courses @ expected == pytest.approx(0.0, abs=1e-6)


def test_refused(case):
    """Months, and less than eight weeks, tell no event."""
    found, after = case
    months = before_and_after(Grain.MONTH)[1]
    for record in (months, after.part(np.arange(len(after)) < 50)):
        with pytest.raises(ValueError, match="eight weeks"):
            events(found, record)
