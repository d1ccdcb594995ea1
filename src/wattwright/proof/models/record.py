"""What baseline models are fitted to: the energy of hours, days or months, with what it may follow."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date
from enum import StrEnum

import numpy as np
from numpy.typing import NDArray

from wattwright.core.calendar import days_between
from wattwright.core.clock import SiteClock
from wattwright.core.series import Floats, Series, over_windows

_HOUR_S, _DAY_S = 3600, 86_400
_SHORTEST_DAY_S = 23 * _HOUR_S
_MOST_BESIDE_S = 6 * _HOUR_S
"""Readings of whole days count for the local days that they are next to if they begin no further from midnight than this.

Common practice, no source.
"""
_COVERED = 0.9
"""A stretch is told only where so much of it was read; common practice, no source."""


class Grain(StrEnum):
    """The stretches that a baseline is made of."""

    HOUR = "hour"
    DAY = "day"
    MONTH = "month"


@dataclass(frozen=True, slots=True, eq=False)
class UseRecord:
    """The energy of n stretches in the order of time, those with too little read or no temperature left out.

    ``starts_s``, ``energy_kwh`` and ``days`` (the true length in days) have shape (n,). ``parts_c``, shape (n, k), are the
    temperatures of the hours of a day or the days of a month, NaN where there are fewer, k = 0 where none is known. ``drivers``,
    shape (n, q), are means of what else the use may follow. ``week_place`` counts hours from Monday midnight on the site's clock
    (days where the grain is a day, 0 in months); ``day_type`` is an index into DAY_TYPES, ``year_share`` the place in the year,
    and ``week`` numbers Monday weeks (months, in months); all of shape (n,).
    """

    grain: Grain
    starts_s: NDArray[np.int64]
    energy_kwh: Floats
    days: Floats
    parts_c: Floats
    drivers: Floats
    driver_names: tuple[str, ...]
    week_place: NDArray[np.int64]
    day_type: NDArray[np.uint8]
    year_share: Floats
    week: NDArray[np.int64]

    def __len__(self) -> int:
        """Return the number of stretches."""
        return len(self.energy_kwh)

    @property
    def has_temperature(self) -> bool:
        """Return whether the outdoor temperature is known."""
        return bool(self.parts_c.shape[1])

    @property
    def mean_c(self) -> Floats:
        """Return the mean temperature of each stretch, shape (n,); raises ValueError where none is known."""
        if not self.has_temperature:
            raise ValueError("no temperature is known")
        mean: Floats = np.nanmean(self.parts_c, axis=1)
        return mean

    @property
    def span_days(self) -> float:
        """Return how many days lie between the first stretch and the end of the last, what was not read among them."""
        return float(self.starts_s[-1] - self.starts_s[0]) / _DAY_S + float(self.days[-1])

    def part(self, chosen: NDArray[np.bool_] | NDArray[np.int64]) -> "UseRecord":
        """Return the chosen stretches, ``chosen`` of shape (n,), or those at its places, in their order."""
        names = "starts_s", "energy_kwh", "days", "parts_c", "drivers", "week_place", "day_type", "year_share", "week"
        return replace(self, **{name: getattr(self, name)[chosen] for name in names})


def use_record(
    power: Series,
    clock: SiteClock,
    grain: Grain,
    temperature: Series | None = None,
    holidays: frozenset[date] = frozenset(),
    drivers: Mapping[str, Series] | None = None,
) -> UseRecord:
    """Return the energy of ``power`` (W) by ``grain`` on the site's clock, filled-in readings left out.

    ``temperature`` in degC and each of ``drivers`` (means, in whatever unit) are of the same times. Stretches of which less than
    nine tenths are read are left out, and so are those without temperature or driver. Readings of whole days count for the local
    day that holds their middle. Raises ValueError for readings that do not tell such stretches.
    """
    if not tells(power, grain, clock):
        raise ValueError("the readings do not tell the stretches that are asked for")
    starts = _edges(power, clock, grain)
    lengths = np.diff(starts)
    given = drivers or {}
    read = power.read_only()
    is_whole = grain is Grain.DAY and power.step_s == _DAY_S
    energy = _whole_days(read, starts) if is_whole else _covered(read, starts) * lengths / 3.6e6
    parts = np.zeros((len(lengths), 0)) if temperature is None else _parts(temperature, starts, grain, clock)
    table = np.column_stack([_covered(one, starts) for one in given.values()]) if given else np.zeros((len(lengths), 0))
    told = ~np.isnan(energy) & ~np.isnan(table).any(axis=1)
    if temperature is not None:
        told &= ~np.isnan(parts).all(axis=1)
    local = clock.parts(starts[:-1])
    days = days_between(clock, int(starts[0]), int(starts[-1]), holidays)
    weeks = (local.day_number + 3) // 7 if grain is not Grain.MONTH else local.year * 12 + local.month
    places = {Grain.HOUR: local.weekday * 24 + local.minute // 60, Grain.DAY: local.weekday, Grain.MONTH: 0 * local.weekday}
    whole = UseRecord(
        grain=grain,
        starts_s=starts[:-1],
        energy_kwh=energy,
        days=lengths / _DAY_S,
        parts_c=parts,
        drivers=table,
        driver_names=tuple(given),
        week_place=places[grain],
        day_type=days.day_type[days.index_of(starts[:-1])],
        year_share=((local.day_number % 365.2425) / 365.2425).astype(np.float64),
        week=weeks,
    )
    return whole.part(told)


def tells(power: Series, grain: Grain, clock: SiteClock) -> bool:
    """Return whether readings tell such stretches: short enough, or whole days that lie next to those of the site's clock."""
    if grain is Grain.DAY and power.step_s == _DAY_S:
        return beside_midnight_s(power, clock) <= _MOST_BESIDE_S
    return power.step_s <= {Grain.HOUR: _HOUR_S, Grain.DAY: _SHORTEST_DAY_S, Grain.MONTH: _DAY_S}[grain]


