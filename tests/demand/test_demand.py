"""Demand against plain loops: energy, windows, profiles, peaks, months, and gaps that stay visible."""

from datetime import UTC, date, datetime
from zoneinfo import ZoneInfo

import numpy as np
import pytest
from hypothesis import given, strategies as st

from tests.demand.hand import channel, plain_record, record_of, second
from wattwright.core.basis import Basis
from wattwright.core.calendar import days_between
from wattwright.core.clock import SiteClock
from wattwright.core.errors import Cancelled, RecordError
from wattwright.core.progress import Reporting
from wattwright.core.quality import Quality
from wattwright.core.quantity import Direction, Phase, Quantity
from wattwright.core.series import Series, of_values
from wattwright.core.show import Show
from wattwright.demand.analyse import analyse
from wattwright.demand.duration import duration_curve
from wattwright.demand.json_form import demand_json
from wattwright.demand.months import by_month
from wattwright.demand.peaks import highest_peaks
from wattwright.demand.profiles import day_table, typical_days
from wattwright.demand.site import site_power
from wattwright.demand.summary import base_load, maximum_demand, summarise

ATHENS = SiteClock("Europe/Athens")
NAN = float("nan")
readings = st.lists(st.one_of(st.floats(0, 2e4), st.just(NAN)), min_size=1, max_size=300)
steps = st.sampled_from([60, 300, 900, 1800, 3600])
starts = st.integers(second("2025-03-29 00:00"), second("2025-03-31 12:00")) | st.integers(
    second("2025-10-25 00:00"), second("2025-10-27 12:00")
)


def is_told(value):
    return value == value


