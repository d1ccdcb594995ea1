"""A record held against the paid bills: the first check of any record, since a wrong transformer ratio shows nowhere else."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np

from wattwright.core.calendar import Days
from wattwright.core.findings import Finding, Severity
from wattwright.core.series import Floats, Series
from wattwright.demand.year import kinds
from wattwright.demand.year.bills import Bill, Held, beside, fit_to_compare, judged
from wattwright.demand.year.by_temperature import daily
from wattwright.record.record import Record


@dataclass(frozen=True, slots=True)
class Against:
    """Each bill beside the record, record over bills (NaN where unknown), how many days of both, and whether they agree.

    ``agree`` is true as well where no bill can be compared: nothing speaks against the record then.
    """

    held: tuple[Held, ...]
    ratio: float
    days: int
    agree: bool
    findings: tuple[Finding, ...]

    @property
    def both_kwh(self) -> tuple[float, float]:
        """Return what record and bills have of the days that were read and billed, kWh; of the bills that can be compared."""
        fit, _ = fit_to_compare(self.held)
        return sum(one.measured_kwh for one in fit), sum(one.billed_kwh for one in fit)


def against(bills: Sequence[Bill], power: Series, days: Days) -> Against:
    """Return the readings of ``power`` (W) held against the paid bills, by the local ``days`` of the record."""
    series = power.read_only()
    held = beside(bills, days, daily_kwh(series, days))
    fit, within = fit_to_compare(held)
    imported_kwh = sum(one.measured_kwh for one in fit)
    if (series.values < 0).any():
        drawn = Series(series.start_s, series.step_s, np.maximum(series.values, 0.0), series.quality, series.raw)
        imported_kwh = sum(one.measured_kwh for one in beside([one.bill for one in fit], days, daily_kwh(drawn, days)))
    ratio, notes = judged(fit, within, days, imported_kwh)
    return Against(held, ratio, sum(one.days for one in fit), not abs(ratio - 1) > within, (*notes, *_twice(bills)))


def in_doubt(record: Record, paid: Against | None) -> Record:
    """Return a record with what its bills bring into doubt first among its findings, where every figure looks for doubts."""
    grave = () if paid is None else tuple(one for one in paid.findings if one.severity is Severity.STOP)
    return replace(record, findings=(*grave, *record.findings)) if grave else record


def daily_kwh(series: Series, days: Days) -> Floats:
    """Return the energy of each day in kWh; one with a short gap as if it went on like its rest."""
    return daily(series, days) * days.lengths_s / 3.6e6


def _twice(bills: Sequence[Bill]) -> list[Finding]:
    """Return a finding where a day stands in two bills: it would count twice."""
    ordered = sorted(bills, key=lambda one: one.first)
    pairs = [(one, other) for one, other in pairwise(ordered) if other.first < one.until]
    return [kinds.OVERLAP.at("bills", first=other.first.isoformat(), count=len(pairs)) for _, other in pairs[:1]]
