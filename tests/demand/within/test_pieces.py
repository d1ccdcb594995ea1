"""The pieces that bands are made of: courses, likeness, conformal correction, days drawn, limits passed."""

import numpy as np
import pytest
from hypothesis import given, settings, strategies as st

from wattwright.core.clock import SiteClock
from wattwright.core.seeds import Streams
from wattwright.core.series import of_values
from wattwright.demand.within.bands import hull
from wattwright.demand.within.conformal import NOMINAL, guarantee, rank_levels, tail_correction, weighted_quantile
from wattwright.demand.within.correction import Correction, LeftOut, correct, each_in_turn, farther, half_by_half, tails
from wattwright.demand.within.course_kernels import draw_courses
from wattwright.demand.within.courses import beside, invented_courses, measured_courses
from wattwright.demand.within.draws import (
    DRAWS,
    RESOLUTION_W,
    Drawing,
    Spans,
    at_levels,
    day_maxima,
    day_maxima_like,
    ranks_of,
    redrawn,
    spans_of,
    together,
    usual_width,
)  # fmt: skip
from wattwright.demand.within.lent import Lent
from wattwright.demand.within.likeness import features, fewest_others, left_out, nearest, nearest_of_days
from wattwright.demand.within.listed import HOUSEHOLD, Listed, allowance_w, ceiling_w, columns, usual_loads
from wattwright.demand.within.passing import passed, passing
from wattwright.demand.within.views import At, Group, View, calibrated

HOUR = 3600
CLOCK = SiteClock("UTC")


def days(count, each=24):
    """So many whole days of ``each`` intervals."""
    first = np.arange(count, dtype=np.int64) * each
    return Spans(first, first * 3600, np.ones(count, np.bool_), count * each)


def told_of_others(points, day, count):
    """Every day told from all others but those around it."""
    every = np.ones(len(np.unique(day)), np.bool_)
    return nearest_of_days(points, day, count, every, every)


def level(excess):
    """Courses whose means are those of the intervals."""
    return Lent(excess, np.zeros_like(excess))


def test_a_course_knows_its_mean_and_how_far_each_window_lies_above_it():
    """An hour of 1 kW with one minute of 7 kW: mean 1.1 kW; above it by 5.9 kW in a minute, 0.3 in a quarter, 0.1 in a half."""
    hour = np.full(60, 1000.0)
    hour[20] = 7000.0
    course = measured_courses(of_values(0, 60, hour), 0, HOUR, CLOCK)
    assert course.mean_w == pytest.approx([1100.0])
    assert [float(course.excess_w(w)[0]) for w in (60, 900, 1800)] == pytest.approx([5900.0, 300.0, 100.0])


def test_courses_lie_on_the_grid_of_the_record():
    """Fine readings from 00:40 on give their first whole hour at 01:00; seconds are averaged to minutes; a gap costs its hour."""
    fine = np.arange(4 * 360, dtype=float)
    fine[3 * 360] = np.nan
    courses = measured_courses(of_values(40 * 60, 10, fine), 0, HOUR, CLOCK)
    assert courses.slot_s == 60
    assert courses.start_s.tolist() == [HOUR, 2 * HOUR]
    # By hand: 20 min after the beginning is reading 120; its first minute is the mean of 120..125.
    assert courses.power_w[0, 0] == pytest.approx(122.5)
    assert courses.mean_w == pytest.approx([120 + 179.5, 480 + 179.5])
    assert courses.after_w[0] == pytest.approx(480 + 179.5)
    assert courses.of_day_s.tolist() == [3600.0, 7200.0]


def test_neighbours_of_an_end_or_a_gap_are_the_interval_itself():
    """Nothing is known beside an end or a gap, so the interval stands for its neighbour."""
    before, after = beside(np.array([1.0, np.nan, 3.0, 4.0]))
    assert before[[0, 2, 3]].tolist() == [1.0, 3.0, 3.0]
    assert after[[0, 2, 3]].tolist() == [1.0, 4.0, 4.0]


@pytest.mark.kernel
def test_invented_courses_hold_the_energy_of_what_is_on():
    """A load that never rests adds its rating; nothing exceeds the rest and all ratings; same stream, same courses."""
    always = (np.array([1000.0]), np.array([1e9]), np.array([0.0]))
    drawn = draw_courses(np.random.default_rng(1), *always, 1e-6, 50.0, 40, 120, 60.0)
    # In use for certain; off only before its first beginning, which lies up to two very long cycles back.
    assert np.isclose(drawn, 1000.0, atol=1e-3).mean() > 0.3
    assert drawn.max() <= 1000.0 + 1e-3
    again = draw_courses(np.random.default_rng(1), *always, 1e-6, 50.0, 40, 120, 60.0)
    assert (drawn == again).all()