def windows_by_hand(series, window_s, zone):
    """Plain twin: for each clock window (by zoneinfo, repeated hours apart), its readings; whole where no second lacks one."""
    info = ZoneInfo(zone)
    held = {}
    for k, value in enumerate(series.values.tolist()):
        at = series.start_s + k * series.step_s
        local = datetime.fromtimestamp(at, info)
        since = local.hour * 3600 + local.minute * 60 + local.second
        held.setdefault((local.date(), since // window_s, local.utcoffset()), []).append(value)
    full = window_s // series.step_s
    return {
        key: (sum(told) / len(told) if len(values) == full and all(map(is_told, values)) else None)
        for key, values in held.items()
        if (told := [v for v in values if is_told(v)]) or True
    }


@given(readings, steps, starts, st.sampled_from([900, 1800, 3600]))
def test_maximum_by_window_is_that_of_a_plain_loop(values, step_s, start, window_s):
    """On days of 23, 24 and 25 hours, with gaps and cut ends, the highest whole window and the count of those left out."""
    series = of_values(start - start % step_s, step_s, np.array(values))
    ours, _ = maximum_demand(series, window_s, ATHENS)
    if window_s < step_s:
        assert (np.isnan(ours.power_w), ours.start_s, ours.windows, ours.left_out) == (True, -1, 0, 0)
        return
    hand = windows_by_hand(series, window_s, "Europe/Athens")
    whole = [mean for mean in hand.values() if mean is not None]
    assert ours.power_w == pytest.approx(max(whole, default=NAN), nan_ok=True)
    assert (ours.windows, ours.left_out) == (len(hand), len(hand) - len(whole))
    assert (ours.start_s == -1) is not bool(whole)


@given(readings, steps, starts, st.sampled_from([900, 1800, 3600]))
def test_rolling_is_that_of_a_plain_loop_and_never_below_the_clock(values, step_s, start, window_s):
    """The highest mean over any run of steps that fills the window without a gap."""
    series = of_values(start - start % step_s, step_s, np.array(values))
    ours, _ = maximum_demand(series, window_s, ATHENS)
    if ours.start_s < 0:
        return
    n = window_s // step_s
    runs = [values[k : k + n] for k in range(len(values) - n + 1)]
    hand = max(sum(run) / n for run in runs if all(map(is_told, run)))
    assert ours.rolling_w == pytest.approx(hand, abs=1e-6)
    assert ours.rolling_w >= ours.power_w


@given(readings, steps, starts)
def test_energy_is_the_same_wherever_it_is_added_up(values, step_s, start):
    """Total, months and the area under the duration curve are the sum of readings times the step."""
    series = of_values(start, step_s, np.array(values))
    summary, _ = summarise(series, ATHENS)
    hand = sum(v for v in values if is_told(v)) * step_s / 3.6e6
    assert summary.energy_kwh == pytest.approx(hand, rel=1e-9)
    assert duration_curve(series).energy_kwh == pytest.approx(hand, rel=1e-9)
    assert sum(month.energy_kwh for month in by_month(series, ATHENS)) == pytest.approx(hand, rel=1e-9)
    assert summary.missing == sum(not is_told(v) for v in values)
    assert summary.completeness == pytest.approx(1 - summary.missing / len(values))


@given(readings, st.floats(0, 1), st.floats(0, 2e4))
def test_duration_curve_is_what_it_says(values, share, power):
    """At a share stands the highest power that was reached or passed for that share of the time; hours above are counted."""
    told = [v for v in values if is_told(v)]
    curve = duration_curve(of_values(0, 1800, np.array(values)))
    assert curve.power_w.tolist() == sorted(told, reverse=True)
    assert curve.hours_above(power) == pytest.approx(sum(v > power for v in told) / 2)
    if not told:
        assert np.isnan(curve.at_share(share))
        return
    at = curve.at_share(share)
    assert sum(v >= at for v in told) / len(told) >= share - 1e-6
    higher = [v for v in told if v > at]
    assert not higher or sum(v >= min(higher) for v in told) / len(told) < share + 1e-6


@pytest.mark.parametrize(("share", "power"), [(0.0, 10), (0.25, 10), (0.26, 8), (0.5, 8), (0.75, 4), (1.0, 1)])
def test_duration_at_shares_of_four_readings(share, power):
    """Of 10, 8, 4, 1: the first was reached a quarter of the time, the second half of it, and so on."""
    assert duration_curve(of_values(0, 60, np.array([4.0, 10.0, 1.0, 8.0]))).at_share(share) == power


def test_base_load_by_hand():
    """21 hours of 100, 200 ... 2100 W: 5 % of the way through 20 steps is the second, 200 W."""
    series = of_values(second("2025-01-06 00:00"), 3600, np.arange(1, 22) * 100.0)
    assert base_load(series, ATHENS) == pytest.approx(200)
    assert np.isnan(base_load(of_values(0, 3600, np.array([NAN])), ATHENS))


def test_load_factor_by_hand():
    """Two hours of 1 kW and one of 4 kW: mean 2 kW, maximum 4 kW, load factor 0.5; without power there is none."""
    summary, _ = summarise(of_values(0, 3600, np.array([1000.0, 1000.0, 4000.0])), ATHENS)
    assert (summary.mean_w, summary.maximum.power_w, summary.load_factor) == (2000, 4000, 0.5)
    assert summary.maximum.start_s == 7200
    assert np.isnan(summarise(of_values(0, 3600, np.zeros(3)), ATHENS)[0].load_factor)


def test_record_without_a_reading_has_no_figures():
    """Nothing read: no mean, no maximum, no base load, no completeness; and an empty one is not divided by."""
    nothing, notes = summarise(of_values(0, 60, np.full(120, NAN)), ATHENS)
    assert (nothing.energy_kwh, nothing.missing, nothing.completeness, notes) == (0, 120, 0, ())
    assert all(np.isnan(one) for one in (nothing.mean_w, nothing.base_load_w, nothing.load_factor, nothing.maximum.power_w))
    empty, _ = summarise(of_values(0, 60, np.zeros(0)), ATHENS)
    assert (empty.intervals, empty.completeness) == (0, 0)


def test_window_with_a_gap_is_left_out_and_told():
    """A quarter hour of 9 kW with one minute missing does not count; the finding says how high its readings reach."""
    values = np.full(60, 1000.0)
    values[15:30] = 9000.0
    values[20] = NAN
    ours, (note,) = maximum_demand(of_values(second("2025-01-06 00:00"), 60, values), 900, ATHENS)
    assert (ours.power_w, ours.windows, ours.left_out) == (1000, 4, 1)
    assert note.data == {"count": 1, "window": 900, "highest": 9000.0}
    assert note.says(Show()).startswith("Windows of 15")


def test_window_without_any_reading_is_counted_without_a_sentence():
    """A whole quarter hour without readings is counted as left out, and reaches nothing."""
    values = np.full(60, 1000.0)
    values[15:30] = NAN
    ours, notes = maximum_demand(of_values(second("2025-01-06 00:00"), 60, values), 900, ATHENS)
    assert (ours.left_out, notes) == (1, [])


def test_window_that_steps_do_not_fill_still_has_a_maximum():
    """Steps of 7 min fill no quarter hour, but share it by time; the rolling one cannot be formed and is the clock's."""
    values = np.array([0.0, 900.0, 0.0, 0.0, 0.0])
    ours, _ = maximum_demand(of_values(second("2025-01-06 00:00"), 420, values), 900, ATHENS)
    assert ours.power_w == pytest.approx(900 * 7 / 15)  # minutes 7 to 14 lie in the first quarter hour
    assert ours.rolling_w == ours.power_w


@given(readings, st.sampled_from([60, 300, 900, 1800, 3600, 7200]))
def test_peaks_are_those_of_a_plain_search(values, step_s):
    """Highest first, ten at most: take the highest, strike its hour and the stretch at or above nine tenths of it, go on."""
    record = plain_record(values, step_s)
    left = {k: v for k, v in enumerate(values) if is_told(v)}
    hand = []
    while left and len(hand) < 10:
        best = max(left, key=lambda k: (left[k], -k))
        hand.append((best, left[best]))
        first, last, tenths = best, best, 0.9 * values[best]
        while first > 0 and values[first - 1] >= tenths:
            first -= 1
        while last + 1 < len(values) and values[last + 1] >= tenths:
            last += 1
        left = {k: v for k, v in left.items() if (abs(k - best) - 1) * step_s >= 3600 and not first <= k <= last}
    peaks = highest_peaks(record.channels[0].series, record)
    start = record.channels[0].series.start_s
    assert [((p.start_s - start) // step_s, p.power_w) for p in peaks] == hand
    assert all(abs(a.start_s - b.start_s) >= 3600 for a in peaks for b in peaks if a is not b)


def test_peak_knows_its_surroundings():
    """Minutes of 1 kW, and 10, 9.5, 9 kW from 05:00: three minutes at or above nine tenths, and what lay about them."""
    values = np.full(600, 1000.0)
    values[300:303] = 10_000, 9500, 9000
    values[310] = NAN
    record = plain_record(values)
    volts = channel(of_values(record.main.series.start_s, 60, np.full(600, 230.0)), "volts", Quantity.VOLTAGE)
    elsewhere = channel(of_values(record.main.series.start_s + 30, 60, np.full(600, 1.0)), "shifted", Quantity.CURRENT)
    short = channel(of_values(record.main.series.start_s, 60, np.full(10, 1.0)), "short", Quantity.CURRENT)
    gap = channel(of_values(record.main.series.start_s, 60, np.full(600, NAN)), "gap", Quantity.CURRENT)
    peak = highest_peaks(record.main.series, record_of(record.main, volts, elsewhere, short, gap))[0]
    assert peak.lasted_s == 180
    assert peak.before_w == 1000
    assert peak.after_w == pytest.approx((9500 + 9000 + 57 * 1000) / 59)  # sixty minutes less the one without a reading
    assert (peak.around_start_s, len(peak.around_w)) == (peak.start_s - 3 * 3600, 361)
    assert [(one.channel, one.value, one.unit) for one in peak.beside] == [("volts", 230.0, "V")]


def test_peak_at_the_edge_has_nothing_before_it():
    """The first interval of a record has no hour before it; its run may reach the end."""
    record = plain_record([5.0, 5.0, 5.0])
    peak = highest_peaks(record.main.series, record)[0]
    assert np.isnan(peak.before_w)
    assert peak.after_w == 5
    assert peak.lasted_s == 180
    assert highest_peaks(of_values(0, 60, np.full(3, NAN)), record) == ()
    assert highest_peaks(of_values(0, 60, np.zeros(0)), record) == ()


def test_run_around_a_peak_reaches_to_both_sides():
    """The highest of 9, 10, 9 is in the middle, and all three are at or above nine tenths of it."""
    record = plain_record([1.0, 9.0, 10.0, 9.0, 1.0])
    assert highest_peaks(record.main.series, record)[0].lasted_s == 180


@given(st.integers(0, 2**31), st.sampled_from([900, 1800, 3600]), st.sampled_from(["2025-03-28", "2025-10-24", "2025-06-01"]))
def test_typical_days_are_those_of_a_plain_table(seed, step_s, first):
    """Percentiles of each bin over the days, by sorting; a repeated hour is averaged, a skipped one absent, a gap left out."""
    values = np.random.default_rng(seed).uniform(0, 5000, 5 * 86_400 // step_s)
    values[np.random.default_rng(seed + 1).integers(0, len(values), 5)] = NAN
    series = of_values(second(first + " 00:00"), step_s, values)
    days = days_between(ATHENS, series.start_s, series.end_s)
    cells = {}
    for at, value in zip(series.times_s.tolist(), values.tolist(), strict=True):
        local = datetime.fromtimestamp(at, ZoneInfo("Europe/Athens"))
        if is_told(value):
            cells.setdefault((local.date(), (local.hour * 60 + local.minute) * 60 // step_s), []).append(value)
    table = day_table(series, days, ATHENS, 900)
    assert table.bin_s == step_s
    for row in range(len(days)):
        for column in range(86_400 // step_s):
            given = cells.get((days.date(row), column))
            assert table.power_w[row, column] == pytest.approx(sum(given) / len(given) if given else NAN, nan_ok=True)
    whole = typical_days(table, days).of(-1, -1)
    for column in range(86_400 // step_s):
        told = sorted(sum(v) / len(v) for (_, c), v in cells.items() if c == column)
        for percent, ours in ((10, whole.low_w), (50, whole.median_w), (90, whole.high_w)):
            assert ours[column] == pytest.approx(percentile(told, percent), nan_ok=True)
        assert whole.mean_w[column] == pytest.approx(sum(told) / len(told) if told else NAN, nan_ok=True)


def percentile(ordered, percent):
    """Plain twin: linear between neighbours, the usual definition (Hyndman and Fan's seventh)."""
    if not ordered:
        return NAN
    place = (len(ordered) - 1) * percent / 100
    low = int(place)
    high = min(low + 1, len(ordered) - 1)
    return ordered[low] + (place - low) * (ordered[high] - ordered[low])


def test_day_types_and_seasons_go_apart():
    """A week in January with a holiday on Tuesday: four working days, a Saturday, and Sunday with the holiday; all winter."""
    values = np.repeat([1000, 2000, 3000, 4000, 5000, 600, 700], 24).astype(float)  # Monday to Sunday
    series = of_values(second("2025-01-06 00:00"), 3600, values)
    days = days_between(ATHENS, series.start_s, series.end_s, frozenset({date(2025, 1, 7)}))
    profiles = typical_days(day_table(series, days, ATHENS, 3600), days)
    assert [profiles.of(-1, kind).days for kind in range(3)] == [4, 1, 2]
    assert profiles.of(0, 0).median_w.tolist() == [3500] * 24  # median of 1000, 3000, 4000, 5000
    assert profiles.of(0, 2).mean_w.tolist() == [1350] * 24  # (2000 + 700) / 2
    assert profiles.of(2, -1) is None


def test_month_cut_by_the_record_is_a_part():
    """From 20 January to 1 March: January is a part, February whole; at 1 kW each has a kilowatt-hour for each hour."""
    hours = (second("2025-03-01 00:00") - second("2025-01-20 00:00")) // 3600
    january, february = by_month(of_values(second("2025-01-20 00:00"), 3600, np.full(hours, 1000.0)), ATHENS)
    assert (january.whole, january.energy_kwh, january.completeness) == (False, 12 * 24, 1)
    assert (february.whole, february.energy_kwh, february.window_s) == (True, 28 * 24, 3600)
    assert february.end_s == second("2025-03-01 00:00")


def test_month_with_a_change_of_the_clock_has_its_true_hours():
    """October 2025 in Athens has 745 hours and March 743."""
    series = of_values(second("2025-03-01 00:00"), 3600, np.full(365 * 24, 1000.0))
    energy = {month.month: month.energy_kwh for month in by_month(series, ATHENS) if month.whole}
    assert (energy[3], energy[4], energy[10]) == (743, 720, 745)


def test_month_without_a_whole_window_has_no_maximum():
    """Where every window has a gap, no demand of the month is known."""
    values = np.full(96 * 15, 1000.0)
    values[::15] = NAN
    (month,) = by_month(of_values(second("2025-01-06 00:00"), 60, values), ATHENS)
    assert np.isnan(month.maximum_w)
    assert month.completeness == pytest.approx(14 / 15)


def phases(*values, direction=Direction.IMPORT, names=(Phase.L1, Phase.L2, Phase.L3)):
    return [
        channel(of_values(0, 60, np.array(one, float)), phase.value.lower(), phase=phase, direction=direction)
        for one, phase in zip(values, names, strict=False)
    ]


def test_three_conductors_are_added_up():
    """No channel measures the whole: the sum is taken, a gap in one is a gap in all, and a finding says so."""
    power = site_power(record_of(*phases([1, 2, NAN], [10, 20, 30], [100, 200, 300])))
    assert power.series.values[:2].tolist() == [111, 222]
    assert power.series.quality.tolist() == [0, 0, Quality.MISSING]
    assert power.channels == ("l1", "l2", "l3")
    assert power.findings[0].says(Show()) == "The site's power is the sum of 3 channels: l1, l2, l3."


def test_total_stands_for_the_whole_where_there_is_one():
    """With a total beside its conductors nothing is added; export is never part of what the site draws."""
    total = channel(of_values(0, 60, np.array([7.0])))
    assert site_power(record_of(*phases([1], [2]), total)).series is total.series
    out = phases([5], direction=Direction.EXPORT, names=(Phase.L3,))
    assert site_power(record_of(*phases([1], [2]), *out)).series.values.tolist() == [3]
    (alone,) = phases([1])
    assert site_power(record_of(alone)).channels == ("l1",)


def test_channel_may_be_named_by_id_or_column():
    """A named channel is taken as it is; one of another quantity, or none of that name, is refused with those there are."""
    one, two = phases([1], [2])
    record = record_of(one, two, channel(of_values(0, 60, np.ones(1)), "volts", Quantity.VOLTAGE))
    assert site_power(record, "l2").series is two.series
    assert site_power(record, "L1").series is one.series
    with pytest.raises(RecordError, match="a channel of voltage; expected a channel of active power: l1, l2"):
        site_power(record, "volts")
    with pytest.raises(RecordError, match='no channel "x"'):
        site_power(record, "x")


def test_record_without_power_is_refused():
    """What was found is named, so that the person can say which column holds it."""
    volts = channel(of_values(0, 60, np.ones(1)), "volts", Quantity.VOLTAGE)
    with pytest.raises(RecordError, match=r"found VOLTS \(voltage\); expected a channel of active power"):
        site_power(record_of(volts))
    with pytest.raises(RecordError, match="none"):
        site_power(record_of(volts), "x")


def test_filled_in_readings_mark_every_figure():
    """With one reading filled in, the total is estimated, and its share of the energy is told."""
    series = Series(0, 3600, np.array([1000.0, 3000.0]), np.array([0, Quality.ESTIMATED_LINEAR], np.uint8), np.array([1.0, NAN]))
    record = record_of(channel(series))
    assert site_power(record).grounds.basis is Basis.ESTIMATED
    summary, _ = summarise(series, ATHENS)
    assert (summary.estimated, summary.estimated_kwh, summary.energy_kwh) == (1, 3.0, 4.0)
    assert site_power(plain_record([1.0])).grounds.basis is Basis.MEASURED


def test_what_a_record_cannot_tell_is_said():
    """Gaps, less than a year and coarse readings are each a finding; a year of whole minutes would have none."""
    values = np.full(48, 1000.0)
    values[5] = NAN
    found = analyse(plain_record(values, 3600), ATHENS).findings
    assert [one.code for one in found] == ["demand.incomplete", "demand.short", "demand.coarse"]
    assert found[0].data["missing"] == 3600
    assert "97.9" in found[0].says(Show())  # 47 of 48 hours are 97.916 %
    year = analyse(plain_record(np.ones(361 * 288), 300, "2025-01-01 00:00"), ATHENS).findings
    assert year == ()


def test_analysis_can_be_stopped():
    """Asked to stop, the analysis ends with the sentence for it."""
    with pytest.raises(Cancelled):
        analyse(plain_record([1.0]), ATHENS, progress=Reporting(lambda *_: None, lambda: True))


def test_unknown_figures_are_null_for_programs():
    """What cannot be known is null, times are ISO 8601 with offset, and the keys are those documented."""
    record = plain_record([NAN, NAN], 3600)
    told = demand_json(analyse(record, ATHENS), record, Show())
    assert told["maximum_demand_by_window_kw"] == {"15": None, "30": None, "60": None}
    assert (told["mean_kw"], told["load_factor"], told["base_load_kw"], told["maximum_demand_at"]) == (None,) * 4
    assert told["first"] == "2025-01-06T00:00:00+02:00"
    assert datetime.fromisoformat(told["last"]).astimezone(UTC).timestamp() == second("2025-01-06 02:00")


def test_rolling_window_passes_over_holes():
    """A run of readings with a hole in it is no window: 9, 9, hole, 9, 9 holds none of 3 min; the 3 in a row after it do."""
    held = of_values(0, 60, np.array([9.0, 9.0, NAN, 9.0, 9.0, NAN, 3.0, 3.0, 3.0]))
    one, _ = maximum_demand(held, 180, SiteClock("UTC"))
    assert (one.rolling_w, one.rolling_start_s) == (3.0, 360)


def test_a_plateau_is_one_peak():
    """Five hours at one level are one peak that lasted five hours, not five peaks."""
    values = np.concatenate([np.full(60, 1.0), np.full(300, 10.0), np.full(120, 1.0), [8.0], np.full(60, 1.0)])
    peaks = highest_peaks(of_values(0, 60, values), plain_record(values.tolist()), 2)
    assert [(peak.power_w, peak.lasted_s) for peak in peaks] == [(10.0, 18_000), (8.0, 60)]


def test_the_mark_of_a_maximum_follows_one_rule():
    """One channel over its own step is as it was read; over longer windows, or as a sum of conductors, it is worked out."""
    one = analyse(plain_record([1000.0, 2000.0, 1500.0] * 20, 900), ATHENS)
    assert [one.basis_over(window_s) for window_s in (900, 1800, 3600)] == [Basis.MEASURED, Basis.CALCULATED, Basis.CALCULATED]
    series = of_values(second("2025-01-06 00:00"), 900, np.full(8, 500.0))
    phases = [channel(series, name.value, phase=name) for name in (Phase.L1, Phase.L2, Phase.L3)]
    three = analyse(record_of(*phases), ATHENS)
    assert (three.basis_over(900), three.grounds.basis) == (Basis.CALCULATED, Basis.MEASURED)
    assert demand_json(three, record_of(*phases), Show())["maximum_demand_basis"] == "c"


@pytest.mark.parametrize(
    ("values", "direction", "told"),
    [
        # Half an hour at 2 kW and half at -1 kW: 1 kWh in, 0.5 kWh out, by hand.
        ([2000.0, 2000.0, -1000.0, -1000.0], Direction.NET, (1.0, 0.5)),
        ([2000.0, 2000.0, -1000.0, -1000.0], Direction.IMPORT, (1.0, 0.5)),
        ([2000.0, 2000.0, 1000.0, 1000.0], Direction.NET, (1.5, 0.0)),
        ([2000.0, 2000.0, 1000.0, -1.0], Direction.IMPORT, None),
        ([2000.0, 2000.0, 1000.0, 1000.0], Direction.IMPORT, None),
    ],
)
def test_net_power_is_never_called_use_without_a_word(values, direction, told):
    """Import less export is told with both energies, and that the use is not known; a transformer's zero error is none."""
    series = of_values(second("2025-01-06 00:00"), 900, np.array(values))
    demand = analyse(record_of(channel(series, direction=direction)), ATHENS)
    found = [one for one in demand.findings if one.code == "demand.net"]
    assert [(one.data["imported"], one.data["exported"]) for one in found] == ([told] if told else [])
