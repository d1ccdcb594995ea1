"""Days of a year that were not read, by how energy followed the temperature on those that were."""

from dataclasses import dataclass

import numpy as np

from wattwright.core.calendar import Days, days_between
from wattwright.core.clock import SiteClock
from wattwright.core.findings import Finding
from wattwright.core.seeds import Streams
from wattwright.core.series import Floats, Series, over_windows
from wattwright.demand.habits.change_points import Response, Shape, best
from wattwright.demand.habits.habits import FEWEST_DAYS, Outdoors
from wattwright.demand.year import kinds
from wattwright.demand.year.annual import DRAWN

_COVERED = 0.9
_WEEK = 7
_BEYOND_K, _BEYOND_DAYS = 3.0, 10
_POOR_R2 = 0.5


@dataclass(frozen=True, slots=True, eq=False)
class Expected:
    """Each day by its temperature, kWh, shape (days,), the same of drawn records, (draws, days), NaN where it says nothing."""

    energy_kwh: Floats
    draws_kwh: Floats
    response: Response | None
    findings: tuple[Finding, ...]


def daily(series: Series, days: Days) -> Floats:
    """Return the mean of each day, NaN where less than nine tenths of it is known, shape (days,)."""
    windows = over_windows(series, days.starts_s)
    return np.where(windows.covered_s >= _COVERED * days.lengths_s, windows.mean, np.nan)


def temperatures(outdoors: Outdoors | None, calendar: Days, clock: SiteClock) -> tuple[Floats, Floats]:
    """Return the temperature of each day as it was, and with that of the same date of other years where it is not known."""
    unknown = np.full(len(calendar), np.nan)
    if outdoors is None:
        return unknown, unknown
    there = daily(outdoors.temperature, calendar)
    series = outdoors.temperature
    others = days_between(clock, series.start_s, series.end_s)
    by_date: dict[tuple[int, int], list[float]] = {}
    for at, value in enumerate(daily(series, others)):
        if value == value:
            day = others.date(at)
            by_date.setdefault((day.month, day.day), []).append(float(value))
    usual = np.array([np.mean(by_date.get((day.month, day.day), [np.nan])) for day in map(calendar.date, range(len(calendar)))])
    return there, np.where(np.isnan(there), usual, there)


def expected(calendar: Days, energy: Floats, outdoors: Outdoors | None, clock: SiteClock, seed: int) -> Expected:
    """Return each day by its temperature, where energy follows it (R2 of a half or more) on four weeks of days or more."""
    there, usual = temperatures(outdoors, calendar, clock)
    nothing = Expected(np.full(len(calendar), np.nan), np.full((DRAWN, len(calendar)), np.nan), None, ())
    both = np.flatnonzero(~np.isnan(energy) & ~np.isnan(there))
    if len(both) < FEWEST_DAYS:
        return nothing
    notes = _beyond(there[both], usual[np.isnan(energy) & ~np.isnan(usual)])
    response = best(there[both], energy[both], seed)
    if response.shape is Shape.FLAT or response.r2 < _POOR_R2:
        return Expected(nothing.energy_kwh, nothing.draws_kwh, response, notes)
    columns = _columns(response, usual)
    draws = np.empty((DRAWN, len(calendar)))
    stream = Streams(seed).stream("weeks by temperature")
    value = response.predict(usual)
    weeks = [both[both // _WEEK == one] for one in np.unique(both // _WEEK)]
    left = np.array([float((energy[one] - value[one]).mean()) for one in weeks])
    to_come = np.arange(len(calendar)) // _WEEK
    for at in range(DRAWN):
        rows = np.concatenate([weeks[k] for k in stream.integers(0, len(weeks), len(weeks))])
        # Weeks to come lie off by as much as those that were read.
        off = stream.choice(left, int(to_come[-1]) + 1)[to_come]
        draws[at] = columns @ np.linalg.lstsq(columns[rows], energy[rows], rcond=None)[0] + off
    draws += _unseen(response, there[both], usual, stream)
    return Expected(value, draws, response, notes)


def _unseen(response: Response, read_c: Floats, usual_c: Floats, stream: np.random.Generator) -> Floats:
    """Return how far days colder or warmer than any that was read may lie off, kWh, (draws, days).

    There the course may go on, stop or turn: along a line, at most as steep down or up as the steepest that was seen.
    """
    steepest = max(response.value("heating"), response.value("cooling"))
    colder, warmer = np.maximum(float(read_c.min()) - usual_c, 0.0), np.maximum(usual_c - float(read_c.max()), 0.0)
    lines = stream.uniform(-1.0, 1.0, (DRAWN, 2))
    off: Floats = steepest * (lines[:, :1] * colder + lines[:, 1:] * warmer)
    return off


def _columns(response: Response, temperature_c: Floats) -> Floats:
    """Return a base, and kelvins below and above the change points of a response, as far as it has them."""
    return np.column_stack([np.where(np.isnan(temperature_c), np.nan, 1.0), response.kelvins(temperature_c)])


def _beyond(read_c: Floats, missing_c: Floats) -> tuple[Finding, ...]:
    """Return findings where many days of the year are colder or warmer than all that were read."""
    found = []
    coldest, warmest = float(read_c.min()), float(read_c.max())
    colder, warmer = missing_c[missing_c < coldest - _BEYOND_K], missing_c[missing_c > warmest + _BEYOND_K]
    if len(colder) >= _BEYOND_DAYS:
        found.append(kinds.NO_COLD.at("year", coldest=coldest, days=len(colder), other=float(colder.min())))
    if len(warmer) >= _BEYOND_DAYS:
        found.append(kinds.NO_HEAT.at("year", warmest=warmest, days=len(warmer), other=float(warmer.max())))
    return tuple(found)
