"""Savings: planted ones are told, bands hold what they say, and the formulas are those of Guideline 14."""

from dataclasses import replace

import numpy as np
import pytest
from scipy.stats import norm

from tests.proof.invented import CLOCK, Grain, before_and_after
from wattwright.core.show import Show
from wattwright.proof.blocks import Blocks, blocks_of, cut_at_ends, leverage, taken_of_blocks
from wattwright.proof.choose import baseline
from wattwright.proof.models.calendar import Mean
from wattwright.proof.models.record import use_record
from wattwright.proof.savings import savings
from wattwright.proof.uncertainty import SIMPLE_FACTOR, baseline_uncertainty, months_factor, student


@pytest.fixture(scope="module")
def two_years():
    """A heated site's days before and after, nothing saved, with the baseline of those before."""
    before, after = before_and_after(Grain.DAY, office_w=0.0, seed=4)
    return baseline(before), after


def less(after, share):
    """The record with each stretch less by a share."""
    return replace(after, energy_kwh=after.energy_kwh * (1 - share))


@pytest.mark.parametrize("share", [0.0, 0.03, 0.08, 0.15, 0.3])
def test_a_planted_saving_is_told(two_years, share):
    """What was saved is the planted share of what would have been used, within both bands of 99 %."""
    found, after = two_years
    told, truth = savings(found, less(after, share), 0.99), share * after.energy_kwh.sum()
    for band in (told.bootstrap, told.guideline):
        assert band.low_kwh <= truth <= band.high_kwh
    assert told.shown is (share > 0)
    assert told.saved_kwh == pytest.approx(told.expected_kwh - told.used_kwh)


def codes(told):
    """Codes of the findings, each of whose sentences can be made."""
    assert all(one.says(Show()) and one.why(Show()) and one.do(Show()) for one in told.findings)
    return [one.code for one in told.findings]


def test_what_is_said_of_it(two_years):
    """Nothing saved is not shown; more used is said; a clear saving needs no word; a vague one does."""
    found, after = two_years
    assert codes(savings(found, after)) == ["proof.not-shown"]
    assert codes(savings(found, less(after, -0.1))) == ["proof.more-used"]
    assert codes(savings(found, less(after, 0.1))) == []
    # Readings that turn about cancel in blocks: the band is narrow, while the formula counts each reading on its own.
    turning = replace(found, residual_kwh=np.resize([1.0, -1.0], len(found.residual_kwh)) * 0.01)
    half = savings(found, after).guideline.high_kwh - savings(found, after).saved_kwh
    little = replace(after, energy_kwh=found.fitted.predict(after) - 0.5 * half / len(after))
    assert codes(savings(turning, little)) == ["proof.too-vague"]


def test_nothing_saved_at_all(two_years):
    """Where use is to the bit what was expected, its uncertainty is no share of it."""
    found, after = two_years
    told = savings(found, replace(after, energy_kwh=found.fitted.predict(after)))
    assert told.saved_kwh == pytest.approx(0, abs=1e-9)
    assert told.uncertainty_ratio > 1e6


def test_without_temperature():
    """Hours of a site known by the calendar alone are told too."""
    before, after = before_and_after(Grain.HOUR, days=56, heating_w=0.0)
    bare = [replace(one, parts_c=np.zeros((len(one), 0))) for one in (before, after)]
    told = savings(baseline(bare[0]), less(bare[1], 0.1))
    assert told.shown
    assert codes(told) == []


def test_what_cannot_be_compared(two_years):
    """Another grain, a missing temperature, other drivers and no reading at all are refused."""
    found, after = two_years
    months = use_record(site_power(), CLOCK, Grain.MONTH)
    bare = replace(after, parts_c=np.zeros((len(after), 0)))
    other = replace(after, driver_names=("units",), drivers=np.ones((len(after), 1)))
    for one in (months, bare, other, after.part(np.zeros(len(after), bool))):
        with pytest.raises(ValueError, match="same way"):
            savings(found, one)


