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


@pytest.mark.parametrize("month", range(12))
def test_a_month_of_the_same_use_or_a_tenth_less_is_no_finding(case, month):
    """News of thirty days of any season is held against that season, and a saving of a tenth is no other use."""
    before, after, found, days = case
    for share in (1.0, 0.9):
        kept = days.part(np.arange(30 * month, 30 * month + 30))
        used = of_values(after.start_s, 3600, after.values * share)
        assert "proof.other-use" not in codes(other_use(before, used, found, kept, CLOCK))


def test_a_new_load_of_a_heated_site_is_told(case):
    """350 W more at all hours are told in a year, and left out where only the days before it are kept."""
    before, after, found, days = case
    more = after.values.copy()
    more[24 * 120 :] += 350.0
    used = of_values(after.start_s, 3600, more)
    (one,) = other_use(before, used, found, days, CLOCK)
    assert one.code == "proof.other-use"
    assert one.data["after"] - one.data["before"] == pytest.approx(350, abs=60)
    assert other_use(before, used, found, days.part(np.arange(100)), CLOCK) == ()


def test_without_like_days_nothing_is_told(case):
    """A summer is not held against a winter."""
    before, after, found, days = case
    winter = before.part(before.start_s, before.start_s + 60 * 86_400)
    summer = days.part(np.arange(150, 210))
    assert other_use(winter, of_values(after.start_s, 3600, after.values + 600), found, summer, CLOCK) == ()


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
