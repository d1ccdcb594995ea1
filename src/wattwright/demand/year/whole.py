"""A year from a record and what goes with it: the paid bills held against it first, then its days put together."""

from dataclasses import dataclass
from datetime import date

import numpy as np

from wattwright.core.calendar import Days, day_number, days_between
from wattwright.core.clock import SiteClock
from wattwright.core.findings import Finding
from wattwright.core.series import Series
from wattwright.demand.analyse import Demand
from wattwright.demand.habits.base import breaks
from wattwright.demand.habits.habits import Outdoors, by_weather
from wattwright.demand.year import kinds
from wattwright.demand.year.against import Against, against, daily_kwh
from wattwright.demand.year.annual import Known, Year, annual, window_of
from wattwright.demand.year.bills import FEWEST_DAYS, Bill
from wattwright.demand.year.by_temperature import daily, expected


@dataclass(frozen=True, slots=True, eq=False)
class Annualised:
    """The year (None where the record is too short), and the record held against the paid bills."""

    year: Year | None
    paid: Against
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
    days = demand.days
    energy = daily_kwh(power.read_only(), days)
    paid = against(around.bills, power, days) if around.bills else Against((), float("nan"), 0, True, ())
    findings = [*paid.findings, *([] if paid.agree else [kinds.NOT_FILLED.at("bills")])]
    calendar = _calendar(days, around)
    known = np.full(len(calendar), np.nan)
    first = day_number(calendar.first) - day_number(days.first)
    inside = np.arange(max(first, 0), min(first + len(calendar), len(days)))
    known[inside - first] = energy[inside]
    modelled = expected(calendar, known, around.outdoors, around.clock, around.seed)
    given = Known(calendar, known, modelled.energy_kwh, modelled.draws_kwh)
    year = annual(given, around.bills if paid.agree else (), around.seed)
    if year is None:
        findings.append(kinds.TOO_SHORT.at("year", days=int((~np.isnan(known)).sum()), needed=FEWEST_DAYS))
    else:
        findings += [*year.findings, *modelled.findings]
        there = None if around.outdoors is None else by_weather(modelled.response, daily(around.outdoors.temperature, days))
        if np.isnan(known).any() and not breaks(demand.heat, days, there):
            findings.append(kinds.NO_HOLIDAYS.at("year"))
    return Annualised(year, paid, tuple(findings))


def _calendar(days: Days, around: Surroundings) -> Days:
    first, count = window_of(days)
    edges = around.clock.midnights_s(first, count)
    return days_between(around.clock, int(edges[0]), int(edges[-1]), around.holidays, around.latitude_deg)
