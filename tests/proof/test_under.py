"""Limits of a site's power before and after: how often and by how much they are passed, and what no record tells."""

import numpy as np
import pytest

from tests.proof.invented import BEGIN_S, CLOCK, Grain
from tests.proof.test_acted import rule
from tests.proof.test_seal import SEAL
from wattwright.core.series import of_values
from wattwright.core.show import Show
from wattwright.proof.limits import of_like_season
from wattwright.proof.models.record import use_record
from wattwright.proof.seal import SealedLoad
from wattwright.proof.under import Passed, Under, kept_under, limits_of, passed

SHOW = Show(zone=CLOCK.zone)
QUARTER_S, DAY_S = 900, 86_400
YEAR_S = 364 * DAY_S
ACTS = {"kind": "limit", "acts": "above", "contact": "opens", "quantity": "site power", "pick_up": "5 kW", "drop_out": "4 kW"}
SHED = {"quantity": "site power", "pick_up": "6 kW", "restore": "5 kW", "order": ["heater"], "delay_s": 2.0, "report_s": 3.0}


def heater(*rules):
    """A planned load with rules as they are frozen."""
    return SealedLoad(id="heater", name="Heater", rating_w=2000.0, meter="", rules=tuple(rules))


def limit(**more):
    """A limit of the site's power at 5 kW, as it is frozen."""
    return {"id": "l", "load": "heater", "on_delay_s": 4.0, "interval_s": 1.0, **ACTS, **more}


def seal(*loads, shedding=None):
    """A frozen part with such loads."""
    return SEAL.model_copy(update={"loads": loads, "shedding": shedding})


