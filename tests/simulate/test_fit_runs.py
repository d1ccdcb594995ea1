"""Runs found in a record against the switchings it was made from."""

import numpy as np
import pytest
from hypothesis import given, settings, strategies as st
from scipy.signal import lfilter

from tests.simulate.records import MONDAY_S, minutes, share_on
from wattwright.simulate.fit.runs import on_share, own_runs, site_runs

COUNT = 2000


def pairs(draws, count=COUNT, shortest=8.0):
    """Runs of 8 to 60 min, rests of 20 to 120 min, at any second."""
    now, found = 40 * 60.0, []
    while now < (count - 200) * 60:
        on = now + float(draws.uniform(20, 120)) * 60
        now = on + float(draws.uniform(shortest, 60)) * 60
        found.append((on, now))
    return found


@settings(max_examples=25)
@given(seed=st.integers(0, 10_000), power=st.floats(500, 6000), base=st.floats(0, 400), plate=st.floats(0.8, 1.2))
def test_runs_are_found_to_the_second_without_noise(seed, power, base, plate) -> None:
    """On a steady rest every run is found, its step to a thousandth and both its ends to a second, whatever the phase."""
    edges = pairs(np.random.default_rng(seed))
    series = minutes(base + power * share_on(edges, COUNT))
    for runs in (site_runs(series, plate * power), own_runs(minutes(power * share_on(edges, COUNT)), plate * power)):
        assert len(runs) == len(edges)
        assert runs.unpaired == 0
        assert runs.level_w == pytest.approx(power, rel=1e-3)
        assert runs.on_s - MONDAY_S == pytest.approx([on for on, _ in edges], abs=1.0)
        assert runs.off_s - MONDAY_S == pytest.approx([off for _, off in edges], abs=1.0)
        assert runs.run_s.sum() == pytest.approx(sum(off - on for on, off in edges), rel=1e-3)
        assert on_share(runs, series) == pytest.approx(share_on(edges, COUNT), abs=0.02)


def test_steps_do_not_lean_with_noise_or_drift() -> None:
    """In 200 days of noise of which neighbours are alike, on a rest that rises and falls by 100 W an hour, the step is right.

    Two runs a day, one where the rest rises and one where it falls, at a minute's edge where two places are as high: the mean
    of 400 steps of 800 W lies within four of its standard errors, some 1.1 W.
    """
    draws = np.random.default_rng(3)
    count = 200 * 1440
    noise = lfilter([1.0], [1.0, -0.98], draws.normal(0, 12, count))
    edges = [(day * 86_400 + at * 60.0, day * 86_400 + (at + 14) * 60.0) for day in range(200) for at in (180, 900)]
    drift = 100 * np.abs((np.arange(count) / 60 + 3) % 24 - 12)
    runs = site_runs(minutes(500 + drift + noise + 800 * share_on(edges, count)), 800)
    assert len(runs) >= 390
    assert runs.level_w.mean() == pytest.approx(800, abs=4.4)
    off_by = np.abs((runs.on_s - MONDAY_S)[:, None] - np.array([on for on, _ in edges])).min(axis=1)
    assert np.median(off_by) < 3


def test_other_loads_are_left_alone() -> None:
    """A load of half the rating, one of twice it, and a peak of two minutes are no runs; without any there are none."""
    count = 600
    values = np.full(count, 100.0)
    values[100:140] += 900
    values[200:240] += 4000
    values[300:302] += 2000
    assert len(site_runs(minutes(values), 2000)) == 0
    assert len(site_runs(minutes(np.full(count, 100.0)), 2000)) == 0
    assert len(own_runs(minutes(np.zeros(count)), 2000)) == 0
    assert on_share(site_runs(minutes(values), 2000), minutes(values)).sum() == 0
    values[400:440] += 2000
    runs = site_runs(minutes(values), 2000)
    assert len(runs) == 1
    assert runs.on_s[0] == MONDAY_S + 400 * 60


def test_an_edge_without_a_partner_is_told() -> None:
    """A rise that never falls again makes no run and is counted."""
    values = np.full(600, 100.0)
    values[200:240] += 2000
    values[400:] += 2000
    runs = site_runs(minutes(values), 2000)
    assert (len(runs), runs.unpaired) == (1, 1)


def test_runs_with_a_gap_are_left_out() -> None:
    """A run with a missing reading in it, or beside its switchings, is not told; the others stay."""
    edges = [(6000.0, 9000.0), (20_000.0, 23_000.0), (40_000.0, 43_000.0)]
    for hole in (360, 332, 384):
        values = 100 + 2000 * share_on(edges, 1000)
        values[hole] = np.nan
        for runs in (site_runs(minutes(values), 2000), own_runs(minutes(values - 100), 2000)):
            assert runs.on_s - MONDAY_S == pytest.approx([6000, 40_000], abs=1)
    values[:] = np.nan
    assert len(site_runs(minutes(values), 2000)) == 0


def test_a_run_cut_by_the_record_is_left_out() -> None:
    """What was on when the record began, or is on when it ends, has no length to tell."""
    values = np.zeros(600)
    values[:50], values[200:260], values[560:] = 2000, 2000, 2000
    assert len(own_runs(minutes(values), 2000)) == 1
    assert len(site_runs(minutes(values), 2000)) == 1
