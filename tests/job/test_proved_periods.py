"""What is said of use that moved between price periods: which fell and which rose, that it is lost, or nothing."""

import numpy as np
import pytest

from tests.proof.invented import CLOCK
from tests.proof.test_acted import load
from tests.proof.test_periods import sides
from tests.proof.test_seal import SEAL
from tests.proof.test_under import heater, limit
from wattwright.core.series import of_values
from wattwright.core.show import Show
from wattwright.job.proved_periods import moved_periods
from wattwright.job.unsealing import Opened
from wattwright.proof.choose import baseline
from wattwright.proof.models.calendar import Calendar
from wattwright.tariff.load import parse_tariff

HEAD = '[[tariff]]\nid = "two"\nname = "Two (invented)"\ncurrency = "EUR"\n'
FLAT = parse_tariff(HEAD + '[[tariff.energy]]\nlabel = "Energy"\nprice = "0.20"\n').tariff()
TWO = parse_tariff(
    HEAD + 'rest = "low"\n[[tariff.window]]\nperiod = "peak"\nfrom = "17:00"\nto = "21:00"\n'
    '[[tariff.energy]]\nlabel = "Energy"\nprices = { peak = "0.40", low = "0.20" }\n'
).tariff()
SHOW = Show(zone=CLOCK.zone)


def told(moved_w, loads, tariff=TWO, is_hourly=True):
    """What is said of 12 weeks before and after of which so much moved."""
    before, after = sides(1, moved_w)
    made = (baseline(before, (Calendar(by_type=True),)),) if is_hourly else ()
    held = Opened(SEAL.model_copy(update={"loads": loads}), of_values(0, 3600, np.ones(1)), made, (), None)
    found = moved_periods(held, after, tariff, CLOCK)
    assert all(one.says(SHOW) and one.why(SHOW) and one.do(SHOW) for one in found)
    return found


def test_each_period_that_moved_is_told():
    """500 W moved out of the four hours of the peak: less there, more in the rest, each with its size."""
    found = {one.data["period"]: one for one in told(500.0, (load(),))}
    assert {name: one.data["way"] for name, one in found.items()} == {"peak": "less", "low": "more"}
    assert found["peak"].data["energy"] == pytest.approx(14.0, abs=4 * found["peak"].data["error"])
    assert "less is used than in like hours before" in found["peak"].says(SHOW)


def test_what_is_lost_in_the_scatter_is_said():
    """Where nothing moved, what would show is told."""
    (found,) = told(0.0, (load(),))
    assert (found.code, found.data["least"] > 0) == ("job.periods-untold", True)


@pytest.mark.parametrize(
    "case",
    [{"loads": ()}, {"loads": (heater(limit()),)}, {"tariff": FLAT}, {"tariff": None}, {"is_hourly": False}],
)
def test_nothing_is_said_without_clock_periods_and_hours(case):
    """No programme by the clock, one price, no prices, or no model of hours: nothing."""
    assert told(500.0, **{"loads": (load(),), **case}) == ()
