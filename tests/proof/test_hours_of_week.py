"""Hours of the week with two bases: planted numbers come back, the fit is that of statsmodels; it is chosen where due."""

import json

import numpy as np
import pytest
from scipy.optimize import minimize
from statsmodels.regression.linear_model import OLS

from tests.proof.invented import BEGIN_S, CLOCK, Grain, site
from wattwright.core.series import of_values
from wattwright.proof.choose import baseline
from wattwright.proof.models.day_kinds import HoursOfWeek
from wattwright.proof.models.record import use_record
from wattwright.proof.models.week import WeekAndTemperature
from wattwright.proof.numbers import fitted_of, numbers_of


def record(noise_w, seed=1, heating_w=80.0):
    """A year of hours of an invented site: heated under 15 degC and cooled over 22 degC, day and night, with working hours."""
    power, outside = site(364, seed=seed, noise_w=noise_w, heating_w=heating_w)
    cooled = of_values(BEGIN_S, 3600, power.values + 60 * np.maximum(outside.values - 22, 0))
    return use_record(cooled, CLOCK, Grain.HOUR, outside)


def test_what_was_planted_comes_back():
    """Without noise both bases come back to a thousandth of a kelvin, both slopes and the level of each hour of the week."""
    told = HoursOfWeek().fit(record(0.0))
    assert (told.heating_c, told.cooling_c) == (pytest.approx(15.0, abs=2e-3), pytest.approx(22.0, abs=2e-3))
    # In kWh a day: 80 W and 60 W for each kelvin of an hour.
    assert told.coefficients[-2:] == pytest.approx([0.08 * 24, 0.06 * 24], rel=1e-3)
    place = np.arange(168)
    office = (place % 24 >= 8) & (place % 24 < 18) & (place < 120)
    assert told.coefficients[:168] == pytest.approx(24 * (1 + 0.4 * office), rel=1e-3)
    assert told.parameters == 172


def test_it_is_the_least_squares_of_statsmodels():
    """At its bases the coefficients are those of OLS, and no bases beside them leave less (Nelder-Mead of scipy)."""
    hours = record(100.0)
    told = HoursOfWeek().fit(hours)
    outside = hours.mean_c

    def columns(at_c):
        bends = np.maximum(at_c[0] - outside, 0), np.maximum(outside - at_c[1], 0)
        return np.column_stack([hours.week_place[:, None] == np.arange(168), *bends]).astype(float) / 24

    other = OLS(hours.energy_kwh, columns((told.heating_c, told.cooling_c))).fit()
    assert told.coefficients == pytest.approx(other.params, rel=1e-6)

    def squares(at_c):
        # Levels of hours of the week are their means, which are taken off both sides.
        table = np.column_stack([hours.energy_kwh, columns(at_c)[:, 168:]])
        for place in range(168):
            table[hours.week_place == place] -= table[hours.week_place == place].mean(axis=0)
        return float(np.linalg.lstsq(table[:, 1:], table[:, 0], rcond=None)[1][0])

    best = minimize(squares, (told.heating_c, told.cooling_c), method="Nelder-Mead", options={"maxiter": 60})
    assert other.ssr == pytest.approx(squares((told.heating_c, told.cooling_c)))
    assert other.ssr <= best.fun * (1 + 1e-5)


def test_it_is_chosen_where_both_act_at_all_hours():
    """On weeks left out it is off by the planted noise, far less than pieces with one slope for empty hours."""
    hours = record(100.0)
    told = baseline(hours, (HoursOfWeek(), WeekAndTemperature()))
    assert told.model == "time of week and change point 5P"
    off = {one.model: one.cv_rmse * hours.energy_kwh.mean() for one in told.scores}
    assert off[told.model] == pytest.approx(0.1, rel=0.03)
    assert off["time of week and temperature"] > 1.3 * off[told.model]


def test_it_comes_back_from_text():
    """What it tells is the same to the bit after it went through text."""
    hours = record(100.0)
    fitted = HoursOfWeek().fit(hours)
    form, numbers = numbers_of(fitted)
    assert np.array_equal(fitted_of(form, json.loads(json.dumps(numbers))).predict(hours), fitted.predict(hours))


def test_what_it_needs():
    """It takes hours, their temperature, and four of each hour of the week."""
    power, outside = site(27)
    assert not HoursOfWeek().suits(use_record(power, CLOCK, Grain.HOUR, outside))
    power, outside = site(28)
    assert HoursOfWeek().suits(use_record(power, CLOCK, Grain.HOUR, outside))
    assert not HoursOfWeek().suits(use_record(power, CLOCK, Grain.HOUR))
    assert not HoursOfWeek().suits(use_record(*(power, CLOCK, Grain.DAY), outside))
