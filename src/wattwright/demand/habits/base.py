"""Base load day by day and its trend, standby, and breaks in which nobody used the site."""

from dataclasses import dataclass

import numpy as np

from wattwright.core.calendar import Days
from wattwright.core.series import Floats
from wattwright.demand.profiles import DayTable

LOWEST_H = 4
"""The base load of a day is the mean of its lowest hours, so many; common practice, no source (4 to 6 are usual)."""
_TREND_DAYS = 60
_BREAK_DAYS, _BREAK_SHARE = 2, 0.6
_AROUND_DAYS = 28
_CONFIDENCE = 0.90


@dataclass(frozen=True, slots=True)
class Break:
    """A run of days in which the site was hardly used: first day and number of days, mean power then and around it, W."""

    first: int
    days: int
    mean_w: float
    usual_w: float


@dataclass(frozen=True, slots=True, eq=False)
class BaseLoad:
    """Base load of each day in W, shape (days,), NaN where too little was read; its trend in W a year with a 90 % interval.

    ``standby_w`` is what runs when nothing else does: the tenth percentile of the days' base loads. The trend is NaN where the
    record is shorter than sixty days.
    """

    by_day_w: Floats
    standby_w: float
    trend_w: float
    trend_low_w: float
    trend_high_w: float


def base_by_day(table: DayTable) -> BaseLoad:
    """Return the base load of each day of ``table`` (hours of the local day) and its trend by Theil and Sen.

    The trend is the median slope between all pairs of days (Sen 1968): a break or a warm week does not bend it.
    """
    read = ~np.isnan(table.power_w)
    lowest = np.sort(np.where(read, table.power_w, np.inf), axis=1)[:, :LOWEST_H].mean(axis=1)
    by_day = np.where(read.sum(axis=1) >= 0.9 * table.power_w.shape[1], lowest, np.nan)
    held = np.flatnonzero(~np.isnan(by_day))
    nan = float("nan")
    standby = float(np.quantile(by_day[held], 0.1)) if len(held) else nan
    if len(held) < _TREND_DAYS:
        return BaseLoad(by_day, standby, nan, nan, nan)
    from scipy.stats import theilslopes

    slope, _, low, high = (float(one) * 365.25 for one in theilslopes(by_day[held], held, _CONFIDENCE))
    return BaseLoad(by_day, standby, slope, low, high)


def breaks(table: DayTable, days: Days) -> tuple[Break, ...]:
    """Return runs of two days or more that used under 60 % of the median day around, with no hour above that median's mean.

    Around are four weeks of days of the same type (working day, Saturday, Sunday or holiday): common practice, no source.
    """
    mean, highest = _told(table)
    usual = np.full(len(mean), np.nan)
    for at in np.flatnonzero(~np.isnan(mean)):
        near = slice(max(0, at - _AROUND_DAYS), at + _AROUND_DAYS + 1)
        alike = mean[near][days.day_type[near] == days.day_type[at]]
        usual[at] = np.nanmedian(alike)
    with np.errstate(invalid="ignore"):
        quiet = (mean < _BREAK_SHARE * usual) & (highest < usual)
    edges = np.flatnonzero(np.diff(np.concatenate([[False], quiet, [False]]).astype(np.int8)))
    runs = [(int(a), int(b)) for a, b in zip(edges[::2], edges[1::2], strict=True) if b - a >= _BREAK_DAYS]
    return tuple(Break(a, b - a, float(mean[a:b].mean()), float(usual[a:b].mean())) for a, b in runs)


def _told(table: DayTable) -> tuple[Floats, Floats]:
    """Return mean and highest hour of each day, NaN where too little was read."""
    read = ~np.isnan(table.power_w)
    enough = read.sum(axis=1) >= 0.9 * table.power_w.shape[1]
    mean, highest = np.full(len(read), np.nan), np.full(len(read), np.nan)
    mean[enough] = np.nanmean(table.power_w[enough], axis=1)
    highest[enough] = np.nanmax(table.power_w[enough], axis=1)
    return mean, highest
