"""Series: nothing gained and nothing lost, whatever the windows."""

from datetime import UTC, datetime
from zoneinfo import ZoneInfo

import numpy as np
import pytest
from hypothesis import given, strategies as st

from wattwright.core.clock import SiteClock
from wattwright.core.quality import ESTIMATED, Quality, is_estimated
from wattwright.core.series import Series, clock_windows, coarser, of_values, over_windows

ZONES = ("Europe/Athens", "Australia/Lord_Howe", "Asia/Kathmandu", "America/Sao_Paulo", "UTC")
T0 = int(datetime(2025, 1, 1, tzinfo=UTC).timestamp())
AUTUMN = int(datetime(2025, 10, 25, 21, tzinfo=UTC).timestamp())  # midnight in Athens before the 25-hour day

values = st.lists(st.one_of(st.floats(-5e4, 5e4), st.just(float("nan"))), min_size=1, max_size=200)
steps = st.sampled_from([10, 60, 300, 420, 900, 1800, 3600, 7200])


def energy(numbers, step_s):
    """Plain twin: watt-seconds of what was read."""
    return sum(one * step_s for one in numbers if one == one)


def scale(numbers, step_s):
    return max(1.0, sum(abs(one) * step_s for one in numbers if one == one))


def overlap_integral(series, low, high):
    """Plain twin: watt-seconds and seconds read in [low, high), interval by interval."""
    total = covered = 0.0
    for index, value in enumerate(series.values.tolist()):
        start = series.start_s + index * series.step_s
        shared = min(start + series.step_s, high) - max(start, low)
        if shared > 0 and value == value:
            total, covered = total + value * shared, covered + shared
    return total, covered


@given(
    values, steps, st.integers(-5000, 5000), st.sampled_from(ZONES), st.sampled_from([60, 900, 1200, 1800, 3600, 21_600, 86_400])
)
def test_clock_windows_keep_the_energy(numbers, step_s, shift, zone, window_s):
    """Over any windows on any clock, gaps and odd starts included, energy and seconds read are kept to 1e-9."""
    series = of_values(AUTUMN + shift, step_s, np.array(numbers))
    windows = clock_windows(series, window_s, SiteClock(zone))
    assert abs(windows.integral.sum() - energy(numbers, step_s)) <= 1e-9 * scale(numbers, step_s)
    assert windows.covered_s.sum() == pytest.approx(step_s * sum(one == one for one in numbers), rel=1e-9)
    assert windows.starts_s[0] <= series.start_s
    assert windows.starts_s[-1] >= series.end_s
    assert (np.diff(windows.starts_s) > 0).all()


@given(values, steps, st.lists(st.integers(-30_000, 120_000), min_size=2, max_size=12, unique=True))
def test_any_windows_hold_what_lies_in_them(numbers, step_s, cuts):
    """Each window has the integral, the seconds read and the mean that adding overlap by overlap gives."""
    series = of_values(T0, step_s, np.array(numbers))
    edges = T0 + np.array(sorted(cuts))
    windows = over_windows(series, edges)
    for index, (low, high) in enumerate(zip(edges[:-1].tolist(), edges[1:].tolist(), strict=True)):
        total, covered = overlap_integral(series, low, high)
        assert windows.integral[index] == pytest.approx(total, abs=1e-9 * scale(numbers, step_s))
        assert windows.covered_s[index] == pytest.approx(covered, abs=1e-6)
        assert bool(windows.full[index]) is (covered >= high - low - 1e-6)
        if covered > 1e-6:
            assert windows.mean[index] == pytest.approx(total / covered, abs=1e-8 * scale(numbers, step_s) / covered)
        elif covered == 0:
            assert np.isnan(windows.mean[index])


def test_window_cut_through_an_interval_shares_by_time():
    """An hour of 1200 W cut after 20 minutes: 400 Wh on one side, 800 Wh on the other; mean 1200 W on both."""
    windows = over_windows(of_values(T0, 3600, np.array([1200.0])), np.array([T0, T0 + 1200, T0 + 3600]))
    assert windows.integral.tolist() == [1200 * 1200, 1200 * 2400]
    assert windows.mean == pytest.approx([1200, 1200], rel=1e-12)
    assert len(windows) == 2


def test_single_edge_makes_no_window():
    """One edge has nothing between it and itself."""
    assert len(over_windows(of_values(T0, 60, np.ones(3)), np.array([T0]))) == 0


def test_window_no_longer_than_the_step_is_the_interval_itself():
    """Nothing is known inside an interval: windows of 15 min over hourly readings are the hours."""
    series = of_values(T0 + 600, 3600, np.array([1.0, 2.0]))
    windows = clock_windows(series, 900, SiteClock("UTC"))
    assert windows.starts_s.tolist() == [T0 + 600, T0 + 4200, T0 + 7800]
    assert windows.mean.tolist() == [1, 2]


def test_empty_series_has_no_windows():
    """Nothing read gives no window, and nothing to bring to another step."""
    empty = of_values(T0, 60, np.zeros(0))
    assert len(clock_windows(empty, 900, SiteClock("UTC"))) == 0
    assert len(coarser(empty, 900, SiteClock("UTC"))) == 0
    assert (len(empty), empty.end_s, empty.times_s.size) == (0, T0, 0)


def test_repeated_hour_is_two_windows():
    """The 25-hour day in Athens has 25 clock hours and 100 quarter hours, each full."""
    series = of_values(AUTUMN, 60, np.ones(25 * 60))
    for window_s, count in ((3600, 25), (900, 100)):
        windows = clock_windows(series, window_s, SiteClock("Europe/Athens"))
        assert len(windows) == count
        assert windows.full.all()


