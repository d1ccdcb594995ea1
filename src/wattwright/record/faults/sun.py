"""Generation from sunlight held against sunrise and sunset: a wrong zone, or a clock that is hours off.

When it begins and ends is held against sunrise and sunset. Use beside it cuts export off at both ends, and not by the same; so
a way off of less than two hours is only told where the sun is down at one end, which no use beside it explains.
"""

from dataclasses import dataclass

import numpy as np

from wattwright.core.clock import DAY_S, SiteClock
from wattwright.core.findings import Finding
from wattwright.core.quantity import Direction, Quantity
from wattwright.core.series import Floats, Series
from wattwright.record.faults import kinds
from wattwright.record.faults.least import hours_by_least
from wattwright.record.faults.signs import by_hour, is_one_hump
from wattwright.record.record import Channel, Form, Record
from wattwright.record.words import has_word, plain

_WORDS = ("pv", "solar", "photovoltaic", "photovoltaics", "photovoltaik", "photovoltaique", "fotovoltaica", "fotovoltaico",
          "fotowoltaika", "fotovoltaisch", "zonnepanelen", "φωτοβολταικα")  # fmt: skip
_ON = 0.01
_CLEAR = 0.3
_LEAST_DAYS = 7
_LEAST_H = 4.0
_TYPICAL = 0.15
_TOLD_H = 0.7
_FAR_H = 1.75
_DARK_S = 300


@dataclass(frozen=True, slots=True, eq=False)
class _Days:
    """Generation by the days of the sun, from its midnight to the next: the clear ones of them, shape (days,) each.

    ``first_s`` and ``last_s`` are when generation begins and ends (UTC seconds), ``rise_s`` and ``set_s`` the sun's.
    """

    first_s: Floats
    last_s: Floats
    rise_s: Floats
    set_s: Floats


def against_the_sun(record: Record, latitude_deg: float, longitude_deg: float | None) -> tuple[Finding, ...]:
    """Return findings about channels whose generation does not keep to the sun of the place; degrees north and east.

    Without a longitude nothing is tried, and a note says so where something generates.
    """
    notes: list[Finding] = []
    for channel in record.channels:
        power = generated(channel)
        if power is None:
            continue
        where = f"{record.source.name}, columns"
        if longitude_deg is None:
            return (kinds.SUN_UNCHECKED.at(where, column=channel.column),)
        days = _days(channel.series, power, latitude_deg, longitude_deg, SiteClock(record.zone))
        if days is None:
            continue
        net = net_of(channel, record)
        hours = _by_ends(days, channel.series.step_s)
        if not hours and net is not None:
            hours = hours_by_least(channel.series, net, days.rise_s, days.set_s)
        notes += _told(channel, days, hours, where)
    return tuple(notes)


def generated(channel: Channel) -> Floats | None:
    """Return what a channel generates in W (n,): export, the negative part of a power, or a column called so; else None."""
    meaning, series = channel.meaning, channel.series
    if meaning.quantity is not Quantity.ACTIVE_POWER or meaning.form is Form.STATE or series.step_s > 3600:
        return None
    forward = meaning.direction is Direction.EXPORT or _is_called_so(channel)
    power = np.maximum(series.values if forward else -series.values, 0.0)
    highest = float(np.nanmax(power, initial=0.0))
    on = np.flatnonzero(power > _ON * highest)
    if highest <= 0 or not len(on) or not is_one_hump(by_hour(series, on)):
        return None
    return power


def _is_called_so(channel: Channel) -> bool:
    return has_word(plain(channel.column), _WORDS) and not (channel.series.values < 0).any()


def net_of(channel: Channel, record: Record) -> Floats | None:
    """Return import less export in W (n,) where the record knows both, else None."""
    if channel.meaning.direction is not Direction.EXPORT:
        return None if _is_called_so(channel) else channel.series.values
    powers = [c for c in record.of(Quantity.ACTIVE_POWER) if c.meaning.direction is Direction.IMPORT and not _is_called_so(c)]
    taken = next((c for c in powers if c.meaning.phase is channel.meaning.phase), None)
    return None if taken is None else taken.series.values - channel.series.values


def _days(series: Series, power: Floats, latitude_deg: float, longitude_deg: float, clock: SiteClock) -> _Days | None:
    """Return the clear days of ``power`` (n,), or None where there are too few of them, or it does not last as sunlight does."""
    from wattwright.sky.sun import sun_times

    ahead_s = round(longitude_deg / 360 * DAY_S)
    solar_s = series.times_s + ahead_s
    first, last = int(solar_s[0] // DAY_S), int(solar_s[-1] // DAY_S)
    count = last - first + 1
    day = solar_s // DAY_S - first
    energy = np.bincount(day, np.nan_to_num(power), count)
    whole = np.bincount(day, ~np.isnan(power), count) * series.step_s >= DAY_S
    on = np.flatnonzero(power > _ON * float(np.nanmax(power)))
    begins, ends = np.full(count, np.nan), np.full(count, np.nan)
    begins[day[on[::-1]]] = series.times_s[on[::-1]]
    ends[day[on]] = series.times_s[on] + series.step_s
    clear = whole & (energy > _CLEAR * float(np.percentile(energy[whole], 90) if whole.any() else 0)) & ~np.isnan(begins)
    if int(clear.sum()) < _LEAST_DAYS or float(np.median((ends - begins)[clear])) < _LEAST_H * 3600:
        return None
    sun = sun_times(np.arange(first - 1, last + 2), latitude_deg, longitude_deg, clock)
    at = ((sun.transit_s + ahead_s) // DAY_S).astype(np.int64) - first
    rise, set_ = (np.full(count, np.nan) for _ in range(2))
    inside = (at >= 0) & (at < count)
    rise[at[inside]], set_[at[inside]] = sun.rise_s[inside], sun.set_s[inside]
    rows = np.flatnonzero(clear & ~np.isnan(rise) & ~np.isnan(set_))
    if len(rows) < _LEAST_DAYS:
        return None
    return _Days(begins[rows], ends[rows], rise[rows], set_[rows])


def _lags(days: _Days) -> tuple[float, float]:
    """Return how long after sunrise generation begins, and before sunset it ends, in seconds, where little is used beside it."""
    morning, evening = days.first_s - days.rise_s, days.set_s - days.last_s
    return float(np.quantile(morning, _TYPICAL)), float(np.quantile(evening, _TYPICAL))


def _by_ends(days: _Days, step_s: int) -> float:
    """Return by how many hours generation lies behind the sun, 0 where use beside it may explain that."""
    morning, evening = _lags(days)
    hours = (morning - evening) / 2 / 3600
    # The first interval of a day begins before its first light, by half a step on average.
    dark = min(morning, evening) < -(_DARK_S + step_s / 4)
    return hours if abs(hours) >= (_TOLD_H if dark else _FAR_H) else 0.0


def _told(channel: Channel, days: _Days, hours: float, where: str) -> list[Finding]:
    if not hours:
        return []
    morning, evening = _lags(days)
    return [
        kinds.SUN_SHIFT.at(
            where,
            column=channel.column,
            hours=round(abs(hours), 2),
            way="later" if hours > 0 else "earlier",
            morning=round(abs(morning) / 60) * 60,
            before="after" if morning >= 0 else "before",
            evening=round(abs(evening) / 60) * 60,
            after="before" if evening >= 0 else "after",
            days=len(days.rise_s),
        )
    ]
