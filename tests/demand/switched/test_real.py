"""A real house, from its main reading alone: the load of one sub-meter is found, whose own readings nobody looked at.

File: household-minute, "Individual household electric power consumption", UCI Machine Learning Repository.
Sub-meter 3 feeds a water heater and an air conditioner of 0.99 to 1.13 kW.
"""

import numpy as np
import pytest

from tests.demand.switched.pace import PLAIN
from tests.demand.switched.sites import f1
from wattwright.core.clock import SiteClock
from wattwright.core.series import coarser, of_values
from wattwright.demand.site import site_power
from wattwright.demand.switched.analyse import in_series, voltage

PARIS = SiteClock("Europe/Paris")
PART = slice(0, 15 * 1440) if PLAIN else slice(None)


@pytest.fixture(scope="module")
def main(minute):
    """Power and voltage of the main reading."""
    record, _ = minute
    series = site_power(record).series
    return of_values(series.start_s, 60, series.values[PART]), voltage(record, len(series))[PART]


@pytest.fixture(scope="module")
def truth(minute_frame):
    """Mean power of sub-meter 3, W, by minute of the whole record."""
    return minute_frame["Sub_metering_3"].to_numpy() * 60.0


@pytest.mark.parametrize("with_voltage", [True, False])
def test_the_load_of_a_sub_meter_is_found_from_the_whole(main, truth, with_voltage) -> None:
    """F1 of 0.88 by minute above 0.5 kW, where one threshold set with hindsight reaches 0.85; level within 5 % of 1.05 kW."""
    series, volts = main
    truth = truth[PART]
    found = in_series(series, PARIS, volts if with_voltage else None)
    load = found.loads[0]
    assert f1(load.on, np.nan_to_num(truth) > 500) >= 0.88
    assert load.level_w == pytest.approx(1050, rel=0.05)
    assert load.energy_kwh == pytest.approx(np.nansum(truth) / 60_000, rel=0.1)


@pytest.mark.parametrize(
    ("step_s", "whole", "daily", "with_voltage"),
    [(3600, 0.10, 0.25, False), (3600, 0.10, 0.25, True), (900, 0.05, 0.155, False), (900, 0.05, 0.15, True)][
        : 1 if PLAIN else 4
    ],
)
def test_its_energy_is_told_from_long_steps_too(minute, truth, step_s, whole, daily, with_voltage) -> None:
    """From means over 15 and 60 min: its energy within 5 and 10 %, day by day within 15 and 25 % on the mean.

    By power alone it is 15.0 % at 15 min, so near the bar that the last digits of another machine could pass it.
    """
    series, volts = site_power(minute[0]).series, voltage(minute[0], len(truth))
    coarse = coarser(series, step_s, PARIS)
    coarse_volts = coarser(of_values(series.start_s, 60, volts), step_s, PARIS).values if with_voltage else None
    found = in_series(coarse, PARIS, coarse_volts)
    load = found.loads[0]
    _, by_day = load.by_day(PARIS)
    true = np.nan_to_num(truth).reshape(-1, 1440).sum(axis=1) / 60_000
    assert load.energy_kwh == pytest.approx(true.sum(), rel=whole)
    assert np.abs(by_day - true).mean() <= daily * true.mean()
    assert not found.is_exact
