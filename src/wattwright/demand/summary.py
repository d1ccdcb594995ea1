"""The figures on the first page: energy, mean, base load, maximum demand by window, load factor, completeness.

Terms follow load research: demand is the mean power over a window; load factor is mean over maximum demand.
"""

from dataclasses import dataclass

import numpy as np

from wattwright.core.clock import SiteClock
from wattwright.core.findings import Finding
from wattwright.core.series import Floats, Series, Windows, clock_windows
from wattwright.demand import kinds

WINDOWS_S = (900, 1800, 3600)
"""The windows demand is billed and sized by: 15, 30 and 60 minutes."""

BASE_SHARE = 5.0
"""Base load is the power exceeded in all but this share (per cent) of the hours; common practice, no source."""

_SPILL = 0.001
"""Below this share of the energy taken, readings below nought are a transformer's zero error: common practice, no source."""


@dataclass(frozen=True, slots=True)
class Maximum:
    """The highest demand over a window of ``window_s``: power in W, when the window began (UTC seconds).

    ``power_w`` is NaN and ``start_s`` -1 where the record's step is longer than the window or no whole window has readings.
    """

    window_s: int
    power_w: float
    start_s: int
    rolling_w: float
    rolling_start_s: int
    windows: int
    left_out: int


@dataclass(frozen=True, slots=True)
class Summary:
    """What the record says in figures: energies in kWh, powers in W, times in UTC seconds, shares of 1.

    ``energy_kwh`` is what was taken less what was given back, told apart interval by interval. ``registered_kwh`` is the part
    of it that a register counted while nothing was read, so that nothing but that total is known of it.
    """

    start_s: int
    end_s: int
    step_s: int
    intervals: int
    missing: int
    estimated: int
    energy_kwh: float
    imported_kwh: float
    exported_kwh: float
    estimated_kwh: float
    estimated_low_kwh: float
    estimated_high_kwh: float
    mean_w: float
    base_load_w: float
    maximum: Maximum
    by_window: tuple[Maximum, ...]
    load_factor: float
    registered_kwh: float = 0.0

    @property
    def is_net(self) -> bool:
        """Return whether the site gave power back, so that the energy is net and no use."""
        return self.exported_kwh > _SPILL * self.imported_kwh

    @property
    def completeness(self) -> float:
        """Return the share of intervals that were read, 0 to 1; an estimate is not a reading."""
        return 1 - (self.missing + self.estimated) / self.intervals if self.intervals else 0.0


def summarise(
    power: Series, clock: SiteClock, band_kwh: tuple[float, float] | None = None, registered_kwh: float = 0.0
) -> tuple[Summary, tuple[Finding, ...]]:
    """Return the summary of a power in W, and findings about its gaps.

    Energy and mean hold estimates; ``band_kwh`` is the band of what they add. ``registered_kwh`` is what a register counted in
    the gaps, which is added to the energy alone. Maxima and base load rest on readings alone.
    """
    present = power.present
    energy = float(np.nansum(power.values)) * power.step_s / 3.6e6 + registered_kwh
    exported = -float(np.nansum(power.values[power.values < 0])) * power.step_s / 3.6e6
    estimated_kwh = float(np.nansum(power.values[power.estimated])) * power.step_s / 3.6e6
    low_kwh, high_kwh = band_kwh or (estimated_kwh, estimated_kwh)
    mean = float(np.nanmean(power.values)) if present.any() else float("nan")
    read = power.read_only()
    at_step = _maximum(read, power.step_s, clock)
    found: list[Finding] = []
    by_window = []
    for window_s in WINDOWS_S:
        one, note = maximum_demand(read, window_s, clock)
        by_window.append(one)
        found += note
    summary = Summary(
        start_s=power.start_s,
        end_s=power.end_s,
        step_s=power.step_s,
        intervals=len(power),
        missing=int((~present).sum()),
        estimated=int(power.estimated.sum()),
        energy_kwh=energy,
        imported_kwh=energy + exported,
        exported_kwh=exported,
        estimated_kwh=estimated_kwh,
        estimated_low_kwh=low_kwh,
        estimated_high_kwh=high_kwh,
        mean_w=mean,
        base_load_w=base_load(read, clock),
        maximum=at_step,
        by_window=tuple(by_window),
        load_factor=mean / at_step.power_w if at_step.power_w > 0 else float("nan"),
        registered_kwh=registered_kwh,
    )
    return summary, tuple(found)


def maximum_demand(power: Series, window_s: int, clock: SiteClock) -> tuple[Maximum, list[Finding]]:
    """Return the highest demand over windows of ``window_s`` seconds, on the clock and rolling, and what was left out.

    Only windows with readings throughout count. A window shorter than the record's step cannot be known.
    """
    one = _maximum(power, window_s, clock)
    if one.left_out == 0 or np.isnan(one.power_w):
        return one, []
    windows = clock_windows(power, window_s, clock)
    partial = windows.mean[~windows.full & (windows.covered_s > 0)]
    if not len(partial):
        return one, []
    highest = float(partial.max())
    return one, [kinds.LEFT_OUT.at("maximum demand", count=len(partial), window=window_s, highest=highest)]


def _maximum(power: Series, window_s: int, clock: SiteClock) -> Maximum:
    unknown = Maximum(window_s, float("nan"), -1, float("nan"), -1, 0, 0)
    if window_s < power.step_s or len(power) == 0:
        return unknown
    windows = clock_windows(power, window_s, clock)
    whole = windows.full
    if not whole.any():
        return Maximum(window_s, float("nan"), -1, float("nan"), -1, len(windows), len(windows))
    best = _highest(windows)
    rolling_w, rolling_start_s = _rolling(power, window_s)
    # The rolling window sees every clock window the step can form, so it can only be higher.
    if not rolling_w >= windows.mean[best]:
        rolling_w, rolling_start_s = float(windows.mean[best]), int(windows.starts_s[best])
    return Maximum(
        window_s,
        float(windows.mean[best]),
        int(windows.starts_s[best]),
        rolling_w,
        rolling_start_s,
        len(windows),
        int((~whole).sum()),
    )


def _highest(windows: Windows) -> int:
    return int(np.argmax(np.where(windows.full, windows.mean, -np.inf)))


def _rolling(power: Series, window_s: int) -> tuple[float, int]:
    """Return the highest mean over any run of whole steps that make up the window, and where it begins."""
    count = window_s // power.step_s
    if count * power.step_s != window_s or count > len(power):
        return float("nan"), -1
    sums = _moving_sum(np.where(power.present, power.values, 0.0), count)
    holes = _moving_sum((~power.present).astype(np.float64), count)
    means = np.where(holes < 0.5, sums / count, -np.inf)
    best = int(np.argmax(means))
    return float(means[best]), power.start_s + best * power.step_s


def _moving_sum(values: Floats, count: int) -> Floats:
    running = np.concatenate([[0.0], np.cumsum(values)])
    moved: Floats = running[count:] - running[:-count]
    return moved


def base_load(power: Series, clock: SiteClock) -> float:
    """Return the base load in W: the 5th percentile of the hourly means (of the steps, where they are longer)."""
    hourly = clock_windows(power, 3600, clock)
    means = hourly.mean[hourly.full]
    return float(np.percentile(means, BASE_SHARE)) if len(means) else float("nan")
