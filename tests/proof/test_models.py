"""Each baseline model gives back what it is made of, agrees with a reference library, and can be kept."""

import numpy as np
import pytest
from hypothesis import given, strategies as st
from scipy.optimize import minimize_scalar
from statsmodels.regression.linear_model import OLS

from tests.proof.invented import BEGIN_S, CLOCK, Grain, before_and_after, site
from wattwright.core.frozen import pack, unpack
from wattwright.core.series import of_values
from wattwright.demand.habits.change_points import Shape
from wattwright.proof.choose import MODELS as CHOSEN
from wattwright.proof.models.calendar import Calendar, Mean
from wattwright.proof.models.day_kinds import HoursOfWeek
from wattwright.proof.models.kelvins import ChangePoint, DegreeDays
from wattwright.proof.models.linear import Linear
from wattwright.proof.models.record import use_record
from wattwright.proof.models.week import WeekAndTemperature, occupied, temperature_breaks, temperature_pieces

MODELS = (Mean(), *(one for one in CHOSEN if one != HoursOfWeek()))
"""All that suit days; that of hours has checks of its own."""


@pytest.fixture(scope="module")
def days():
    """A year of days without noise or office: heating alone, by the hour."""
    power, outside = site(364, office_w=0.0, noise_w=0.0)
    return use_record(power, CLOCK, Grain.DAY, outside)


@pytest.fixture(scope="module")
def noisy():
    """A year of noisy days, with drivers."""
    power, outside = site(364)
    made = of_values(BEGIN_S, 3600, np.random.default_rng(4).uniform(0, 5, len(power)))
    return use_record(power, CLOCK, Grain.DAY, outside, drivers={"units": made})


@pytest.mark.parametrize("model", MODELS, ids=lambda one: one.name)
def test_coefficients_are_those_of_statsmodels(noisy, model):
    """With what was searched held fast, coefficients and predictions are those of ordinary least squares, to 1e-8."""
    assert model.suits(noisy)
    fitted = model.fit(noisy)
    columns = fitted.columns(noisy)
    theirs = OLS(noisy.energy_kwh, columns).fit()
    assert fitted.coefficients == pytest.approx(theirs.params, abs=1e-8, rel=1e-8)
    assert fitted.predict(noisy) == pytest.approx(theirs.fittedvalues, rel=1e-8)
    assert fitted.parameters >= columns.shape[1]


@pytest.mark.parametrize("model", MODELS, ids=lambda one: one.name)
def test_a_fitted_model_is_kept(noisy, model):
    """A fitted model comes back from bytes and predicts the same."""
    fitted = model.fit(noisy)
    again = unpack(pack(fitted), type(fitted))
    assert again.predict(noisy).tolist() == fitted.predict(noisy).tolist()


def test_degree_days_give_the_planted_base_back(days):
    """24 kWh a day, 80 W for each kelvin under 15 degC, by the hour: 1.92 kWh for each degree-day."""
    told = DegreeDays(heating=True, cooling=False).fit(days)
    assert told.heating_c == pytest.approx(15.0, abs=0.05)
    assert told.coefficients == pytest.approx([24.0, 1.92], rel=2e-3)
    assert np.isnan(told.cooling_c)


def test_degree_days_find_the_least_squares(noisy):
    """No base leaves less than that which scipy's bounded search finds, but for a ten thousandth."""
    told = DegreeDays(heating=True, cooling=False).fit(noisy)

    def left(base):
        columns = np.column_stack([np.ones(len(noisy)), np.nanmean(np.maximum(base - noisy.parts_c, 0), axis=1)])
        return float(OLS(noisy.energy_kwh, columns * noisy.days[:, None]).fit().ssr)

    theirs = minimize_scalar(left, bounds=(8, 20), method="bounded")
    assert left(told.heating_c) <= theirs.fun * 1.0001


def test_cooling_and_heating_are_told_apart():
    """A site that is cooled over 22 degC and heated under 15 degC gives both bases back."""
    power, outside = site(364, office_w=0.0, noise_w=0.0)
    cooled = of_values(BEGIN_S, 3600, power.values + 60 * np.maximum(outside.values - 22, 0))
    told = DegreeDays(heating=True, cooling=True).fit(use_record(cooled, CLOCK, Grain.DAY, outside))
    assert (told.heating_c, told.cooling_c) == pytest.approx((15.0, 22.0), abs=0.1)
    assert told.coefficients == pytest.approx([24.0, 1.92, 1.44], rel=1e-2)


