"""Random times in closed form."""

import numpy as np
import pytest
from hypothesis import given, strategies as st

from wattwright.core.errors import OwnFault
from wattwright.plan.shed.times import Times, at_once, repeats, spread_by

widths = st.lists(st.sampled_from([0.0, 0.02, 0.5, 1.0, 7.0, 60.0]), min_size=1, max_size=4)


@pytest.mark.parametrize(
    ("spreads", "at", "share"),
    [
        # One even spread.
        ((4.0,), 1.0, 0.25),
        # Two alike: a triangle; x^2 / 2 below 1, 1 - (2 - x)^2 / 2 above.
        ((1.0, 1.0), 0.5, 0.125),
        ((1.0, 1.0), 1.5, 0.875),
        # Unlike: the density is level between 1 and 3 at 1/3, half of 1/3 lies before 1.
        ((1.0, 3.0), 1.0, 1 / 6),
        ((1.0, 3.0), 2.0, 0.5),
        # Three alike: x^3 / 6 below 1, and 2/3 of all lies between 1 and 2.
        ((1.0, 1.0, 1.0), 1.0, 1 / 6),
        ((2.0, 2.0, 2.0), 4.0, 5 / 6),
        # Four alike: the corner of a unit hypercube, x^4 / 24.
        ((1.0, 1.0, 1.0, 1.0), 1.0, 1 / 24),
        ((), 0.0, 1.0),
        ((), -0.1, 0.0),
        ((0.0, 4.0), 1.0, 0.25),
    ],
)
def test_spreads_by_hand(spreads, at, share):
    """Sums of even spreads agree with areas and volumes worked out by hand (Irwin and Hall)."""
    assert float(spread_by(np.array(at), spreads)) == pytest.approx(share, abs=1e-12)


@given(widths)
def test_spreads_agree_with_draws(spreads):
    """Whatever the widths, the closed form agrees with 40,000 draws, or lies a little later where digits are kept."""
    draws = np.random.default_rng(5).uniform(0.0, 1.0, (40_000, len(spreads))) @ np.array(spreads)
    at = np.linspace(-1.0, sum(spreads) + 1.0, 23)
    drawn = (draws[:, None] <= at + 1e-12).mean(axis=0)
    told = spread_by(at, tuple(spreads))
    assert np.all(np.diff(told) >= -1e-9)
    # Four standard errors; what counts narrow spreads in full is later by up to 60 ms in 60 s.
    assert np.all(np.abs(told - drawn) <= 4.0 * np.sqrt(0.25 / 40_000) + 0.005)


def test_narrow_spreads_are_never_made_earlier():
    """Beside a minute a spread of 20 ms counts in full, so that no digits are lost: never earlier than it is."""
    at = np.linspace(0.0, 61.0, 400)
    narrow = spread_by(at, (60.0, 0.02, 0.02, 0.02))
    assert np.all(narrow <= spread_by(at, (60.0,)) + 1e-12)
    assert np.all(narrow >= spread_by(at - 0.06, (60.0,)) - 1e-12)


@given(widths, st.floats(0.01, 0.99))
def test_quantile_turns_back(spreads, share):
    """By its quantile so many have come, and just before fewer."""
    times = Times(np.array([1.0, 3.0]), np.array([0.6, 0.4]), tuple(spreads))
    at = times.quantile_s(share)
    assert float(times.by(at)) >= share - 1e-9
    assert float(times.by(at - 1e-6)) <= share + 1e-4 or len(set(spreads)) < 2


def test_what_never_comes():
    """Weights that lack something of 1 never reach it."""
    times = Times(np.array([1.0]), np.array([0.9]))
    assert times.never_share == pytest.approx(0.1)
    assert times.quantile_s(0.95) == np.inf
    assert times.quantile_s(0.9) == pytest.approx(1.0)
    never = Times(np.zeros(0), np.zeros(0))
    assert (never.least_s, never.quantile_s(0.5), float(never.by(1e9))) == (np.inf, np.inf, 0.0)


def test_later_and_at_once():
    """A time that is certain is a step, and everything may be put off."""
    assert at_once(2.0).by([1.9, 2.0]).tolist() == [0.0, 1.0]
    assert at_once().later(3.0).least_s == 3.0


@pytest.mark.parametrize("lost", [0.0, 0.01, 0.3, 0.9])
def test_repeats_are_geometric(lost):
    """The chances add up to 1 but for a trace, and the mean number of losses is q / (1 - q)."""
    chances = repeats(lost)
    assert chances.sum() == pytest.approx(1.0, abs=2e-10)
    assert chances @ np.arange(len(chances)) == pytest.approx(lost / (1.0 - lost), abs=1e-6)


def test_a_link_that_loses_everything():
    """Where all is lost nothing arrives; what is no share is a fault of ours."""
    assert repeats(1.0).size == 0
    with pytest.raises(OwnFault, match=r"1\.5"):
        repeats(1.5)
