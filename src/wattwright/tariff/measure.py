"""From readings to the exact quantities of each part of a bill."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from decimal import Decimal

import numpy as np

from wattwright.core.clock import SiteClock
from wattwright.core.series import Series, over_windows
from wattwright.tariff.demand import Power, drawn, measured_demand
from wattwright.tariff.netting import flows
from wattwright.tariff.parts import Part, by_bill
from wattwright.tariff.periods import Stretches, stretches
from wattwright.tariff.quantities import NOUGHT, Quantities, rounded
from wattwright.tariff.schema import TariffSpec
from wattwright.tariff.usage import Usage

_WS_PER_KWH = 3.6e6


@dataclass(frozen=True, slots=True)
class Measured:
    """The quantities of one part of a bill before netting over the bill, and the seconds of it without a reading."""

    quantities: Quantities
    missing_s: float


def measure(parts: Sequence[Part], usage: Usage, clock: SiteClock) -> tuple[Measured, ...]:
    """Return what was used in each part; an interval cut by an edge is split by time.

    Raises TariffError when a charge needs reactive power and none was read.
    """
    apart, netted = flows(usage, False), flows(usage, True)
    taken = _taken(parts, apart[0], netted[0])
    found = []
    for bill in by_bill(parts):
        power = _power(bill, usage, taken)
        for part in bill:
            demand = {spec.label: measured_demand(bill, part, spec, power, clock) for spec in part.spec.demand}
            found.append(_measured(part, usage, netted if _nets(part) else apart, demand, clock))
    return tuple(found)


def _nets(part: Part) -> bool:
    return part.spec.export is not None and part.spec.export.netting == "each interval"


def _taken(parts: Sequence[Part], apart: Series, netted: Series) -> Series:
    """Return the import each interval has under the version in which it begins."""
    times = apart.times_s
    nets = [(times >= part.start_s) & (times < part.end_s) for part in parts if _nets(part)]
    return replace(apart, values=np.where(np.logical_or.reduce(nets), netted.values, apart.values)) if nets else apart


def _power(bill: Sequence[Part], usage: Usage, taken: Series) -> Power:
    edges = bill[0].start_s, bill[-1].end_s
    reactive, apparent = (None if one is None else _around(one, *edges) for one in (usage.reactive, usage.apparent))
    return Power(_around(taken, *edges), reactive, apparent)


def _measured(
    part: Part, usage: Usage, flow: tuple[Series, Series], demand: dict[str, tuple[Decimal, int | None]], clock: SiteClock
) -> Measured:
    imported, exported = flow
    cut = stretches(part.spec, part.start_s, part.end_s, clock)
    taken = over_windows(_around(imported, part.start_s, part.end_s), cut.starts_s)
    sent = over_windows(_around(exported, part.start_s, part.end_s), cut.starts_s)
    daily = _daily(part.spec, cut, taken.integral) if by_day(part.spec) else ()
    used = Quantities(
        energy=_summed(daily) if daily else _by_period(part.spec, cut, taken.integral),
        export=_by_period(part.spec, cut, sent.integral),
        daily=daily,
        demand=demand,
        reactive_kvarh=_kvarh(part, usage),
    )
    return Measured(used, float(part.end_s - part.start_s - taken.covered_s.sum()))


def _around(series: Series, start_s: int, end_s: int) -> Series:
    """Return the intervals that have any time in [start_s, end_s)."""
    return series.part(start_s - series.step_s, end_s + series.step_s)


def by_day(spec: TariffSpec) -> bool:
    """Return whether a tariff has blocks per day, so that each day is measured on its own."""
    return any(entry.blocks and entry.blocks_per == "day" for entry in spec.energy)


def _by_period(spec: TariffSpec, cut: Stretches, integral: np.ndarray[tuple[int], np.dtype[np.float64]]) -> dict[str, Decimal]:
    kwh = np.bincount(cut.period, integral, len(spec.periods)) / _WS_PER_KWH
    return {name: rounded(float(kwh[i]), spec.billing.energy_decimals) for i, name in enumerate(spec.periods)}


def _daily(
    spec: TariffSpec, cut: Stretches, integral: np.ndarray[tuple[int], np.dtype[np.float64]]
) -> tuple[dict[str, Decimal], ...]:
    days = []
    for day in np.unique(cut.day):
        mine = cut.day == day
        days.append(_by_period(spec, Stretches(cut.starts_s, cut.period[mine], cut.day[mine]), integral[mine]))
    return tuple(days)


def _summed(days: tuple[dict[str, Decimal], ...]) -> dict[str, Decimal]:
    return {name: sum((day[name] for day in days), NOUGHT) for name in days[0]}


def _kvarh(part: Part, usage: Usage) -> Decimal | None:
    if usage.reactive is None:
        return None
    total = drawn(_around(usage.reactive, part.start_s, part.end_s), part.start_s, part.end_s) / _WS_PER_KWH
    return rounded(total, part.spec.billing.energy_decimals)
