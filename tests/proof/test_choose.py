"""The choice among models: by weeks not seen, never by R2; refusals; and the two real files."""

import numpy as np
import pytest

from tests.proof.invented import BEGIN_S, CLOCK, Grain, before_and_after, site
from wattwright.core.series import of_values
from wattwright.core.show import Show
from wattwright.proof.choose import FOLDS, Baseline, Refused, baseline, folds, unseen, week_before
from wattwright.proof.models.calendar import Calendar, Mean
from wattwright.proof.models.fitted import Fitted
from wattwright.proof.models.kelvins import DegreeDays
from wattwright.proof.models.record import use_record
from wattwright.record.read import read_record


def test_heated_days_are_told_by_degree_days():
    """A site heated by the hour under 15 degC is told best by degree-days of its hours, and the planted noise is left."""
    before, _ = before_and_after(Grain.DAY, office_w=0.0)
    told = baseline(before)
    assert isinstance(told, Baseline)
    assert told.model == "degree-days, heating"
    # 100 W of noise an hour is 0.1 * sqrt(24) kWh a day.
    assert told.fitness.rmse == pytest.approx(0.1 * 24**0.5, rel=0.15)
    assert told.residual_kwh.tolist() == (before.energy_kwh - told.fitted.predict(before)).tolist()
    assert [one.cv_rmse for one in told.scores] == sorted(one.cv_rmse for one in told.scores)
    assert told.scores[0].cv_rmse < told.mean_score.cv_rmse
    assert told.findings == ()


def test_of_two_as_good_the_plainer_is_taken():
    """Where heating alone explains a site, a cooling part that does a hair better by chance is not chosen."""
    for seed in range(3, 7):
        before, _ = before_and_after(Grain.DAY, office_w=0.0, seed=seed)
        told = baseline(before, (DegreeDays(heating=True, cooling=True), DegreeDays(heating=True, cooling=False)))
        assert told.model == "degree-days, heating"


class Partly(Fitted):
    """Knows a share of how far each stretch lies from a mean, whatever the record."""

    def columns(self, record):
        return np.column_stack([np.ones(len(record)), record.energy_kwh])


class Knows:
    """A model that is off by ``share`` less than the mean, and searched so many numbers."""

    def __init__(self, share, searched):
        self.name, self.share, self.searched = f"knows {share:g}", share, searched

    def suits(self, record):
        return True

    def fit(self, record):
        return Partly(np.array([(1 - self.share) * record.energy_kwh.mean(), self.share]), self.searched)


@pytest.mark.parametrize(("plainer", "chosen"), [(0.022, "knows 0.036"), (0.034, "knows 0.034")])
def test_the_plainer_one_must_beat_the_mean_too(plainer, chosen):
    """Of two within 2 % the plainer is taken only where it is itself 3 % less off than the mean, by our own rule."""
    before, _ = before_and_after(Grain.DAY)
    told = baseline(before, (Knows(0.036, 9), Knows(plainer, 0)))
    assert told.model == chosen
    best, other = told.scores
    assert other.cv_rmse < 1.02 * best.cv_rmse


class Learnt(Fitted):
    """Knows each day of its own record by heart, and nothing else."""

    def columns(self, record):
        return (record.starts_s[:, None] == self.known).astype(float)

    def __init__(self, record):
        object.__setattr__(self, "known", record.starts_s)
        object.__setattr__(self, "coefficients", record.energy_kwh)
        object.__setattr__(self, "searched", 0)


class ByHeart:
    """A model with an R2 of one and no worth."""

    name = "by heart"

    def suits(self, record):
        return True

    def fit(self, record):
        return Learnt(record)


def test_an_r2_of_one_wins_nothing():
    """A model that knows its own record by heart is beaten by means of days on weeks it has not seen."""
    before, _ = before_and_after(Grain.DAY, office_w=2000.0)
    told = baseline(before, (ByHeart(), Calendar(by_type=True)))
    assert told.model == "day type"
    assert told.scores[1].model == "by heart"
    assert told.scores[1].cv_rmse > 1


def test_whole_weeks_are_left_out():
    """No week is in two folds, and there are as many folds as said; of months, each is left out alone."""
    before, _ = before_and_after(Grain.HOUR)
    fold = folds(before)
    assert sorted(set(fold)) == list(range(FOLDS))
    assert all(len(set(fold[before.week == one])) == 1 for one in np.unique(before.week))
    months, _ = before_and_after(Grain.MONTH)
    assert folds(months).tolist() == list(range(len(months)))


def test_mean_of_other_folds():
    """What the mean tells of a stretch is the mean power of the stretches of other folds."""
    before, _ = before_and_after(Grain.DAY)
    fold, told = folds(before), unseen(Mean(), before)
    rest = fold != fold[100]
    energy, days = before.energy_kwh[rest], before.days[rest]
    # Least squares of the energy: a day of 25 hours counts a little more.
    assert told[100] == pytest.approx((energy * days).sum() / (days**2).sum() * before.days[100])


def test_week_before_is_looked_up():
    """The same hour a week before, where it was read."""
    power, _ = site(20)
    values = power.values.copy()
    values[5] = np.nan
    hours = use_record(of_values(BEGIN_S, 3600, values), CLOCK, Grain.HOUR)
    told = week_before(hours)
    assert np.isnan(told[:167]).all()
    at = np.flatnonzero(hours.starts_s == BEGIN_S + 3600 * 170)[0]
    assert told[at] == pytest.approx(values[2] / 1000)
    assert np.isnan(told[np.flatnonzero(hours.starts_s == BEGIN_S + 3600 * 173)[0]])


