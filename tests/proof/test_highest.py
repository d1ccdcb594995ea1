"""The band of the highest hour: Gumbel's law against scipy, trials on invented sites, and where it is left out."""

import numpy as np
import pytest
from scipy.signal import lfilter
from scipy.stats import gumbel_r, logistic, norm, t

from tests.proof.invented import BEGIN_S, CLOCK, Grain
from wattwright.core.series import of_values
from wattwright.core.show import Show
from wattwright.proof.highest import block_maxima_w, half_width_w, scale_w
from wattwright.proof.models.record import use_record

DAYS = 364
EVENING = np.arange(24 * DAYS) % 24 >= 17


def base(noise_w, seed=1):
    """An invented site: 1.5 kW, 1 kW more in the evening, and what scatters, W."""
    return 1500.0 + 1000.0 * EVENING[: len(noise_w)] + noise_w


def case(power_w):
    """Hours of the invented year as a record, and what a model that is right tells of them."""
    record = use_record(of_values(BEGIN_S, 3600, power_w), CLOCK, Grain.HOUR)
    told = of_values(BEGIN_S, 3600, np.where(np.isnan(power_w), np.nan, base(np.zeros(len(power_w)))))
    return record, use_record(told, CLOCK, Grain.HOUR).energy_kwh


def normal(seed, hours=24 * DAYS):
    """Scatter of 200 W."""
    return np.random.default_rng(seed).normal(0, 200, hours)


def test_the_scale_is_that_of_gumbel():
    """The standard deviation of Gumbel's law of scale 70 is that of scipy.stats.gumbel_r; the scale comes back from draws."""
    drawn = gumbel_r(1000.0, 70.0).rvs(20_000, random_state=np.random.default_rng(1))
    assert scale_w(drawn) == pytest.approx(70.0, rel=0.03)
    exact = np.array([-1.0, 1.0]) * gumbel_r(0.0, 70.0).std() / 2**0.5
    assert scale_w(exact) == pytest.approx(70.0)


@pytest.mark.parametrize("confidence", [0.5, 0.8, 0.9, 0.99])
def test_half_the_width_is_the_quantile_of_a_logistic_law(confidence):
    """It is scipy's quantile of the logistic law of that scale, wider by Student's t of the blocks over the normal one."""
    power_w = base(normal(2))
    # By hand: the highest hour of each 28 days less the highest that the model tells, the 2.5 kW of an evening.
    above_w = power_w.reshape(13, -1).max(axis=1) - 2500.0
    highest_w, told_w = block_maxima_w(*case(power_w))
    assert (highest_w, told_w) == (pytest.approx(above_w + 2500.0), pytest.approx(above_w))
    upper = (1 + confidence) / 2
    scale = np.std(above_w, ddof=1) * 6**0.5 / np.pi
    wanted = logistic(0.0, scale).ppf(upper) * t(12).ppf(upper) / norm.ppf(upper)
    assert half_width_w(*case(power_w), confidence) == pytest.approx(wanted)


def test_hardly_read_blocks_do_not_count():
    """Of a block of which a fifth was not read nothing is taken; the others stay."""
    power_w = base(normal(3))
    power_w[28 * 24 : 34 * 24] = np.nan
    assert len(block_maxima_w(*case(power_w))[1]) == 12
    power_w = base(normal(3))
    power_w[28 * 24 : 56 * 24] = np.nan
    assert len(block_maxima_w(*case(power_w))[1]) == 12


@pytest.mark.parametrize(("weeks", "is_told"), [(31, False), (32, True)])
def test_too_few_blocks_tell_no_band(weeks, is_told):
    """Eight blocks of four weeks tell a band; of one week less a finding says that it takes eight."""
    told = half_width_w(*case(base(normal(4, weeks * 168))), 0.9)
    if is_told:
        assert told > 0
    else:
        assert told.code == "proof.highest-short"
        assert "holds 7 whole blocks" in told.says(Show())


@pytest.mark.parametrize(("blocks", "is_told"), [(0, True), (1, False), (3, False), (4, True)])
def test_a_spike_of_few_blocks_tells_no_band(blocks, is_told):
    """An hour of 3 kW more in up to a quarter of the blocks is a finding; in more of them it is part of the scatter."""
    power_w = base(normal(5))
    for block in range(blocks):
        power_w[block * 28 * 24 * 3 + 24 * 3 + 20] += 3000.0
    told = half_width_w(*case(power_w), 0.9)
    if is_told:
        assert told > 0
        # A band that knows of the spike is wider than by what it lifts the highest hour of a block.
        highest_w = power_w.reshape(13, -1).max(axis=1)
        assert blocks == 0 or told > highest_w.max() - np.median(highest_w)
    else:
        assert told.code == "proof.highest-rare"
        assert f"in {blocks} of 13 blocks" in told.says(Show())


def test_what_is_not_the_highest_is_no_spike():
    """An hour of 3 kW more in a block whose level is 4.9 kW lower moves no highest hour, and the band stays."""
    level_w = np.zeros(24 * DAYS)
    level_w[: 28 * 24] = -1400.0
    power_w = 4000.0 + base(normal(6)) + 3.5 * level_w
    power_w[500] += 3000.0
    record, told_kwh = case(power_w)
    assert half_width_w(record, told_kwh + 4.0 + 3.5 * level_w / 1000, 0.9) > 0


def test_a_use_without_scatter_has_a_band_of_nought():
    """Where each block is like the next, rounding is no spike."""
    assert half_width_w(*case(base(np.zeros(24 * DAYS))), 0.9) == pytest.approx(0.0, abs=1e-6)


def _walk(draws):
    """Scatter that is alike from hour to hour, W."""
    return lfilter([1.0], [1.0, -0.8], draws.normal(0, 150, 24 * DAYS))


@pytest.mark.parametrize(
    "scatter",
    [
        lambda draws: draws.normal(0, 200, 24 * DAYS),
        lambda draws: draws.exponential(250, 24 * DAYS),
        _walk,
    ],
    ids=["normal", "exponential", "alike"],
)
def test_the_band_holds_on_ordinary_sites(scatter):
    """Of 100 pairs of seeded years that differ by chance alone nine tenths are held, to three standard errors (binomial law)."""
    held = told = 0
    for seed in range(100):
        draws = np.random.default_rng([seed, 9])
        before_w, after_w = base(scatter(draws)), base(scatter(draws))
        half = half_width_w(*case(before_w), 0.9)
        if isinstance(half, float):
            told += 1
            held += abs(before_w.max() - after_w.max()) <= half
    assert told >= 90
    assert held >= (0.9 - 3 * (0.09 / told) ** 0.5) * told
