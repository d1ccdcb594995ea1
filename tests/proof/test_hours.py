"""Planned against found at long readings and behind a load's own meter: what the hours tell, and what they cannot."""

import numpy as np
import pytest

from tests.proof.test_acted import CLOCK, DAYS, MIDDLE, PER_DAY, SHOW, START_S, STEP_S, day, load, record, runs
from wattwright.core.series import of_values
from wattwright.proof.acted import acted
from wattwright.proof.course import Course
from wattwright.proof.hours import metered

HOUR_S = 3600
NONE = frozenset()


def scattered(level_w=3000.0, days=range(DAYS), seed=5):
    """The power of a load that nothing holds: an hour and a half a day, between ten and eight."""
    at_h = np.random.default_rng(seed).uniform(10, 20, DAYS)
    return sum(runs(float(at_h[one]), level_w, [one]) for one in days)


def before(power=None, step_s=HOUR_S):
    """The site a year of weeks before, its heater held by nothing."""
    one = record(scattered() if power is None else power, step_s=step_s, seed=9)
    return of_values(START_S - 364 * 86_400, step_s, one.values)


def told(power, was=None):
    """What became of the heater by its hours."""
    return acted(power, (load(),), CLOCK, before=before() if was is None else was)[0]


@pytest.mark.parametrize("step_s", [900, HOUR_S])
def test_hours_show_a_programme_at_work(step_s):
    """4.5 kWh a day moved from 16 hours of hold into 8 of leave: 4.5 / 8 + 4.5 / 16 = 0.84 kW more between them."""
    one = told(record(runs(), step_s=step_s), before(step_s=step_s))
    assert one.course is Course.BY_HOURS
    assert one.level_w == pytest.approx(4500 / 8 + 4500 / 16, rel=0.15)
    assert one.findings[0].code == "proof.hours-show"


def test_hours_of_two_loads_tell_of_both_together():
    """Of two heaters let run together, one of which fails, a finding tells what they do together, and neither is told to act."""
    two = (load(), load("other", 2000.0))
    was = before(scattered() + scattered(2000.0, seed=7))
    power = record(runs(), runs(level_w=2000.0, days=range(MIDDLE)), step_s=HOUR_S)
    first, other = acted(power, two, CLOCK, before=was)
    assert (first.course, other.course) == (Course.UNTOLD, Course.UNTOLD)
    assert [one.code for one in (*first.findings, *other.findings)] == ["proof.hours-show"]
    assert "heater, other" in first.findings[0].says(SHOW)


def test_hours_that_cease():
    """A heater that is free again from one day on is told with about that day."""
    one = told(record(runs(days=range(MIDDLE)), scattered(days=range(MIDDLE, DAYS)), step_s=HOUR_S))
    assert one.course is Course.LOST
    assert day(one.since_s) == pytest.approx(MIDDLE, abs=8)


def test_hours_that_tell_nothing():
    """A small heater among large appliances, no like time before, and too few weeks: said to be untold, with what would show."""
    small = acted(record(runs(level_w=60.0), step_s=HOUR_S), (load(rating_w=60.0),), CLOCK, before=before(scattered(60.0)))[0]
    assert (small.course, small.findings[0].code) == (Course.UNTOLD, "proof.hours-untold")
    assert "standard error" in small.findings[0].says(SHOW)
    hours = record(runs(), step_s=HOUR_S)
    other_season = of_values(START_S - 182 * 86_400, HOUR_S, before().values[: 24 * 30])
    for was in (None, other_season):
        (one,) = acted(hours, (load(),), CLOCK, before=was)
        assert (one.course, one.findings[0].code) == (Course.UNTOLD, "proof.load-untold")
    assert told(hours.part(START_S, START_S + 40 * 86_400)).course is Course.UNTOLD


def test_an_uncontrolled_load_is_not_told_as_controlled():
    """Where nothing was ever set the hours are as before, and nothing is claimed."""
    assert told(record(scattered(seed=6), step_s=HOUR_S)).course is Course.UNTOLD


def alone(*parts, step_s=HOUR_S):
    """The load's own meter."""
    return of_values(START_S, step_s, sum(parts).reshape(-1, step_s // STEP_S).mean(axis=1))


def by_meter(power, *loads):
    """What its own meter shows of the heater."""
    return metered(power, loads or (load(),), CLOCK, NONE)[0]


def test_its_own_meter_shows_all():
    """Kept, free from a day on, dead from a day on, never set and never on: each is told, hours or minutes."""
    for step_s in (60, HOUR_S):
        assert by_meter(alone(runs(), step_s=step_s)).course is Course.KEPT
    free = by_meter(alone(runs(days=range(MIDDLE)), scattered(days=range(MIDDLE, DAYS))))
    assert (free.course, free.findings[0].code) == (Course.STUCK_ON, "proof.drawn-while-held")
    assert day(free.since_s) == pytest.approx(MIDDLE, abs=8)
    dead = by_meter(alone(runs(days=range(MIDDLE))))
    assert (dead.course, dead.findings[0].code) == (Course.LOST, "proof.no-longer-seen")
    never = by_meter(alone(scattered()))
    assert (never.course, day(never.since_s)) == (Course.NEVER, 0)
    assert by_meter(alone(np.zeros(DAYS * PER_DAY))).findings[0].code == "proof.never-seen"


def test_its_own_meter_forgives_an_odd_week():
    """A week off in the middle, as in a holiday, is no course."""
    days = [one for one in range(DAYS) if not 50 <= one < 64]
    assert by_meter(alone(runs(days=days))).course is Course.KEPT


def test_its_own_meter_with_too_little():
    """Five days, and two loads on one meter, tell nothing."""
    assert by_meter(alone(runs()).part(START_S, START_S + 5 * 86_400)).course is Course.UNTOLD
    both = metered(alone(runs()), (load(), load("other")), CLOCK, NONE)
    assert [one.course for one in both] == [Course.UNTOLD] * 2
    assert metered(alone(runs()), (), CLOCK, NONE) == ()
