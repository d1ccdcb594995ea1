"""Curves of two exponentials against direct integration and plain sampling."""

import math

import numpy as np
import pytest
from hypothesis import given, settings, strategies as st
from scipy.integrate import quad

from wattwright.loads.curve_kernels import followed, integral, meets, over, turning, value

pytestmark = pytest.mark.kernel
CURVES = st.tuples(st.floats(-20, 20), st.floats(-20, 20), st.floats(1e-4, 1e-1), st.floats(-20, 20), st.floats(1e-4, 1e-1))


def plainly(curve, time_s):
    end, a, alpha, b, beta = curve
    return end + a * math.exp(-alpha * time_s) + b * math.exp(-beta * time_s)


@settings(max_examples=60)
@given(curve=CURVES, time_s=st.floats(1, 600), limit=st.floats(-30, 30))
def test_over_is_the_integral(curve, time_s, limit) -> None:
    """Value, integral and the part over a limit are those of scipy's quad."""
    assert value(curve, time_s) == pytest.approx(plainly(curve, time_s), abs=1e-9)
    assert integral(curve, time_s) == pytest.approx(quad(lambda t: plainly(curve, t), 0, time_s)[0], rel=1e-7, abs=1e-6)
    at = np.linspace(0, time_s, 20_001)
    sampled = np.maximum(curve[0] + curve[1] * np.exp(-curve[2] * at) + curve[3] * np.exp(-curve[4] * at) - limit, 0.0)
    assert over(curve, time_s, limit) == pytest.approx(np.trapezoid(sampled, at), rel=1e-4, abs=1e-3 * time_s)


def test_it_turns_where_its_slope_is_nought() -> None:
    """e^-t - e^-2t turns at ln 2, one exponential alone never, nor two that pull the same way."""
    assert turning((0.0, 1.0, 1.0, -1.0, 2.0)) == pytest.approx(math.log(2))
    assert turning((0.0, 0.0, 1.0, -1.0, 2.0)) == math.inf
    assert turning((0.0, 1.0, 1.0, -1.0, 1.0)) == math.inf
    assert turning((0.0, 1.0, 1.0, 1.0, 2.0)) == math.inf
    assert turning((0.0, 1.0, 1.0, -0.25, 2.0)) == math.inf  # it turned before 0


def test_it_meets_a_threshold_first_on_its_way_up_then_down() -> None:
    """e^-t - e^-2t meets 0.2 first at -ln of the greater root of x - x^2 = 0.2; 0.3 lies over its top of 1/4."""
    curve = (0.0, 1.0, 1.0, -1.0, 2.0)
    assert meets(curve, 5.0, 0.2) == pytest.approx(-math.log((1 + math.sqrt(0.2)) / 2))
    assert meets(curve, 5.0, 0.3) == math.inf
    assert meets(curve, 5.0, -0.1) == math.inf
    falls = (0.0, 1.0, 1.0, 0.0, 2.0)
    assert meets(falls, 5.0, 0.5) == pytest.approx(math.log(2))
    assert meets(falls, 0.5, 0.5) == math.inf


def test_a_follower_of_the_same_pace() -> None:
    """With one time constant for both, a follower from rest at 0 of a step from 1 to 0 is t e^-t, within 1e-6."""
    curve = followed(0.0, 1.0, 0.0, 1.0, 1.0)
    for time_s in (0.1, 1.0, 3.0):
        assert value(curve, time_s) == pytest.approx(time_s * math.exp(-time_s), abs=2e-6)