def power(first_s, days, peaks, high_w=7000.0, step_s=QUARTER_S):
    """A site of 2 kW whose first ``peaks`` readings of each day are higher."""
    values = np.full((days, DAY_S // step_s), 2000.0)
    values[:, :peaks] = high_w
    return of_values(first_s, step_s, values.ravel())


def told(frozen, before, after):
    """What is told of limits, with the sentences that can be made."""
    found = kept_under(frozen, before, after, use_record(after, CLOCK, Grain.DAY), CLOCK)
    assert all(one.says(SHOW) and one.why(SHOW) and one.do(SHOW) for one in found)
    return found


def test_limits_of_a_plan():
    """A limit in a load's own rules and the shed order: their values in W, and the sum of their delays."""
    assert limits_of(seal(heater(limit()), shedding=SHED)) == (Under("Heater", 5000.0, 5.0), Under("The shed order", 6000.0, 5.0))
    assert limits_of(seal()) == ()


def test_passed_by_hand():
    """Of 96 readings of a day three lie above 5 kW, the highest at 7 kW; days that are not asked for and gaps do not count."""
    series = power(BEGIN_S, 3, 3)
    series.values[50] = np.nan
    first = int(CLOCK.local_s(np.array([BEGIN_S]))[0]) // DAY_S
    one = passed(series, np.array([first]), 5000.0, CLOCK)
    assert (one, one.share) == (Passed(3, 95, 7000.0), 3 / 95)
    assert passed(series, np.array([0]), 5000.0, CLOCK) == Passed(0, 0, 0.0)
    assert Passed(0, 0, 0.0).share == 0.0


def test_a_limit_that_is_kept():
    """Passed in four quarters a day before and in one on few days after: told with counts on both sides, and not who did it."""
    after = power(BEGIN_S + YEAR_S, 28, 0)
    after.values[[10, 500]] = 5400.0
    (found,) = told(seal(heater(limit())), power(BEGIN_S, 364, 4), after)
    assert found.code == "proof.limit-kept"
    assert (found.data["count"], found.data["read"], found.data["over"]) == (2, 28 * 96, 400.0)
    assert (found.data["was"], found.data["was_over"]) == (pytest.approx(4 / 96), 2000.0)
    assert "do not tell whether it was the rule" in found.why(SHOW)


def test_a_limit_that_is_still_passed():
    """As often as before is not kept: look at the controller."""
    (found,) = told(seal(shedding=SHED), power(BEGIN_S, 364, 4), power(BEGIN_S + YEAR_S, 28, 4))
    assert (found.code, found.data["name"]) == ("proof.limit-passed", "The shed order")


def test_only_like_seasons_count_before():
    """Peaks of the summer before are nothing to hold a January after against."""
    before = power(BEGIN_S, 364, 4)
    winter = np.arange(364) < 80
    before.values.reshape(364, -1)[winter] = 2000.0
    after = power(BEGIN_S + YEAR_S, 28, 0)
    first = int(CLOCK.local_s(np.array([BEGIN_S]))[0]) // DAY_S
    days = of_like_season(before, use_record(after, CLOCK, Grain.DAY), CLOCK) - first
    # The days after are 1 to 28 January: a month on is 27 or 28 February, as a mean year rounds, and before 1 December.
    assert days.min() == 0
    assert days[days < 180].max() in (56, 57)
    assert days[days > 180].min() in (333, 334)
    before.values.reshape(364, -1)[333:] = 2000.0
    (found,) = told(seal(heater(limit())), before, after)
    assert (found.code, "hardly ever" in found.says(SHOW)) == ("proof.limit-untold", True)


def test_both_sides_by_the_same_length():
    """A minute's peak before is held against quarters after by the mean of its quarter, which does not pass the limit."""
    before = power(BEGIN_S, 364, 1, step_s=60)
    (found,) = told(seal(heater(limit())), before, power(BEGIN_S + YEAR_S, 28, 0))
    assert found.code == "proof.limit-untold"
    (fine,) = told(seal(heater(limit())), before, power(BEGIN_S + YEAR_S, 28, 1, step_s=60))
    assert (fine.code, fine.data["step"]) == ("proof.limit-passed", 60)


def test_long_readings_tell_no_limit():
    """Readings of two hours do not show it, and say so."""
    (found,) = told(seal(heater(limit())), power(BEGIN_S, 364, 4), power(BEGIN_S + YEAR_S, 28, 4, step_s=7200))
    assert (found.code, "more than an hour" in found.says(SHOW)) == ("proof.limit-untold", True)


@pytest.mark.parametrize(
    ("rules", "log"),
    [
        ((limit(quantity="current", pick_up="20 A", drop_out="16 A"),), "current"),
        ((limit(acts="below", drop_out="6 kW", pick_up="5 kW"),), "site's power"),
        ((limit(contact="closes"),), "site's power"),
        (({"id": "s", "load": "heater", "kind": "set point", "quantity": "load value", "calls": "below", "set_point": 55.0,
           "differential": 5.0},), "sensor"),
        (({"id": "c", "load": "heater", "kind": "repeat-cycle timer", "on_for_s": 600.0, "off_for_s": 600.0},), "own power"),
        ((rule("heater", on="sunset"),), "own power"),
        ((rule("heater"), rule("heater", id="second")), "own power"),
    ],
)  # fmt: skip
def test_rules_that_a_site_meter_does_not_show(rules, log):
    """Currents, export, sensors, timers, the sun and two rules on one load are said to be untold, with what to log."""
    (found,) = told(seal(heater(*rules)), power(BEGIN_S, 364, 4), power(BEGIN_S + YEAR_S, 28, 4))
    assert found.code == "proof.rules-untold"
    assert log in found.do(SHOW)


def test_a_clock_alone_is_told_elsewhere():
    """One programme by the clock is looked at by its steps, and a shed order by current is untold."""
    sides = power(BEGIN_S, 364, 4), power(BEGIN_S + YEAR_S, 28, 4)
    assert told(seal(heater(rule("heater"))), *sides) == ()
    (found,) = told(seal(shedding={**SHED, "quantity": "current", "pick_up": "30 A", "restore": "25 A"}), *sides)
    assert (found.code, found.data["load"]) == ("proof.rules-untold", "The shed order")
