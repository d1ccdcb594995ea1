"""From readings to the exact quantities of each part of a bill."""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

import numpy as np

from wattwright.core.clock import SiteClock
from wattwright.core.series import Series, over_windows
from wattwright.tariff.demand import Power, measured_demand
from wattwright.tariff.netting import flows
from wattwright.tariff.parts import Part
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
    found = []
    for part in parts:
        rule = part.spec.export
        imported, exported = netted if rule is not None and rule.netting == "each interval" else apart
        found.append(_measured(part, usage, imported, exported, clock))
    return tuple(found)


def _measured(part: Part, usage: Usage, imported: Series, exported: Series, clock: SiteClock) -> Measured:
    cut = stretches(part.spec, part.start_s, part.end_s, clock)
    taken = over_windows(_around(imported, part), cut.starts_s)
    sent = over_windows(_around(exported, part), cut.starts_s)
    daily = _daily(part.spec, cut, taken.integral) if by_day(part.spec) else ()
    used = Quantities(
        energy=_summed(daily) if daily else _by_period(part.spec, cut, taken.integral),
        export=_by_period(part.spec, cut, sent.integral),
        daily=daily,
        demand=_demand(part, usage, imported, clock),
        reactive_kvarh=_kvarh(part, usage),
    )
    return Measured(used, float(part.end_s - part.start_s - taken.covered_s.sum()))


def _around(series: Series, part: Part) -> Series:
    return series.part(part.start_s - series.step_s, part.end_s + series.step_s)


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


def _demand(part: Part, usage: Usage, imported: Series, clock: SiteClock) -> dict[str, tuple[Decimal, int | None]]:
    read = (usage.reactive, usage.apparent)
    reactive, apparent = (None if one is None else one.part(part.start_s, part.end_s) for one in read)
    power = Power(imported.part(part.start_s, part.end_s), reactive, apparent)
    return {spec.label: measured_demand(part, spec, power, clock) for spec in part.spec.demand}


def _kvarh(part: Part, usage: Usage) -> Decimal | None:
    if usage.reactive is None:
        return None
    lagging = usage.reactive.part(part.start_s, part.end_s)
    total = float(np.nansum(np.maximum(lagging.values, 0.0))) * lagging.step_s / _WS_PER_KWH
    return rounded(total, part.spec.billing.energy_decimals)
