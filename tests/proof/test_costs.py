"""A saving in money: the bill of what would have been used less that of what was, and the demand with it."""

import numpy as np
import pytest
from statsmodels.tsa.stattools import acf

from tests.proof.invented import BEGIN_S, CLOCK, Grain, before_and_after
from wattwright.core.series import of_values
from wattwright.demand.habits.change_points import Shape
from wattwright.proof.blocks import blocks_of, cut_at_ends
from wattwright.proof.choose import baseline
from wattwright.proof.costs import _drawn_w, _not_below_nought, _same_part, _Weeks, cost_saved, highest_saved_w, wider
from wattwright.proof.highest import half_width_w
from wattwright.proof.models.calendar import Calendar
from wattwright.proof.models.kelvins import ChangePoint
from wattwright.proof.models.record import use_record
from wattwright.proof.savings import savings
from wattwright.tariff.bill import bill
from wattwright.tariff.load import parse_tariff
from wattwright.tariff.usage import Usage

HEAD = '[[tariff]]\nid = "one"\nname = "One"\ncurrency = "EUR"\n'
FLAT = '[[tariff.energy]]\nlabel = "Energy"\nprice = "0.20"\n'


@pytest.fixture(scope="module")
def case():
    """Eight weeks of a site with working hours before, and eight after with a fifth saved in each hour."""
    before, after = before_and_after(Grain.HOUR, days=56, heating_w=0.0, saved=0.2)
    return baseline(before), after


def test_money_of_one_price_is_the_energy(case):
    """At one price, money saved is energy saved times it, and its band that of the energy, but for what chance draws."""
    found, after = case
    told, energy = cost_saved(found, after, parse_tariff(HEAD + FLAT).tariff(), CLOCK), savings(found, after)
    assert told.used_money == pytest.approx(0.2 * energy.used_kwh, rel=1e-9)
    assert told.saved_money == pytest.approx(0.2 * energy.saved_kwh, rel=0.01)
    assert told.low_money == pytest.approx(0.2 * energy.bootstrap.low_kwh, rel=0.03)
    assert told.high_money == pytest.approx(0.2 * energy.bootstrap.high_kwh, rel=0.03)
    assert told.currency == "EUR"


def test_what_was_used_is_billed_as_the_exact_bill_does(case):
    """The money of what was used is the exact bill of the same hours, to a cent for each line."""
    found, after = case
    tariff = parse_tariff(HEAD + FLAT).tariff()
    exact = bill(tariff, Usage(of_values(BEGIN_S + 56 * 86_400, 3600, after.energy_kwh * 1000)), CLOCK)
    assert cost_saved(found, after, tariff, CLOCK).used_money == pytest.approx(float(exact.money.amount), abs=0.05)


def test_the_highest_hour_falls_with_the_use(case):
    """A fifth less in each hour takes about a fifth off the highest, 1.4 kW and its noise: eight weeks tell it without a band."""
    found, after = case
    told = cost_saved(found, after, parse_tariff(HEAD + FLAT).tariff(), CLOCK)
    assert told.maximum_saved_w == pytest.approx(after.energy_kwh.max() * 1000 * 0.25, abs=150.0)
    assert (told.maximum_low_w, told.maximum_high_w) == (None, None)
    assert [one.code for one in told.findings] == ["proof.highest-short"]


def test_the_highest_hour_of_a_year_has_a_band():
    """The band of a year lies evenly about what the highest hour fell by, and nothing is found fault with."""
    before, after = before_and_after(Grain.HOUR, saved=0.2)
    found = baseline(before, (ChangePoint(Shape.HEATING),))
    told = cost_saved(found, after, parse_tariff(HEAD + FLAT).tariff(), CLOCK, 0.8)
    half = half_width_w(before, found.fitted.predict(before), 0.8)
    ends = (told.maximum_low_w - told.maximum_saved_w, told.maximum_high_w - told.maximum_saved_w)
    assert ends == pytest.approx((-half, half))
    assert told.maximum_low_w <= after.energy_kwh.max() * 1000 * 0.25 <= told.maximum_high_w
    assert told.findings == ()


def quiet_nights(days: int, seed: int) -> np.ndarray:
    """Hours of an invented home that is nearly off at night and has hours of 3 kW at chance in the evening, kWh."""
    draws = np.random.default_rng(seed)
    hour = np.arange(24 * days) % 24
    evening = (hour >= 17) & (hour < 23)
    return 0.05 + np.where(evening, 0.4 + 3.0 * (draws.random(24 * days) < 0.3), 0.1 * draws.random(24 * days))