def test_months_are_told():
    """Twelve months are enough for a heated site, and ten for a claim with its limits said."""
    before, _ = before_and_after(Grain.MONTH, office_w=0.0)
    told = baseline(before)
    assert isinstance(told, Baseline)
    assert "heating" in told.model
    part = baseline(before.part(np.arange(len(before)) < 10))
    assert [one.code for one in part.findings] == ["proof.part-of-year"]


def codes(told):
    """Codes of the findings, each of whose sentences can be made."""
    assert all(one.says(Show()) and one.why(Show()) and one.do(Show()) for one in told.findings)
    return [one.code for one in told.findings]


def test_refused_for_too_few():
    """Twenty days, or eight months, carry no claim."""
    power, outside = site(20)
    told = baseline(use_record(power, CLOCK, Grain.DAY, outside))
    assert isinstance(told, Refused)
    assert codes(told) == ["proof.too-short"]
    months, _ = before_and_after(Grain.MONTH, days=240)
    assert isinstance(baseline(months.part(np.arange(len(months)) < 8)), Refused)


def test_refused_where_nothing_is_used_or_power_comes_back():
    """A site that gives back, and one that used nothing, have no baseline."""
    power, outside = site(40)
    for values in (power.values - 1500, 0 * power.values):
        told = baseline(use_record(of_values(BEGIN_S, 3600, values), CLOCK, Grain.DAY, outside))
        assert codes(told) == ["proof.no-use"]


def test_refused_where_nothing_explains():
    """A use that is chance alone, and far from steady, is told by nothing, and that is said."""
    noise = of_values(BEGIN_S, 3600, np.repeat(np.random.default_rng(8).uniform(100, 900, 90), 24))
    told = baseline(use_record(noise, CLOCK, Grain.DAY))
    assert isinstance(told, Refused)
    assert codes(told) == ["proof.no-better-than-mean"]


def test_refused_where_no_model_suits():
    """Months without temperature, and less than a year of them, leave no model at all."""
    months, _ = before_and_after(Grain.MONTH, days=310)
    bare = use_record(site(310)[0], CLOCK, Grain.MONTH)
    assert len(months) >= 9
    assert codes(baseline(bare)) == ["proof.no-better-than-mean"]


def test_a_steady_site_is_told_by_its_mean():
    """Where nothing explains a use that scatters by a tenth, the mean is baseline enough."""
    steady = np.repeat(np.random.default_rng(8).uniform(900, 1200, 90), 24)
    told = baseline(use_record(of_values(BEGIN_S, 3600, steady), CLOCK, Grain.DAY))
    assert told.model == "mean"
    assert told.fitted.coefficients == pytest.approx([steady.mean() * 0.024], rel=1e-3)
    assert told.fitness.parameters == 1


def test_a_perfectly_steady_site_is_told_by_its_mean():
    """What lies in the last bits of a use is rounding: no model is better at it, and no week is seen in it."""
    # Eleven weeks, in which the clock does not change.
    hour = np.arange(24 * 77)
    power = 1000.0 * (1 + 1e-13 * (hour // 24 % 7 < 5))
    told = baseline(use_record(of_values(BEGIN_S, 3600, power), CLOCK, Grain.DAY), (Knows(0.5, 0),))
    assert told.model == "mean"
    assert codes(told) == ["proof.part-of-year"]
    # The same turn of the week counts where it is one.
    more = 1000.0 * (1 + 1e-3 * (hour // 24 % 7 < 5))
    told = baseline(use_record(of_values(BEGIN_S, 3600, more), CLOCK, Grain.DAY), (Knows(0.5, 0),))
    assert told.model == "knows 0.5"
    assert codes(told) == ["proof.part-of-year", "proof.alike-at-a-week"]


def test_a_loose_model_is_said():
    """Sixty days that scatter by half of their mean are told loosely, and are no year."""
    draws = np.random.default_rng(3)
    day = np.arange(84)
    power = np.where(day % 7 < 5, 1000.0, 300.0) * draws.uniform(0.4, 1.6, 84)
    told = baseline(use_record(of_values(BEGIN_S, 3600, np.repeat(power, 24)), CLOCK, Grain.DAY))
    assert codes(told) == ["proof.part-of-year", "proof.loose-model"]


def test_a_model_that_cannot_be_fitted_without_a_fold_is_not_chosen():
    """A model that suits the whole record and not the parts of it tells nothing of what is left out."""
    power, outside = site(30)
    hours = use_record(power, CLOCK, Grain.HOUR, outside)
    from wattwright.proof.models.week import WeekAndTemperature

    assert WeekAndTemperature().suits(hours)
    assert np.isnan(unseen(WeekAndTemperature(), hours)).any()
    assert "time of week and temperature" not in [one.model for one in baseline(hours).scores]


@pytest.mark.parametrize(
    ("name", "zone"), [("residential-hourly.csv", "America/Toronto"), ("household-minute.csv.gz", "Europe/Paris")]
)
def test_real_files_beat_both_naive_baselines(shared_data, name, zone):
    """On both real files the chosen model of hours is less off on weeks left out than the mean and than the week before."""
    record = read_record(shared_data / name, zone)
    from wattwright.core.clock import SiteClock

    hours = use_record(record.main.series, SiteClock(zone), Grain.HOUR)
    told = baseline(hours)
    naive = week_before(hours)
    known = ~np.isnan(naive)
    off = np.sqrt(((hours.energy_kwh - naive)[known] ** 2).mean()) / hours.energy_kwh[known].mean()
    assert told.scores[0].cv_rmse < min(told.mean_score.cv_rmse, off)
