"""What the site took from the grid and gave back, and what a meter behind the main one saw of it."""

from dataclasses import dataclass, replace

import numpy as np

from wattwright.core.calendar import Days
from wattwright.core.clock import SiteClock
from wattwright.core.series import Floats, Series, over_windows
from wattwright.demand.profiles import day_table


@dataclass(frozen=True, slots=True)
class Exchange:
    """Energies over a record in kWh, none below zero; told apart interval by interval, as the meter's step allows."""

    imported_kwh: float
    exported_kwh: float

    @property
    def net_kwh(self) -> float:
        """Return what was taken less what was given back, in kWh; below zero where more was given."""
        return self.imported_kwh - self.exported_kwh

    @property
    def exports(self) -> bool:
        """Return whether any energy was given back at all."""
        return self.exported_kwh > 0


def exchange(power: Series) -> Exchange:
    """Return what was taken and given back by a power in W, positive for import."""
    taken, given = taken_w(power), replace(power, values=np.maximum(-power.values, 0.0))
    return Exchange(*(float(np.nansum(one.values)) * power.step_s / 3.6e6 for one in (taken, given)))


def taken_w(power: Series) -> Series:
    """Return the same power with export shown as nought."""
    return replace(power, values=np.maximum(power.values, 0.0))


def by_windows(power: Series, starts_s: "np.ndarray[tuple[int], np.dtype[np.int64]]") -> list[Exchange]:
    """Return what was taken and given back between each two of ``starts_s`` (shape (n + 1,), UTC seconds)."""
    taken = over_windows(taken_w(power), starts_s).integral / 3.6e6
    net = over_windows(power, starts_s).integral / 3.6e6
    return [Exchange(float(one), float(one - both)) for one, both in zip(taken, net, strict=True)]


def mean_day_taken_w(power: Series, days: Days, clock: SiteClock, bin_s: int) -> Floats:
    """Return the power taken by time of day in W, shape (bins,), the mean over the days; nought where nothing was read."""
    table = day_table(taken_w(power), days, clock, bin_s).power_w
    seen = ~np.isnan(table).all(axis=0)
    mean = np.zeros(table.shape[1])
    mean[seen] = np.nanmean(table[:, seen], axis=0)
    return mean


@dataclass(frozen=True, slots=True)
class Together:
    """What two meters read while both were read: energies in kWh and the time in seconds."""

    main_kwh: float
    sub_kwh: float
    seconds: int


def together(main: Series, sub: Series) -> Together:
    """Return what two powers in W add up to over the intervals of the coarser in which both have readings; estimates are none."""
    main, sub = main.read_only(), sub.read_only()
    coarse = max(main, sub, key=lambda one: one.step_s)
    starts = coarse.start_s + coarse.step_s * np.arange(len(coarse) + 1, dtype=np.int64)
    first, second = over_windows(main, starts), over_windows(sub, starts)
    both = first.full & second.full
    main_kwh, sub_kwh = (float(one.integral[both].sum()) / 3.6e6 for one in (first, second))
    return Together(main_kwh, sub_kwh, int(both.sum()) * coarse.step_s)
