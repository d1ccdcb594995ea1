"""Stretches and instants: their order, their shares and their limits."""

import numpy as np
import pytest
from hypothesis import given, strategies as st

from wattwright.core.events import Events
from wattwright.core.spans import Spans


def spans(*rows):
    """Spans of (start, end, value)."""
    starts, ends, values = (np.array(one) for one in zip(*rows, strict=True)) if rows else (np.zeros(0, np.int64),) * 3
    return Spans(starts, ends, values.astype(float), np.zeros(len(rows), np.uint8), values.astype(float))


rows = st.lists(st.tuples(st.integers(0, 500), st.integers(1, 90), st.floats(0, 1e4)), max_size=15).map(
    lambda given: [(start, start + length, value) for start, length, value in sorted(given)]
)


@given(rows, st.integers(0, 600))
def test_two_parts_add_up_to_the_whole(given, cut):
    """Cut anywhere, the totals of both sides are the total."""
    one = spans(*given)
    assert one.within(0, cut) + one.within(cut, 600) == pytest.approx(sum(value for _, _, value in given), rel=1e-9, abs=1e-9)


@given(rows)
def test_overlaps_are_found_as_by_looking_at_every_pair(given):
    """A span overlaps when any earlier one ends after it begins."""
    plain = [i for i in range(len(given)) if any(given[k][1] > given[i][0] for k in range(i))]
    assert spans(*given).overlaps.tolist() == plain


def test_bill_gives_its_share_by_time():
    """A bill of 300 kWh over 30 days gives a third of it to ten days; one that was not read gives nothing."""
    day = 86_400
    one = spans((0, 30 * day, 300.0), (30 * day, 60 * day, float("nan")))
    assert one.within(10 * day, 20 * day) == pytest.approx(100.0)
    assert one.within(30 * day, 60 * day) == 0
    assert len(one) == 2


@pytest.mark.parametrize("given", [[(0, 0, 1.0)], [(5, 3, 1.0)], [(10, 20, 1.0), (5, 8, 1.0)]])
def test_spans_out_of_order_are_refused(given):
    """Lengths are positive and starts stand in order."""
    with pytest.raises(ValueError, match="positive lengths"):
        spans(*given)


def test_spans_of_unlike_lengths_are_refused():
    """All arrays have one length."""
    with pytest.raises(ValueError, match="same length"):
        Spans(np.array([0]), np.array([1, 2]), np.ones(1), np.zeros(1, np.uint8), np.ones(1))


@given(st.lists(st.integers(0, 100), max_size=20).map(sorted), st.integers(0, 100), st.integers(0, 100))
def test_events_between_are_those_at_or_after_the_start_and_before_the_end(times, low, high):
    """The same events as by comparing each instant."""
    events = Events(np.array(times, np.int64), tuple("e" for _ in times), np.zeros(len(times), np.uint8), tuple(map(str, times)))
    found = events.between(low, max(low, high))
    assert found.times_s.tolist() == [t for t in times if low <= t < max(low, high)]
    assert found.raw == tuple(str(t) for t in times if low <= t < max(low, high))
    assert len(found) == len(found.kinds) == len(found.quality)


def test_events_that_cannot_be_are_refused():
    """Parts have one length and times stand in order."""
    with pytest.raises(ValueError, match="same length"):
        Events(np.array([1]), (), np.zeros(1, np.uint8), ("",))
    with pytest.raises(ValueError, match="order"):
        Events(np.array([2, 1]), ("a", "b"), np.zeros(2, np.uint8), ("", ""))