def site_power():
    """A short power."""
    from tests.proof.invented import site

    return site(60)[0]


def test_band_of_a_mean_alone_is_the_closed_form():
    """Of independent noise about a mean, m readings after n before: z s sqrt(m (1 + m / n)), but for the few blocks' t."""
    before, after = before_and_after(Grain.DAY, heating_w=0.0, office_w=0.0, noise_w=0.0)
    draws = np.random.default_rng(11)
    before = replace(before, energy_kwh=24 + draws.normal(size=len(before)), parts_c=np.zeros((len(before), 0)))
    after = replace(after, energy_kwh=24 + draws.normal(size=len(after)), parts_c=np.zeros((len(after), 0)))
    from wattwright.proof.fitness import fitness
    from wattwright.proof.models.calendar import Calendar

    one_type = replace(before, day_type=0 * before.day_type)
    fitted = Calendar(by_type=True).fit(one_type)
    left = before.energy_kwh - fitted.predict(one_type)
    found = replace(
        baseline(before_and_after(Grain.DAY)[0]),
        fitted=fitted,
        residual_kwh=left,
        record=one_type,
        fitness=fitness(before.energy_kwh, fitted.predict(one_type), 1),
    )
    told = savings(found, replace(after, day_type=0 * after.day_type))
    count = len(before)
    closed = norm.ppf(0.95) * left.std() * np.sqrt(len(after) * (1 + len(after) / count))
    assert (told.bootstrap.high_kwh - told.bootstrap.low_kwh) / 2 == pytest.approx(closed, rel=0.15)


def test_leverage_is_what_a_reading_moves(two_years):
    """Refitted with one reading a kWh higher, the same bases kept, the whole prediction moves by its leverage."""
    found, after = two_years
    from statsmodels.regression.linear_model import OLS

    columns, later = found.fitted.columns(found.record), found.fitted.columns(after)
    moved = found.record.energy_kwh.copy()
    moved[40] += 1
    theirs = [float((later @ OLS(one, columns).fit().params).sum()) for one in (found.record.energy_kwh, moved)]
    assert leverage(found, after)[40] == pytest.approx(theirs[1] - theirs[0], rel=1e-6)
    # The variance of the whole prediction, by statsmodels' covariance, is its squares: to 1e-8.
    whole = later.sum(axis=0)
    spread = float(whole @ OLS(found.record.energy_kwh, columns).fit().normalized_cov_params @ whole)
    assert float((leverage(found, after) ** 2).sum()) == pytest.approx(spread, rel=1e-8)


def test_blocks_keep_neighbours_together():
    """A drawn path is made of stretches as they stood; its weighed sums have the mean and spread of a plain loop."""
    residual = np.arange(30.0) - 14.5
    blocks = Blocks(residual, 7, 1.0)
    path = blocks.path(20, np.random.default_rng(1))
    assert len(path) == 20
    steps = np.diff(path)
    inside = np.delete(steps, [6, 13])
    assert set(np.round(inside, 9)) <= {1.0, -29.0}
    weights = np.random.default_rng(2).uniform(size=20)
    sums = blocks.weighed(weights, 4000, np.random.default_rng(3))
    draws = np.random.default_rng(4)
    plain = np.array([weights @ blocks.path(20, draws) for _ in range(4000)])
    assert sums.mean() == pytest.approx(plain.mean(), abs=4 * plain.std() / 4000**0.5 * 2)
    assert sums.std() == pytest.approx(plain.std(), rel=0.05)


def test_blocks_are_widened(two_years):
    """Residuals of blocks lie about nought, and sums are widened by no more than a fifth on a year."""
    found, _ = two_years
    blocks = blocks_of(found, 0.9)
    assert blocks.residual_kwh.mean() == pytest.approx(0, abs=1e-12)
    assert 1 < blocks.wider < 1.2
    assert blocks.length == 14


