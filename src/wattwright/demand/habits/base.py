"""Base load day by day and its trend, standby, and breaks in which nobody used the site.

Both are held against the weather where it is known: a heated site uses more on cold days whoever is there, and more in winter
than in summer without anything having worn.
"""

from dataclasses import dataclass

import numpy as np

from wattwright.core.calendar import Days
from wattwright.core.series import Floats
from wattwright.demand.profiles import DayTable

LOWEST_H = 4
"""The base load of a day is the mean of its lowest hours, so many; common practice, no source (4 to 6 are usual)."""
_SURELY = 2.0
"""A day counts as quiet only if it lies so many times the scatter of days below what is usual; common practice, no source."""
_TREND_DAYS, _YEAR_D = 60, 365.25
_KNOTS = (0.1, 0.3, 0.5, 0.7, 0.9)
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


@dataclass(frozen=True, slots=True, eq=False)
class ByWeather:
    """What the outdoor temperature makes of each day.

    ``temperature_c`` and what it adds to the mean power, ``power_w``, have shape (days,), NaN where not known; ``scatter_w`` is
    how far days scatter beside it.
    """

    temperature_c: Floats
    power_w: Floats
    scatter_w: float


def base_by_day(table: DayTable, weather: ByWeather | None = None) -> BaseLoad:
    """Return the base load of each day of ``table`` (bins of the local day) and its trend by Theil and Sen.

    The trend is the median slope between all pairs of days (Sen 1968): a break or a warm week does not bend it. What follows the
    temperature is taken off first; days that are like their neighbours count for less, so that the interval is wider. Nothing is
    told of readings longer than four hours, nor where the site gives power back, for then the meter does not see what it draws.
    """
    nan, count = float("nan"), LOWEST_H * 3600 // table.bin_s
    read = ~np.isnan(table.power_w)
    if count < 1 or (table.power_w[read] < 0).any():
        return BaseLoad(np.full(len(read), nan), nan, nan, nan, nan)
    lowest = np.sort(np.where(read, table.power_w, np.inf), axis=1)[:, :count].mean(axis=1)
    by_day = np.where(read.sum(axis=1) >= 0.9 * table.power_w.shape[1], lowest, np.nan)
    standby = float(np.quantile(by_day[~np.isnan(by_day)], 0.1)) if not np.isnan(by_day).all() else nan
    told = ~np.isnan(by_day) & (True if weather is None else ~np.isnan(weather.temperature_c))
    held = np.flatnonzero(told)
    if len(held) < _TREND_DAYS:
        return BaseLoad(by_day, standby, nan, nan, nan)
    day, left = held.astype(np.float64), by_day[held]
    if weather is not None:
        day, left = _beside(weather.temperature_c[held], day), _beside(weather.temperature_c[held], left)
    return BaseLoad(by_day, standby, *_trend(day, left))


def _beside(temperature_c: Floats, values: Floats) -> Floats:
    """Return what is left of the values of days, shape (n,), without what follows the temperature along straight pieces.

    Taken off the days' numbers as well as their loads, the slope between the two is the one at equal temperature (Frisch and
    Waugh 1933): what winter and summer alone would make of it counts for neither.
    """
    knots = np.quantile(temperature_c, _KNOTS)
    pieces = np.maximum(temperature_c[:, None] - knots, 0.0)
    columns = np.column_stack([np.ones(len(values)), temperature_c, pieces])
    left: Floats = values - columns @ np.linalg.lstsq(columns, values, rcond=None)[0]
    return left


def _trend(day: Floats, base_w: Floats) -> tuple[float, float, float]:
    """Return the slope in W a year with its interval, wider by as much as neighbouring days are alike beside it."""
    from scipy.stats import theilslopes

    slope, level, low, high = (float(one) for one in theilslopes(base_w, day, _CONFIDENCE))
    left = base_w - level - slope * day
    square = float(left @ left)
    alike = min(max(float(left[1:] @ left[:-1]) / square, 0.0), 0.98) if square > 0 else 0.0
    wider = float(np.sqrt((1 + alike) / (1 - alike)))
    low, high = slope - wider * (slope - low), slope + wider * (high - slope)
    return _YEAR_D * slope, _YEAR_D * low, _YEAR_D * high


def breaks(table: DayTable, days: Days, weather: ByWeather | None = None) -> tuple[Break, ...]:
    """Return runs of two days or more that used under 60 % of what is usual, with no hour above that.

    Usual is the median of four weeks around of days of the same type (working day, Saturday, Sunday or holiday), and with the
    ``weather`` what its temperature adds to the median of the rest; then it must lie below by twice the scatter of days too.
    Common practice, no source. None is told where the site gives power back: sunny days would look like them.
    """
    mean, highest = _told(table)
    if (table.power_w[~np.isnan(table.power_w)] < 0).any():
        return ()
    added = np.zeros(len(mean)) if weather is None else weather.power_w
    beside, usual = mean - added, np.full(len(mean), np.nan)
    for at in np.flatnonzero(~np.isnan(beside)):
        near = slice(max(0, at - _AROUND_DAYS), at + _AROUND_DAYS + 1)
        usual[at] = added[at] + np.nanmedian(beside[near][days.day_type[near] == days.day_type[at]])
    surely = 0.0 if weather is None else _SURELY * weather.scatter_w
    with np.errstate(invalid="ignore"):
        quiet = (mean < _BREAK_SHARE * usual) & (highest < usual) & (mean <= usual - surely)
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
