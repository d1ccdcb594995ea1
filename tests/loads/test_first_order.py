"""Drifts to an end: when they meet a threshold, and how long they lie outside a band."""

import math

import pytest
from hypothesis import given, strategies as st

from wattwright.loads.first_order_kernels import area, drift, gone, outside, passes, time_to

pytestmark = pytest.mark.kernel


def test_a_threshold_is_met_in_the_closed_form_or_never() -> None:
    """From 0 to 1 with tau 10, 0.5 is met after 10 ln 2; where it stands, at once; behind it or beyond its end, never."""
    assert time_to(0.0, 1.0, 10.0, 0.5) == pytest.approx(10 * math.log(2))
    assert time_to(0.0, 1.0, 10.0, 0.0) == 0.0
    assert time_to(0.0, 1.0, 10.0, -0.5) == math.inf
    assert time_to(0.0, 1.0, 10.0, 1.5) == math.inf


@given(now=st.floats(-40, 80), end=st.floats(-40, 80), tau_s=st.floats(60, 1e7), time_s=st.floats(0.1, 3600))
def test_area_and_way_agree_with_the_plain_formulas(now: float, end: float, tau_s: float, time_s: float) -> None:
    """Drift and its integral are those of the exponential; what lies outside a band of nothing is all of it."""
    share = gone(tau_s, time_s)
    assert drift(now, end, tau_s, time_s) == pytest.approx(end + (now - end) * math.exp(-time_s / tau_s), abs=1e-9)
    wanted = end * time_s + (now - end) * tau_s * (1 - math.exp(-time_s / tau_s))
    found = area(now, end, tau_s, time_s, share)
    assert found == pytest.approx(wanted, rel=1e-6, abs=1e-6 * tau_s)
    then = now + (end - now) * share
    assert outside(now, then, end, tau_s, time_s, share, -math.inf, -50.0) == pytest.approx(found + 50 * time_s, rel=1e-9)
    assert outside(now, then, end, tau_s, time_s, share, 90.0, math.inf) == pytest.approx(90 * time_s - found, rel=1e-9)


def test_passing_is_on_the_way_only() -> None:
    """A threshold is passed by a drift that reaches it from either side, not by one that begins on it."""
    assert passes(0.0, 1.0, 1.0)
    assert passes(1.0, 0.0, 0.0)
    assert not passes(1.0, 2.0, 1.0)
    assert not passes(0.0, 1.0, 1.5)
