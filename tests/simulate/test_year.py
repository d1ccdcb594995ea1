"""A site of stores over a week against its plain twin; the study plain_year does the same over a year."""

import pytest

from tests.simulate.stores import both

pytestmark = pytest.mark.kernel


def test_a_week_of_stores_under_rules_is_that_of_the_plain_twin() -> None:
    """Tank, cold store and pump under timers, shedding and outages: every switching, with its cause, and the water at the end.

    A power is never so near a threshold that rounding could decide; instants found by halving agree to a millionth of a second.
    """
    told = both(7)
    assert told["contacts_alike"]
    assert told["own_switchings_alike"]
    assert told["furthest_apart_s"] < 1e-6
    assert told["running_times_apart"] < 1e-10
    assert told["tank_apart_k"] < 1e-9
    assert told["nearest_to_a_threshold_w"] > 1e-9
    assert told["contacts_moved"] > 100
    assert {"shed", "no supply", "rule r0"} <= set(told["causes"])
