"""Fitness of a model: by hand, and against scipy and statsmodels."""

import numpy as np
import pytest
from hypothesis import given, strategies as st
from scipy.stats import linregress
from statsmodels.regression.linear_model import OLS
from statsmodels.tsa.stattools import acf

from wattwright.proof.fitness import autocorrelations, effective_count, first_autocorrelation, fitness


def line(seed):
    """A noisy line and what least squares makes of it by scipy."""
    draws = np.random.default_rng(seed)
    x = draws.uniform(-5, 30, 200)
    y = 40 + 1.5 * x + np.cumsum(draws.normal(size=200))
    told = linregress(x, y)
    return x, y, told.intercept + told.slope * x, told


def test_by_hand():
    """Four readings about 10 with residuals 1, -1, 1, 1 and one parameter: squares 4 over 3, sum 2 over 3."""
    told = fitness(np.array([11.0, 9, 11, 9]), np.array([10.0, 10, 10, 8]), 1)
    assert told.rmse == pytest.approx((4 / 3) ** 0.5)
    assert told.cv_rmse == pytest.approx((4 / 3) ** 0.5 / 10)
    assert told.nmbe == pytest.approx(2 / (3 * 10))
    assert told.r2 == pytest.approx(1 - 4 / 4)


def test_against_scipy_and_statsmodels():
    """R2 is the square of scipy's correlation; error, R2 and autocorrelation are those of statsmodels, to 1e-8."""
    for seed in range(5):
        x, y, predicted, told = line(seed)
        ours, theirs = fitness(y, predicted, 2), OLS(y, np.column_stack([np.ones(200), x])).fit()
        assert ours.r2 == pytest.approx(told.rvalue**2, abs=1e-8)
        assert ours.r2 == pytest.approx(theirs.rsquared, abs=1e-8)
        assert ours.rmse == pytest.approx(theirs.mse_resid**0.5, abs=1e-8)
        assert ours.cv_rmse == pytest.approx(theirs.mse_resid**0.5 / y.mean(), abs=1e-8)
        assert ours.alike == pytest.approx(acf(y - predicted, nlags=1, fft=False)[1], abs=1e-8)
        assert ours.nmbe == pytest.approx(0, abs=1e-10)


def test_degrees_of_freedom_never_vanish():
    """Where hardly an independent reading is left, one degree of freedom is."""
    _, y, predicted, _ = line(1)
    told = fitness(y, predicted, 150)
    assert told.effective < 150
    assert told.free == 1.0


@given(st.integers(1, 9000), st.floats(-1, 1))
def test_effective_count_keeps_its_bounds(count, alike):
    """Readings alike say less, never nothing and never more than all of them."""
    assert 0 < effective_count(count, alike) <= count


def test_nothing_to_divide_by():
    """Without energy no share of it can be told; without residuals or scatter, R2 and autocorrelation are nought."""
    told = fitness(np.zeros(5), np.zeros(5), 1)
    assert np.isnan(told.cv_rmse)
    assert np.isnan(told.nmbe)
    assert (told.r2, told.alike) == (0.0, 0.0)
    assert first_autocorrelation(np.array([1.0, 1.0])) == 0.0


@pytest.mark.parametrize(("predicted", "parameters"), [(3, 1), (4, 4)])
def test_refused(predicted, parameters):
    """Other lengths, and as many parameters as readings, are no fit."""
    with pytest.raises(ValueError, match="readings"):
        fitness(np.ones(4), np.ones(predicted), parameters)


def test_autocorrelations():
    """Those of statsmodels to 1e-12; nothing left over is like nothing."""
    draws = np.random.default_rng(8)
    noise = np.convolve(draws.normal(size=300), [1.0, 0.7, 0.2])
    assert autocorrelations(noise, 21) == pytest.approx(acf(noise, nlags=21, fft=False)[1:], abs=1e-12)
    assert autocorrelations(noise, 1)[0] == pytest.approx(first_autocorrelation(noise))
    assert not autocorrelations(np.ones(50), 5).any()