@pytest.mark.parametrize("seed", range(3))
def test_where_nothing_was_saved_no_money_was(seed):
    """Of hours that are mostly quiet no draw lies below nought, and at one price the money is that of the energy, to 1 %."""
    energy = quiet_nights(2 * 140, seed)
    parts = ((BEGIN_S, energy[: 24 * 140]), (BEGIN_S + 140 * 86_400, energy[24 * 140 :]))
    before, after = (use_record(of_values(start, 3600, part * 1000), CLOCK, Grain.HOUR) for start, part in parts)
    found = baseline(before)
    told, saved = cost_saved(found, after, parse_tariff(HEAD + FLAT).tariff(), CLOCK), savings(found, after)
    assert told.saved_money == pytest.approx(0.2 * saved.saved_kwh, abs=0.01 * told.used_money)
    assert told.low_money < 0.2 * saved.saved_kwh < told.high_money
    drawn = list(_drawn_w(found, after, blocks_of(found, 0.9), 0))
    assert min(float(one.min()) for one in drawn) >= 0.0
    # At any prices by the hour the middle is that of the model's own hours, as it must be where a bill is a sum.
    price = np.where((after.starts_s // 3600 % 24 >= 7) & (after.starts_s // 3600 % 24 < 23), 0.30, 0.15) / 1000
    own = float(price @ (found.fitted.predict(after) * 1000))
    assert float(np.mean([price @ one for one in drawn])) == pytest.approx(own, rel=0.01)


def test_residuals_fall_on_their_own_hour_of_the_week():
    """Each hour of three weeks gets what was left at that hour of the week; one that was not read that of the next week."""
    starts = BEGIN_S + 3600 * np.arange(3 * 168)
    left = np.tile(np.arange(168.0), 3)
    kept = np.arange(len(left)) != 5
    weeks = _Weeks.of(starts[kept], left[kept])
    later = starts + 3 * 168 * 3600
    assert weeks.path(later, np.random.default_rng(1)) == pytest.approx(left)


def test_a_draw_keeps_its_energy():
    """Of -1, 3 and 2 kWh the cut leaves 0, 3 and 2, times 4 / 5; of none above nought, none."""
    assert _not_below_nought(np.array([-1.0, 3.0, 2.0])) == pytest.approx([0.0, 2.4, 1.6])
    assert _not_below_nought(np.array([-1.0, -2.0])) == pytest.approx([0.0, 0.0])
    assert _not_below_nought(np.array([-4.0, 1.0])) == pytest.approx([0.0, 0.0])


@pytest.mark.parametrize("share", [0.0, 0.7])
def test_days_that_are_alike_widen_the_money(share):
    """Days alike by seven tenths spread sums of hours by more than hours tell; of days on their own nothing is added.

    The closed form for a first-order process of days in blocks of 14: root of (1 + r) / (1 - r) over 1 + 2 sum (1 - k / 14) r^k.
    """
    draws, days = np.random.default_rng(11), 364
    of_day = np.zeros(days)
    for day in range(1, days):
        of_day[day] = share * of_day[day - 1] + draws.normal(0, 100)
    power = 1500 + 500 * (np.arange(24 * days) % 24 >= 17) + np.repeat(of_day, 24) + draws.normal(0, 300, 24 * days)
    found = baseline(use_record(of_values(BEGIN_S, 3600, power), CLOCK, Grain.HOUR), (Calendar(by_type=True),))
    blocks = blocks_of(found, 0.9)
    sums = found.residual_kwh[2:-22].reshape(-1, 24).sum(axis=1)  # days of UTC begin two hours after those of the site
    alike = acf(sums, nlags=1)[1]
    lags = np.arange(1, 14)
    of_days = np.sqrt((1 + alike) / (1 - alike) / (1 + 2 * ((1 - lags / 14) * alike**lags).sum())) if share else 1.0
    assert wider(found, blocks) / blocks.wider == pytest.approx(of_days / cut_at_ends(found.fitness.alike, 336), rel=0.01)
    assert wider(found, blocks) >= blocks.wider


def test_the_highest_hour_does_not_lean():
    """Of 40 seeded heated sites that saved nothing the highest hours differ by nought on the mean, to two standard errors."""
    middles = []
    for seed in range(100, 140):
        before, after = before_and_after(Grain.HOUR, seed=seed)
        found = baseline(before, (ChangePoint(Shape.HEATING),))
        blocks = blocks_of(found, 0.9)
        drawn_w = np.array([one.max() for one in _drawn_w(found, after, blocks, seed)])
        middles.append(highest_saved_w(found, after, blocks, drawn_w, seed))
    assert abs(np.mean(middles)) <= 2 * np.std(middles, ddof=1) / 40**0.5


def test_the_same_part_of_the_year_is_held_against_it():
    """Eight weeks of the spring after are held against as many hours of the spring before, in the order of time."""
    before, after = before_and_after(Grain.HOUR)
    spring = after.part(slice(24 * 70, 24 * 126))
    part = _same_part(before, spring)
    assert len(part) == 24 * 56
    assert (np.diff(part.starts_s) == 3600).all()
    # A year is taken for 365.25 days, and this one has 364.
    assert abs(part.starts_s[0] - before.starts_s[24 * 70]) <= 2 * 86_400
    # A winter that begins before the turn of the baseline's year is of both its ends, in the order of time.
    both = _same_part(before, after.part(slice(24 * 350, 24 * 364)))
    assert (np.diff(both.starts_s) > 0).all()


def test_days_make_no_bill():
    """A price by the hour cannot be put on days."""
    before, after = before_and_after(Grain.DAY, days=56)
    with pytest.raises(ValueError, match="hours"):
        cost_saved(baseline(before), after, parse_tariff(HEAD + FLAT).tariff(), CLOCK)
