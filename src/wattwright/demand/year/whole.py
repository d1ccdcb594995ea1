"""A year from a record and what goes with it: the paid bills held against it first, then its days put together."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

import numpy as np

from wattwright.core.calendar import Days, day_number, days_between
from wattwright.core.clock import SiteClock
from wattwright.core.findings import Finding
from wattwright.core.series import Floats, Series
from wattwright.demand.analyse import Demand
from wattwright.demand.habits.base import breaks
from wattwright.demand.habits.habits import Outdoors, by_weather
from wattwright.demand.year import kinds
from wattwright.demand.year.annual import Known, Year, annual, window_of
from wattwright.demand.year.bills import FEWEST_DAYS, Bill, Held, beside, fit_to_compare, judged
from wattwright.demand.year.by_temperature import daily, expected


@dataclass(frozen=True, slots=True, eq=False)
class Annualised:
    """The year (None where the record is too short), the bills beside the record, and record over bills, NaN where unknown."""

    year: Year | None
    held: tuple[Held, ...]
    ratio: float
    findings: tuple[Finding, ...]


@dataclass(frozen=True, slots=True)
class Surroundings:
    """What goes with a record: clock, public holidays of its years and those beside, latitude, temperature, bills, and a seed."""

    clock: SiteClock
    holidays: frozenset[date] = frozenset()
    latitude_deg: float = 45.0
    outdoors: Outdoors | None = None
    bills: tuple[Bill, ...] = ()
    seed: int = 0


def annualise(demand: Demand, power: Series, around: Surroundings) -> Annualised:
    """Return the year that the readings of ``power`` (W) make, and what the paid bills say of them.

    Bills fill days only where they agree with the record, or where no day of theirs was read.
    """
    series = power.read_only()
    days = demand.days
    energy = _energy(series, days)
    held = beside(around.bills, days, energy)
    ratio, agree, notes = _by_bills(series, days, held) if around.bills else (float("nan"), True, ())
    findings = [*notes, *([] if agree else [kinds.NOT_FILLED.at("bills")])]
    calendar = _calendar(days, around)
    known = np.full(len(calendar), np.nan)
    first = day_number(calendar.first) - day_number(days.first)
    inside = np.arange(max(first, 0), min(first + len(calendar), len(days)))
    known[inside - first] = energy[inside]
    modelled = expected(calendar, known, around.outdoors, around.clock, around.seed)
    given = Known(calendar, known, modelled.energy_kwh, modelled.draws_kwh)
    year = annual(given, around.bills if agree else (), around.seed)
    if year is None:
        findings.append(kinds.TOO_SHORT.at("year", days=int((~np.isnan(known)).sum()), needed=FEWEST_DAYS))
    else:
        findings += [*year.findings, *modelled.findings]
        there = None if around.outdoors is None else by_weather(modelled.response, daily(around.outdoors.temperature, days))
        if np.isnan(known).any() and not breaks(demand.heat, days, there):
            findings.append(kinds.NO_HOLIDAYS.at("year"))
    return Annualised(year, held, ratio, tuple(findings))


def _energy(series: Series, days: Days) -> Floats:
    """Return the energy of each day in kWh; one with a short gap as if it went on like its rest."""
    return daily(series, days) * days.lengths_s / 3.6e6


def _by_bills(series: Series, days: Days, held: Sequence[Held]) -> tuple[float, bool, tuple[Finding, ...]]:
    """Return record over bills, whether they agree (or cannot be compared), and what is to be said of it."""
    fit, within = fit_to_compare(held)
    imported_kwh = sum(one.measured_kwh for one in fit)
    if (series.values < 0).any():
        drawn = Series(series.start_s, series.step_s, np.maximum(series.values, 0.0), series.quality, series.raw)
        imported_kwh = sum(one.measured_kwh for one in beside([one.bill for one in fit], days, _energy(drawn, days)))
    ratio, notes = judged(fit, within, days, imported_kwh)
    return ratio, not abs(ratio - 1) > within, notes


def _calendar(days: Days, around: Surroundings) -> Days:
    first, count = window_of(days)
    edges = around.clock.midnights_s(first, count)
    return days_between(around.clock, int(edges[0]), int(edges[-1]), around.holidays, around.latitude_deg)
