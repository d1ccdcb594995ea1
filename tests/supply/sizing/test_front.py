"""Fronts: nothing on one is dominated, and nothing that is left out is better than all of it."""

import numpy as np
import pytest
from hypothesis import given, strategies as st
from hypothesis.extra.numpy import arrays

from wattwright.supply.sizing.front import front, thinned


@pytest.mark.parametrize("width", [2, 3])
@given(data=st.data())
def test_fronts_hold_what_no_other_dominates(width, data):
    """Held against every pair: what is kept is beaten by none, and each that is left out is matched or beaten by one kept."""
    rows = data.draw(arrays(float, (data.draw(st.integers(1, 25)), width), elements=st.integers(0, 6).map(float)))
    kept = front(rows)
    for one in kept:
        assert not any(np.all(other <= rows[one]) and np.any(other < rows[one]) for other in rows)
    for place in set(range(len(rows))) - set(kept.tolist()):
        assert any(np.all(rows[one] <= rows[place]) for one in kept)
    assert len({tuple(rows[one]) for one in kept}) == len(kept)
    assert np.all(np.diff(rows[kept, 0]) >= 0)


@given(st.lists(st.floats(0.1, 5.0), min_size=2, max_size=60), st.integers(2, 9))
def test_a_thinned_front_keeps_its_ends(steps, most):
    """At most so many are kept, in order, the first and the last among them."""
    x = np.cumsum(steps)
    rows = np.column_stack((x, -x))
    places = front(rows)
    kept = thinned(rows, places, most)
    assert len(kept) <= max(most, 2)
    assert kept[0] == places[0]
    assert kept[-1] == places[-1]
    assert set(kept) <= set(places)
