"""Kind of day and temperature together: planted levels, slopes and bends come back, and the bends are the best there are."""

from dataclasses import replace

import numpy as np
import pytest
from scipy.optimize import minimize
from statsmodels.regression.linear_model import OLS

from tests.proof.invented import BEGIN_S, CLOCK, Grain, before_and_after, site
from wattwright.core.series import of_values
from wattwright.proof.choose import baseline, folds, unseen
from wattwright.proof.models.bases import bases, kelvins
from wattwright.proof.models.day_kinds import DayKinds
from wattwright.proof.models.kelvins import DegreeDays
from wattwright.proof.models.record import use_record

HEATED = DayKinds(by_type=True, hourly=True, heating=True, cooling=False)


@pytest.fixture(scope="module")
def planted():
    """Days without noise, working week and all: heated under 15 degC, cooled over 22 degC, by the hour."""
    power, outside = site(364, noise_w=0.0)
    cooled = of_values(BEGIN_S, 3600, power.values + 60 * np.maximum(outside.values - 22, 0))
    return use_record(cooled, CLOCK, Grain.DAY, outside)


@pytest.fixture(scope="module")
def noisy():
    """The same with noise and without cooling."""
    return before_and_after(Grain.DAY)[0]


def test_levels_slopes_and_bends_come_back(planted):
    """24 kWh on days at rest and 4 more with 400 W for ten hours; 1.92 kWh for each kelvin under 15 degC, 1.44 over 22 degC."""
    told = DayKinds(by_type=True, hourly=True, heating=True, cooling=True).fit(planted)
    # Without noise the planted bends leave nothing: they are met to the finest step of the search.
    assert (told.heating_c, told.cooling_c) == pytest.approx((15.0, 22.0), abs=1e-3)
    assert told.coefficients == pytest.approx([28.0, 24.0, 24.0, 1.92, 1.44], rel=5e-4)
    # Three levels, two slopes and two bends were fitted.
    assert told.parameters == 7


def test_days_of_the_week(planted):
    """By the day of the week five levels are those of working days and two those of days at rest."""
    told = DayKinds(by_type=False, hourly=True, heating=True, cooling=True).fit(planted)
    assert told.coefficients[:7] == pytest.approx([*5 * [28.0], *2 * [24.0]], rel=5e-3)


def test_a_change_point_of_the_mean():
    """Days that follow their mean temperature, steady in each day, have the planted bend of 15 degC by either way of counting."""
    power, outside = site(364, noise_w=0.0, heating_w=0.0)
    flat = np.repeat(outside.values.reshape(-1, 24).mean(axis=1), 24)
    heated = of_values(BEGIN_S, 3600, power.values + 80 * np.maximum(15 - flat, 0))
    days = use_record(heated, CLOCK, Grain.DAY, of_values(BEGIN_S, 3600, flat))
    for hourly in (False, True):
        told = DayKinds(by_type=True, hourly=hourly, heating=True, cooling=False).fit(days)
        # Days of the site's clock begin beside those of UTC, so that a day holds two temperatures.
        assert told.heating_c == pytest.approx(15.0, abs=0.4 if not hourly else 0.01)
        assert told.coefficients[-1] == pytest.approx(1.92, rel=0.05 if not hourly else 1e-3)


@pytest.mark.parametrize(("heating", "cooling"), [(True, False), (False, True), (True, True)])
def test_no_bend_leaves_less(noisy, heating, cooling):
    """No bends leave less than those that scipy's simplex search finds from there, but for a ten thousandth."""
    told = DayKinds(by_type=True, hourly=True, heating=heating, cooling=cooling).fit(noisy)

    def left(at_c):
        places = iter(at_c)
        moved = replace(
            told,
            heating_c=next(places) if heating else float("nan"),
            cooling_c=next(places) if cooling else float("nan"),
        )
        return float(OLS(noisy.energy_kwh, moved.columns(noisy)).fit().ssr)

    start = [one for one in (told.heating_c, told.cooling_c) if not np.isnan(one)]
    low, high = np.nanquantile(noisy.parts_c, (0.05, 0.95))
    theirs = minimize(left, start, method="Nelder-Mead", bounds=[(low, high)] * len(start))
    assert left(start) <= theirs.fun * 1.0001