@pytest.mark.kernel
def test_invented_courses_average_to_their_duty():
    """Over many courses the mean power is that of use times duty: between nought and the rating, and more use is more power."""
    load = [Listed("pump", 2000.0, 600.0, spread=0.0)]
    means = []
    for use in (0.1, 0.4):
        made = invented_courses(load, 1.0, HOUR, np.random.default_rng(4), longer=1.0, use=use, count=300)
        means.append(float(made.power_w.mean()))
        assert made.power_w.max() <= 2000.0 + 10.0
    # Duty is 0.02 + 0.95 u^1.5, whose mean is 0.40; busy is 2 use u, whose mean is use: 2 kW x 0.1 x 0.40 = 80 W, and 320 W.
    assert means[0] == pytest.approx(80.0, rel=0.35)
    assert means[1] == pytest.approx(320.0, rel=0.25)


def test_days_left_out_are_left_out():
    """No interval is told from another of its own day."""
    draws = np.random.default_rng(3)
    points, day = draws.random((90, 5)), np.repeat(np.arange(9), 10)
    index, far = told_of_others(points, day, 6)
    assert (day[index] != day[:, None]).all()
    assert index.shape == (90, 12)
    assert (far > 0).all()


def test_days_around_are_left_out_too():
    """Of a month two days on either side are left out with a day, of two weeks one, of less none; what is left is counted."""
    assert [left_out(one) for one in (2, 13, 14, 28, 365)] == [0, 0, 1, 2, 2]
    draws = np.random.default_rng(4)
    day = np.repeat(np.arange(30), 8)
    index, _ = told_of_others(draws.random((240, 5)), day, 6)
    assert np.abs(day[index] - day[:, None]).min() == 3
    # By hand: five days of eight courses are left out of thirty days; of two days always the one.
    assert fewest_others(day) == 240 - 5 * 8
    assert fewest_others(np.array([7, 7, 9])) == 1


def test_nearest_agrees_with_sorting_all_distances():
    """The tree finds what a plain sort of all distances finds."""
    draws = np.random.default_rng(5)
    known, at = draws.random((200, 3)), draws.random((20, 3))
    index, far = nearest(known, at, 7)
    plain = np.linalg.norm(known[None] - at[:, None], axis=2)
    assert (np.sort(index, axis=1) == np.sort(np.argsort(plain, axis=1)[:, :7], axis=1)).all()
    assert far == pytest.approx(np.sort(plain, axis=1)[:, 6])


def test_features_turn_with_the_day():
    """Midnight is as near to 23:59 as to 00:01, and power that is given back stands on the other side of nought."""
    same = np.full(3, 100.0)
    points = features(same, same, same, np.array([0.0, 86_340.0, 60.0]), 10.0)
    assert np.linalg.norm(points[0] - points[1]) == pytest.approx(np.linalg.norm(points[0] - points[2]))
    assert features(-same, same, same, np.full(3, np.nan), 10.0)[0, 0] == pytest.approx(-1.0)


@settings(max_examples=30, deadline=None)
@given(st.integers(0, 10_000))
def test_the_correction_is_about_the_level_of_independent_misses(seed):
    """Of independent misses the bound moves to their 95 % level, raised by half a standard error: never below, little above."""
    draws = np.random.default_rng(seed)
    beyond, day = draws.normal(size=960), np.repeat(np.arange(40), 24)
    moved = tail_correction(beyond, day, np.ones(960))
    assert np.quantile(beyond, 0.95) <= moved <= np.quantile(beyond, 0.98)


def test_the_correction_grows_when_days_differ():
    """Misses that come by whole days show fewer independent days, so the bound moves further than their plain level."""
    draws = np.random.default_rng(6)
    alike = np.repeat(draws.normal(size=20), 24) + 0.01 * draws.normal(size=480)
    day = np.repeat(np.arange(20), 24)
    assert tail_correction(alike, day, np.ones(480)) > np.quantile(alike, 0.95) + 1e-3


