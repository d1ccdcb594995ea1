"""What a baseline can carry: part of a year, a loose model, and times whose season or warmth it never saw."""

import numpy as np
import pytest
from scipy.signal import lfilter

from tests.proof.invented import Grain, before_and_after
from wattwright.core.show import Show
from wattwright.proof.choose import baseline
from wattwright.proof.limits import at_week, like_before, limits, within
from wattwright.proof.models.kelvins import DegreeDays

BEFORE, AFTER = before_and_after(Grain.DAY)


def part(record, first, last):
    """Some days of a record."""
    return record.part((np.arange(len(record)) >= first) & (np.arange(len(record)) < last))


def test_a_year_carries_a_year():
    """Of a year on a year nearly every day is like one before; a day so cold or warm as none was is not."""
    assert like_before(BEFORE, AFTER).mean() > 0.98
    cold = AFTER.part(np.arange(len(AFTER)))
    cold.parts_c[:10] -= 40
    cold.parts_c[10:20] += 40
    assert not like_before(BEFORE, cold)[:20].any()


def test_a_winter_carries_no_summer():
    """Days 0 to 59 of the year carry those up to a month after and before them, across New Year, and no others."""
    blind = BEFORE.part(np.arange(len(BEFORE))), AFTER
    winter = part(blind[0], 0, 60)
    bare = [one.part(np.arange(len(one))) for one in (winter, AFTER)]
    bare = [type(one)(**{**{name: getattr(one, name) for name in one.__slots__}, "parts_c": one.parts_c[:, :0]}) for one in bare]
    seen = like_before(*bare)
    assert seen[:85].all()
    assert not seen[95:325].any()
    assert seen[-25:].all()


def test_what_limits_it():
    """Under eleven months, and over a fifth off on weeks left out, are said; a tight year is not."""
    noise = np.random.default_rng(4).normal(size=len(BEFORE))
    assert limits(BEFORE, "mean", 0.1, noise) == ()
    short = part(BEFORE, 0, 100)
    assert [one.code for one in limits(short, "mean", 0.25, noise[:100])] == ["proof.part-of-year", "proof.loose-model"]


def test_likeness_at_a_week_is_told():
    """Days each like that a week before by 0.6 are told so, and sums of four weeks as wide as their correlations make them.

    Of such a process the correlations are 0.6^k at k weeks and nought between: a sum of 28 days spreads by the root of
    1 + 2 (21 * 0.6 + 14 * 0.36 + 7 * 0.216) / 28, and neighbours tell 1 (closed form).
    """
    noise = np.random.default_rng(7).normal(size=20_000 * 7 + 700)
    days = lfilter([1.0], [1.0, *6 * [0.0], -0.6], noise)[700:]
    told = at_week(days)
    assert told.alike == pytest.approx(0.6, abs=0.01)
    assert told.told == pytest.approx(2 / np.sqrt(len(days)), rel=0.05)
    assert told.spread == pytest.approx(np.sqrt(1 + 2 * (21 * 0.6 + 14 * 0.36 + 7 * 0.216) / 28), rel=0.02)
    (found,) = limits(BEFORE, "mean", 0.1, days[: len(BEFORE)])
    assert found.code == "proof.alike-at-a-week"
    assert "each week" in found.do(Show())
    assert limits(part(BEFORE, 0, 55), "mean", 0.1, days[:55])[-1].code == "proof.part-of-year"


@pytest.mark.parametrize("share", [0.0, 0.5, 0.85])
def test_neighbours_alike_are_no_week(share):
    """Of 100 years whose neighbours alone are alike few are told a week: past two errors lies one in 44."""
    draws = np.random.default_rng(11)
    years = lfilter([1.0], [1.0, -share], draws.normal(size=(100, 464)))[:, 100:]
    assert sum(one.alike > one.told for one in map(at_week, years)) <= 7


def test_a_week_left_out_of_the_model_is_told():
    """Of a site that rests at weekends a model of temperature leaves the week over; sums of whole weeks hold none of it."""
    told = baseline(BEFORE, (DegreeDays(heating=True, cooling=False),))
    (found,) = [one for one in told.findings if one.code == "proof.alike-at-a-week"]
    assert found.data["alike"] > 0.8
    assert found.data["spread"] < 1
    assert baseline(BEFORE).findings == ()


def test_hours_of_the_days_that_are_kept():
    """Hours begin within their day, the last one of a kept day among them, and none of a day that is not."""
    _, hours = before_and_after(Grain.HOUR)
    days = part(AFTER, 3, 5)
    kept = hours.part(within(days, hours))
    assert len(kept) == 48
    assert kept.starts_s[0] == AFTER.starts_s[3]


def test_what_moves_slowly_is_no_turn_of_the_week():
    """A wave beneath scatter makes days alike at a week's distance and at any other: sums spread, no week is told."""
    draws = np.random.default_rng(3)
    slow = np.sin(2 * np.pi * np.arange(364) / 182) + draws.normal(0, 1.2, 364)
    told = at_week(slow)
    assert told.alike > told.told
    assert told.spread > 1.1
    assert not told.is_turn
