"""What a job's survey says of every hour, and what a household with these loads is allowed."""

import numpy as np
import pytest

from tests.job.hand import JOB, write_job
from wattwright.core.errors import JobError
from wattwright.job.assessment import Assessment
from wattwright.job.file import load_job
from wattwright.job.surveyed import expected_loads, household_allowance_w

HOURS = """
[[loads]]
id = "oven"
name = "Oven"
kind = "cooking"
quantity = 2
rating = "2 kW"
hours = [
  { from = 11:30:00, until = 13:00:00, days = ["working day"], duty = "50 %" },
  { from = 23:00:00, until = 01:00:00, days = ["Saturday"], seasons = ["summer"] },
]
[[loads]]
id = "idle"
name = "Idle"
kind = "standby"
rating = "90 W"
"""


def test_hours_by_day_type_and_season(tmp_path):
    """Two ovens of 2 kW at half duty: 1 kW in the half hour before noon, 2 kW after; over midnight on summer Saturdays, 4 kW."""
    folder = write_job(tmp_path / "job")
    (folder / "job.toml").write_text(JOB + HOURS)
    spec = load_job(folder).spec
    heater, oven, idle = expected_loads(spec)
    assert not heater.stated
    assert oven.rating_w == 4000.0
    working = np.zeros(24)
    working[11], working[12] = 1000.0, 2000.0
    assert (oven.power_w[0] == working).all()
    # Seasons are winter, spring, summer, autumn: Saturday is the second type of day.
    assert np.flatnonzero(oven.power_w[1, 2]).tolist() == [0, 23]
    assert oven.power_w[1, 2, 0] == 4000.0
    assert not oven.power_w[1, 0].any()
    assert (idle.power_w == 90.0).all()
    # A heater of 3 kW all, two cookers of 17.39 A: 10 A and 30 % of the rest; standby is in no allowance.
    assert household_allowance_w(spec) == pytest.approx(3000 + 230 * (10 + 0.3 * (4000 / 230 - 10)))


def test_a_job_without_loads_has_no_survey(tmp_path):
    """It says so, and what to write."""
    folder = write_job(tmp_path / "job")
    text = JOB[: JOB.index("[[loads]]")]
    (folder / "job.toml").write_text(text)
    with pytest.raises(JobError, match="loads"):
        Assessment(load_job(folder)).reconciled()