def test_a_weighted_quantile_by_hand():
    """Of 1, 2, 3 with weights 1, 1, 2 half of the weight lies up to 2, and the rest at 3; equal weights: the plain one."""
    values, weight = np.array([3.0, 1.0, 2.0]), np.array([2.0, 1.0, 1.0])
    assert [weighted_quantile(values, weight, one) for one in (0.2, 0.5, 0.51, 1.0)] == [1.0, 2.0, 3.0, 3.0]
    many = np.random.default_rng(8).normal(size=1001)
    assert weighted_quantile(many, np.ones(1001), 0.9) == pytest.approx(np.quantile(many, 0.9, method="inverted_cdf"))


def test_what_the_record_has_most_of_counts_most():
    """Where the record lies only among intervals that miss by 3, the bound moves by 3, whatever the others do."""
    beyond, day = np.concatenate([np.full(100, -1.0), np.full(100, 3.0)]), np.tile(np.arange(20), 10)
    assert tail_correction(beyond, day, np.repeat([0.0, 1.0], 100)) == 3.0
    assert tail_correction(beyond, day, np.repeat([1.0, 0.0], 100)) == -1.0


def test_levels_of_ranks_by_hand():
    """With 39 ranks 1/40..39/40 the levels are the second and the 38th, which a new rank falls between in 36 of 40 and more."""
    ranks = np.arange(1, 40) / 40
    # 0.05 x 40 - 1 = 1 and 0.95 x 40 - 1 = 37, counted from nought.
    assert rank_levels(ranks) == pytest.approx((0.05, 0.95))
    assert rank_levels(np.array([0.3, 0.5, 0.6])) == pytest.approx((0.05, 0.95))
    assert rank_levels(np.array([0.01, 0.5, 1.0])) == (0.01, 1.0)
    assert rank_levels(np.array([-0.2, 0.5, 1.3])) == (-0.2, 1.3)
    # Nineteen days promise nine in ten by themselves, so what they show may be narrower than the draws: lowest and highest.
    assert rank_levels(np.linspace(0.3, 0.7, 19)) == pytest.approx((0.3, 0.7))
    assert rank_levels(np.zeros(0)) == pytest.approx((0.05, 0.95))


def test_guarantee_of_few_days():
    """Between the lowest and the highest of n a new one falls in (n - 1) of (n + 1): 19 days are the fewest for nine in ten."""
    assert guarantee(19) == pytest.approx(0.9)
    assert guarantee(7) == pytest.approx(0.75)
    assert guarantee(0) == 0.0
    assert guarantee(365) == NOMINAL


def test_days_drawn_from_certain_courses_are_certain():
    """Where each interval has one course only, the day's maximum is that of mean and excess."""
    mean, excess = np.array([1.0, 5.0, 2.0, 3.0]), np.array([[1.0], [0.5], [9.0], [0.0]])
    drawn = day_maxima(mean, excess, days(2, 2), np.random.default_rng(1))
    assert drawn.shape == (2, DRAWS)
    assert (drawn[0] == 5.5).all()
    assert (drawn[1] == 11.0).all()


def test_days_drawn_agree_with_the_product_of_chances(monkeypatch):
    """The chance that a day of independent intervals stays below a level is the product of theirs, also drawn part by part."""
    draws = np.random.default_rng(8)
    excess, mean = draws.random((48, 5)), np.zeros(48)
    expected = np.prod((excess <= 0.93).mean(axis=1)[:24])
    for at_once in (8000, 30):
        monkeypatch.setattr("wattwright.demand.within.draws._AT_ONCE", at_once)
        drawn = day_maxima(mean, excess, days(2), np.random.default_rng(9))
        assert float((drawn[0] <= 0.93).mean()) == pytest.approx(expected, abs=4 * np.sqrt(0.25 / DRAWS))


def test_days_of_intervals_that_are_high_together():
    """At each level the day's maximum is that of the intervals at the same level: by hand, 3, 6 and 9."""
    told = together(np.array([1.0, 2.0]), np.array([[2.0, 0.0, 5.0], [7.0, 1.0, 4.0]]), days(1, 2))
    assert told.tolist() == [[3.0, 6.0, 9.0]]


def test_spans_know_whole_days():
    """A day counts as whole from nine tenths of its intervals on; days without any are none."""
    starts = np.concatenate([np.arange(24), np.arange(48, 60)]).astype(np.int64) * 3600
    spans = spans_of(starts, np.arange(4, dtype=np.int64) * 86_400, 3600)
    assert spans.first.tolist() == [0, 24]
    assert spans.whole.tolist() == [True, False]
    assert spans.start_s.tolist() == [0, 172_800]


