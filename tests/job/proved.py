"""An invented job whose saving is proved: hours of a heated site with its temperature, a year before and some time after."""

import shutil
from pathlib import Path

import numpy as np

from tests.job.hand import TARIFF
from tests.proof.invented import BEGIN_S, CLOCK, site
from wattwright.job.assessment import Assessment
from wattwright.job.file import load_job

DAYS = 364
JOB = """version = 2
name = "A heated site"
invented = true
[site]
zone = "Europe/Athens"
latitude = 37.0
[papers]
date = 2024-02-01
[[meters]]
id = "main"
name = "Main meter"
[[meters]]
id = "heater"
behind = "main"
[[files]]
id = "readings"
path = "before.csv"
meter = "main"
[files.layout]
stamps = "start"
"""
PAID = '[tariff]\nfiles = ["tariff.toml"]\npaid = "two"\n'
HEATER_FILE = '[[files]]\nid = "of-heater"\npath = "heater.csv"\nmeter = "heater"\n[files.layout]\nstamps = "start"\n'


def table(first_day: int, days: int, power_w, outside_c) -> str:
    """Readings of hours as a CSV text: UTC, mean power, outdoor temperature."""
    rows = ["time,P [kW],Outdoor temperature [degC]" if outside_c is not None else "time,P [kW]"]
    for hour in range(24 * first_day, 24 * (first_day + days)):
        stamp = str(np.datetime64(BEGIN_S + 3600 * hour, "s")) + "Z"
        warm = "" if outside_c is None else f",{outside_c[hour]:.3f}"
        rows.append(f"{stamp},{power_w[hour] / 1000:.5f}{warm}")
    return "\n".join(rows) + "\n"


def write_job(folder: Path, *parts: str, after_days: int = DAYS, saved: float = 0.1, warm: bool = True, **given) -> Path:
    """Write the job with its year before, and a file of the time after in which a share is saved; return the folder."""
    power, outside = site(2 * DAYS, **given)
    used = power.values.copy()
    used[24 * DAYS :] *= 1 - saved
    temperature = outside.values if warm else None
    folder.mkdir(exist_ok=True)
    (folder / "job.toml").write_text("".join((JOB, *parts)), encoding="utf-8")
    (folder / "tariff.toml").write_text(TARIFF, encoding="utf-8")
    (folder / "before.csv").write_text(table(0, DAYS, used, temperature), encoding="utf-8")
    (folder / "after.csv").write_text(table(DAYS, after_days, used, temperature), encoding="utf-8")
    return folder


def copied(folder: Path, into: Path) -> Path:
    """A copy of a job's folder that a test may damage."""
    return Path(shutil.copytree(folder, into / "copy"))


def assessed(folder: Path, keep: bool = False) -> Assessment:
    """The job's assessment."""
    return Assessment(load_job(folder), keep=keep)


__all__ = ["CLOCK", "DAYS", "HEATER_FILE", "PAID", "assessed", "copied", "table", "write_job"]
