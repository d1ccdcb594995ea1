"""What moved between price periods: a planted move is told with its error, and where nothing moved nothing is clear."""

from datetime import date

import numpy as np
import pytest
from scipy import stats

from tests.proof.invented import CLOCK, Grain, before_and_after
from wattwright.core.series import of_values
from wattwright.proof.choose import baseline
from wattwright.proof.models.calendar import Calendar
from wattwright.proof.models.record import use_record
from wattwright.proof.periods import moved

DAYS = 84
HOUR = np.arange(24 * DAYS) % 24
EVENING, NIGHT = (HOUR >= 17) & (HOUR < 21), (HOUR >= 1) & (HOUR < 5)


def sides(seed, moved_w=0.0):
    """Hours before and after of which some power moved from four hours of the evening to four of the night, every day."""
    draws = np.random.default_rng([seed, 5])
    of_days = np.repeat(draws.normal(0, 60, 2 * DAYS), 24)
    power = 800 + 600 * np.tile(EVENING, 2) + of_days + draws.normal(0, 120, 48 * DAYS)
    power[24 * DAYS :] += moved_w * (1.0 * NIGHT - EVENING)
    # Twelve weeks from April on, so that the clock does not change within them.
    start_s = int(CLOCK.midnights_s(date(2023, 4, 3), 1)[0])
    ends = start_s, start_s + 86_400 * DAYS, start_s + 2 * 86_400 * DAYS
    series = of_values(start_s, 3600, power)
    return [use_record(series.part(*one), CLOCK, Grain.HOUR) for one in (ends[:2], ends[1:])]


def told(before, after):
    """What moved between evening and the rest of the day."""
    found = baseline(before, (Calendar(by_type=True),))
    evening = [((one.starts_s - before.starts_s[0]) // 3600 % 24 >= 17) for one in (before, after)]
    late = [((one.starts_s - before.starts_s[0]) // 3600 % 24 < 21) for one in (before, after)]
    return moved(found, after, *((a & b).astype(np.uint8) for a, b in zip(evening, late, strict=True)), ("rest", "evening"))


def test_a_planted_move_is_told():
    """500 W moved from four hours of each evening are 14 kWh a week less there, of 39.2, and 14 more in the rest."""
    rest, evening = told(*sides(1, 500.0))
    assert (rest.period, evening.period) == ("rest", "evening")
    assert rest.is_clear
    assert evening.is_clear
    assert evening.less_kwh == pytest.approx(14.0, abs=4 * evening.error_kwh)
    assert rest.less_kwh == pytest.approx(-14.0, abs=4 * rest.error_kwh)
    assert evening.expected_kwh == pytest.approx(1.4 * 28, rel=0.05)
    # Days scatter by 60 W and hours by 120 W: 28 hours of a week by 4 h sqrt(7) 60 W and sqrt(28) 120 W.
    week = 1e-3 * np.hypot(4 * 7**0.5 * 60, 28**0.5 * 120)
    assert evening.error_kwh == pytest.approx(week * (2 / 12) ** 0.5, rel=0.5)


def test_periods_add_up_to_the_whole():
    """What two periods took less and were expected to take add up to what one period of all hours did, to the last bits."""
    before, after = sides(1, 500.0)
    parts = told(before, after)
    found = baseline(before, (Calendar(by_type=True),))
    (whole,) = moved(found, after, np.zeros(len(before), np.uint8), np.zeros(len(after), np.uint8), ("all",))
    assert sum(one.less_kwh for one in parts) == pytest.approx(whole.less_kwh, abs=1e-9)
    assert sum(one.expected_kwh for one in parts) == pytest.approx(whole.expected_kwh, rel=1e-12)
    # Nor is it the model's own: it is what was used each week before, less what was after.
    weeks = [one.energy_kwh.reshape(-1, 168).sum(axis=1).mean() for one in (before, after)]
    assert whole.less_kwh == pytest.approx(weeks[0] - weeks[1], abs=1e-9)


def test_where_nothing_moved_nothing_is_clear():
    """Of 20 seeded sites none is clear in either period, and what is told spreads about nought by its standard error."""
    rows = [one for seed in range(20) for one in told(*sides(seed))]
    assert not any(one.is_clear for one in rows)
    shares = np.array([one.less_kwh / one.error_kwh for one in rows]).reshape(20, 2)
    assert (np.abs(shares.mean(axis=0)) < 3 / 20**0.5).all()
    # Student's t of 11 degrees at 0.9999, scipy.
    assert rows[0].least_kwh / rows[0].error_kwh == pytest.approx(stats.t.ppf(0.99995, 11), rel=1e-9)


def test_weeks_that_were_not_read_do_not_count():
    """A week of which two days are missing is left out of the mean; with seven weeks nothing is told; days are refused."""
    before, after = sides(1, 500.0)
    kept = np.ones(len(after), bool)
    kept[24 * 7 : 24 * 9] = False
    assert told(before, after.part(kept))[1].less_kwh == pytest.approx(14.0, abs=3)
    assert told(before, after.part(slice(0, 7 * 168))) == ()
    days, later = before_and_after(Grain.DAY)
    with pytest.raises(ValueError, match="need hours"):
        moved(baseline(days), later, np.zeros(len(days), np.uint8), np.zeros(len(later), np.uint8), ("all",))