def test_draws_of_a_day_come_from_one_day_of_the_stretch():
    """A peak of one day in four among all likes is in a quarter of the drawn days, not in nearly all as when drawn one by one."""
    mean, each = np.zeros(48), 24
    excess, of_day = np.zeros((48, 4)), np.tile(np.arange(4), (48, 1))
    excess[:, 2] = 900.0
    told = day_maxima_like(mean, level(excess), of_day, days(2, each), np.random.default_rng(2), Drawing.APART, 4000)
    assert (told == 900.0).mean() == pytest.approx(0.25, abs=0.02)
    alone = day_maxima(mean, excess, days(2, each), np.random.default_rng(2), 400)
    assert (alone == 900.0).mean() > 0.99


def test_half_of_the_draws_may_hold_all_intervals_alike():
    """Each of 24 intervals peaks by nought or 900 W: drawn apart hardly a day stays low, drawn half together a quarter does."""
    excess = np.tile([0.0, 900.0], (24, 1))
    put = (np.zeros(24), level(excess), np.zeros((24, 2)), days(1), np.random.default_rng(4))
    assert (day_maxima_like(*put, Drawing.APART, 1000) == 0.0).mean() < 0.001
    # By hand: half of the draws are together, and half of those low.
    assert (day_maxima_like(*put, Drawing.OFTEN_TOGETHER, 1000) == 0.0).mean() == 0.25


def test_an_interval_like_none_of_the_day_takes_any():
    """Where an interval has likes of day 7 alone, draws from another day take those."""
    excess, of_day = np.array([[5.0, 5.0], [1.0, 3.0]]), np.array([[7, 7], [8, 8]])
    told = day_maxima_like(np.array([10.0, 10.0]), level(excess), of_day, days(1, 2), np.random.default_rng(2), Drawing.APART, 50)
    assert (told == 15.0).all()


def test_a_day_is_drawn_with_one_answer_to_how_a_peak_goes_with_its_mean():
    """Means 6 W above those of courses that peak 10 W above theirs: a day's highest lies 4 to 10 W above the mean, evenly.

    By hand: the share of 6 W that goes into the peak is even from nought to one, and all intervals of a day share it. Drawn
    for each interval, the highest of 24 would nearly always lie near 10.
    """
    lent = Lent(np.full((24, 4), 10.0), np.full((24, 4), 6.0))
    told = (
        day_maxima_like(np.full(24, 50.0), lent, np.zeros((24, 4)), days(1), np.random.default_rng(3), Drawing.APART, 4000)[0]
        - 50.0
    )
    assert (told.min(), told.max()) == pytest.approx((4.0, 10.0), abs=0.01)
    assert told.mean() == pytest.approx(7.0, abs=0.1)


def test_bands_of_intervals_aside_of_their_courses_cover_both_suppositions():
    """Courses on both sides of a mean lend what they had; where all lie below, the low end is lower by that, not below nought."""
    excess = np.tile(np.arange(4.0, 25.0), (3, 1))
    apart = np.stack([np.linspace(-9.0, 9.0, 21), np.full(21, 6.0), np.full(21, 90.0)])
    low, middle, high = Lent(excess, apart).band()
    # 4..24 has its 5 %, 50 % and 95 % at 5, 14 and 23.
    assert low == pytest.approx([5.0, 0.0, 0.0])
    assert middle == pytest.approx([14.0, (14.0 + 8.0) / 2, (14.0 + 0.0) / 2])
    assert high == pytest.approx([23.0, 23.0, 23.0])


def test_an_interval_below_all_its_courses_may_peak_as_they_did():
    """Where all courses lie 6 W above, the interval may have peaked where they did: 6 W more above its own mean."""
    low, _, high = Lent(np.tile(np.arange(4.0, 25.0), (1, 1)), np.full((1, 21), -6.0)).band()
    assert (float(low[0]), float(high[0])) == pytest.approx((5.0, 29.0))


