"""Means with their errors, and figures of fit, against worked values, other libraries and long simulations."""

import numpy as np
import pytest
from scipy.signal import lfilter
from scipy.stats import norm, t, trim_mean

from wattwright.simulate.fit.statistics import goodness, robust_mean, serial_mean


def test_a_robust_mean_leaves_out_a_tenth_at_each_end() -> None:
    """The value is scipy's trimmed mean; 20 values of which one is absurd are not moved by it; equal ones have no error."""
    values = np.random.default_rng(1).normal(5.0, 1.0, 37)
    assert robust_mean(values).value == pytest.approx(trim_mean(values, 0.1), rel=1e-12)
    spoiled = np.append(np.full(19, 7.0), 1e6)
    assert robust_mean(spoiled).value == 7.0
    assert robust_mean(np.full(9, 3.0)).error == 0.0


def test_the_error_of_a_robust_mean_is_yuens() -> None:
    """Of 1 to 10 one is cut at each end: 2, 2, 3 ... 8, 9, 9 have a sum of squares of 66.5, so 66.5 / (8 x 7) = 1.1875.

    By hand, from the formula: error squared = (n - 1) s_w^2 / (h (h - 1)), with 8 kept and 7 degrees of freedom.
    """
    found = robust_mean(np.arange(1.0, 11.0))
    assert found.value == pytest.approx(5.5)
    assert found.error == pytest.approx(np.sqrt(1.1875))
    assert found.freedom == 7


@pytest.mark.parametrize(("mean_of", "alike"), [(robust_mean, 0.0), (serial_mean, 0.0), (serial_mean, 0.5)])
def test_intervals_hold_as_often_as_they_say(mean_of, alike) -> None:
    """In 2,000 draws of 60 normal values, neighbours alike or not, the 90 % interval holds the truth in 87 to 93 %."""
    draws = np.random.default_rng(2)
    held = 0
    for _ in range(2000):
        pushes = draws.normal(size=160) * np.sqrt(1 - alike**2)
        found = mean_of(lfilter([1.0], [1.0, -alike], pushes)[100:])
        held += abs(found.value) <= t.ppf(0.95, found.freedom) * found.error
    assert 0.87 <= held / 2000 <= 0.93


def test_days_that_are_the_same_have_no_error() -> None:
    """Equal values have no error, and as many degrees of freedom as values less one."""
    found = serial_mean(np.full(5, 2.0))
    assert (found.value, found.error, found.freedom) == (2.0, 0.0, 4.0)


def test_figures_of_fit_are_the_worked_ones() -> None:
    """Recorded 10, 20, 30 and 40, simulated 12, 18, 33 and 37, one parameter: CV sqrt(26 / 3) / 25, NMBE 0, explained 90 %.

    Worked by hand from the formulas of ASHRAE Guideline 14 (from memory); a missing value takes its partner with it.
    """
    recorded, simulated = np.array([10.0, 20, 30, 40, np.nan, 5]), np.array([12.0, 18, 33, 37, 4, np.nan])
    found = goodness(recorded, simulated, 1)
    assert found.cv_rmse == pytest.approx(np.sqrt(26 / 3) / 25)
    assert found.nmbe == 0.0
    assert found.explained_share == pytest.approx(0.9)
    assert goodness(recorded[:4], recorded[:4] - 5, 1).nmbe == pytest.approx(20 / 3 / 25)


def test_without_energy_or_freedom_there_is_no_figure() -> None:
    """A record of nought, or one with no more values than parameters, gives NaN instead of a division by nought."""
    assert np.isnan(goodness(np.zeros(9), np.ones(9), 1).cv_rmse)
    assert np.isnan(goodness(np.ones(2), np.ones(2), 2).nmbe)
    assert np.isnan(goodness(np.zeros(0), np.zeros(0), 0).explained_share)
    assert norm.ppf(0.95) == pytest.approx(1.6448536, abs=1e-7)  # the number of 90 % intervals, used for blind directions
