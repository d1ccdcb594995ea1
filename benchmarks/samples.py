"""What several benchmarks work on: an invented year of power, and an invented tariff. Built with plain numpy, without ours."""

from dataclasses import dataclass
from pathlib import Path

import numpy as np
import polars as pl
from numpy.typing import NDArray

from wattwright.core.clock import SiteClock
from wattwright.core.series import Series, of_values
from wattwright.tariff.load import load_tariff
from wattwright.tariff.tariff import Tariff

ZONE = "Europe/Athens"
CLOCK = SiteClock(ZONE)
YEAR_S = 365 * 86_400
START_S = 1_735_682_400
"""2025-01-01 00:00 on the clock of Athens, seconds UTC."""


def year_of_power(step_s: int) -> NDArray[np.float64]:
    """Return a year of invented power in W, whole watts, one value for each step."""
    hour = np.arange(0, YEAR_S, step_s) / 3600.0
    daily = 600.0 + 400.0 * np.sin(2.0 * np.pi * hour / 24.0)
    draws = np.random.default_rng(20250101)
    return np.rint(daily + 2000.0 * (draws.random(len(hour)) < 0.05) + draws.normal(0.0, 30.0, len(hour)))


def year(step_s: int) -> Series:
    """Return the invented year as a series on the site's clock."""
    return of_values(START_S, step_s, year_of_power(step_s))


def day_night() -> Tariff:
    """Return the two-price tariff of the example house."""
    return load_tariff(Path(__file__).parents[1] / "examples" / "house" / "tariff.toml").tariff("day-night")


@dataclass(frozen=True)
class Minutes:
    """How a meter file of minutes is written: ``shown`` is how stamps are written, ``read`` how bare polars reads them."""

    name: str
    header: str
    delimiter: str
    comma: bool
    zone: str
    shown: str
    read: str


UTC_STAMPS = Minutes("UTC", "Time,Power W", ",", False, "UTC", "%Y-%m-%d %H:%MZ", "%Y-%m-%d %H:%MZ")
DAY_FIRST = Minutes("day first", "Time;Power kW", ";", True, ZONE, "%d.%m.%Y %H:%M", "%d.%m.%Y %H:%M")
HALF_DAYS = Minutes("half days", "Time,Power W", ",", False, ZONE, "%-m/%-d/%Y %-I:%M %p", "%m/%d/%Y %I:%M %p")
LAYOUTS = (UTC_STAMPS, DAY_FIRST, HALF_DAYS)
"""ISO stamps in UTC; local time with a decimal comma; local time as month, day and half a day. The last two without offsets."""


def write_minutes(folder: Path, layout: Minutes = UTC_STAMPS, days: int = 365) -> Path:
    """Write the year of minutes, or so many days of it over and over, as a meter file, one row each, and return where it is."""
    power = np.resize(year_of_power(60), days * 1440)
    times = pl.from_epoch(pl.int_range(START_S, START_S + 60 * len(power), 60, eager=True), time_unit="s")
    stamps = times.dt.replace_time_zone("UTC").dt.convert_time_zone(layout.zone).dt.strftime(layout.shown)
    numbers = [f"{one / 1000:.3f}".replace(".", ",") for one in power] if layout.comma else [f"{one:.0f}" for one in power]
    rows = (f"{stamp}{layout.delimiter}{number}\n" for stamp, number in zip(stamps.to_list(), numbers, strict=True))
    path = folder / f"minutes-{days}.csv"
    path.write_text(f"{layout.header}\n" + "".join(rows), encoding="utf-8")
    return path
