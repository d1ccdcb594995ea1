"""Generation from sunlight held against sunrise and sunset: a wrong zone, or a clock that is hours off."""

from dataclasses import dataclass

import numpy as np

from wattwright.core.clock import DAY_S, SiteClock
from wattwright.core.findings import Finding
from wattwright.core.quantity import Direction, Quantity
from wattwright.core.series import Floats
from wattwright.record.faults import kinds
from wattwright.record.faults.signs import by_hour, is_one_hump
from wattwright.record.record import Channel, Form, Record
from wattwright.record.words import has_word, plain

_WORDS = ("pv", "solar", "photovoltaic", "photovoltaics", "photovoltaik", "photovoltaique", "fotovoltaica", "fotovoltaico",
          "fotowoltaika", "fotovoltaisch", "zonnepanelen", "φωτοβολταικα")  # fmt: skip
_ON = 0.01
_CLEAR = 0.3
_LEAST_DAYS = 7
_LEAST_H = 4.0
_TYPICAL = 0.25
_TOLD_H = 0.75


@dataclass(frozen=True, slots=True)
class _Edges:
    """How long after sunrise generation begins, and before sunset it ends, on clear days: seconds, shape (days,)."""

    morning_s: Floats
    evening_s: Floats


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
        edges = _edges(channel, power, latitude_deg, longitude_deg, SiteClock(record.zone))
        notes += [] if edges is None else _told(channel, edges, where)
    return tuple(notes)


def generated(channel: Channel) -> Floats | None:
    """Return what a channel generates in W (n,): export, the negative part of a power, or a column called so; else None."""
    meaning, series = channel.meaning, channel.series
    if meaning.quantity is not Quantity.ACTIVE_POWER or meaning.form is Form.STATE or series.step_s > 3600:
        return None
    called = has_word(plain(channel.column), _WORDS)
    forward = meaning.direction is Direction.EXPORT or (called and not (series.values < 0).any())
    power = np.maximum(series.values if forward else -series.values, 0.0)
    highest = float(np.nanmax(power, initial=0.0))
    on = np.flatnonzero(power > _ON * highest)
    if highest <= 0 or not len(on) or not is_one_hump(by_hour(series, on)):
        return None
    return power


def _edges(channel: Channel, power: Floats, latitude_deg: float, longitude_deg: float, clock: SiteClock) -> _Edges | None:
    """Return when generation begins and ends against the sun on clear days, or None where there are too few of them."""
    from wattwright.sky.sun import sun_times

    series = channel.series
    # Days from one midnight of the sun to the next, so that no clock has a say in them.
    solar_s = series.times_s + round(longitude_deg / 360 * DAY_S)
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
    sun = sun_times(np.arange(first, last + 1), latitude_deg, longitude_deg, clock)
    rise, set_ = (np.full(count, np.nan) for _ in range(2))
    at = ((sun.transit_s + longitude_deg / 360 * DAY_S) // DAY_S).astype(np.int64) - first
    inside = (at >= 0) & (at < count)
    rise[at[inside]], set_[at[inside]] = sun.rise_s[inside], sun.set_s[inside]
    clear &= ~np.isnan(rise) & ~np.isnan(set_)
    return _Edges((begins - rise)[clear], (set_ - ends)[clear]) if int(clear.sum()) >= _LEAST_DAYS else None


def _told(channel: Channel, edges: _Edges, where: str) -> list[Finding]:
    """Return a finding where the day of generation lies to one side of the sun's.

    On the days on which little is used beside it, export begins and ends nearest to the sun: a quarter of the days are such.
    """
    morning, evening = (float(np.quantile(one, _TYPICAL)) for one in (edges.morning_s, edges.evening_s))
    hours = (morning - evening) / 2 / 3600
    if abs(hours) < _TOLD_H:
        return []
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
            days=len(edges.morning_s),
        )
    ]
