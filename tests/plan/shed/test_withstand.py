"""Withstand curves: as the engine holds them, by I2t, and as the breaker standard demands."""

import numpy as np
import pytest
from hypothesis import given, strategies as st

from tests.plan.shed.kit import DATA_SHEET, island
from wattwright.plan.shed.withstand import Stepwise, Thermal, breaker, trips_by_s
from wattwright.simulate.supply_kernels import withstood_s


@given(st.floats(0.0, 3.0) | st.sampled_from([1.0, 1.25, 1.5, 2.0]))
def test_steps_are_those_of_the_engine(ratio):
    """A stepwise curve gives the very time by which the engine wears an inverter."""
    curve = island().compiled().curves[1]
    assert float(Stepwise(DATA_SHEET).time_s(ratio)) == withstood_s(curve, ratio)


def test_heat_that_is_borne():
    """I2t: 4000 A2s on 20 A is borne for 4000 / 40^2 = 2.5 s at twice the rating; none below where it begins, none beyond."""
    fuse = Thermal(20.0, 4000.0, from_ratio=1.25, instant_ratio=10.0)
    assert fuse.time_s([1.0, 1.25, 2.0, 4.0, 10.0]).tolist() == [np.inf, np.inf, 2.5, 0.625, 0.0]
    assert float(Thermal(20.0, 4000.0).time_s(1.0)) == np.inf


@pytest.mark.parametrize(("letter", "at_once"), [("B", 3.0), ("C", 5.0), ("D", 10.0)])
def test_what_a_breaker_must_bear(letter, at_once):
    """1.13 times for an hour, two above 63 A; 2.55 times a second; at 3, 5 or 10 times it may trip at once (IEC 60898-1)."""
    for rating_a, hours in ((16.0, 1.0), (63.0, 1.0), (80.0, 2.0)):
        curve = breaker(letter, rating_a)
        assert curve.time_s([1.0, 1.13, 2.55, at_once, at_once + 0.01]).tolist() == [np.inf, 3600.0 * hours, 1.0, 0.1, 0.0]


@pytest.mark.parametrize(
    ("rating_a", "wanted"), [(32.0, [(1.45, 3600.0), (2.55, 60.0)]), (80.0, [(1.45, 7200.0), (2.55, 120.0)])]
)
def test_when_a_breaker_must_have_tripped(rating_a, wanted):
    """1.45 times within the conventional time, 2.55 times within one or two minutes (IEC 60898-1, the latter from memory)."""
    assert list(trips_by_s(rating_a)) == wanted
    for (bears, lasts), (trips, by) in zip(breaker("C", rating_a).points[:2], wanted, strict=True):
        assert bears <= trips
        assert lasts <= by, "it must bear for no longer than until it must trip"