def test_it_is_chosen_where_both_count(noisy):
    """On a heated site with a working week it is chosen by weeks left out; temperature alone is off by three times as much."""
    told = baseline(noisy)
    assert told.model == HEATED.name == "day type and degree-days, heating"
    by_name = {one.model: one.cv_rmse for one in told.scores}
    assert by_name["degree-days, heating"] > 3 * told.scores[0].cv_rmse
    assert told.fitness.parameters == 5
    # 100 W of noise an hour is 0.1 * sqrt(24) kWh a day.
    assert told.fitness.rmse == pytest.approx(0.1 * 24**0.5, rel=0.15)


def test_weeks_left_out_are_those_of_the_others(noisy):
    """What it tells of a fold is what a fit to the other folds tells, bends and all."""
    fold, told = folds(noisy), unseen(HEATED, noisy)
    rest = HEATED.fit(noisy.part(fold != 2))
    assert told[fold == 2] == pytest.approx(rest.predict(noisy.part(fold == 2)), rel=1e-12)


def test_a_kind_never_seen_is_told_as_the_mean_of_all(noisy):
    """A record without a Sunday tells a mild Sunday as the mean of the levels."""
    told = HEATED.fit(noisy.part(noisy.day_type < 2))
    mild = noisy.part((noisy.day_type == 2) & (np.nanmin(noisy.parts_c, axis=1) > told.heating_c + 1))
    assert len(mild) > 0
    assert told.predict(mild) == pytest.approx(told.coefficients[:2].mean() * mild.days)


def test_what_does_not_suit(noisy):
    """Hours, days without temperature, a kind of day seen thrice and too few days do not suit it."""
    power, outside = site(40)
    assert HEATED.suits(use_record(power, CLOCK, Grain.DAY, outside))
    assert not HEATED.suits(use_record(power, CLOCK, Grain.HOUR, outside))
    assert not HEATED.suits(use_record(power, CLOCK, Grain.DAY))
    sundays = np.flatnonzero(noisy.day_type == 2)
    rare = noisy.part(np.setdiff1d(np.arange(len(noisy)), sundays[3:]))
    assert not HEATED.suits(rare)
    assert not HEATED.suits(noisy.part(np.arange(14)))


def test_names():
    """Each form has a name of its own."""
    flags = (True, False)
    forms = [
        DayKinds(*kind, *bends) for kind in ((a, b) for a in flags for b in flags)
        for bends in ((True, False), (False, True), (True, True))
    ]  # fmt: skip
    names = [one.name for one in forms]
    assert len(set(names)) == 12
    assert "day of the week and change point 5P" in names
    assert "day type and degree-days, heating and cooling" in names


def test_one_temperature_tells_no_slope(noisy):
    """Where every hour is as warm, all bends do as well: the one place there is comes back, and the rest is told by levels."""
    parts = np.full((len(noisy), 24), 12.0)
    assert bases(noisy, parts, noisy.days[:, None], heating=True, cooling=True) == (12.0, 12.0)
    same = replace(noisy, parts_c=parts)
    told = DayKinds(by_type=True, hourly=True, heating=True, cooling=True).fit(same)
    assert told.coefficients == pytest.approx([*OLS(noisy.energy_kwh, told.columns(same)[:, :3]).fit().params, 0.0, 0.0])


def test_kelvins_pass_over_what_is_not_known():
    """Of hours at 10, 14 and one not known, 15 degC lies over by 5 and 1: three on average."""
    (told,) = kelvins(np.array([[10.0, 14.0, np.nan]]), 15.0, float("nan"))
    assert told.tolist() == [3.0]
    assert kelvins(np.array([[10.0]]), float("nan"), float("nan")) == []


def test_days_with_an_hour_missing_have_the_same_base():
    """A base is found as well where an hour of each tenth day is not known."""
    power, outside = site(364, office_w=0.0, noise_w=0.0)
    days = use_record(power, CLOCK, Grain.DAY, outside)
    known = DegreeDays(heating=True, cooling=False).fit(days)
    days.parts_c[::10, 4] = np.nan
    assert DegreeDays(heating=True, cooling=False).fit(days).heating_c == pytest.approx(known.heating_c, abs=0.1)