def between(power: Series, begin_s: int, end_s: int) -> Series:
    """Return the readings whose middles lie in [begin_s, end_s), midnights of the site's clock in UTC seconds.

    Whole days begin beside midnight in summer or in winter: cut by their ends, the first or the last of them would be lost.
    """
    half_s = power.step_s // 2
    return power.part(begin_s - half_s, end_s - 1 + power.step_s - half_s)


def first_and_last(power: Series, clock: SiteClock) -> tuple[date, date]:
    """Return the local days that hold the middles of the first reading and of the last."""
    half_s = power.step_s // 2
    return clock.day_of(power.start_s + half_s), clock.day_of(power.end_s - power.step_s + half_s)


def beside_midnight_s(power: Series, clock: SiteClock) -> int:
    """Return by how much readings begin beside a midnight of the site's clock at most, in seconds."""
    of_day = clock.local_s(power.times_s) % _DAY_S
    return int(np.minimum(of_day, _DAY_S - of_day).max(initial=0))


def _whole_days(power: Series, starts_s: NDArray[np.int64]) -> Floats:
    """Return the energy of readings of whole days by the local days that hold their middles, kWh, NaN where there is none."""
    told = np.full(len(starts_s) - 1, np.nan)
    told[np.searchsorted(starts_s, power.times_s + _DAY_S // 2, side="right") - 1] = power.values * _DAY_S / 3.6e6
    return told


def _edges(power: Series, clock: SiteClock, grain: Grain) -> NDArray[np.int64]:
    """Return where the stretches begin that touch the series, and where the last one ends."""
    if grain is Grain.HOUR:
        # Zones half an hour apart from UTC begin their hours between those of UTC.
        shift = int(clock.offsets_s(power.start_s)) % _HOUR_S
        first = (power.start_s + shift) // _HOUR_S * _HOUR_S - shift
        return np.arange(first, power.end_s + _HOUR_S, _HOUR_S, dtype=np.int64)
    midnights = days_between(clock, power.start_s, power.end_s).starts_s
    if grain is Grain.DAY:
        return midnights
    firsts = midnights[clock.parts(midnights).day == 1]
    inside: NDArray[np.int64] = np.unique(np.concatenate([midnights[:1], firsts, midnights[-1:]]))
    return inside


def _covered(series: Series, starts_s: NDArray[np.int64]) -> Floats:
    windows = over_windows(series, starts_s)
    return np.where(windows.covered_s >= _COVERED * np.diff(starts_s), windows.mean, np.nan)


def _parts(temperature: Series, starts_s: NDArray[np.int64], grain: Grain, clock: SiteClock) -> Floats:
    """Return the temperatures within each stretch: hours of a day, days of a month, the hour itself."""
    if grain is Grain.HOUR:
        return _covered(temperature, starts_s)[:, None]
    if grain is Grain.DAY:
        inner = np.unique(np.concatenate([np.arange(starts_s[0], starts_s[-1], _HOUR_S), starts_s]))
    else:
        inner = days_between(clock, int(starts_s[0]), int(starts_s[-1])).starts_s
    mean = _covered(temperature, inner)
    owner = np.searchsorted(starts_s, inner[:-1], side="right") - 1
    place = np.arange(len(owner)) - np.searchsorted(owner, owner)
    table: Floats = np.full((len(starts_s) - 1, int(place.max()) + 1), np.nan)
    table[owner, place] = mean
    # Too few parts tell no mean.
    poor = (~np.isnan(table)).sum(axis=1) < _COVERED * np.bincount(owner, minlength=len(table))
    table[poor] = np.nan
    return table
