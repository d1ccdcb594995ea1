"""What days are like on a site: groups, breaks, base load, and how energy follows the outdoor temperature."""

from dataclasses import dataclass

import numpy as np

from wattwright.core.calendar import Days
from wattwright.core.findings import Finding
from wattwright.core.series import Floats, Series, over_windows
from wattwright.demand.analyse import Demand
from wattwright.demand.habits import kinds
from wattwright.demand.habits.base import BaseLoad, Break, ByWeather, base_by_day, breaks
from wattwright.demand.habits.change_points import Response, Shape, best
from wattwright.demand.habits.groups import DayGroups, like_days

FEWEST_DAYS = 28
"""Fewer days than this tell no change point; common practice, no source."""
_POOR_R2 = 0.5
_COVERED = 0.9


@dataclass(frozen=True, slots=True)
class Outdoors:
    """Temperature in degC of the same place and days, and where it comes from."""

    name: str
    temperature: Series


@dataclass(frozen=True, slots=True, eq=False)
class Habits:
    """Groups of like days, breaks, base load and response to temperature (None where none can be told), of ``days``.

    ``energy_kwh`` and ``temperature_c`` are those of each day, shape (days,), NaN where not known.
    """

    days: Days
    groups: DayGroups
    breaks: tuple[Break, ...]
    base: BaseLoad
    response: Response | None
    energy_kwh: Floats
    temperature_c: Floats
    findings: tuple[Finding, ...]


def habits(demand: Demand, power: Series, outdoors: Outdoors | None = None, seed: int = 0) -> Habits:
    """Return what days are like, from what ``demand`` says of the same ``power`` (W), with the temperature where there is one."""
    days, table = demand.days, demand.heat
    energy = _daily(power.read_only(), days) * 86_400 / 3.6e6
    temperature = np.full(len(days), np.nan) if outdoors is None else _daily(outdoors.temperature, days)
    found: list[Finding] = []
    response = None
    both = ~np.isnan(energy) & ~np.isnan(temperature)
    if outdoors is None:
        found.append(kinds.NO_TEMPERATURE.at("days"))
    elif both.sum() < FEWEST_DAYS:
        found.append(kinds.OTHER_DAYS.at("days", name=outdoors.name, count=int(both.sum()), needed=FEWEST_DAYS))
    else:
        response = best(temperature[both], energy[both], seed)
        if response.shape is not Shape.FLAT and response.r2 < _POOR_R2:
            found.append(kinds.POOR_RESPONSE.at("days", r2=response.r2, cv=response.cv_rmse))
    weather = by_weather(response, temperature)
    base, away = base_by_day(table, weather), breaks(table, days, weather)
    found += _of_base(base, away, known=response is not None)
    if (power.values < 0).any():
        found.append(kinds.GIVES_BACK.at("days"))
    return Habits(days, like_days(table, seed), away, base, response, energy, temperature, tuple(found))


def _of_base(base: BaseLoad, away: tuple[Break, ...], *, known: bool) -> list[Finding]:
    """Return that the base load changes and that there were breaks, with what else it may be where no weather is ``known``."""
    found = []
    if base.trend_low_w > 0 or base.trend_high_w < 0:
        kind = kinds.RISING_BASE if known else kinds.BASE_OR_SEASON
        middle = float(np.nanmedian(base.by_day_w))
        found.append(kind.at("days", trend=base.trend_w, low=base.trend_low_w, high=base.trend_high_w, base=middle))
    if away:
        other = "" if known else ", or whether it was mild and the site heats"
        found.append(kinds.BREAKS.at("days", count=len(away), days=sum(one.days for one in away), or_mild=other))
    return found


def by_weather(response: Response | None, temperature_c: Floats) -> ByWeather | None:
    """Return what the temperature of each day, shape (days,), makes of it by a response in kWh; None where it makes nothing."""
    if response is None or response.shape is Shape.FLAT:
        return None
    added = (response.predict(temperature_c) - response.value("base")) / 24 * 1000
    return ByWeather(temperature_c, added, response.rmse / 24 * 1000)


def _daily(series: Series, days: Days) -> Floats:
    """Return the mean of each local day, NaN where less than nine tenths of it is known, shape (days,)."""
    windows = over_windows(series, days.starts_s)
    return np.where(windows.covered_s >= _COVERED * days.lengths_s, windows.mean, np.nan)