def test_six_hour_windows_follow_the_wall_clock_over_the_change():
    """On the 25-hour day the window from 00 to 06 lasts seven hours, the others six."""
    windows = clock_windows(of_values(AUTUMN, 3600, np.ones(25)), 21_600, SiteClock("Europe/Athens"))
    assert (np.diff(windows.starts_s) // 3600).tolist() == [7, 6, 6, 6]


@given(values, steps, st.integers(1, 12), st.integers(-3000, 3000), st.sampled_from(ZONES))
def test_coarser_keeps_time_and_energy_of_what_is_whole(numbers, step_s, times, shift, zone):
    """Every longer interval holds the mean of its own stretch of UTC time, or is missing where a reading of it is."""
    series = of_values(AUTUMN + shift, step_s, np.array(numbers))
    longer = coarser(series, step_s * times, SiteClock(zone))
    assert longer.step_s == step_s * times
    for start, value in zip(longer.times_s.tolist(), longer.values.tolist(), strict=True):
        total, covered = overlap_integral(series, start, start + longer.step_s)
        whole = covered >= longer.step_s - 1e-6
        assert (value == value) is whole
        if whole:
            assert value == pytest.approx(total / covered, abs=1e-9 * scale(numbers, step_s))


def test_coarser_stands_still_over_a_change_of_the_clock():
    """Six-hour steps from local midnight: after the change they stay six hours apart in UTC, so no reading moves in time."""
    longer = coarser(of_values(AUTUMN, 3600, np.arange(48.0)), 21_600, SiteClock("Europe/Athens"))
    assert longer.start_s == AUTUMN
    assert longer.values.tolist() == [2.5 + 6 * k for k in range(8)]  # mean of 0..5 is 2.5, of 6..11 is 8.5, ...


def test_same_step_is_kept_with_its_quality():
    """Nothing is lost where nothing is to be done."""
    series = Series(T0, 60, np.array([1.0]), np.array([Quality.ESTIMATED_LINEAR], np.uint8), np.array([np.nan]))
    same = coarser(series, 60, SiteClock("UTC"))
    assert same.estimated.tolist() == [True]
    assert same.step_s == 60


def test_finer_step_is_refused():
    """Hourly means hold no quarter hours."""
    with pytest.raises(ValueError, match="longer step"):
        coarser(of_values(T0, 3600, np.ones(2)), 900, SiteClock("UTC"))


@given(values, st.integers(-500, 500), st.integers(-500, 500))
def test_part_is_the_intervals_wholly_inside(numbers, low, length):
    """A part keeps exactly the intervals that begin and end within it, in their places."""
    series = of_values(T0, 7, np.array(numbers))
    start, end = T0 + low, T0 + low + length
    part = series.part(start, end)
    kept = [t for t in series.times_s.tolist() if start <= t and t + 7 <= end]
    assert part.times_s.tolist() == kept
    assert len(part.quality) == len(part.raw) == len(kept)
    assert all(series.start_s <= t <= series.end_s for t in (part.start_s, part.end_s))


def test_of_values_marks_what_is_missing():
    """NaN is missing, the rest valid; the raw readings are the values unless given apart."""
    series = of_values(T0, 60, np.array([1.0, np.nan]))
    assert series.quality.tolist() == [0, 255]
    assert series.present.tolist() == [True, False]
    assert series.raw is series.values
    assert of_values(T0, 60, np.ones(2), np.zeros(2)).raw.tolist() == [0, 0]


@pytest.mark.parametrize(("step_s", "shape", "raw"), [(0, (2,), 2), (-60, (2,), 2), (60, (2, 1), 2), (60, (2,), 3)])
def test_series_that_cannot_be_is_refused(step_s, shape, raw):
    """A step is positive, values have one dimension, and all three arrays one length."""
    with pytest.raises(ValueError, match=r"series needs|same length"):
        Series(T0, step_s, np.ones(shape), np.zeros(shape, np.uint8), np.ones(raw))


def test_filled_in_codes():
    """ESPI's codes 8, 9 and 12 are filled in (reference day, linear, projected); valid, edited and missing ones are not."""
    assert {int(code) for code in ESTIMATED} == {8, 9, 12}
    assert is_estimated(np.array([0, 7, 8, 9, 10, 12, 17, 255], np.uint8)).tolist() == [
        False, False, True, True, False, True, False, False,
    ]  # fmt: skip


def test_espi_quality_codes():
    """NAESB REQ.21 ESPI, QualityOfReading (from memory): 0 valid, 7 manual, 8 and 9 estimated, ... 19 revenue."""
    codes = {one.name: int(one) for one in Quality if one is not Quality.MISSING}
    assert sorted(codes.values()) == [0, *range(7, 20)]
    assert (codes["VALID"], codes["QUESTIONABLE"], codes["PROJECTED"], codes["REVENUE"]) == (0, 10, 12, 19)


def test_zone_of_the_fixture_is_the_change():
    """The start used above is local midnight of the day with 25 hours, by zoneinfo."""
    local = datetime.fromtimestamp(AUTUMN, ZoneInfo("Europe/Athens"))
    assert local.isoformat() == "2025-10-26T00:00:00+03:00"


def test_last_window_ends_at_its_own_edge():
    """Readings behind the last edge belong to no window: 1 + 2 and 3 + 4, and the 100 after them to none."""
    windows = over_windows(of_values(0, 60, np.array([1.0, 2.0, 3.0, 4.0, 100.0])), np.array([0, 120, 240]))
    assert windows.mean.tolist() == [1.5, 3.5]
    assert windows.integral.tolist() == [180, 420]
