"""Whether the windows of a tariff give every hour of every kind of day to one price period.

A calendar is looked at once per kind of day (season by day type) and stretch between window edges, so that the answer
holds for every year.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from wattwright.tariff.periods import NO_PERIOD, in_window, period_of_parts, season_days
from wattwright.tariff.schema import TariffSpec

_DAY_TYPES = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday", "a holiday")
_LEAP_YEAR = np.arange("2000-01-01", "2001-01-01", dtype="datetime64[D]")


@dataclass(frozen=True, slots=True, eq=False)
class _Kinds:
    """Every kind of instant: month-day, day type and minute, all of shape (n,)."""

    month_day: NDArray[np.int64]
    kind: NDArray[np.int64]
    minute: NDArray[np.int64]


def _month_days() -> NDArray[np.int64]:
    months = _LEAP_YEAR.astype("datetime64[M]")
    number: NDArray[np.int64] = months.astype(np.int64) % 12 + 1
    day: NDArray[np.int64] = (_LEAP_YEAR - months).astype(np.int64) + 1
    return 100 * number + day


def _kinds(spec: TariffSpec) -> _Kinds:
    days = _month_days()
    if spec.seasons:
        member = np.stack([season_days(season, days) for season in spec.seasons], axis=1)
        _, first = np.unique(member, axis=0, return_index=True)
    else:
        first = np.array([0])
    minutes = np.unique([0, *(edge % 1440 for window in spec.windows for edge in (window.start, window.end))])
    grid = np.meshgrid(days[np.sort(first)], np.arange(8), minutes, indexing="ij")
    month_day, kind, minute = (part.ravel().astype(np.int64) for part in grid)
    return _Kinds(month_day, kind, minute)


def uncovered(spec: TariffSpec) -> str:
    """Return in words a kind of instant that no window covers and no rest takes, or "" where there is none."""
    kinds = _kinds(spec)
    bare = np.flatnonzero(period_of_parts(spec, kinds.month_day, kinds.kind, kinds.minute) == NO_PERIOD)
    if len(bare) == 0:
        return ""
    minute, month_day = int(kinds.minute[bare[0]]), int(kinds.month_day[bare[0]])
    season = f", for example {month_day // 100:02d}-{month_day % 100:02d}" if spec.seasons else ""
    return f"{minute // 60:02d}:{minute % 60:02d} on {_DAY_TYPES[int(kinds.kind[bare[0]])]}{season}"


def hidden_windows(spec: TariffSpec) -> tuple[int, ...]:
    """Return the windows that never decide, because earlier ones hold all their hours."""
    kinds = _kinds(spec)
    taken = np.zeros(kinds.minute.shape, np.bool_)
    hidden = []
    for index, window in enumerate(spec.windows):
        mine = in_window(spec, window, kinds.month_day, kinds.kind, kinds.minute)
        if not np.any(mine & ~taken):
            hidden.append(index)
        taken |= mine
    return tuple(hidden)


def reached_periods(spec: TariffSpec) -> frozenset[str]:
    """Return the periods that some instant belongs to."""
    kinds = _kinds(spec)
    found = np.unique(period_of_parts(spec, kinds.month_day, kinds.kind, kinds.minute))
    return frozenset(spec.periods[index] for index in found if index != NO_PERIOD)


def overlapping_seasons(spec: TariffSpec) -> tuple[tuple[int, str, str], ...]:
    """Return the seasons that share days with an earlier one: index, name, name of the other."""
    member = [season_days(season, _month_days()) for season in spec.seasons]
    return tuple(
        (later, spec.seasons[later].name, spec.seasons[earlier].name)
        for later in range(len(member))
        for earlier in range(later)
        if np.any(member[later] & member[earlier])
    )
