"""The power of a load on its own meter: another one than planned is told, by short readings and by long ones."""

import numpy as np
import pytest

from tests.proof.invented import BEGIN_S, CLOCK
from wattwright.core.series import coarser, of_values
from wattwright.core.show import Show
from wattwright.job.proved_level import level_found
from wattwright.proof.seal import SealedLoad

SHOW = Show(zone=CLOCK.zone)


def runs(level_w, days=20, on=30, idle_w=5.0):
    """Minutes of a load that runs so many of every hour, and its standby else."""
    return of_values(BEGIN_S, 60, np.where(np.arange(1440 * days) % 60 < on, level_w, idle_w))


def told(power, rating_w=2000.0):
    """What is said of a load of such a rating."""
    found = level_found(power, SealedLoad(id="h", name="Heater", rating_w=rating_w, meter="h", rules=()))
    assert all(one.says(SHOW) and one.why(SHOW) and one.do(SHOW) for one in found)
    return [(round(one.data["level"]), round(one.data["share"], 2)) for one in found]


@pytest.mark.parametrize(
    ("level_w", "said"), [(2000.0, []), (2200.0, []), (1800.0, []), (2600.0, [(2600, 1.3)]), (1000.0, [(1000, 0.5)])]
)
def test_short_readings_show_what_it_draws(level_w, said):
    """A tenth more or less is as planned; a third more, and half, as where one of two elements has failed, are told."""
    assert told(runs(level_w)) == said


def test_long_readings_show_only_more():
    """Half of each hour at 2 kW is 1 kW by the hour, and no other load; the whole hour at 3 kW is one."""
    assert told(coarser(runs(2000.0), 3600, CLOCK)) == []
    assert told(coarser(runs(3000.0, on=60), 3600, CLOCK)) == [(3000, 1.5)]


def test_too_little_tells_nothing():
    """A load that hardly ran, one without a rating, and gaps tell nothing."""
    assert told(runs(3000.0, days=1, on=2)) == []
    assert told(runs(3000.0), rating_w=0.0) == []
    gaps = runs(3000.0)
    gaps.values[:] = np.nan
    assert told(gaps) == []
