"""A year from a record: days that were read stay, others come from bills, the temperature, or days like them, with a band."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date

import numpy as np
from numpy.typing import NDArray

from wattwright.core.calendar import DAY_TYPES, SEASONS, Days, Season, day_number
from wattwright.core.findings import Finding
from wattwright.core.seeds import Streams
from wattwright.core.series import Floats
from wattwright.demand.year import kinds
from wattwright.demand.year.bills import FEWEST_DAYS, Bill

CONFIDENCE = 0.90
DRAWN = 500
_WEEK = 7
_DAYS_A_YEAR = 365.25
SWING = 0.3
"""Spread, as a share of the mean, of each part (cosine, sine) of the swing over the year before anything is read: no source.

Half of all sites then swing by more than 35 % to either side, one in ten by more than 64 %.
"""
_YEARS_APART = 0.07
"""Spread between years of like bills; common practice, no source."""
SOURCES = ("read", "bills", "bills of other years", "temperature", "like days", "other seasons")
_READ, _BILLS, _OTHER_YEARS, _TEMPERATURE, _LIKE, _OTHER_SEASONS = range(len(SOURCES))
_ONLY = {
    Season.WINTER: "heating, lighting, frost protection",
    Season.SPRING: "irrigation, the end of heating",
    Season.SUMMER: "cooling, irrigation, pool pumps",
    Season.AUTUMN: "the start of heating, drying",
}


@dataclass(frozen=True, slots=True)
class Year:
    """A year of 365 or 366 days from ``first`` on, kWh with its 90 % band, and how many of its days come from where.

    ``days_from`` counts them by SOURCES, those that there are.
    """

    first: date
    days: int
    energy_kwh: float
    low_kwh: float
    high_kwh: float
    measured_kwh: float
    days_from: Mapping[str, int]
    findings: tuple[Finding, ...]


@dataclass(frozen=True, slots=True, eq=False)
class Known:
    """What is known of each day of the year, shape (days,): energy in kWh, NaN where not read, and temperature, NaN where not.

    ``model_kwh`` is what the temperature makes expected, NaN where it says nothing; ``draws_kwh`` that of draws, (draws, days).
    """

    calendar: Days
    energy_kwh: Floats
    model_kwh: Floats
    draws_kwh: Floats


def window_of(days: Days) -> tuple[date, int]:
    """Return the first day and length of the year that a record of ``days`` is made into: from its first day on, or its last."""
    first, after = days.first, days.date(len(days))
    if day_number(_a_year_on(first)) <= day_number(after):
        first = _a_year_on(after, -1)
    return first, day_number(_a_year_on(first)) - day_number(first)


def _a_year_on(day: date, years: int = 1) -> date:
    try:
        return day.replace(year=day.year + years)
    except ValueError:  # the 29th of February of a common year
        return day.replace(year=day.year + years, month=3, day=1)


def annual(known: Known, bills: Sequence[Bill], seed: int = 0) -> Year | None:
    """Return the year, None for fewer than fourteen days that were read.

    The band is of draws: how far the level, the types of day and the swing over the year are known, and how weeks differ. Bills
    of the same days count as they are.
    """
    calendar, energy = known.calendar, known.energy_kwh
    read = ~np.isnan(energy)
    if read.sum() < FEWEST_DAYS:
        return None
    value, draws, source = _like_days(calendar, energy, seed)
    modelled = ~np.isnan(known.model_kwh)
    value = np.where(modelled, known.model_kwh, value)
    draws = np.where(modelled, known.draws_kwh, draws)
    source = np.where(modelled, _TEMPERATURE, source)
    value, draws, source = _with_bills(bills, calendar, energy, (value, draws, source), seed)
    value, draws = np.where(read, energy, value), np.where(read, energy, draws)
    source = np.where(read, _READ, source)
    total, totals = float(value.sum()), np.maximum(draws, 0.0 if float(np.nanmin(energy)) >= 0 else -np.inf).sum(axis=1)
    low, high = (float(one) for one in np.quantile(totals, ((1 - CONFIDENCE) / 2, (1 + CONFIDENCE) / 2)))
    counts = np.bincount(source, minlength=len(SOURCES))
    by_source = {name: int(count) for name, count in zip(SOURCES, counts, strict=True) if count}
    return Year(
        calendar.first,
        len(calendar),
        total,
        min(low, total),
        max(high, total),
        float(energy[read].sum()),
        by_source,
        _unseen_notes(calendar, source),
    )


def _columns(calendar: Days) -> Floats:
    """Return a level, what Saturdays and Sundays differ by, and a swing over the year (cosine, sine), (days, 5)."""
    kind = calendar.day_type.astype(np.int64)
    turn = 2 * np.pi * (day_number(calendar.first) + np.arange(len(calendar))) / _DAYS_A_YEAR
    types = [(kind == one).astype(np.float64) for one in range(1, len(DAY_TYPES))]
    return np.column_stack([np.ones(len(calendar)), *types, np.cos(turn), np.sin(turn)])


def _like_days(calendar: Days, energy: Floats, seed: int) -> tuple[Floats, Floats, NDArray[np.int64]]:
    """Return each day by day type and time of the year, (days,), what it may be, (draws, days), and what it comes from.

    A regression whose swing over the year is held towards nought by what is likely beforehand (SWING): a short record leaves
    it open, a long one tells it. Days are counted as far as their weeks differ, since days of a week are alike.
    """
    read = np.flatnonzero(~np.isnan(energy))
    mean = float(np.abs(energy[read]).mean()) or 1.0
    columns, share = _columns(calendar), energy[read] / mean
    plain = columns[:, :-2]
    left = share - plain[read] @ np.linalg.lstsq(plain[read], share, rcond=None)[0]
    weeks = np.array([left[read // _WEEK == one].mean() for one in np.unique(read // _WEEK)])
    apart = max(float((weeks**2).sum()) / max(len(weeks) - 1, 1), 1e-12)
    held = np.diag([1e-6, 1e-6, 1e-6, SWING**-2, SWING**-2])
    spread = np.linalg.inv(columns[read].T @ columns[read] / (_WEEK * apart) + held)
    found = spread @ columns[read].T @ share / (_WEEK * apart)
    stream = Streams(seed).stream("days of a year")
    # Few weeks tell their own spread badly: Student's distribution instead of the normal one.
    wider = np.sqrt(len(weeks) / stream.chisquare(len(weeks), (DRAWN, 1)))
    sets = found + wider * (stream.normal(size=(DRAWN, len(found))) @ np.linalg.cholesky(spread).T)
    to_come = np.arange(len(calendar)) // _WEEK
    noise = wider * np.sqrt(apart) * stream.normal(size=(DRAWN, int(to_come[-1]) + 1))
    seen = np.unique(calendar.season[read])
    source = np.where(np.isin(calendar.season, seen), _LIKE, _OTHER_SEASONS)
    return mean * (columns @ found), mean * (sets @ columns.T + noise[:, to_come]), source


def _with_bills(
    bills: Sequence[Bill],
    calendar: Days,
    energy: Floats,
    made: tuple[Floats, Floats, NDArray[np.int64]],
    seed: int,
) -> tuple[Floats, Floats, NDArray[np.int64]]:
    """Return days that were not read by the bills of the same days, else by those of the same days of other years."""
    value, draws, source = made[0].copy(), made[1].copy(), made[2].copy()
    stream = Streams(seed).stream("bills of other years")
    open_days = np.isnan(energy)
    for one in sorted(bills, key=lambda bill: bill.first, reverse=True):
        for years in (0, 1, -1, 2, -2, 3, -3):
            low = day_number(_a_year_on(one.first, years)) - day_number(calendar.first)
            inside = np.arange(max(low, 0), min(low + one.days, len(calendar)))
            fill = inside[open_days[inside]]
            if not len(fill):
                continue
            whole = years == 0 and len(inside) == one.days
            left = max(one.paid_wh / 1000 - float(np.nansum(energy[inside])), 0.0)
            kwh = left if whole else one.daily_kwh * len(fill)
            factor = np.ones((DRAWN, 1)) if whole else np.exp(stream.normal(0, _YEARS_APART, (DRAWN, 1)))
            value[fill], draws[:, fill] = kwh / len(fill), factor * kwh / len(fill)
            source[fill] = _BILLS if years == 0 else _OTHER_YEARS
            open_days[fill] = False
    return value, draws, source


def _unseen_notes(calendar: Days, source: NDArray[np.int64]) -> tuple[Finding, ...]:
    found = []
    for at, season in enumerate(SEASONS):
        count = int(((calendar.season == at) & (source == _OTHER_SEASONS)).sum())
        if count:
            found.append(kinds.NO_SEASON.at("year", season=season.value, days=count, runs=_ONLY[season]))
    return tuple(found)
