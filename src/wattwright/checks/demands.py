"""Demand figures against another library on a seeded record, and against closed forms."""

from functools import lru_cache, partial

import numpy as np
import polars as pl

from wattwright.checks.registry import Confidence, register
from wattwright.core.clock import SiteClock
from wattwright.core.seeds import Streams
from wattwright.core.series import Series, clock_windows, of_values
from wattwright.demand.duration import duration_curve
from wattwright.demand.months import by_month
from wattwright.demand.summary import maximum_demand, summarise

_ZONE = "Europe/Athens"
_START_S = 1_735_682_400  # 2025-01-01 00:00 in Europe/Athens
_POLARS = "polars, group_by_dynamic on local time"


@lru_cache(maxsize=1)
def _minutes() -> Series:
    """Return 120 days of seeded minute readings across the spring change of the clock."""
    draws = Streams(7).stream("checks/demand")
    values = 400 + 2500 * draws.beta(0.6, 3.0, 120 * 1440)
    return of_values(_START_S, 60, values)


def _frame() -> pl.DataFrame:
    """Return the same minutes as a table of the other library, on local time."""
    series = _minutes()
    local = pl.col("at").cast(pl.Datetime("ms")).dt.replace_time_zone("UTC").dt.convert_time_zone(_ZONE)
    return pl.DataFrame({"at": series.times_s * 1000, "power": series.values}).with_columns(local).sort("at")


def _theirs(window: str) -> tuple[float, ...]:
    grouped = _frame().group_by_dynamic("at", every=window).agg(pl.col("power").mean())
    return tuple(grouped["power"].to_list())


def _their_month(index: int) -> float:
    grouped = _frame().group_by_dynamic("at", every="1mo").agg(pl.col("power").sum())
    return float(grouped["power"].to_list()[index]) / 60_000


def _highest_of_theirs(every: str) -> float:
    return max(_theirs(every))


def _maximum(window_s: int) -> float:
    return maximum_demand(_minutes(), window_s, SiteClock(_ZONE))[0].power_w


def _month(index: int) -> float:
    return by_month(_minutes(), SiteClock(_ZONE))[index].energy_kwh


for _window_s, _every in ((900, "15m"), (1800, "30m"), (3600, "1h")):
    register(
        f"demand.maximum-{_every}",
        f"maximum demand over {_every} of 120 seeded days of minutes",
        unit="W",
        source=_POLARS,
        confidence=Confidence.REFERENCE_LIBRARY,
        published=partial(_highest_of_theirs, _every),
        tolerance=1e-6,
        why="floating point",
        ours=partial(_maximum, _window_s),
    )

for _index, _name in enumerate(("january", "february", "march", "april")):
    register(
        f"demand.energy-{_name}",
        f"energy of {_name.capitalize()} 2025 in 120 seeded days of minutes",
        unit="kWh",
        source=_POLARS,
        confidence=Confidence.REFERENCE_LIBRARY,
        published=partial(_their_month, _index),
        tolerance=1e-6,
        why="floating point",
        ours=partial(_month, _index),
    )


register(
    "demand.base-load-percentile",
    "base load of 120 seeded days: 5th percentile of the hourly means",
    unit="W",
    source="numpy percentile of polars' hourly means",
    confidence=Confidence.REFERENCE_LIBRARY,
    published=lambda: float(np.percentile(_theirs("1h"), 5)),
    tolerance=1e-6,
    why="floating point",
    ours=lambda: summarise(_minutes(), SiteClock(_ZONE))[0].base_load_w,
)


def _square_wave() -> Series:
    """Return a day on which 2 kW run for the first 10 minutes of every hour."""
    minute = np.arange(1440) % 60
    return of_values(0, 60, np.where(minute < 10, 2000.0, 0.0))


register(
    "demand.short-draw-in-an-hour",
    "hourly mean of a 2 kW draw of 10 minutes",
    unit="W",
    source="closed form: 2000 W x 10/60",
    confidence=Confidence.CLOSED_FORM,
    published=2000 * 10 / 60,
    tolerance=1e-9,
    why="floating point",
    ours=lambda: float(clock_windows(_square_wave(), 3600, SiteClock("UTC")).mean.max()),
)
register(
    "demand.load-factor",
    "load factor of a load that runs a sixth of the time",
    unit="",
    source="closed form: mean over maximum = 1/6",
    confidence=Confidence.CLOSED_FORM,
    published=1 / 6,
    tolerance=1e-12,
    why="floating point",
    ours=lambda: summarise(_square_wave(), SiteClock("UTC"))[0].load_factor,
)
register(
    "demand.duration-area",
    "area under the load-duration curve of that day",
    unit="kWh",
    source="closed form: 2 kW x 24 h / 6",
    confidence=Confidence.CLOSED_FORM,
    published=8.0,
    tolerance=1e-9,
    why="floating point",
    ours=lambda: duration_curve(_square_wave()).energy_kwh,
)