def test_the_draws_of_unlike_days_count_as_much_as_the_days_left_out():
    """The levels are order statistics of the ranks and of as many spread evenly: at 0.05 (2 n + 1) - 1 and 0.95 (2 n + 1) - 1."""
    narrow, wide = Correction(0.0, 0.0, np.linspace(0.3, 0.6, 39)), Correction(0.0, 0.0, np.linspace(-1.0, 2.0, 39))
    assert narrow.levels[0] > 0.29
    # all the ranks lie between, so that place 2.95 of 78 is that of the even ones, (2.95 + 0.5) / 39
    assert narrow.levels_unlike == pytest.approx((3.45 / 39, 0.5, 1 - 3.45 / 39))
    assert wide.levels[0] < wide.levels_unlike[0] < 0.05
    assert 0.95 < wide.levels_unlike[2] < wide.levels[2]


@pytest.mark.parametrize(("is_unlike", "by_halves", "count"), [(False, False, 39), (True, False, 39), (True, True, 78)])
def test_the_highest_of_many_days_takes_the_ranks_of_its_bands(is_unlike, by_halves, count):
    """What the highest day of a month is drawn from is what the bands of its days rest on."""
    left = LeftOut(np.ones(1, np.bool_), np.zeros((1, 1), np.int64))
    group = Group(np.ones(1, np.bool_), left, is_unlike, np.ones(1), by_halves)
    assert len(group.ranks(Correction(0.0, 0.0, np.linspace(0.3, 0.6, 39)))) == count


def test_one_of_few_days_far_off_is_not_the_level_of_unlike_days():
    """Of two weeks left out one day lay far beyond its draws: place 0.95 x 29 - 1 of 28 is 0.55 of the way to it."""
    one = Correction(0.0, 0.0, np.append(np.full(13, 0.5), 1.5))
    assert one.levels[2] == 1.5
    assert one.levels_unlike[2] == pytest.approx(13.5 / 14 + 0.55 * (1.5 - 13.5 / 14))


def test_what_moves_a_band_outwards_grows_with_the_distance():
    """Twice as far off a bound moves out twice as far; one that was moved inwards, or not at all, stays; the middle too."""
    plain = np.array([[100.0, 100.0], [200.0, 200.0], [300.0, 300.0]])
    told = np.array([[90.0, 120.0], [200.0, 210.0], [340.0, 300.0]])
    assert farther(told, plain, np.array([2.0, 2.0])).tolist() == [[80.0, 120.0], [200.0, 210.0], [380.0, 300.0]]
    assert farther(told, plain, np.ones(2)).tolist() == told.tolist()


def test_ranks_and_redrawn_days():
    """Ranks go on beyond the draws by widths; levels give the truth back; days redrawn near the top lie near the top."""
    drawn = np.tile(np.arange(101.0), (2, 1))
    width = 90.0 + RESOLUTION_W
    assert ranks_of(np.array([100.0 + width, -0.5 * width]), drawn) == pytest.approx([2.0, -0.5])
    assert at_levels(drawn, np.array([-0.5, 0.0, 0.25, 1.0, 2.0]))[0] == pytest.approx([-0.5 * width, 0, 25, 100, 100 + width])
    assert ranks_of(np.array([49.0, 100.0]), drawn) == pytest.approx([50 / 101, 1.0])
    high = redrawn(drawn, np.full(9, 0.9), np.random.default_rng(1))
    assert high.min() >= 84.0
    assert redrawn(drawn, np.zeros(0), np.random.default_rng(1)) is drawn


def test_ranks_are_told_in_usual_widths_at_least():
    """Draws that are all but alike tell a miss of 500 W in widths of 250 W when told to, and levels give the truth back."""
    drawn = np.linspace(100.0, 101.0, 101)[None, :]
    rank = ranks_of(np.array([601.0]), drawn, 250.0)
    assert rank == pytest.approx([3.0])
    assert at_levels(drawn, rank, 250.0)[0] == pytest.approx([601.0])
    # By hand: widths of 20.9 W (the draws' 0.9 and the resolution), 20 W more and 40 W more; the middle one counts.
    assert usual_width(np.linspace(0.0, 1.0, 101) * np.array([[1.0], [1 + 20 / 0.9], [1 + 40 / 0.9]])) == pytest.approx(40.9)
    assert usual_width(np.zeros((0, 5))) == 0.0


def stretch(each_w, peak_w, count=24):
    """A stretch of whole days, each at one power but for one minute of each hour, which lies ``peak_w`` above the others."""
    hour = np.zeros((len(each_w), count, 60)) + np.asarray(each_w, float)[:, None, None]
    hour[:, :, 7] += np.asarray(peak_w, float)[:, None]
    fine = of_values(0, 60, hour.ravel())
    return measured_courses(fine, 0, HOUR, CLOCK)


