"""Bands for the peaks behind means: what must hold for any record, and how often they hold on a real one."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings, strategies as st

from wattwright.core.clock import SiteClock
from wattwright.core.errors import RecordError
from wattwright.core.findings import Severity
from wattwright.core.frozen import pack, unpack
from wattwright.core.series import coarser, of_values
from wattwright.demand.within.asked import Finer
from wattwright.demand.within.bands import PeakBands, Rests
from wattwright.demand.within.json_form import peaks_json
from wattwright.demand.within.listed import Listed
from wattwright.demand.within.peak_bands import peak_bands
from wattwright.record.read import read_record

START_S = 1_736_114_400
"""2025-01-06 00:00 in Athens."""
CLOCK = SiteClock("Europe/Athens")
FEW = 25
"""Stretches invented in the tests: the mechanism does not depend on their number, the time does."""
SURVEY = (
    Listed("dishwasher", 2000, 900), Listed("oven", 2400, 480), Listed("microwave oven", 1200, 240),
    Listed("washing machine", 2000, 900), Listed("tumble dryer", 2400, 2700), Listed("refrigerator", 150, 720, start_a=4.0),
    Listed("water heater", 1100, 2400), Listed("air conditioner", 1000, 900), Listed("lighting", 300, 5400),
)  # fmt: skip


def minutes(days, seed=1):
    """A made-up site: a rest, a heater that cycles, a kettle at random; whole watts."""
    draws = np.random.default_rng(seed)
    count = days * 1440
    at = np.arange(count)
    rest = 200 + 100 * np.sin(2 * np.pi * at / 1440) + 10 * draws.random(count)
    heater = 1500.0 * (at % 47 < 11)
    kettle = np.zeros(count)
    for one in draws.integers(0, count - 4, days * 6):
        kettle[one : one + 3] = 2200.0
    return of_values(START_S, 60, np.round(rest + heater + kettle))


def all_bands(peaks):
    """Every band of every window as arrays low, middle, high."""
    for one in peaks.windows:
        for part in (one.days, one.intervals):
            yield part.low_w, part.median_w, part.high_w
        for _, _, band in (*one.months, (0, 0, one.whole)):
            yield tuple(np.array([value]) for value in (band.low_w, band.median_w, band.high_w))


@settings(max_examples=12, deadline=None)
@given(st.sampled_from([5, 10, 15, 20, 30, 60]), st.integers(0, 50), st.booleans())
def test_bands_are_ordered_above_the_means_and_nested(step_min, seed, finer):
    """Low, middle and high are in order, none lies below an interval's own mean, and no shorter window lies below a longer."""
    whole = minutes(6, seed)
    record = coarser(whole.part(START_S + 3 * 86_400, whole.end_s), 60 * step_min, CLOCK)
    fine = Finer("fine", whole.part(START_S, START_S + 3 * 86_400)) if finer else None
    peaks = peak_bands(record, CLOCK, finer=fine, courses=FEW)
    for low, middle, high in all_bands(peaks):
        assert (low <= middle + 1e-9).all()
        assert (middle <= high + 1e-9).all()
    first = peaks.shortest.intervals
    assert (first.low_w >= record.values - 1e-9).all()
    # All energy of an interval in one minute is the most there can be.
    assert (first.high_w <= record.values * step_min + 1e-6).all()
    for shorter, longer in zip(peaks.windows, peaks.windows[1:], strict=False):
        assert shorter.whole.high_w >= longer.whole.high_w - 1e-9
        if len(shorter.days) == len(longer.days):
            assert (shorter.days.low_w >= longer.days.low_w - 1e-9).all()


