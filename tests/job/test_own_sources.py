"""The use of a site behind measured PV: import and generation less export, on the meter's own steps."""

import numpy as np
import pytest

from tests.job.simulated import PUMP, SUPPLY, TIMES, hourly, question
from tests.job.test_simulation import PV, PV_METER, meter_of_the_house, sunny
from wattwright.job.assessment import Assessment
from wattwright.job.own_sources import used


@pytest.mark.parametrize("apart", [True, False])
def test_use_is_import_and_generation_less_export(tmp_path, apart) -> None:
    """A house of 0.5 kW with a pump of 1 kW from ten to noon, whatever way its meter counts what the array feeds in."""
    ask = question(
        tmp_path, SUPPLY, PV_METER, PV + 'meter = "roof"\n', PUMP, TIMES, readings=meter_of_the_house(apart), roof=sunny()
    )
    made = used(ask._record, ask._power, ask._generated.values()).series.values
    hour = np.arange(72) % 24
    assert made == pytest.approx(np.where((hour == 10) | (hour == 11), 1500.0, 500.0))


def test_finer_readings_of_pv_count_as_means(tmp_path) -> None:
    """An array read by half hours is taken as its mean over the meter's hour; beyond its readings nothing is known."""
    rows = [f"2025-01-06 {h:02d}:{m},{1.0 if m == '30' else 0.0}" for h in range(24) for m in ("00", "30")]
    ask = question(
        tmp_path,
        SUPPLY,
        PV_METER,
        PV + 'meter = "roof"\n',
        PUMP,
        TIMES,
        readings=hourly(0.5),
        roof="\n".join(["time,PV [kW]", *rows]) + "\n",
    )
    made = used(ask._record, ask._power, ask._generated.values()).series.values
    assert made[:24] == pytest.approx(ask._power.series.values[:24] + 500.0)
    assert np.isnan(made[24:]).all()


def test_without_measured_pv_the_power_is_as_read(tmp_path) -> None:
    """Nothing is added where nothing generates, and the fit takes the use behind the array."""
    ask = question(tmp_path, SUPPLY, PUMP, TIMES)
    assert used(ask._record, ask._power, ()) is ask._power
    ask = question(
        tmp_path, SUPPLY, PV_METER, PV + 'meter = "roof"\n', PUMP, TIMES, readings=meter_of_the_house(False), roof=sunny()
    )
    # Three days of hours show no run of a pump, so all of the use is the rest of the site.
    rest_w = Assessment(ask.job, keep=False).fitted()[-1].calibration.rest_w
    assert (rest_w.min(), rest_w.max()) == (pytest.approx(500.0), pytest.approx(1500.0))
