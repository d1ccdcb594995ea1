"""Gaps are filled by their rule, worked out by hand; what was read stays; the band holds what it says it holds."""

from dataclasses import replace
from datetime import date

import numpy as np
import pytest
from hypothesis import given, settings, strategies as st

from wattwright.core.clock import SiteClock
from wattwright.core.quality import Quality
from wattwright.core.seeds import Streams
from wattwright.core.series import Series, of_values
from wattwright.record.bands import BAND_SHARE
from wattwright.record.estimate import Method, repair
from wattwright.record.registered import Known

ATHENS = SiteClock("Europe/Athens")
MONDAY_S = 1_736_114_400
"""Monday 6 January 2025, 00:00 in Europe/Athens (UTC+2)."""
HOUR = 3600
NAN = float("nan")


def with_gap(values: list[float], first: int, last: int) -> Series:
    """Hourly readings from that Monday on with a gap [first, last)."""
    held = np.array(values, np.float64)
    held[first:last] = NAN
    return of_values(MONDAY_S, HOUR, held)


def by_day(*levels: float) -> list[float]:
    """Whole days of 24 hours, each at one level in W."""
    return [level for level in levels for _ in range(24)]


def test_published_line() -> None:
    """The published example: 75, then 80, 85, 90, 95 across a gap of four quarter hours, then 100."""
    held = of_values(0, 900, np.array([75.0, NAN, NAN, NAN, NAN, 100.0]))
    made = repair(held, SiteClock("UTC"))
    assert made.series.values.tolist() == pytest.approx([75, 80, 85, 90, 95, 100])
    assert [one.method for one in made.filled] == [Method.LINE]
    assert made.series.quality.tolist() == [0, 9, 9, 9, 9, 0]  # NAESB REQ.21: 9 is linear interpolation


def test_like_days_by_hand() -> None:
    """A gap on a Wednesday takes the mean of the working days nearest to it, three on either side, and no weekend."""
    #             Mon  Tue  Wed  Thu  Fri  Sat  Sun  Mon  Tue
    levels = by_day(100, 200, 999, 400, 500, 9e3, 9e3, 600, 700)
    made = repair(with_gap(levels, 48 + 10, 48 + 14), ATHENS)
    # Before: Tuesday, Monday. After: Thursday, Friday, Monday. (200 + 100 + 400 + 500 + 600) / 5 = 360
    assert made.series.values[58:62].tolist() == pytest.approx([360] * 4)
    one = made.filled[0]
    assert (one.method, one.intervals) == (Method.LIKE_DAYS, 4)
    assert one.energy_kwh == pytest.approx(4 * 0.360)
    assert set(made.series.quality[58:62]) == {Quality.ESTIMATED_REFERENCE_DAY}


def test_holiday_is_like_a_sunday() -> None:
    """With the Thursday a holiday, the Wednesday's gap is filled from the other working days alone."""
    levels = by_day(100, 200, 999, 400, 500, 9e3, 9e3, 600, 700)
    made = repair(with_gap(levels, 58, 62), ATHENS, frozenset({date(2025, 1, 9)}))
    # Tuesday, Monday; Friday, Monday, Tuesday: (200 + 100 + 500 + 600 + 700) / 5 = 420
    assert made.series.values[58:62].tolist() == pytest.approx([420] * 4)


def test_same_clock_time_across_the_change() -> None:
    """Like days are taken at the same time on the wall clock, also where an hour was put forward between."""
    start_s = MONDAY_S + 77 * 86_400  # Monday 24 March; the clock is put forward on Sunday the 30th
    times = start_s + HOUR * np.arange(14 * 24 - 1)
    values = ATHENS.parts(times).minute / 60.0  # each hour reads its own number on the wall clock
    held = of_values(start_s, HOUR, values.copy())
    first = 4 * 24 + 10  # Friday 10:00
    held.values[first : first + 5] = NAN
    made = repair(held, ATHENS)
    assert made.series.values[first : first + 5].tolist() == pytest.approx([10, 11, 12, 13, 14])


def test_register_settles_the_total() -> None:
    """Where a register shows what was used in the gap, the shape comes from like days and the total from the register."""
    levels = by_day(100, 200, 999, 400, 500)
    held = with_gap(levels, 58, 62)
    made = repair(held, ATHENS, known=[Known(int(held.times_s[58]), int(held.times_s[62]), 0.8)])
    assert made.filled[0].method is Method.REGISTER
    assert made.energy_kwh == pytest.approx(0.8)
    assert made.series.values[58:62].tolist() == pytest.approx([200] * 4)
    assert (made.filled[0].low_kwh, made.filled[0].high_kwh) == (pytest.approx(0.8), pytest.approx(0.8))


def test_register_without_a_shape_is_spread_evenly() -> None:
    """Like days without any use give no shape; the register's energy is then spread evenly."""
    held = with_gap(by_day(0, 0, 999, 0, 0), 58, 62)
    made = repair(held, ATHENS, known=[Known(int(held.times_s[58]), int(held.times_s[62]), 0.8)])
    assert made.series.values[58:62].tolist() == pytest.approx([200] * 4)


