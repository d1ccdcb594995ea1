"""Typical days: the course of power over the local day, for each day type and season, with percentiles."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from wattwright.core.calendar import DAY_TYPES, SEASONS, Days
from wattwright.core.clock import SiteClock
from wattwright.core.series import Floats, Series, clock_windows

PERCENTILES = (10, 50, 90)
_NUMBER_OF_TYPES = len(DAY_TYPES)


@dataclass(frozen=True, slots=True, eq=False)
class TypicalDay:
    """One day type in one season: ``days`` is how many days went in; arrays have shape (bins,), powers in W.

    ``season`` and ``day_type`` are indices into SEASONS and DAY_TYPES; -1 stands for all of them together.
    """

    season: int
    day_type: int
    days: int
    mean_w: Floats
    low_w: Floats
    median_w: Floats
    high_w: Floats


@dataclass(frozen=True, slots=True, eq=False)
class Profiles:
    """All typical days over bins of ``bin_s`` seconds from local midnight."""

    bin_s: int
    days: tuple[TypicalDay, ...]

    def of(self, season: int, day_type: int) -> TypicalDay | None:
        """Return the typical day of a season and day type (-1 for all), or None where the record has none."""
        return next((one for one in self.days if (one.season, one.day_type) == (season, day_type)), None)


@dataclass(frozen=True, slots=True, eq=False)
class DayTable:
    """Power by local day and time of day: ``power_w`` has shape (days, bins), NaN where no whole bin has readings."""

    bin_s: int
    power_w: Floats


def day_table(power: Series, days: Days, clock: SiteClock, bin_s: int) -> DayTable:
    """Return mean power by local day and clock bin of ``bin_s`` seconds; a repeated hour is averaged with its first run."""
    width = max(bin_s, power.step_s)
    windows = clock_windows(power, width, clock)
    starts = windows.starts_s[:-1]
    day = days.index_of(starts)
    column = clock.parts(starts).minute * 60 // width
    bins = -(-86_400 // width)
    held = windows.full & (day >= 0) & (day < len(days))
    total = np.zeros((len(days), bins))
    count = np.zeros((len(days), bins))
    np.add.at(total, (day[held], column[held]), windows.mean[held])
    np.add.at(count, (day[held], column[held]), 1)
    with np.errstate(invalid="ignore"):
        return DayTable(width, np.where(count > 0, total / np.where(count > 0, count, 1), np.nan))


def typical_days(table: DayTable, days: Days) -> Profiles:
    """Return typical days per season and day type, and for all days together; groups without a day are left out."""
    made = [_typical(table.power_w, np.ones(len(days), np.bool_), -1, -1)]
    for season in range(len(SEASONS)):
        of_season = days.season == season
        made.append(_typical(table.power_w, of_season, season, -1))
        made += [_typical(table.power_w, of_season & (days.day_type == kind), season, kind) for kind in range(_NUMBER_OF_TYPES)]
    made += [_typical(table.power_w, days.day_type == kind, -1, kind) for kind in range(_NUMBER_OF_TYPES)]
    return Profiles(table.bin_s, tuple(one for one in made if one is not None))


def _typical(power_w: Floats, chosen: NDArray[np.bool_], season: int, day_type: int) -> TypicalDay | None:
    rows = power_w[chosen]
    rows = rows[~np.isnan(rows).all(axis=1)]
    if not len(rows):
        return None
    seen = ~np.isnan(rows).all(axis=0)
    low, median, high, mean = (np.full(rows.shape[1], np.nan) for _ in range(4))
    low[seen], median[seen], high[seen] = np.nanpercentile(rows[:, seen], PERCENTILES, axis=0)
    mean[seen] = np.nanmean(rows[:, seen], axis=0)
    return TypicalDay(season, day_type, len(rows), mean, low, median, high)
