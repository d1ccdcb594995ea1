"""Maximum demand: the highest mean over clock-aligned or rolling windows, and what ratchet and minimum make of it."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal

import numpy as np
from numpy.typing import NDArray

from wattwright.core.clock import SiteClock
from wattwright.core.errors import Place, TariffError
from wattwright.core.series import Series, clock_windows, over_windows
from wattwright.tariff.parts import Part
from wattwright.tariff.periods import period_index
from wattwright.tariff.quantities import NOUGHT, rounded
from wattwright.tariff.schema import DemandSpec

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True, eq=False)
class Means:
    """Means over windows of one length.

    ``starts_s`` and ``ends_s`` UTC seconds and ``mean`` (NaN where a reading is missing), shape (n,); ``own`` says that the
    windows are the intervals of a record no finer than the window.
    """

    starts_s: NDArray[np.int64]
    ends_s: NDArray[np.int64]
    mean: Floats
    own: bool


@dataclass(frozen=True, slots=True, eq=False)
class Power:
    """What a demand is measured from, all on one grid: active W, reactive var and apparent VA where they were read."""

    active: Series
    reactive: Series | None
    apparent: Series | None


def window_means(series: Series, window_s: int, align: str, clock: SiteClock, label: str = "") -> Means:
    """Return the means of ``series`` over windows of ``window_s`` ("clock" aligned, or "rolling" at the record's step).

    ``label`` names the charge in messages.
    A record no finer than the window gives its own intervals. Raises TariffError when a rolling window is no whole number of
    steps.
    """
    own = window_s <= series.step_s
    if align == "clock" or own:
        windows = clock_windows(series, window_s, clock)
        return Means(windows.starts_s[:-1], windows.starts_s[1:], np.where(windows.full, windows.mean, np.nan), own)
    if window_s % series.step_s:
        raise TariffError.one(
            "tariff.rolling",
            Place(field="window"),
            found=f"a record with steps of {series.step_s} s",
            wanted=f"steps that divide the rolling window of {window_s} s",
            next_step="Bring the record to a step such as 5 or 15 minutes.",
            label=label,
        )
    count = window_s // series.step_s
    if len(series) < count:
        return Means(np.zeros(0, np.int64), np.zeros(0, np.int64), np.zeros(0), own)
    starts_s = series.times_s[: len(series) - count + 1]
    mean = np.lib.stride_tricks.sliding_window_view(series.values, count).mean(1)
    return Means(starts_s, starts_s + window_s, mean, own)


def measured_demand(
    bill: Sequence[Part], part: Part, spec: DemandSpec, power: Power, clock: SiteClock
) -> tuple[Decimal, int | None]:
    """Return the highest window of a whole bill in kW or kVA and its start in UTC seconds; nought and None without one.

    ``bill`` holds all parts of the bill, ``part`` the one whose charge ``spec`` is; ``power`` reaches a step beyond the bill.
    Raises TariffError when the charge needs reactive power and there is none.
    """
    means = _demand_means(spec, power, clock)
    inside = windows_that_count(bill, spec, means, clock)
    if not inside.any():
        return NOUGHT, None
    highest = int(np.argmax(np.where(inside, means.mean, -np.inf)))
    factor = _factor(spec, power, bill[0].start_s, bill[-1].end_s)
    value = max(0.0, float(means.mean[highest])) * factor / 1000.0
    return rounded(value, part.spec.billing.demand_decimals), max(int(means.starts_s[highest]), bill[0].start_s)


def windows_that_count(bill: Sequence[Part], spec: DemandSpec, means: Means, clock: SiteClock) -> NDArray[np.bool_]:
    """Return which windows, shape (n,), count for a charge on the bill made of the parts ``bill``.

    A window counts under the version in which it begins: where that version has a charge with the same label, in its price
    periods. It lies wholly within the bill and has every reading; only an interval of a record no finer than the window may be
    cut by an end of the bill, and then counts with its mean on both sides.
    """
    low, high = bill[0].start_s, bill[-1].end_s
    starts_s = np.maximum(means.starts_s, low) if means.own else means.starts_s
    inside = np.zeros(means.mean.shape, np.bool_)
    for part, own in ((one, own) for one in bill for own in one.spec.demand if own.label == spec.label):
        mine = (starts_s >= part.start_s) & (starts_s < part.end_s)
        if own.periods:
            wanted = [part.spec.periods.index(name) for name in own.periods]
            mine &= np.isin(period_index(part.spec, starts_s, clock), wanted)
        inside |= mine
    return inside & ~np.isnan(means.mean) & (means.ends_s > low) & (means.own | (means.ends_s <= high))


def _demand_means(spec: DemandSpec, power: Power, clock: SiteClock) -> Means:
    window_s = int(spec.window_s)
    active = window_means(power.active, window_s, spec.align, clock, spec.label)
    if spec.quantity == "kW":
        return active
    if power.apparent is not None:
        return window_means(power.apparent, window_s, spec.align, clock)
    if power.reactive is not None:
        reactive = window_means(power.reactive, window_s, spec.align, clock)
        return replace(active, mean=np.hypot(active.mean, reactive.mean))
    return replace(active, mean=active.mean / assumed(spec))


def _factor(spec: DemandSpec, power: Power, start_s: int, end_s: int) -> float:
    """Return target over actual power factor where the actual one is below the target, else 1 (D x 0.90 / pf)."""
    if spec.target_power_factor is None:
        return 1.0
    actual = power_factor(power, start_s, end_s)
    return max(1.0, float(spec.target_power_factor) / (assumed(spec) if actual is None else actual))


def power_factor(power: Power, start_s: int, end_s: int) -> float | None:
    """Return the power factor of all readings in [start_s, end_s), UTC seconds: kWh over kVAh; None without var or VA.

    Only lagging var count: leading ones are neither charged nor set against lagging ones, as a meter's two registers
    of reactive energy keep them apart.
    """
    active = drawn(power.active, start_s, end_s)
    if power.reactive is not None:
        total = float(np.hypot(active, drawn(power.reactive, start_s, end_s)))
    elif power.apparent is not None:
        total = drawn(power.apparent, start_s, end_s)
    else:
        return None
    return active / total if active > 0 and total > 0 else 1.0


def drawn(series: Series, start_s: int, end_s: int) -> float:
    """Return the sum of what is above nought in [start_s, end_s) times its seconds; a cut interval gives its share by time."""
    above = replace(series, values=np.maximum(series.values, 0.0))
    return float(over_windows(above, np.array([start_s, end_s], np.int64)).integral[0])


def assumed(spec: DemandSpec) -> float:
    """Return the assumed power factor of a demand charge; raises TariffError when there is none."""
    if spec.assumed_power_factor is None:
        raise TariffError.one(
            "tariff.no-reactive",
            Place(field="assumed_power_factor"),
            found="a record without reactive or apparent power",
            wanted="var or VA beside the active power, since the charge depends on the power factor",
            next_step='Log reactive power too, or write assumed_power_factor = "0.95" for this charge.',
            label=spec.label,
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