def test_a_rule_that_was_refused_leaves_its_gaps() -> None:
    """Those of the other rules are filled as they were; a gap whose total a register settles is the register's."""
    levels = by_day(100, 200, 999, 400, 500, 9e3, 9e3, 600, 700)
    held = with_gap(levels, 48 + 10, 48 + 14)
    values = held.values.copy()
    values[100] = NAN
    both = of_values(MONDAY_S, HOUR, values)
    start, end = int(held.times_s[58]), int(held.times_s[62])
    whole = repair(both, ATHENS)
    assert [one.method for one in whole.filled] == [Method.LIKE_DAYS, Method.LINE]
    short = MONDAY_S + 100 * HOUR, MONDAY_S + 101 * HOUR
    for rule, kept, left in ((Method.LIKE_DAYS, Method.LINE, (start, end)), (Method.LINE, Method.LIKE_DAYS, short)):
        made = repair(both, ATHENS, without=frozenset({rule}))
        assert [one.method for one in made.filled] == [kept]
        assert made.left == (left,)
        assert [one.energy_kwh for one in made.filled] == [one.energy_kwh for one in whole.filled if one.method is kept]
    known = [Known(start, end, 0.8)]
    assert repair(held, ATHENS, known=known, without=frozenset({Method.LIKE_DAYS})).energy_kwh == pytest.approx(0.8)
    refused = repair(held, ATHENS, known=known, without=frozenset({Method.REGISTER}))
    assert (refused.filled, refused.left) == ((), ((start, end),))
    assert np.isnan(refused.series.values[58:62]).all()


def test_ends_of_the_record_are_left() -> None:
    """Nothing is filled before the first reading or after the last."""
    held = of_values(MONDAY_S, HOUR, np.array([NAN, 5.0, NAN, 7.0, NAN, NAN]))
    made = repair(held, ATHENS)
    assert made.series.values[2] == pytest.approx(6)
    assert np.isnan(made.series.values[[0, 4, 5]]).all()
    assert made.left == ((MONDAY_S, MONDAY_S + HOUR), (MONDAY_S + 4 * HOUR, MONDAY_S + 6 * HOUR))


def test_no_like_day_no_estimate() -> None:
    """A long gap without a like day stays a gap."""
    made = repair(with_gap(by_day(100), 5, 10), ATHENS)
    assert made.filled == ()
    assert len(made.left) == 1
    assert np.isnan(made.series.values[5:10]).all()


def test_too_few_trials_give_no_band() -> None:
    """A band is only stated where enough like stretches could be tried: nineteen for nine tenths on both sides."""
    one = repair(with_gap(by_day(*[100.0] * 10), 58, 62), ATHENS).filled[0]
    assert one.trials < 19
    assert np.isnan(one.low_kwh)
    assert np.isnan(one.high_kwh)


def test_steady_load_has_a_band_of_nothing() -> None:
    """Where every day is the same, the band closes on the energy."""
    one = repair(with_gap(by_day(*[100.0] * 60), 30 * 24 + 5, 30 * 24 + 11), ATHENS).filled[0]
    assert one.trials >= 19
    assert (one.low_kwh, one.energy_kwh, one.high_kwh) == (pytest.approx(0.6), pytest.approx(0.6), pytest.approx(0.6))


@settings(max_examples=60, deadline=None)
@given(st.integers(0, 2**31), st.integers(1, 40), st.integers(1, 30))
def test_what_was_read_stays(seed: int, first: int, length: int) -> None:
    """No reading, raw reading or quality outside the gaps changes, and estimates lie within what like days read."""
    values = np.random.default_rng(seed).uniform(0, 5000, 20 * 24)
    held = of_values(MONDAY_S, HOUR, values.copy())
    start = 24 * 5 + first
    gap = slice(start, start + length)
    cut = replace(held, values=held.values.copy(), quality=held.quality.copy())
    cut.values[gap], cut.quality[gap] = NAN, Quality.MISSING
    before = cut.values.copy()
    made = repair(cut, ATHENS)
    outside = np.ones(len(values), bool)
    outside[gap] = False
    assert np.array_equal(made.series.values[outside], values[outside])
    assert np.array_equal(made.series.raw, cut.raw)
    assert not made.series.quality[outside].any()
    assert np.array_equal(cut.values, before, equal_nan=True)
    filled = made.series.values[gap]
    assert not np.isnan(filled).any()
    assert values.min() - 1e-9 <= filled.min() <= filled.max() <= values.max() + 1e-9
    assert made.energy_kwh == pytest.approx(filled.sum() / 1000)


def test_band_holds_its_share() -> None:
    """On seeded days that differ at random the band holds the truth in the central 99.9 % of the binomial at nine tenths."""
    draws = Streams(11).stream("record/estimate-band")
    cases, held_in = 300, 0
    for _ in range(cases):
        values = 500 + 200 * draws.standard_normal((60, 1)) + 50 * draws.standard_normal((60, 24))
        series = of_values(MONDAY_S, HOUR, values.reshape(-1).copy())
        first = 24 * int(draws.integers(15, 45)) + int(draws.integers(0, 18))
        truth = float(series.values[first : first + 6].sum()) / 1000
        series.values[first : first + 6] = NAN
        one = repair(series, ATHENS).filled[0]
        held_in += one.low_kwh <= truth <= one.high_kwh
    # Binomial(300, 0.9): the central 99.9 % runs from 252 to 286 (scipy.stats.binom.ppf([0.0005, 0.9995], 300, 0.9)).
    assert BAND_SHARE == 0.9
    assert 252 <= held_in <= 286
