"""Bounds on paper: a least is never told as less than it is, a most never as more."""

import pytest
from hypothesis import given, strategies as st

from wattwright.core.bounds import as_least, as_most


@pytest.mark.parametrize(
    ("value", "digits", "least", "most"),
    [(20.85, 3, 20.9, 20.8), (34.7826, 3, 34.8, 34.7), (12.5, 3, 12.5, 12.5), (1.1 * 3, 3, 3.3, 3.3), (0.0, 3, 0.0, 0.0),
     (552.5, 4, 552.5, 552.5), (99.96, 3, 100.0, 99.9), (12345.0, 2, 13000.0, 12000.0)],
)  # fmt: skip
def test_a_least_is_rounded_up_and_a_most_down(value, digits, least, most):
    """Worked out by hand; what needs no rounding, but for what floating point added, stays."""
    assert (as_least(value, digits), as_most(value, digits)) == (least, most)


@given(st.floats(1e-3, 1e6), st.integers(1, 6))
def test_no_bound_is_told_as_wider_than_it_is(value, digits):
    """And by no more than one of its last digits."""
    low, high = as_most(value, digits), as_least(value, digits)
    assert low <= value * (1.0 + 1e-11)
    assert high >= value * (1.0 - 1e-11)
    assert high - low <= 10.0 ** (2 - digits) * value