def test_what_a_fit_takes_of_blocks():
    """A level takes one block's worth, a wave over the year nearly one; days of the week no more, nor a column said twice."""
    day = np.arange(364)
    level, wave = np.ones((364, 1)), np.cos(2 * np.pi * day / 364)[:, None]
    assert taken_of_blocks(level, 14) == pytest.approx(1.0)
    # Sums over 14 of 364 days of a wave: sin(14 pi / 364) / (14 sin(pi / 364)) of what they would be if it stood still.
    still = np.sin(14 * np.pi / 364) / (14 * np.sin(np.pi / 364))
    assert taken_of_blocks(np.hstack([level, wave, 2 * wave]), 14) == pytest.approx(1 + still**2)
    assert taken_of_blocks(np.asarray(day[:, None] % 7 == np.arange(7), np.float64), 14) == pytest.approx(1.0)
    # Each reading a block of its own: one for each parameter.
    assert taken_of_blocks(np.random.default_rng(1).normal(size=(40, 3)), 1) == pytest.approx(3.0)


@pytest.mark.parametrize("share", [0.0, 0.5])
def test_what_is_taken_is_what_sums_of_blocks_lose(share):
    """Sums over blocks of what OLS of statsmodels leaves are smaller than those of what was put in, by as much as is told."""
    from statsmodels.regression.linear_model import OLS
    from statsmodels.tsa.arima_process import arma_generate_sample

    day = np.arange(364)
    turn = 2 * np.pi * day / 364
    kinds_of_day = np.asarray(day[:, None] % 7 == np.arange(7), np.float64)
    columns = np.column_stack([kinds_of_day, np.cos(turn), np.sin(turn), np.cos(2 * turn)])
    put_in = left = 0.0
    for seed in range(400):
        noise = arma_generate_sample([1, -share], [1], 364, distrvs=np.random.default_rng(seed).normal)
        rest = OLS(noise, columns).fit().resid
        put_in, left = (one + (np.convolve(of, np.ones(14), "valid") ** 2).sum() for one, of in ((put_in, noise), (left, rest)))
    told = taken_of_blocks(columns, 14) / 26 * cut_at_ends(share, 14) ** 2
    assert 1 - left / put_in == pytest.approx(told, abs=0.015)


def test_slopes_and_bases_widen_the_band(two_years):
    """Of 26 blocks a model with a slope and a base loses more than a level does; readings of hours of the week lose no more."""
    found, _ = two_years
    assert found.fitted.searched == 1
    whole, level = blocks_of(found, 0.9).wider, blocks_of(replace(found, fitted=Mean().fit(found.record)), 0.9).wider
    assert whole / level == pytest.approx(np.sqrt(25 / (26 - 1 - 2)), rel=0.02)


def test_cut_at_ends_by_hand():
    """Alike by a half in blocks of two: sqrt(3 / (1 + 2 (1 / 2) (1 / 2))) = sqrt(2); nothing where nothing is alike."""
    assert cut_at_ends(0.5, 2) == pytest.approx(2**0.5)
    assert cut_at_ends(0.0, 14) == cut_at_ends(-0.4, 14) == 1.0
    assert cut_at_ends(0.5, 4000) == pytest.approx(1.0, abs=1e-3)


def test_formula_by_hand(two_years):
    """Half a band is t 1.26 CV sqrt(n / n' (1 + 2 / n') / m), written out; hours keep 1.26."""
    fit = replace(two_years[0].fitness, count=100, cv_rmse=0.2, alike=0.0, effective=50.0)
    assert baseline_uncertainty(fit, 25, 2.0) == pytest.approx(2 * 1.26 * 0.2 * (2 * 1.04 / 25) ** 0.5)
    assert months_factor(Grain.HOUR, 12.0) == SIMPLE_FACTOR
    assert student(0.9, 1e9) == pytest.approx(norm.ppf(0.95), rel=1e-6)
