"""What a baseline can carry: part of a year, a loose model, and times whose season or warmth it never saw."""

import numpy as np

from tests.proof.invented import Grain, before_and_after
from wattwright.proof.limits import like_before, limits, within

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
    assert limits(BEFORE, "mean", 0.1) == ()
    assert [one.code for one in limits(part(BEFORE, 0, 100), "mean", 0.25)] == ["proof.part-of-year", "proof.loose-model"]


def test_hours_of_the_days_that_are_kept():
    """Hours begin within their day, the last one of a kept day among them, and none of a day that is not."""
    _, hours = before_and_after(Grain.HOUR)
    days = part(AFTER, 3, 5)
    kept = hours.part(within(days, hours))
    assert len(kept) == 48
    assert kept.starts_s[0] == AFTER.starts_s[3]