def few(courses):
    """Ten courses stand for an interval, of however many."""
    return 10


def test_the_half_that_uses_less_is_told_from_the_other():
    """Of 20 days 100 W apart the ten lowest are told, each from days above all of them and none next to it; and in reverse."""
    power = 1000.0 + 100.0 * np.random.default_rng(2).permutation(20)
    own, spans = stretch(power, np.full(20, 600.0)), days(20)
    for sign in (1.0, -1.0):
        left = half_by_half(own.mean_w[:, None] * np.ones(5), own, spans, sign * power, few)
        low = sign * power <= np.median(sign * power)
        assert left.days.tolist() == low.tolist()
        told = left.like[spans.each(low)] // 24
        assert (sign * power[told] > np.median(sign * power)).all()
        assert (np.abs(told - np.repeat(np.flatnonzero(low), 24)[:, None]) > 1).all()


def test_too_few_or_too_like_days_are_not_told_half_by_half():
    """A week on either side is wanted, of whole days, and days that use the same have no lower half."""
    points, alike = np.zeros((20 * 24, 5)), np.full(20, 100.0)
    own = stretch(alike, alike)
    assert half_by_half(points, own, days(20), alike, few) is None
    assert half_by_half(points[: 13 * 24], stretch(alike[:13], alike[:13]), days(13), np.arange(13.0), few) is None
    none = Spans(days(20).first, days(20).start_s, np.zeros(20, np.bool_), 480)
    assert half_by_half(points, own, none, np.arange(20.0), few) is None


def test_a_peak_that_falls_faster_than_the_mean_is_measured_half_by_half():
    """Days of less energy peak lower than those of more lend: told half by half the low bound moves further than day by day."""
    draws = np.random.default_rng(6)
    power = 1000.0 + 50.0 * draws.permutation(28)
    own, spans = stretch(power, 3.0 * (power - 900.0)), days(28)
    points = np.column_stack([np.sqrt(own.mean_w), *([np.zeros(len(own))] * 4)])
    turn, _ = each_in_turn(points, own, spans, 10)
    half = half_by_half(points, own, spans, power, few)
    weight, rng = np.ones(len(own)), np.random.default_rng
    one, other = (correct(own, spans, left, weight, 60, rng(1), Drawing.APART) for left in (turn, half))
    assert other.low > one.low
    assert (len(one.ranks), len(other.ranks)) == (28, 14)
    assert (other.ranks < 0.0).all()
    # A weight that lies on days not told says nothing: then every interval that was told counts alike.
    nothing = np.where(spans.each(half.days), 0.0, 1.0)
    assert correct(own, spans, half, nothing, 60, rng(1), Drawing.APART).low == other.low


def test_days_of_a_record_are_grouped_by_what_the_stretch_knows():
    """Less than every day of the stretch, more, and between: each is held against its own kind of days left out."""
    power = 1000.0 + 100.0 * np.random.default_rng(2).permutation(20)
    own, spans = stretch(power, np.full(20, 600.0)), days(20)
    asked = np.repeat([500.0, 1500.0, 9000.0], 24)
    at = At(asked, asked, asked, np.tile(np.arange(24.0) * 3600, 3), days(3))
    seen = calibrated(own, spans, at, np.arange(72, dtype=np.int64) * 3600 + 10**8)
    told = [(one.days.tolist(), one.how, one.is_unlike, int(one.left.days.sum())) for one in seen.groups]
    assert told == [
        ([False, True, False], Drawing.APART, False, 20),
        ([True, False, False], Drawing.OFTEN_TOGETHER, True, 10),
        ([False, False, True], Drawing.OFTEN_TOGETHER, True, 10),
    ]
    assert seen.unlike_days.tolist() == [True, False, True]
    # By hand: days of 1010 to 2910 W with a middle of 1960 W; either half lies 1000 W from the middle of the other.
    between, less, more = seen.groups
    assert between.farther.tolist() == [1.0, 1.0, 1.0]
    assert less.farther[0] == pytest.approx((1960.0 - 500.0) / 1000.0)
    assert more.farther[2] == pytest.approx((9000.0 - 1960.0) / 1000.0)
    few_days = calibrated(stretch(power[:5], power[:5]), days(5), at, np.arange(72, dtype=np.int64) * 3600 + 10**8)
    assert [int(one.left.days.sum()) for one in few_days.groups] == [5, 5, 5]
    # Five days tell nothing of how the error grows.
    assert all((one.farther == 1.0).all() for one in few_days.groups)