def test_change_point_of_hours():
    """By hours the change point is the planted 15 degC and the slope 0.08 kWh for each hour and kelvin."""
    power, outside = site(200, office_w=0.0, noise_w=0.0)
    told = ChangePoint(Shape.HEATING).fit(use_record(power, CLOCK, Grain.HOUR, outside))
    assert told.at_c == pytest.approx([15.0], abs=0.01)
    assert told.coefficients == pytest.approx([24.0, 1.92], rel=1e-3)


def test_day_type_is_the_mean():
    """Means of hours by day type are those that a plain loop makes."""
    power, _ = site(70)
    hours = use_record(power, CLOCK, Grain.HOUR)
    told = Calendar(by_type=True).fit(hours)
    chosen = (hours.week_place % 24 == 9) & (hours.day_type == 0)
    assert told.predict(hours.part(chosen))[0] == pytest.approx(hours.energy_kwh[chosen].mean())


def test_a_cell_never_seen_is_told_as_the_mean():
    """A record without a Sunday tells Sundays as the mean of the cells."""
    power, _ = site(70)
    days = use_record(power, CLOCK, Grain.DAY)
    told = Calendar(by_type=True).fit(days.part(days.day_type < 2))
    assert told.predict(days.part(days.day_type == 2)) == pytest.approx(told.coefficients.mean() * np.ones(10), rel=1e-9)


def test_occupied_hours_are_found():
    """Working hours from eight to six on five days are what lies above the temperature: all but ten of 168 hours are told."""
    before, _ = before_and_after(Grain.HOUR)
    told = occupied(before, np.arange(168))
    hour = np.arange(168)
    office = (hour % 24 >= 8) & (hour % 24 < 18) & (hour < 120)
    assert (told != office).sum() <= 10


def test_nobody_ever_there():
    """Where the use is the same throughout, all hours count as occupied and follow the temperature in one way."""
    power, outside = site(60, office_w=0.0, heating_w=0.0, noise_w=0.0)
    told = occupied(use_record(power, CLOCK, Grain.HOUR, outside), np.arange(168))
    assert told.all()


def test_week_and_temperature_leaves_the_noise():
    """On a site with working hours whose use falls straight with the temperature it leaves the planted noise of 0.1 kWh."""
    power, outside = site(364, heating_w=0.0)
    falling = of_values(BEGIN_S, 3600, power.values + 500 - 10 * outside.values)
    hours = use_record(falling, CLOCK, Grain.HOUR, outside)
    left = hours.energy_kwh - WeekAndTemperature().fit(hours).predict(hours)
    assert left.std() == pytest.approx(0.1, rel=0.03)


@given(st.lists(st.floats(-30, 45), min_size=1, max_size=30), st.lists(st.floats(-20, 40), max_size=5, unique=True))
def test_pieces_add_up(mean_c, breaks):
    """The pieces of a temperature add up to it, whatever the breaks."""
    pieces = temperature_pieces(np.array(mean_c), np.sort(np.array(breaks, float)))
    assert pieces.sum(axis=1) == pytest.approx(np.array(mean_c), abs=1e-9)


def test_rare_temperatures_join_their_neighbours():
    """Six equal pieces of 0 to 60 degC, of which those with under twenty readings join the next."""
    assert temperature_breaks(np.repeat([0.0, 15, 25, 35, 45, 60], 30)).tolist() == [10, 20, 30, 40, 50]
    assert temperature_breaks(np.concatenate([np.repeat([0.0, 45], 100), [15, 60.0]])).tolist() == [10.0]


def test_linear_finds_what_drives_the_use():
    """A site that uses 0.5 kWh an hour and 0.2 for each unit gives 12 and 4.8 a day back."""
    made = np.random.default_rng(5).uniform(0, 5, 24 * 60)
    driver = {"units": of_values(BEGIN_S, 3600, made)}
    told = Linear().fit(use_record(of_values(BEGIN_S, 3600, 500 + 200 * made), CLOCK, Grain.DAY, drivers=driver))
    assert told.coefficients == pytest.approx([12.0, 4.8], rel=1e-6)


def test_what_does_not_suit():
    """Without temperature, drivers, weeks or a year, models that need them are not fitted."""
    power, outside = site(40)
    hours = use_record(power, CLOCK, Grain.HOUR)
    assert [one.name for one in MODELS if one.suits(hours)] == ["mean", "day type", "time of week"]
    months = use_record(site(364)[0], CLOCK, Grain.MONTH)
    assert [one.name for one in MODELS if one.suits(months)] == ["mean", "time of week and season"]
    warm = use_record(power, CLOCK, Grain.MONTH, outside)
    assert [one.name for one in MODELS if one.suits(warm)] == ["mean"]
    few = use_record(site(25)[0], CLOCK, Grain.HOUR, site(25)[1])
    assert not WeekAndTemperature().suits(few)