def test_readings_at_one_minute_need_no_band():
    """Where the step is a minute all three windows were read: low, middle and high are the plain maxima."""
    whole = minutes(3)
    peaks = peak_bands(whole, CLOCK, limit_w=3000.0)
    for one in peaks.windows:
        assert one.rests is Rests.READ
        plain = whole.values.reshape(3, -1, one.window_s // 60).mean(axis=2).max(axis=1)
        for part in (one.days.low_w, one.days.median_w, one.days.high_w):
            assert part == pytest.approx(plain)
        assert one.whole.high_w == pytest.approx(plain.max())
    assert peaks.passing.minutes[0] == peaks.passing.minutes[2] == float((whole.values > 3000.0).sum())
    assert peaks.findings == ()


def test_what_the_finer_stretch_covers_is_known():
    """Hours that the finer readings hold themselves have their own maximum for certain."""
    whole = minutes(8)
    record = coarser(whole, 3600, CLOCK)
    peaks = peak_bands(record, CLOCK, finer=Finer("fine", whole.part(START_S, START_S + 4 * 86_400)), courses=FEW)
    known, first = 4 * 24, peaks.shortest.intervals
    highest = whole.values.reshape(-1, 60).max(axis=1)
    assert first.low_w[:known] == pytest.approx(highest[:known])
    assert first.high_w[:known] == pytest.approx(highest[:known])
    assert (first.high_w[known:] > first.low_w[known:]).any()
    days = peaks.shortest.days
    assert days.low_w[:4] == pytest.approx(days.high_w[:4])
    assert days.high_w[:4] == pytest.approx(highest.reshape(8, 24).max(axis=1)[:4])
    assert peaks.stretch.days == 4
    assert peaks.stretch.intervals == known


def test_the_same_seed_gives_the_same_bands():
    """Every draw comes from the seed; another seed draws otherwise; and a stored result comes back equal."""
    record = coarser(minutes(3), 3600, CLOCK)
    first, again, other = (peak_bands(record, CLOCK, seed=seed, courses=FEW) for seed in (5, 5, 6))
    assert pack(first) == pack(again)
    assert pack(first) != pack(other)
    assert pack(unpack(pack(first), PeakBands)) == pack(first)


def test_gaps_and_nothing():
    """Hours without reading have no band and widen nothing; a record without any reading has no bands, and says nothing."""
    record = coarser(minutes(4), 3600, CLOCK)
    values = record.values.copy()
    values[30:40] = np.nan
    peaks = peak_bands(of_values(START_S, 3600, values), CLOCK, courses=FEW)
    assert len(peaks.shortest.intervals) == 96 - 10
    assert len(peaks.shortest.days) == 4
    nothing = peak_bands(of_values(START_S, 3600, np.full(48, np.nan)), CLOCK, limit_w=1.0, courses=FEW)
    assert np.isnan(nothing.shortest.whole.high_w)
    assert len(nothing.shortest.days) == 0
    empty = peak_bands(of_values(START_S, 60, np.full(48, np.nan)), CLOCK)
    assert np.isnan(empty.shortest.whole.high_w)


def test_behind_days_nothing_is_told():
    """Means of days hide anything: no band, and a finding says so."""
    peaks = peak_bands(of_values(START_S, 86_400, np.full(30, 900.0)), CLOCK, loads=SURVEY, limit_w=1.0)
    assert {one.rests for one in peaks.windows} == {Rests.NOTHING}
    assert codes(peaks) == {"demand.peaks-too-coarse"}
    assert peaks_json(peaks, CLOCK, each=True)["peak_bands"]["1"]["high"] is None


def test_months_are_local_and_hold_the_whole():
    """Two months of a record each have a band; the whole is no lower than either."""
    start_s = START_S + 23 * 86_400
    values = np.tile(minutes(1).values.reshape(-1, 60).mean(axis=1), 6)
    peaks = peak_bands(of_values(start_s, 3600, values), CLOCK, courses=FEW)
    assert [key[:2] for key in peaks.shortest.months] == [(2025, 1), (2025, 2)]
    assert all(band.high_w <= peaks.shortest.whole.high_w + 1e-9 for *_, band in peaks.shortest.months)


def test_the_highest_day_is_as_high_as_any_of_them():
    """Days far above all of the finer stretch: the band of their month reaches as high as that of each day."""
    whole = minutes(24)
    heavier = of_values(whole.start_s, 60, whole.values * np.repeat(1 + np.maximum(np.arange(24) - 15, 0), 1440))
    fine, rest = heavier.part(START_S, START_S + 16 * 86_400), heavier.part(START_S + 16 * 86_400, heavier.end_s)
    told = peak_bands(coarser(rest, 3600, CLOCK), CLOCK, finer=Finer("fine", fine), courses=FEW).shortest
    (*_, month), days = told.months[0], told.days
    assert month.high_w >= days.high_w.max() - 1e-9
    assert told.whole.high_w >= days.high_w.max() - 1e-9


def test_windows_that_do_not_fit_the_step_are_told_for_whole_ones():
    """Twenty minutes hold no whole quarter hours: those are told for hours, the minutes for every twenty."""
    record = coarser(minutes(4), 1200, CLOCK)
    peaks = peak_bands(record, CLOCK, courses=FEW)
    minute, quarter, half = peaks.windows
    assert len(minute.intervals) == 4 * 72
    assert len(quarter.intervals) == 4 * 24
    assert (minute.rests, quarter.rests, half.rests) == (Rests.USUAL, Rests.USUAL, Rests.READ)


def test_finer_readings_that_are_no_finer_than_quarter_hours():
    """Five-minute readings calibrate quarter hours and half hours; minutes still rest on loads, and it says so."""
    whole = minutes(12)
    five = coarser(whole.part(START_S, START_S + 6 * 86_400), 300, CLOCK)
    peaks = peak_bands(coarser(whole, 3600, CLOCK), CLOCK, finer=Finer("five", five), limit_w=3000.0, courses=FEW)
    assert [one.rests for one in peaks.windows] == [Rests.USUAL, Rests.FINER, Rests.FINER]
    assert peaks.windows[1].days_guarantee == pytest.approx(5 / 7)
    assert "demand.peaks-by-usual" in {one.code for one in peaks.findings}
    values = coarser(whole, 3600, CLOCK).values.copy()
    values[200:] += 6000.0
    unlike = peak_bands(of_values(START_S, 3600, values), CLOCK, finer=Finer("five", five), courses=FEW)
    assert unlike.stretch.far_share > 0.02
    assert (unlike.windows[1].intervals.high_w >= values - 1e-9).all()


@pytest.mark.parametrize(
    ("fine", "told"),
    [
        (of_values(START_S, 3600, np.ones(96)), "steps shorter than"),
        (of_values(START_S, 7, np.ones(40_000)), "steps that go into a minute"),
        (of_values(START_S + 7, 60, np.ones(6000)), "on the same grid"),
        (minutes(4).part(START_S, START_S + 54_000), "two days or more"),
    ],
)
def test_finer_readings_that_do_not_serve_are_refused(fine, told):
    """Not finer, no whole number into the step, off the grid, or too short: each is told in a sentence."""
    with pytest.raises(RecordError, match=told):
        peak_bands(coarser(minutes(4), 3600, CLOCK), CLOCK, finer=Finer("logger.csv", fine), courses=FEW)


def codes(peaks):
    """The codes of the findings."""
    return {one.code for one in peaks.findings}


def test_what_is_found_and_said():
    """Few days, unlike hours, another supply, generation, a survey too small, a limit that may be passed: each is a finding."""
    whole = minutes(9)
    record = coarser(whole, 3600, CLOCK)
    week = whole.part(START_S, START_S + 7 * 86_400)
    peaks = peak_bands(record, CLOCK, finer=Finer("week", week), limit_w=3000.0, courses=FEW)
    assert {"demand.peaks-by-stretch", "demand.peaks-few-days", "demand.peaks-pass-limit"} <= codes(peaks)
    other = of_values(START_S, 60, 0.8 * week.values)
    assert "demand.peaks-disagree" in codes(peak_bands(record, CLOCK, finer=Finer("other", other), courses=FEW))
    values = record.values.copy()
    values[200:] += 6000.0
    unlike = peak_bands(of_values(START_S, 3600, values), CLOCK, finer=Finer("week", week), courses=FEW)
    assert "demand.peaks-unlike" in codes(unlike)
    assert unlike.stretch.far_share > 0.02
    assert "demand.peaks-unlike-days" not in codes(peaks)
    after = coarser(minutes(16), 3600, CLOCK).part(START_S + 7 * 86_400, START_S + 16 * 86_400)
    busier = of_values(after.start_s, 3600, after.values + np.repeat([0.0, 900.0], [72, 144]))
    other = peak_bands(busier, CLOCK, finer=Finer("week", week), courses=FEW)
    assert other.stretch.unlike_days == pytest.approx(6 / 9)
    assert "demand.peaks-unlike-days" in codes(other)
    back = peak_bands(of_values(START_S, 3600, record.values - 900.0), CLOCK, courses=FEW)
    assert {"demand.peaks-by-usual", "demand.peaks-net"} <= codes(back)
    small = peak_bands(of_values(START_S, 3600, values), CLOCK, loads=[Listed("lamp", 60.0, 600.0)], courses=FEW)
    assert {"demand.peaks-by-survey", "demand.peaks-over-ceiling"} <= codes(small)
    assert small.shortest.whole.high_w >= values.max()


@pytest.mark.parametrize(
    ("times", "days_apart", "code"),
    [
        (1000.0, 0, "demand.peaks-other-supply"), (15.0, 0, "demand.peaks-other-supply"), (0.7, 0, "demand.peaks-other-supply"),
        (-1.0, 0, "demand.peaks-other-supply"), (0.0, 0, "demand.peaks-other-supply"), (1000.0, 20, "demand.peaks-other-size"),
        (0.001, 20, "demand.peaks-other-size"), (-1.0, 20, "demand.peaks-other-size"), (0.0, 20, "demand.peaks-other-size"),
    ],
)  # fmt: skip
def test_nothing_is_told_from_another_supply(times, days_apart, code):
    """Finer readings of another unit, ratio or direction, or of nothing, are a stop, and the bands are those without them."""
    whole = minutes(9)
    record = coarser(whole, 3600, CLOCK)
    week = of_values(START_S - days_apart * 86_400, 60, times * whole.part(START_S, START_S + 7 * 86_400).values)
    told, without = (peak_bands(record, CLOCK, finer=one, courses=FEW) for one in (Finer("logger", week), None))
    assert {one.severity for one in told.findings if one.code == code} == {Severity.STOP}
    assert "demand.peaks-by-stretch" not in codes(told)
    assert told.stretch is None
    assert told.windows[0].rests is without.windows[0].rests is Rests.USUAL
    assert told.shortest.whole == without.shortest.whole


@pytest.mark.parametrize("times", [0.81, 1.0, 1.24])
def test_two_meters_of_one_supply_may_differ_a_little(times):
    """A clamp that reads less or more than the supply's own meter, by under a quarter, still calibrates."""
    whole = minutes(9)
    week = of_values(START_S, 60, times * whole.part(START_S, START_S + 7 * 86_400).values)
    peaks = peak_bands(coarser(whole, 3600, CLOCK), CLOCK, finer=Finer("clamp", week), courses=FEW)
    assert peaks.windows[0].rests is Rests.FINER


def test_a_pump_out_of_season_is_no_other_supply():
    """Off for most of the stretch, and on for most of the record: a middle of nought says nothing about the unit."""
    whole = minutes(9)
    rarely = np.where(np.arange(7 * 1440) % 1440 < 60, whole.values[: 7 * 1440], 0.0)
    week = of_values(START_S - 20 * 86_400, 60, rarely)
    peaks = peak_bands(coarser(whole, 3600, CLOCK), CLOCK, finer=Finer("pump", week), courses=FEW)
    assert peaks.stretch is not None
    assert "demand.peaks-unlike-days" in codes(peaks)
    assert "demand.peaks-by-stretch" not in codes(peaks)


def test_a_stretch_without_a_whole_day_is_refused():
    """Readings at night alone tell no day's highest minute: that is a sentence, not a band that looks certain."""
    whole = minutes(6)
    nights = np.where(np.arange(6 * 1440) % 1440 < 720, whole.values, np.nan)
    with pytest.raises(RecordError, match="one whole day or more"):
        peak_bands(coarser(whole, 3600, CLOCK), CLOCK, finer=Finer("nights", of_values(START_S, 60, nights)), courses=FEW)


def test_a_survey_caps_and_tells_what_each_load_is_worth():
    """No band passes the survey's ceiling while no reading does; the largest rating narrows most; the motor's start is told."""
    record = coarser(minutes(6), 3600, CLOCK)
    loads = (Listed("heater", 1500.0, 660.0), Listed("kettle", 2200.0, 180.0), Listed("fan", 40.0, 600.0, start_a=3.0))
    peaks = peak_bands(record, CLOCK, loads=loads, courses=FEW)
    assert peaks.shortest.whole.high_w <= peaks.ceiling_w + 1e-9
    worth = {one.name: one.narrower_w for one in peaks.narrowing}
    assert set(worth) == {"heater", "kettle", "fan"}
    assert max(worth, key=worth.get) != "fan"
    assert (peaks.starter, peaks.start_a) == ("fan", 3.0)


def test_plain_data_for_programs():
    """The keys that programs read are there, in kW, each day with each window; intervals only when asked for."""
    peaks = peak_bands(coarser(minutes(2), 3600, CLOCK), CLOCK, loads=SURVEY, limit_w=1500.0, courses=FEW)
    told = peaks_json(peaks, CLOCK, each=True)
    assert set(told["peak_bands"]) == {"1", "15", "30"}
    assert {"low", "median", "high", "nominal"} <= set(told["peak_bands"]["1"])
    assert len(told["daily_peak_bands"]) == 2 * 3
    assert told["daily_peak_bands"][0]["date"] == "2025-01-06"
    assert set(told["interval_peak_bands"][0]) == {"start", "low_kw", "median_kw", "high_kw"}
    assert told["interval_peak_bands"][1]["start"] == "2025-01-06T01:00:00+02:00"
    assert told["largest_start"] == {"load": "refrigerator", "current_a": 4.0}
    assert told["limit_passed"]["limit_kw"] == 1.5
    # The minute and the quarter hour rest on ratings, which promise nothing; a week of minutes promises 6 in 8 of new days.
    assert {one["days_hold"] for one in told["peak_bands"].values()} == {None}
    whole = minutes(8)
    fine = Finer("week", whole.part(START_S, START_S + 7 * 86_400))
    by_week = peaks_json(peak_bands(coarser(whole, 900, CLOCK), CLOCK, finer=fine, courses=FEW), CLOCK, each=False)
    assert {key: one["days_hold"] for key, one in by_week["peak_bands"].items()} == {"1": 0.75, "15": None, "30": None}
    bare = peaks_json(replace(peaks, passing=None, starter="", ceiling_w=float("inf")), CLOCK, each=False)
    assert bare["limit_passed"] is bare["largest_start"] is bare["peak_ceiling_kw"] is None
    assert "interval_peak_bands" not in bare


@pytest.fixture(scope="module")
def months(shared_data):
    """January and February of the open minute record (UCI, Hebrail and Berard 2012), as read."""
    record = read_record(shared_data / "household-minute.csv.gz", "Europe/Paris")
    whole = record.main.series.read_only()
    middle = whole.start_s + 31 * 86_400
    return whole.part(whole.start_s, middle), whole.part(middle, whole.end_s)


def score(low, high, truth):
    """The interval score of a 90 % band (Gneiting and Raftery 2007, from memory)."""
    return float(np.mean(high - low + 20 * (np.maximum(low - truth, 0) + np.maximum(truth - high, 0))))


def held(peaks, target, step_min):
    """Shares of intervals and of days whose highest minute lies in its band, and the score."""
    blocks = target.values.reshape(-1, step_min)
    truth = blocks[~np.isnan(blocks).any(axis=1)].max(axis=1)
    each, days = peaks.shortest.intervals, peaks.shortest.days
    by_day = np.nanmax(target.values.reshape(-1, 1440), axis=1)
    return (
        float(np.mean((truth >= each.low_w - 1e-6) & (truth <= each.high_w + 1e-6))),
        float(np.mean((by_day >= days.low_w - 1e-6) & (by_day <= days.high_w + 1e-6))),
        score(each.low_w, each.high_w, truth),
    )


def ten_bins(fine, target, step_min):
    """The score of quantiles of the excess in ten equally filled bins of the mean: the plain way to do it."""
    known, asked = (one.values.reshape(-1, step_min) for one in (fine, target))
    known, asked = (one[~np.isnan(one).any(axis=1)] for one in (known, asked))
    edges = np.quantile(known.mean(axis=1), np.linspace(0, 1, 11))[1:-1]
    which, excess = np.digitize(known.mean(axis=1), edges), known.max(axis=1) - known.mean(axis=1)
    low, high = (np.array([np.quantile(excess[which == k], level) for k in range(10)]) for level in (0.05, 0.95))
    mean, at = asked.mean(axis=1), np.digitize(asked.mean(axis=1), edges)
    return score(mean + low[at], mean + high[at], asked.max(axis=1))


@pytest.mark.parametrize("step_min", [60, 30, 15])
@pytest.mark.parametrize("forward", [True, False])
def test_one_month_calibrates_the_other(months, step_min, forward):
    """Of a real home at one minute: bands told from one month hold 87 % to 93 % of the intervals of the other, 80 % of days."""
    fine, target = months if forward else months[::-1]
    record = coarser(target, 60 * step_min, SiteClock("Europe/Paris"))
    peaks = peak_bands(record, SiteClock("Europe/Paris"), finer=Finer("the other month", fine), courses=FEW)
    intervals, days, ours = held(peaks, target, step_min)
    assert 0.87 <= intervals <= 0.93
    assert days >= 0.80
    assert ours < ten_bins(fine, target, step_min)


@pytest.mark.kernel
@pytest.mark.parametrize("step_min", [60, 15])
@pytest.mark.parametrize("loads", [SURVEY, ()], ids=["ratings", "usual"])
def test_without_finer_readings_the_bands_are_wider_and_hold(months, step_min, loads):
    """With ratings alone, or nothing at all, 85 % of intervals and days or more are held, by wider bands, and it is said."""
    clock = SiteClock("Europe/Paris")
    target = months[1]
    record = coarser(target, 60 * step_min, clock)
    alone = peak_bands(record, clock, loads=loads, courses=60)
    told = peak_bands(record, clock, finer=Finer("January", months[0]), courses=FEW)
    intervals, days, _ = held(alone, target, step_min)
    assert intervals >= 0.85
    assert days >= 0.85
    assert alone.shortest.intervals.width_w.mean() > told.shortest.intervals.width_w.mean()
    assert codes(alone) & {"demand.peaks-by-survey", "demand.peaks-by-usual"}
