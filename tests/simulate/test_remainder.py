"""The rest of a site: energy kept day by day, never below nought."""

import numpy as np
import pytest
from hypothesis import given, strategies as st
from hypothesis.extra import numpy as hnp

from wattwright.simulate.remainder import remainder

DAY = np.zeros(96, np.int64)
MOST = np.array([3000.0])


@st.composite
def sites(draw):
    """Two days of quarter hours of a site and of a load on it."""
    record = draw(hnp.arrays(float, 192, elements=st.floats(0, 9000)))
    modelled = draw(hnp.arrays(float, 192, elements=st.sampled_from([0.0, 0.0, 700.0, 3000.0])))
    return record, modelled


@given(sites())
def test_energy_is_kept_and_nothing_falls_below_nought(site) -> None:
    """What is left and what the loads draw are the record again, but for what a day did not hold."""
    record, modelled = site
    day = np.repeat([3, 4], 96)
    made = remainder(record, modelled[np.newaxis], MOST, day, 900)
    assert (made.rest_w >= -1e-6).all()
    assert (made.rest_w <= record + 1e-6).all()
    kept = made.rest_w.sum() + modelled.sum() - made.short_kwh * 3.6e6 / 900
    assert kept == pytest.approx(record.sum(), rel=1e-9, abs=1e-3)
    for one in (3, 4):
        taken = (record - made.rest_w)[day == one].sum()
        assert taken <= modelled[day == one].sum() + 1e-6


def test_a_load_that_ran_at_another_time_is_found() -> None:
    """The record's heater ran at seven, the model's at eight: the rest is the base alone, as if they had run together."""
    record, modelled = np.full(96, 400.0), np.zeros(96)
    record[28:32] += 3000.0
    modelled[32:36] = 3000.0
    made = remainder(record, modelled[np.newaxis], MOST, DAY, 900)
    assert made.rest_w == pytest.approx(np.full(96, 400.0))
    assert (made.moved, made.short_kwh) == (pytest.approx(1.0), 0.0)


def test_a_load_that_ran_as_modelled_is_taken_where_it_ran() -> None:
    """Where model and record agree nothing is moved, whatever else ran higher."""
    record, modelled = np.full(96, 400.0), np.zeros(96)
    record[28:32] += 3000.0
    record[70] += 5000.0
    modelled[28:32] = 3000.0
    made = remainder(record, modelled[np.newaxis], MOST, DAY, 900)
    assert made.moved == 0.0
    assert made.rest_w[70] == 5400.0


def test_what_a_day_does_not_hold_is_said() -> None:
    """A load that would take 24 kWh of a day with 12 kWh lacks the difference to the day's base."""
    made = remainder(np.full(96, 500.0), np.full((1, 96), 1000.0), np.array([1000.0]), DAY, 900)
    assert made.short_kwh == pytest.approx(12.0)
    assert made.rest_w == pytest.approx(np.zeros(96))


def test_every_reading_is_needed() -> None:
    """A gap is refused: it would become a hole in every simulation."""
    with pytest.raises(ValueError, match="every reading"):
        remainder(np.array([1.0, np.nan]), np.zeros((1, 2)), MOST, np.zeros(2, np.int64), 60)


def test_without_loads_the_rest_is_the_record() -> None:
    """Nothing modelled, nothing taken."""
    record = np.linspace(100, 900, 96)
    made = remainder(record, np.zeros((0, 96)), np.zeros(0), DAY, 900)
    assert (made.rest_w == record).all()
    assert (made.moved, made.short_kwh) == (0.0, 0.0)


def test_two_loads_are_taken_with_their_own_powers() -> None:
    """Record: 3 kW at seven, 2 kW at ten, a kettle of 2.2 kW at noon. Models run at night: the kettle alone stays."""
    record, modelled = np.full(96, 400.0), np.zeros((2, 96))
    record[28:34] += 3000.0
    record[40:46] += 2000.0
    record[48] += 2200.0
    modelled[0, 8:14], modelled[1, 8:14] = 3000.0, 2000.0
    made = remainder(record, modelled, np.array([3000.0, 2000.0]), DAY, 900)
    expected = np.full(96, 400.0)
    expected[48] += 2200.0
    assert made.rest_w == pytest.approx(expected)
    assert made.moved == pytest.approx(1.0)


def test_energy_lacking_in_crumbs_is_still_found() -> None:
    """A record of spikes too many to be searched one by one gives what is lacking all the same."""
    record, modelled = np.full(960, 100.0), np.zeros((1, 960))
    record[1::4] += 1000.0
    modelled[0, 0::4] = 500.0
    made = remainder(record, modelled, np.array([500.0]), np.zeros(960, np.int64), 60)
    assert made.short_kwh == pytest.approx(0.0, abs=1e-9)
    assert (record - made.rest_w).sum() == pytest.approx(modelled.sum())
