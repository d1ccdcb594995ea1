"""Maximum demand: the highest mean over clock-aligned or rolling windows, and what ratchet and minimum make of it."""

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal

import numpy as np
from numpy.typing import NDArray

from wattwright.core.clock import SiteClock
from wattwright.core.errors import Place, TariffError
from wattwright.core.series import Series, clock_windows
from wattwright.tariff.parts import Part
from wattwright.tariff.periods import period_index
from wattwright.tariff.quantities import NOUGHT, rounded
from wattwright.tariff.schema import DemandSpec

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True, eq=False)
class Means:
    """Means over windows of one length: ``starts_s`` UTC seconds and ``mean`` (NaN where a reading is missing), shape (n,)."""

    starts_s: NDArray[np.int64]
    mean: Floats


@dataclass(frozen=True, slots=True, eq=False)
class Power:
    """What a demand is measured from, all on one grid: active W, reactive var and apparent VA where they were read."""

    active: Series
    reactive: Series | None
    apparent: Series | None


def window_means(series: Series, window_s: int, align: str, clock: SiteClock) -> Means:
    """Return the means of ``series`` over windows of ``window_s`` ("clock" aligned, or "rolling" at the record's step).

    A record coarser than the window gives its own intervals. Raises TariffError when a rolling window is no whole number of
    steps.
    """
    if align == "clock" or window_s <= series.step_s:
        windows = clock_windows(series, window_s, clock)
        return Means(windows.starts_s[:-1], np.where(windows.full, windows.mean, np.nan))
    if window_s % series.step_s:
        raise TariffError.one(
            "tariff.rolling",
            Place(field="demand"),
            found=f"a record with steps of {series.step_s} s",
            wanted=f"steps that divide the rolling window of {window_s} s",
            next_step="Bring the record to a step such as 5 or 15 minutes.",
        )
    count = window_s // series.step_s
    if len(series) < count:
        return Means(np.zeros(0, np.int64), np.zeros(0))
    return Means(
        series.times_s[: len(series) - count + 1], np.lib.stride_tricks.sliding_window_view(series.values, count).mean(1)
    )


def measured_demand(part: Part, spec: DemandSpec, power: Power, clock: SiteClock) -> tuple[Decimal, int | None]:
    """Return the highest window of one part of a bill in kW or kVA and its start in UTC seconds; nought and None without one.

    A window belongs to the price period in which it begins and lies wholly within its bill; one with missing readings does
    not count.
    Raises TariffError when the charge needs reactive power and there is none.
    """
    means = _demand_means(spec, power, clock)
    inside = (means.starts_s >= part.start_s) & (means.starts_s < part.end_s) & ~np.isnan(means.mean)
    if spec.periods:
        wanted = [part.spec.periods.index(name) for name in spec.periods]
        inside &= np.isin(period_index(part.spec, means.starts_s, clock), wanted)
    if not inside.any():
        return NOUGHT, None
    highest = int(np.argmax(np.where(inside, means.mean, -np.inf)))
    factor = _factor(spec, power)
    value = max(0.0, float(means.mean[highest])) * factor / 1000.0
    return rounded(value, part.spec.billing.demand_decimals), int(means.starts_s[highest])


def _demand_means(spec: DemandSpec, power: Power, clock: SiteClock) -> Means:
    window_s = int(spec.window_s)
    active = window_means(power.active, window_s, spec.align, clock)
    if spec.quantity == "kW":
        return active
    if power.apparent is not None:
        return window_means(power.apparent, window_s, spec.align, clock)
    if power.reactive is not None:
        reactive = window_means(power.reactive, window_s, spec.align, clock)
        return Means(active.starts_s, np.hypot(active.mean, reactive.mean))
    return Means(active.starts_s, active.mean / assumed(spec))


def _factor(spec: DemandSpec, power: Power) -> float:
    """Return target over actual power factor where the actual one is below the target, else 1 (D x 0.90 / pf)."""
    if spec.target_power_factor is None:
        return 1.0
    actual = power_factor(power)
    return max(1.0, float(spec.target_power_factor) / (assumed(spec) if actual is None else actual))


def power_factor(power: Power) -> float | None:
    """Return the power factor of all readings together, kWh over kVAh, None where neither var nor VA were read."""
    active = float(np.nansum(np.maximum(power.active.values, 0.0)))
    if power.reactive is not None:
        total = float(np.hypot(active, np.nansum(np.maximum(power.reactive.values, 0.0))))
    elif power.apparent is not None:
        total = float(np.nansum(power.apparent.values))
    else:
        return None
    return active / total if active > 0 and total > 0 else 1.0


def assumed(spec: DemandSpec) -> float:
    """Return the assumed power factor of a demand charge; raises TariffError when there is none."""
    if spec.assumed_power_factor is None:
        raise TariffError.one(
            "tariff.no-reactive",
            Place(field=spec.label),
            found="a record without reactive or apparent power",
            wanted="var or VA beside the active power, since the charge depends on the power factor",
            next_step='Log reactive power too, or write assumed_power_factor = "0.95" for this charge.',
        )
    return float(spec.assumed_power_factor)


def billed_demand(part: Part, spec: DemandSpec, measured: Decimal, before: Mapping[int, Decimal]) -> Decimal:
    """Return the demand that is billed: the highest of the measured one, the ratchet and the minimum.

    ``before`` holds the measured demands of earlier months by :func:`month_index`.
    """
    low = max(spec.minimum, spec.minimum_share * contracted(part, spec))
    if spec.ratchet is not None:
        month = month_index(part)
        past = [demand for index, demand in before.items() if month - spec.ratchet.months <= index < month]
        low = max(low, spec.ratchet.share * max(past, default=NOUGHT))
    return max(measured, low)


def contracted(part: Part, spec: DemandSpec) -> Decimal:
    """Return the contracted capacity in the unit of a demand charge, nought where none is stated."""
    agreed = part.spec.contracted
    return (agreed.kw if spec.quantity == "kW" else agreed.kva) or NOUGHT


def month_index(part: Part) -> int:
    """Return the months from year 0 to the bill a part belongs to."""
    return 12 * part.first.year + part.first.month - 1


def month_index_of(text: str) -> int:
    """Return the months from year 0 to a month written "YYYY-MM"."""
    return 12 * int(text[:4]) + int(text[5:7]) - 1
