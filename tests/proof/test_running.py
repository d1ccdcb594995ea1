"""Early news and the normal year: bands that narrow as a share, a day from which a saving should show, closed forms."""

import numpy as np
import pytest

from tests.proof.invented import BEGIN_S, Grain, before_and_after
from wattwright.proof.choose import baseline
from wattwright.proof.models.calendar import Mean
from wattwright.proof.normal import normalised
from wattwright.proof.running import least_shown_kwh, one_year, running, weeks_until_shown
from wattwright.proof.savings import savings

AFTER_S = BEGIN_S + 364 * 86_400


@pytest.fixture(scope="module")
def case():
    """A site that neither heats nor works, so that the mean tells it, with the days after of which a tenth was saved."""
    before, after = before_and_after(Grain.DAY, heating_w=0.0, office_w=0.0, saved=0.1, noise_w=500.0)
    return baseline(before, (Mean(),)), after


def test_each_week_is_the_saving_so_far(case):
    """Any row of the running figures is what ``savings`` tells of the record up to then."""
    found, after = case
    course = running(found, after, 0.9, seed=4)
    told = savings(found, after.part(np.arange(len(after)) < 70), 0.9, seed=4)
    assert course.saved_kwh[9] == pytest.approx(told.saved_kwh)
    assert (course.low_kwh[9], course.high_kwh[9]) == pytest.approx((told.bootstrap.low_kwh, told.bootstrap.high_kwh))


def test_weeks_that_were_not_read_whole(case):
    """A record that begins on a Wednesday and lacks a day later has two weeks that are not whole."""
    found, after = case
    place = np.arange(len(after))
    course = running(found, after.part((place >= 2) & (place != 40)), 0.9)
    assert np.flatnonzero(~course.is_whole).tolist() == [0, 5]


def test_the_week_from_which_a_saving_shows(case):
    """Near the closed form of independent days: s m > 1.645 sigma sqrt(m + m^2 / n), with n days before."""
    found, _ = case
    sigma = found.fitness.rmse
    for a_day in (1.0, 0.5):
        weeks = np.arange(1, 53)
        m = 7.0 * weeks
        closed = int(weeks[np.argmax(a_day * m > 1.645 * sigma * np.sqrt(m + m**2 / 364))])
        told = weeks_until_shown(found, AFTER_S, a_day, 52, 0.9)
        assert told == pytest.approx(closed, rel=0.5, abs=1)
    assert weeks_until_shown(found, AFTER_S, 5.0, 52, 0.9) == 1


def test_a_saving_that_never_shows(case):
    """One that is smaller than the scatter allows has no week, neither within those asked for nor within a year."""
    found, _ = case
    assert weeks_until_shown(found, AFTER_S, 0.01, 10, 0.9) is None
    assert weeks_until_shown(found, AFTER_S, 0.01, 100, 0.9) is None


def test_it_looks_beyond_a_short_baseline():
    """Of 16 weeks of days without any order a small saving shows later than after 16 weeks, near the closed form."""
    before, _ = before_and_after(Grain.DAY, heating_w=0.0, office_w=0.0, noise_w=500.0)
    found = baseline(before.part(np.arange(len(before)) < 112), (Mean(),))
    sigma, weeks = found.fitness.rmse, np.arange(1, 105)
    m = 7.0 * weeks
    # The model's own error stays: under 1.645 sigma / sqrt(112) a day nothing ever shows.
    a_day = 1.645 * sigma * np.sqrt(1 / 200 + 1 / 112)
    closed = int(weeks[np.argmax(a_day * m > 1.645 * sigma * np.sqrt(m + m**2 / 112))])
    assert closed > 16
    assert weeks_until_shown(found, AFTER_S, 1.15 * a_day, 104, 0.9) in range(17, 53)
    least = least_shown_kwh(found, AFTER_S, 52, 0.9)
    assert least == pytest.approx(1.645 * sigma * np.sqrt(1 / 364 + 1 / 112), rel=0.25)


def test_months_have_weeks_without_a_reading():
    """In a record of months nothing is asked of weeks in which no month is over."""
    before, _ = before_and_after(Grain.MONTH, heating_w=0.0, office_w=0.0)
    told = weeks_until_shown(baseline(before, (Mean(),)), AFTER_S, 20.0, 52, 0.9)
    assert told is not None
    assert told >= 4


def test_a_year_in_the_order_of_its_days(case):
    """From the middle on the second half comes first; two years give one."""
    found, _ = case
    turned = one_year(found.record, int(found.record.starts_s[100]))
    assert turned.starts_s[0] == found.record.starts_s[100]
    assert set(turned.starts_s.tolist()) == set(found.record.starts_s.tolist())
    two, _ = before_and_after(Grain.DAY, days=728)
    assert len(one_year(two, int(two.starts_s[0]))) == 365


def test_normal_year_of_means(case):
    """Two means over a normal year of n days: the saving is n times their difference, its band that of two means.

    Closed form: standard error n sigma sqrt(1/n + 1/n), and the band at 90 % is 1.645 of it either way.
    """
    found, after = case
    later = baseline(after, (Mean(),))
    told = normalised(found, later, found.record, "a year", 0.9)
    days = float(found.record.days.sum())
    means = [float(one.record.energy_kwh.sum() / one.record.days.sum()) for one in (found, later)]
    assert told.saved_kwh == pytest.approx(days * (means[0] - means[1]), rel=0.01)
    sigma = np.hypot(found.fitness.rmse, later.fitness.rmse)
    half = (told.band.high_kwh - told.band.low_kwh) / 2
    assert half == pytest.approx(1.645 * days * sigma / np.sqrt(days), rel=0.3)
    with pytest.raises(ValueError, match="same stretches"):
        normalised(found, later, before_and_after(Grain.MONTH)[0], "months", 0.9)
