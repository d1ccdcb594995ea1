"""Price periods: which one each instant belongs to, by the site's clock, day type, holiday and season."""

from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np
from numpy.typing import NDArray

from wattwright.core.calendar import day_number, public_holidays
from wattwright.core.clock import DAY_S, SiteClock
from wattwright.tariff.schema import SeasonSpec, TariffSpec, WindowSpec

NO_PERIOD = 255
HOLIDAY = 7
"""Day type of a holiday; 0 to 6 are Monday to Sunday."""
_QUARTER_S = 900
_WEEKDAYS = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")
_GROUPS = {"working days": range(5), "weekend": range(5, 7), "holiday": range(HOLIDAY, HOLIDAY + 1)}


def holiday_numbers(spec: TariffSpec, first: date, last: date) -> NDArray[np.int64]:
    """Return the holidays of a tariff in the years of ``first`` to ``last``, as days since 1970-01-01, rising."""
    rule = spec.holidays
    known = public_holidays(rule.country, rule.subdivision or None, first.year, last.year)
    return np.array(sorted(day_number(day) for day in (known | set(rule.add)) - set(rule.drop)), np.int64)


def season_days(season: SeasonSpec, month_days: NDArray[np.int64]) -> NDArray[np.bool_]:
    """Return which days (100 x month + day) belong to a season; shape as given."""
    inside = np.zeros(month_days.shape, np.bool_)
    for span in season.ranges:
        after, before = month_days >= span.first, month_days <= span.last
        inside |= after & before if span.first <= span.last else after | before
    return inside


def window_days(window: WindowSpec) -> frozenset[int]:
    """Return the day types a window holds on: 0 to 6 for Monday to Sunday, 7 for a holiday."""
    if not window.days:
        return frozenset(range(HOLIDAY + 1))
    return frozenset(
        kind for name in window.days for kind in _GROUPS.get(name, [_WEEKDAYS.index(name)] if name in _WEEKDAYS else [])
    )


def in_window(
    spec: TariffSpec, window: WindowSpec, month_day: NDArray[np.int64], kind: NDArray[np.int64], minute: NDArray[np.int64]
) -> NDArray[np.bool_]:
    """Return where a window holds, for days (100 x month + day), day types 0..7 and minutes of the day, all of one shape."""
    if window.start < window.end:
        inside = (minute >= window.start) & (minute < window.end)
    else:
        inside = (minute >= window.start) | (minute < window.end)
    inside &= np.isin(kind, sorted(window_days(window)))
    if window.seasons:
        named = [season_days(season, month_day) for season in spec.seasons if season.name in window.seasons]
        inside &= np.logical_or.reduce(named)
    return inside


def period_of_parts(
    spec: TariffSpec, month_day: NDArray[np.int64], kind: NDArray[np.int64], minute: NDArray[np.int64]
) -> NDArray[np.uint8]:
    """Return the period (index into ``spec.periods``) by the first window that fits, NO_PERIOD where none and no rest."""
    names = spec.periods
    rest = names.index(spec.rest) if spec.rest else (0 if not spec.windows else NO_PERIOD)
    found = np.full(minute.shape, rest, np.uint8)
    for window in reversed(spec.windows):
        found[in_window(spec, window, month_day, kind, minute)] = names.index(window.period)
    return found


def period_index(spec: TariffSpec, times_s: NDArray[np.int64], clock: SiteClock) -> NDArray[np.uint8]:
    """Return the price period in force at each instant, an index into ``spec.periods``.

    Args:
        spec: one version of a tariff
        times_s: UTC seconds, any shape
        clock: the site's clock
    """
    times = np.asarray(times_s, np.int64)
    if not spec.windows or times.size == 0:
        return np.zeros(times.shape, np.uint8)
    parts = clock.parts(times)
    off = holiday_numbers(spec, clock.day_of(int(times.min())), clock.day_of(int(times.max())))
    kind = np.where(np.isin(parts.day_number, off), HOLIDAY, parts.weekday)
    return period_of_parts(spec, 100 * parts.month + parts.day, kind, parts.minute)


@dataclass(frozen=True, slots=True, eq=False)
class Stretches:
    """Stretches of time within which nothing changes: neither local day nor price period.

    ``starts_s`` shape (n + 1,): UTC seconds at which each begins and the last ends; ``period`` shape (n,): index into the
    periods of the tariff; ``day`` shape (n,): local days since 1970-01-01.
    """

    starts_s: NDArray[np.int64]
    period: NDArray[np.uint8]
    day: NDArray[np.int64]


def stretches(spec: TariffSpec, start_s: int, end_s: int, clock: SiteClock) -> Stretches:
    """Return the stretches of [start_s, end_s), in UTC seconds, end after start; right over changes of the clock."""
    times = _candidates(spec, start_s, end_s, clock)
    period = period_index(spec, times, clock)
    day = clock.local_s(times) // DAY_S
    keep = np.append(True, (np.diff(period.astype(np.int64)) != 0) | (np.diff(day) != 0))
    return Stretches(np.append(times[keep], end_s), period[keep], day[keep])


def _candidates(spec: TariffSpec, start_s: int, end_s: int, clock: SiteClock) -> NDArray[np.int64]:
    """Return every instant at which something may change: window edges of each day, and quarter hours for clock changes."""
    minutes = np.unique([0, *(edge % 1440 for window in spec.windows for edge in (window.start, window.end))])
    first = clock.day_of(start_s) - timedelta(days=1)
    days = (clock.day_of(end_s - 1) - first).days + 2
    local = (day_number(first) + np.arange(days, dtype=np.int64))[:, None] * DAY_S + 60 * minutes[None, :]
    edges = clock.resolve(local.ravel())
    # Clocks change on whole quarter hours, wherever that falls between two edges.
    quarters = np.arange(-(-start_s // _QUARTER_S) * _QUARTER_S, end_s, _QUARTER_S, dtype=np.int64)
    every = np.unique(np.concatenate([[start_s], edges.first_s, edges.last_s, quarters]))
    return every[(every >= start_s) & (every < end_s)]
