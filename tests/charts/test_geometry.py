"""Hatching, merged cells, labels moved apart and round axes: plain geometry against plain twins."""

import re

import numpy as np
import pytest
from hypothesis import given, strategies as st
from hypothesis.extra.numpy import arrays
from scipy.optimize import minimize

from wattwright.charts.hatch import Box, boxes_path, hatch_path, merged_boxes
from wattwright.charts.heat import class_edges, month_starts
from wattwright.charts.lines import spread
from wattwright.charts.parts import nice_top, power_unit, span, ticks, wrapped

GRIDS = arrays(np.bool_, st.tuples(st.integers(1, 12), st.integers(1, 8)))


@given(GRIDS)
def test_merged_boxes_cover_exactly_the_true_cells(cells: np.ndarray) -> None:
    """Painting the boxes into an empty grid of one px to the cell gives the cells again, each painted once."""
    painted = np.zeros(cells.shape, dtype=int)
    for box in merged_boxes(cells, *map(float, cells.shape)):
        painted[round(box.left) : round(box.right), round(box.top) : round(box.bottom)] += 1
    np.testing.assert_array_equal(painted, cells.astype(int))


@pytest.mark.parametrize("rising", [True, False])
def test_strokes_stay_inside_and_lie_on_one_family_of_lines(rising: bool) -> None:
    """Strokes of two boxes end on their edges, at 45 degrees, and are multiples of the spacing from the same origin."""
    boxes = [Box(10, 5, 40, 25), Box(40, 5, 47, 60)]
    path = hatch_path(boxes, 4.0, rising)
    strokes = np.array([[float(v) for v in re.split("[,L]", part)] for part in path.split("M")[1:]])
    x0, y0, x1, y1 = strokes.T
    assert ((x0 >= 10) & (x1 <= 47) & (np.minimum(y0, y1) >= 5) & (np.maximum(y0, y1) <= 60)).all()
    np.testing.assert_allclose(np.abs(y1 - y0), x1 - x0, atol=0.21)  # printed to a tenth of a px
    place = (x0 + y0 if rising else x0 - y0) / (4.0 * np.sqrt(2.0))
    np.testing.assert_allclose(place, np.round(place), atol=0.04)
    assert len(strokes) > 10


def test_no_boxes_no_strokes() -> None:
    """Nothing to hatch gives an empty path, and a box is drawn as its four sides."""
    assert hatch_path([]) == ""
    assert boxes_path([Box(0, 1, 2, 3)], 0.5) == "M0.00,1.00H2.50V3.00H0.00Z"


@given(st.lists(st.floats(0, 100), min_size=1, max_size=8), st.floats(1, 20))
def test_spread_keeps_order_and_gap_and_mean(places: list[float], gap: float) -> None:
    """Neighbours end at least the gap apart, in the order they had, and the centre of all does not move."""
    out = spread(places, gap)
    order = np.argsort(places, kind="stable")
    assert (np.diff(out[order]) >= gap - 1e-9).all()
    assert out.mean() == pytest.approx(np.mean(places))


def test_spread_moves_least() -> None:
    """The places are the least-squares answer, as a general optimiser finds it (scipy SLSQP)."""
    places, gap = np.array([3.0, 4.0, 4.5, 20.0, 21.0]), 3.0
    rule = {"type": "ineq", "fun": lambda x: np.diff(x) - gap}
    found = minimize(lambda x: ((x - places) ** 2).sum(), places + np.arange(5), constraints=[rule], tol=1e-12)
    np.testing.assert_allclose(spread(places.tolist(), gap), found.x, atol=1e-4)


@given(st.floats(1e-3, 1e7))
def test_axes_end_at_a_round_number_not_far_above(highest: float) -> None:
    """The end of an axis holds the highest value, is at most half as much again plus rounding, and has its ticks on it."""
    top = nice_top(highest)
    assert highest * (1 - 1e-6) <= top <= highest * 1.51
    for few in (False, True):
        places = ticks(top, few)
        assert places[0] == 0.0
        assert places[-1] <= top * (1 + 1e-6)
        assert 3 <= len(places) <= 7
        np.testing.assert_allclose(np.diff(places), places[1])


def test_axis_without_power() -> None:
    """Nothing above zero gives an axis to 1."""
    assert nice_top(0.0) == 1.0
    assert nice_top(float("nan")) == 1.0


def test_watts_below_one_kilowatt() -> None:
    """999 W are shown in W, 1000 W in kW; gaps and empty series are passed over."""
    assert power_unit([10.0, float("nan"), 999.0], []) == ("W", 1.0)
    assert power_unit([10.0], [1000.0]) == ("kW", 1000.0)
    assert power_unit([float("nan")]) == ("W", 1.0)


def test_classes_of_a_heat_map() -> None:
    """Seven classes hold 16.6 kW in steps of 2.5 (16.6 / 7 = 2.37, the next round step is 2.5)."""
    assert class_edges(16.6) == [0, 2.5, 5, 7.5, 10, 12.5, 15, 17.5]


def test_months_start_where_the_calendar_says() -> None:
    """Forty days from 20 January 2024 begin on that day and again on 1 February, 12 days later."""
    import datetime as dt

    assert month_starts(dt.date(2024, 1, 20), 40) == [(0, dt.date(2024, 1, 20)), (12, dt.date(2024, 2, 1))]


def test_words_break_between_words() -> None:
    """A line holds as many mean characters (5.7 px) as fit, 17 in 100 px; nothing stays nothing."""
    assert wrapped("two water heaters and the oven", 100) == ["two water heaters", "and the oven"]
    assert wrapped("", 100) == []


@given(st.floats(-1e6, 1e6), st.floats(-1e6, 1e6))
def test_axes_hold_zero_and_both_ends(one: float, other: float) -> None:
    """An axis holds the lowest value, the highest and zero; its first and last tick are its ends, and zero is a tick."""
    low, high = sorted(round(value, 3) for value in (one, other))
    bottom, top = span(low, high)
    reach = max(top, -bottom)
    assert bottom <= min(low, 0.0) + 1e-6 * reach
    assert top >= max(high, 0.0) - 1e-6 * reach
    places = ticks(top, bottom=bottom)
    assert places[0] == pytest.approx(bottom)
    assert places[-1] == pytest.approx(top)
    assert 0.0 in places


def test_axis_below_zero() -> None:
    """From -3.2 to 1.4 kW the nice end of 3.2 is 4, in steps of two where there are few: -4 to 2; without export from 0."""
    assert span(-3.2, 1.4) == (-4.0, 2.0)
    assert ticks(2.0, bottom=-4.0) == [-4.0, -2.0, 0.0, 2.0]
    assert span(0.4, 1.4) == (0.0, 1.5)
    assert span(-3.2, -1.0) == (-4.0, 0.0)


def test_last_figure_of_an_axis_is_its_end() -> None:
    """2334 kWh end an axis to 2500 whose last figure is 2500 too, also where there are few."""
    top = nice_top(2334 * 1.02)
    assert top == 2500.0
    assert ticks(top, few=True)[-1] == 2500.0


def test_unit_of_export() -> None:
    """Five kilowatts given back are kilowatts."""
    assert power_unit([-5000.0, 300.0]) == ("kW", 1000.0)
