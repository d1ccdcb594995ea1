"""What several benchmarks work on: an invented year of power, and an invented tariff. Built with plain numpy, without ours."""

from pathlib import Path

import numpy as np
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


def write_minutes(folder: Path) -> Path:
    """Write the year of minutes as a meter file, one row for each, stamps in UTC, and return where it is."""
    times = np.datetime_as_string((START_S + np.arange(0, YEAR_S, 60)).astype("datetime64[s]"), unit="m")
    rows = (f"{time.replace('T', ' ')}Z,{power:.0f}\n" for time, power in zip(times, year_of_power(60), strict=True))
    path = folder / "minutes.csv"
    path.write_text("Time,Power W\n" + "".join(rows), encoding="utf-8")
    return path
