"""An invented job small enough to work out in a moment: two weeks of quarter hours with a gap, a tariff, loads and a rule."""

from datetime import UTC, datetime, timedelta
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest

from wattwright.job.assessment import Assessment
from wattwright.job.file import load_job

JOB = """
version = 2
name = "Almond Terrace <b>"
place = "an invented place"
invented = true
[site]
zone = "Europe/Athens"
latitude = 37.0
[papers]
date = 2025-04-20
[supply]
system = "single-phase"
voltage = "230 V"
main_protection = "25 A"
[[meters]]
id = "main"
[[files]]
id = "readings"
path = "readings.csv"
meter = "main"
[tariff]
files = ["tariff.toml"]
paid = "two-price"
compare = ["one-price"]
[[loads]]
id = "heater"
name = "=1+1 water heater"
kind = "water heater"
rating = "3 kW"
controllable = true
interrupt = "mains"
[[loads]]
id = "oven"
name = "Oven"
kind = "cooking"
rating = "2 kW"
basis = "published"
[[control.rule]]
id = "heater-times"
load = "heater"
kind = "time programme"
times = [{ on = 06:00:00, off = 08:00:00 }]
[[control.rule]]
id = "fan-cycle"
load = "oven"
kind = "repeat-cycle timer"
on_for = "15 min"
off_for = "45 min"
months = [6, 7]
"""

TARIFF = """
[[tariff]]
id = "two-price"
name = "Two prices (invented)"
currency = "EUR"
rest = "day"
[[tariff.window]]
period = "night"
from = "22:00"
to = "06:00"
[[tariff.fixed]]
label = "Standing charge"
price = "0.50"
per = "day"
[[tariff.energy]]
label = "Energy"
prices = { day = "0.30", night = "0.10" }
[[tariff]]
id = "one-price"
name = "One price (invented)"
currency = "EUR"
[[tariff.energy]]
label = "Energy"
price = "0.15"
"""

ZONE = ZoneInfo("Europe/Athens")
FIRST = datetime(2025, 3, 24, tzinfo=ZONE)
DAYS = 14
GAP = range(100, 106)
"""Quarter hours without a reading: an hour and a half of the second day."""


def quarter_kw(local: datetime) -> float:
    """The invented load: 0.4 kW always, 3 kW more from six to eight, 5 kW for one quarter hour on the last Saturday."""
    power = 0.4 + (3.0 if 6 <= local.hour < 8 else 0.0)
    return power + (5.0 if (local.month, local.day, local.hour, local.minute) == (4, 5, 19, 30) else 0.0)


def write_job(folder: Path, job: str = JOB) -> Path:
    """Write the job, its tariff and its readings into a folder."""
    start = FIRST.astimezone(UTC)
    # Fourteen local days hold an hour less where the clock is put forward among them.
    end = datetime(2025, 4, 7, tzinfo=ZONE).astimezone(UTC)
    lines = ["start,P [kW],I [A]"]
    for index in range(int((end - start) / timedelta(minutes=15))):
        local = (start + timedelta(minutes=15 * index)).astimezone(ZONE)
        power = quarter_kw(local)
        value = "--" if index in GAP else f"{power:.3f}"
        lines.append(f"{local.isoformat()},{value},{power / 0.23:.2f}")
    (folder / "readings.csv").write_text("\n".join(lines) + "\n")
    (folder / "tariff.toml").write_text(TARIFF)
    (folder / "job.toml").write_text(job)
    return folder


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A folder with the invented job."""
    return write_job(tmp_path)


@pytest.fixture(scope="session")
def terrace(tmp_path_factory: pytest.TempPathFactory) -> Assessment:
    """The invented job, worked out once for all tests that only read it."""
    return Assessment(load_job(write_job(tmp_path_factory.mktemp("terrace"))), keep=False)