@pytest.mark.parametrize("side", [0, 1])
@pytest.mark.parametrize("steady", [False, True])
def test_bounds_of_a_day_unlike_the_stretch_never_move_inwards(side, steady):
    """The low bound of days that use less, or more, moves out by no less than that of days left out in turn; neither moves in."""
    draws = np.random.default_rng(9)
    power = 1000.0 + 100.0 * draws.permutation(28)
    own, spans = stretch(power, np.full(28, 500.0) if steady else draws.uniform(100.0, 900.0, 28)), days(28)
    asked = np.repeat([500.0, 9000.0], 24)
    at = At(asked, asked, asked, np.tile(np.arange(24.0) * 3600, 2), days(2))
    seen = calibrated(own, spans, at, np.arange(48, dtype=np.int64) * 3600 + 10**8)
    group = seen.groups[side]
    weight = seen.weight(at.spans.each(group.days))
    in_turn, by_half = (tails(own, spans, left, weight, 60) for left in (seen.out, group.left))
    told = seen.correction(group, at, 60, Streams(1))
    assert (told.low, told.high) == (max(in_turn[0], by_half[0], 0.0), max(by_half[1], 0.0))
    # Courses that never differ tell the halves that use less too wide a band above.
    assert not steady or side == 1 or by_half[1] < 0.0


def test_limit_passed_in_readings():
    """Readings at one minute tell it exactly: three minutes in two runs, the longer of two minutes."""
    told = passed(np.array([1.0, 9.0, 9.0, 1.0, 9.0, np.nan]), 5.0, 60)
    assert (told.minutes[0], told.times[0], told.longest_min[0]) == (3.0, 2.0, 2.0)
    assert told.minutes[0] == told.minutes[2]


def test_limit_passed_in_certain_courses():
    """With one course for each interval the passing is that of the course, raised to the interval's mean."""
    hour = np.zeros(60)
    hour[10:15], hour[30] = 6000.0, 6000.0
    courses = measured_courses(of_values(0, 60, hour), 0, HOUR, CLOCK)
    at = At(np.array([600.0, 100.0]), np.zeros(2), np.zeros(2), np.zeros(2), days(1, 2))
    told = passing([View(courses, np.zeros((2, 1), np.int64))], at, 5700.0, np.random.default_rng(1))
    # The course has a mean of 600 W and peaks of 6 kW: the first interval passes 5.7 kW, the second stays at 5.5 kW.
    assert told.minutes == (6.0, 6.0, 6.0)
    assert told.times == (2.0, 2.0, 2.0)
    assert told.longest_min == (5.0, 5.0, 5.0)


def test_what_a_survey_allows_for():
    """Ratings of 9 kW at 110 % voltage draw 10.89 kW; a tenth more, and at least 1 kW, is allowed for what was not listed."""
    loads = [Listed("oven", 3000.0, 480.0, count=3)]
    assert allowance_w(loads) == 1000.0
    assert ceiling_w(loads) == pytest.approx(10_890.0 + 1000.0)
    assert allowance_w([Listed("press", 50_000.0, 60.0)]) == 5000.0


def test_pieces_of_a_load():
    """Three alike are three rows; a hundred alike are twenty groups of the same power in all."""
    rating, on_s, spread = columns([Listed("a", 100.0, 60.0, count=3), Listed("lamp", 10.0, 600.0, count=100)])
    assert len(rating) == 23
    assert rating.sum() == pytest.approx(300.0 + 1000.0)
    assert (on_s[:3] == 60.0).all()
    assert (spread == 0.05).all()


def test_usual_loads_follow_the_size():
    """A home has the loads of a home; a larger site loads by its swing."""
    assert usual_loads(6000.0, 300.0) is HOUSEHOLD
    large = usual_loads(80_000.0, 20_000.0)
    assert max(one.rating_w for one in large) == pytest.approx(72_000.0)


def test_hull_is_the_widest():
    """The lowest low, the mean middle, the highest high."""
    assert hull([np.array([[1.0], [2.0], [3.0]]), np.array([[0.5], [4.0], [2.0]])]).ravel().tolist() == [0.5, 3.0, 3.0]
