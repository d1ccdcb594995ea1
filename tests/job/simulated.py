"""A small invented job that can be simulated: three winter days of hourly readings, a water heater, a pump."""

from datetime import datetime, timedelta
from pathlib import Path

from wattwright.job.assessment import Assessment
from wattwright.job.file import load_job
from wattwright.job.simulation import Question

HEAD = """version = 2
name = "Three days"
invented = true
[site]
zone = "Europe/Athens"
latitude = 37.0
longitude = 23.0
[papers]
date = 2025-02-01
[[meters]]
id = "main"
[[meters]]
id = "sub"
behind = "main"
[[files]]
id = "readings"
path = "readings.csv"
meter = "main"
[files.layout]
stamps = "start"
"""
SUPPLY = '[supply]\nsystem = "single-phase"\nvoltage = "230 V"\nmain_protection = "20 A"\n'
HEATER = """[[loads]]
id = "heater"
name = "Water heater"
kind = "water heater"
rating = "2 kW"
volume = "120 l"
phase = "L1"
interrupt = "mains"
[loads.model]
set_point = "60 degC"
[loads.use]
profile = "M"
litres_per_day = "100 l"
"""
PUMP = """[[loads]]
id = "pump"
name = "Pump"
kind = "pool pump"
rating = "1 kW"
power_factor = 0.8
phase = "L1"
interrupt = "mains"
"""
TIMES = """[[control.rule]]
id = "pump-times"
load = "pump"
kind = "time programme"
times = [{ on = 10:00:00, off = 12:00:00 }]
"""
FIRST = datetime(2025, 1, 6)


def hourly(kw: float = 1.5, days: int = 3, gap: int = -1, column: str = "P [kW]") -> str:
    """Readings of ``days`` days from 6 January, all ``kw`` but between ten and noon, where the pump adds 1 kW."""
    rows = []
    for hour in range(24 * days):
        value = "" if hour == gap else f"{kw + (1.0 if hour % 24 in (10, 11) else 0.0):.3f}"
        rows.append(f"{FIRST + timedelta(hours=hour):%Y-%m-%d %H:%M},{value}")
    return "\n".join([f"time,{column}", *rows]) + "\n"


def question(folder: Path, *parts: str, readings: str = "", **files: str) -> Question:
    """Write a job of these parts into a folder and return it ready to be simulated."""
    (folder / "job.toml").write_text("".join((HEAD, *parts)), encoding="utf-8")
    (folder / "readings.csv").write_text(readings or hourly(), encoding="utf-8")
    for name, text in files.items():
        (folder / f"{name}.csv").write_text(text, encoding="utf-8")
    return Assessment(load_job(folder), keep=False).question()
