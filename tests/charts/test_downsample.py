"""Downsampling keeps every peak and trough."""

import numpy as np
import pytest
from hypothesis import given, strategies as st

from wattwright.charts.downsample import minmax_columns
from wattwright.core.errors import OwnFault

VALUES = st.lists(st.floats(-1e6, 1e6) | st.just(float("nan")), min_size=1, max_size=200)


@given(VALUES, st.integers(1, 60))
def test_each_column_holds_its_own_extremes(values: list[float], columns: int) -> None:
    """Least and greatest of each column are those of a plain loop over its values, gaps passed over."""
    made = minmax_columns(values, columns)
    for a, b, least, greatest in zip(made.edges, made.edges[1:], made.least, made.greatest, strict=False):
        known = [v for v in values[a:b] if v == v]
        assert b > a
        if known:
            assert (least, greatest) == (min(known), max(known))
        else:
            assert np.isnan([least, greatest]).all()


@given(VALUES, st.integers(1, 60))
def test_columns_cover_all_values_evenly(values: list[float], columns: int) -> None:
    """Columns follow one another from the first value to the last, and their sizes differ by one at most."""
    edges = minmax_columns(values, columns).edges
    assert (edges[0], edges[-1]) == (0, len(values))
    assert len(edges) == min(columns, len(values)) + 1
    assert np.ptp(np.diff(edges)) <= 1


def test_a_single_peak_survives() -> None:
    """One reading of 9 among ten thousand of 1 is still the greatest of its column: the 4 321st of 100 columns' 43rd."""
    values = np.ones(10_000)
    values[4321] = 9.0
    made = minmax_columns(values, 100)
    assert np.flatnonzero(made.greatest == 9.0).tolist() == [43]
    assert (made.least == 1.0).all()


def test_nothing_gives_nothing() -> None:
    """No values give no columns."""
    made = minmax_columns([], 5)
    assert (len(made.least), len(made.greatest), made.edges.tolist()) == (0, 0, [0])


@pytest.mark.parametrize(("values", "columns"), [([1.0], 0), ([[1.0], [2.0]], 3)])
def test_what_cannot_be_cut_is_refused(values, columns: int) -> None:
    """No column, or values of two dimensions, are refused with the shape given."""
    with pytest.raises(OwnFault, match="wanted a row of values"):
        minmax_columns(values, columns)
