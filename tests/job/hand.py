"""A small invented job on disk: two days of hourly readings and a flat tariff."""

from pathlib import Path

JOB = """# An invented job.
version = 2
name = "Two days"   # nobody lives here

[site]
zone = "Europe/Athens"
latitude = 37.1
country = "GR"

[papers]
date = 2025-02-01

[[meters]]
id = "main"

[[meters]]
id = "sub"
behind = "main"

[[files]]
id = "main-readings"
path = "readings.csv"
meter = "main"
[files.layout]
stamps = "start"

[[files]]
id = "sub-readings"
path = "sub.csv"
meter = "sub"
[files.layout]
stamps = "start"

[tariff]
files = ["tariff.toml"]

[[loads]]
id = "heater"
name = "Heater"
kind = "water heater"
rating = "3 kW"

[[control.rule]]
id = "times"
load = "heater"
kind = "time programme"
times = [{ on = 06:00:00, off = 09:00:00 }]
"""
TARIFF = """[[tariff]]
id = "one"
name = "One"
currency = "EUR"
[[tariff.fixed]]
label = "Standing"
price = "0.10"
per = "day"
[[tariff.energy]]
label = "Energy"
price = "0.20"

[[tariff]]
id = "two"
name = "Two"
currency = "EUR"
[[tariff.energy]]
label = "Energy"
price = "0.30"
"""


def readings(kwh=0.5, hours=48):
    """Hourly readings from 6 January 2025, all alike."""
    rows = [f"2025-01-{6 + hour // 24:02d} {hour % 24:02d}:00,{kwh}" for hour in range(hours)]
    return "when,Energy kWh\n" + "\n".join(rows) + "\n"


def write_job(folder: Path, job: str = JOB) -> Path:
    """Write the job with its readings and tariff into a folder and return the folder."""
    folder.mkdir(parents=True, exist_ok=True)
    (folder / "job.toml").write_text(job, encoding="utf-8")
    (folder / "readings.csv").write_text(readings(), encoding="utf-8")
    (folder / "sub.csv").write_text(readings(0.25), encoding="utf-8")
    (folder / "tariff.toml").write_text(TARIFF, encoding="utf-8")
    return folder
