"""Another use of the site: base load that moved and days that are empty are told, the usual scatter is not."""

from dataclasses import replace

import numpy as np
import pytest

from tests.proof.invented import BEGIN_S, CLOCK, Grain, before_and_after, site
from wattwright.core.series import of_values
from wattwright.core.show import Show
from wattwright.proof.choose import baseline
from wattwright.proof.occupancy import other_use

DAYS = 364


@pytest.fixture(scope="module")
def case():
    """A heated site: its power before and after, its baseline, and its days after."""
    power, _ = site(2 * DAYS)
    middle = BEGIN_S + DAYS * 86_400
    before, after = before_and_after(Grain.DAY)
    return power.part(BEGIN_S, middle), power.part(middle, power.end_s), baseline(before), after


def codes(found):
    """The codes of findings."""
    return [one.code for one in found]


def test_the_same_use_is_no_finding(case):
    """Another year of the same site tells nothing."""
    assert other_use(*case, CLOCK) == ()


def test_a_load_left_on(case):
    """600 W more at all hours are told with what was always on before and is now."""
    before, after, found, days = case
    (one,) = other_use(before, of_values(after.start_s, 3600, after.values + 600), found, days, CLOCK)
    assert one.code == "proof.other-use"
    assert one.data["after"] - one.data["before"] == pytest.approx(600, abs=60)
    assert one.says(Show())


def test_empty_days(case):
    """A month in which next to nothing was used is told as empty days."""
    before, after, found, days = case
    used = days.energy_kwh.copy()
    used[100:130] *= 0.2
    (one,) = other_use(before, after, found, replace(days, energy_kwh=used), CLOCK)
    assert one.code == "proof.empty-days"
    assert one.data["after"] == pytest.approx(30 / DAYS)


def test_daily_readings_tell_no_base_load(case):
    """Readings of a day have no base load; one with gaps only has none either."""
    before, after, found, days = case
    daily = of_values(after.start_s, 86_400, np.full(300, 9000.0))
    assert codes(other_use(before, daily, found, days, CLOCK)) == []
    assert codes(other_use(before, of_values(after.start_s, 3600, np.full(240, np.nan)), found, days, CLOCK)) == []
