"""The site's clock: UTC seconds inside, local time only at the edge, through the IANA zone.

Times are int64 seconds since 1970-01-01 00:00 UTC. "Local seconds" are the same count made from the digits a wall
clock shows, so that local midnight is a multiple of 86,400.
"""

from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from functools import lru_cache
from zoneinfo import ZoneInfo, available_timezones

import numpy as np
from numpy.typing import ArrayLike, NDArray

from wattwright.core.errors import InputError, Place

Ints = NDArray[np.int64]
DAY_S = 86_400
_CHUNK = 1 << 16
"""Digits that are resolved at a time, so that a long record needs little memory beside itself."""
_EPOCH = date(1970, 1, 1)


@dataclass(frozen=True, slots=True)
class LocalParts:
    """The digits of the wall clock, one array per part, all of the shape asked for.

    ``weekday`` counts Monday as 0; ``day_number`` counts local days since 1970-01-01; ``minute`` is the minute of the day.
    """

    year: NDArray[np.int64]
    month: NDArray[np.int64]
    day: NDArray[np.int64]
    weekday: NDArray[np.int64]
    minute: NDArray[np.int64]
    day_number: NDArray[np.int64]


@dataclass(frozen=True, slots=True)
class Resolved:
    """Local seconds turned into UTC: the first and the last instant that show those digits, and what is odd.

    ``first_s`` and ``last_s`` differ only where ``ambiguous``; where ``absent`` the digits never showed, and
    both carry the instant the clock would have reached without the change.
    """

    first_s: Ints
    last_s: Ints
    ambiguous: NDArray[np.bool_]
    absent: NDArray[np.bool_]


class SiteClock:
    """Turns UTC seconds into what the wall clock on site shows, and back."""

    __slots__ = ("zone",)

    def __init__(self, zone: str) -> None:
        """Take an IANA zone name such as ``Europe/Athens``; raises InputError for an unknown one."""
        if zone not in _zones():
            raise InputError.one(
                "clock.zone",
                Place(field="zone"),
                found=f'"{zone}"',
                wanted="an IANA time zone such as Europe/Athens or America/Toronto",
                next_step=_near_zone(zone),
            )
        self.zone = zone

    def __eq__(self, other: object) -> bool:
        """Clocks are equal when their zones are."""
        return isinstance(other, SiteClock) and other.zone == self.zone

    def __hash__(self) -> int:
        """Hash by the zone."""
        return hash(self.zone)

    def __repr__(self) -> str:
        """Show the zone."""
        return f"SiteClock({self.zone!r})"

    def offsets_s(self, times_s: ArrayLike) -> Ints:
        """Return the offset from UTC in seconds at each time; shape as ``times_s``."""
        times = np.asarray(times_s, np.int64)
        starts, offsets = self._segments(times, times)
        return offsets[np.searchsorted(starts, times, side="right") - 1]

    def local_s(self, times_s: ArrayLike) -> Ints:
        """Return local seconds for each UTC time; shape as ``times_s``."""
        return np.asarray(times_s, np.int64) + self.offsets_s(times_s)

    def resolve(self, local_s: ArrayLike) -> Resolved:
        """Return the UTC seconds of wall-clock digits, with repeated and skipped hours marked; shapes as given."""
        local = np.asarray(local_s, np.int64)
        ends = np.array([local.min() - 2 * DAY_S, local.max() + 2 * DAY_S] if local.size else [], np.int64)
        starts, offsets = self._segments(ends, ends)
        flat, size = local.ravel(), local.size
        first_s, last_s = np.zeros(size, np.int64), np.zeros(size, np.int64)
        ambiguous, absent = np.zeros(size, np.bool_), np.zeros(size, np.bool_)
        for low in range(0, size, _CHUNK):
            part = slice(low, low + _CHUNK)
            done = _resolved(flat[part], starts, offsets)
            first_s[part], last_s[part], ambiguous[part], absent[part] = done.first_s, done.last_s, done.ambiguous, done.absent
        shape = local.shape
        return Resolved(first_s.reshape(shape), last_s.reshape(shape), ambiguous.reshape(shape), absent.reshape(shape))

    def parts(self, times_s: ArrayLike) -> LocalParts:
        """Return the wall clock's digits at each UTC time; shapes as ``times_s``."""
        local = self.local_s(times_s)
        number = local // DAY_S
        days = number.astype("datetime64[D]")
        months = days.astype("datetime64[M]")
        years = days.astype("datetime64[Y]")
        return LocalParts(
            year=years.astype(np.int64) + 1970,
            month=(months - years).astype(np.int64) + 1,
            day=(days - months).astype(np.int64) + 1,
            weekday=(number + 3) % 7,
            minute=(local - number * DAY_S) // 60,
            day_number=number,
        )

    def midnights_s(self, first: date, days: int) -> Ints:
        """Return the UTC seconds at which each of ``days`` local days begins, and the end of the last: shape (days + 1,).

        Where a zone skips midnight the day begins at the change.
        """
        local = (first - _EPOCH).days * DAY_S + DAY_S * np.arange(days + 1, dtype=np.int64)
        return self.shown(local).first_s

    def window_starts_s(self, times_s: ArrayLike, window_s: int) -> Ints:
        """Return the start of the clock-aligned window each time falls in; shape as ``times_s``.

        Windows begin at whole multiples of ``window_s`` (at most a day) since local midnight, as demand registers count them,
        and are kept apart when an hour of the wall clock is repeated. A window that holds a change of the clock is
        as much shorter or longer, so that windows never overlap.
        """
        times = np.asarray(times_s, np.int64)
        local = self.local_s(times)
        midnight = local // DAY_S * DAY_S
        shown = self.shown(midnight + (local - midnight) // window_s * window_s)
        return np.where(shown.last_s <= times, shown.last_s, shown.first_s)

    def at(self, time_s: int) -> datetime:
        """Return one UTC time as an aware local datetime."""
        return datetime.fromtimestamp(int(time_s), UTC).astimezone(ZoneInfo(self.zone))

    def text(self, time_s: int) -> str:
        """Return one UTC time as ``YYYY-MM-DD HH:MM`` on the site's clock, with seconds if there are any."""
        local = self.at(time_s)
        return local.strftime("%Y-%m-%d %H:%M:%S" if local.second else "%Y-%m-%d %H:%M")

    def day_of(self, time_s: int) -> date:
        """Return the local date at one UTC time."""
        return self.at(time_s).date()

    def shown(self, local_s: ArrayLike) -> Resolved:
        """Return ``local_s`` resolved, digits that never showed giving the instant at which the clock jumped over them."""
        found = self.resolve(local_s)
        starts, _ = self._segments(found.first_s, found.first_s)
        jump = starts[np.searchsorted(starts, found.first_s, side="right") - 1]
        first_s, last_s = (np.where(found.absent, jump, one) for one in (found.first_s, found.last_s))
        return Resolved(first_s, last_s, found.ambiguous, found.absent)

    def _segments(self, low_s: Ints, high_s: Ints) -> tuple[Ints, Ints]:
        if low_s.size == 0:
            return np.zeros(1, np.int64), np.zeros(1, np.int64)
        low, high = int(low_s.min()), int(high_s.max())
        first = max(datetime.fromtimestamp(max(low, -6e10), UTC).year - 1, 2)
        last = min(datetime.fromtimestamp(min(high, 2.5e11), UTC).year + 1, 9998)
        return _offset_changes(self.zone, first, last)


def _resolved(local: Ints, starts: Ints, offsets: Ints) -> Resolved:
    """Return local seconds (n,) resolved by the offsets that begin at ``starts``, n at least 1."""
    # A change to an earlier offset lets local starts run slightly out of order only if two changes lie
    # within an hour of each other, which no zone has.
    first, final = (np.searchsorted(starts + offsets, [local.min(), local.max()], side="right") - 1).tolist()
    ends = np.append(starts[1:], np.iinfo(np.int64).max // 2)
    free = starts[first] + offsets[max(first - 1, 0)], ends[first] + offsets[first]
    if first == final and free[0] <= local.min() and local.max() < free[1]:
        # All lie between two changes of the clock, as most do.
        utc, none = local - offsets[first], np.zeros(len(local), np.bool_)
        return Resolved(utc, utc, none, none)
    last = np.searchsorted(starts + offsets, local, side="right") - 1
    before = np.maximum(last - 1, 0)
    ambiguous = (last > 0) & (local < starts[last] + offsets[before])
    absent = local - offsets[last] >= ends[last]
    last_s = local - offsets[last]
    first_s = np.where(ambiguous, local - offsets[before], last_s)
    return Resolved(first_s, last_s, ambiguous, absent)


@lru_cache(maxsize=1)
def _zones() -> frozenset[str]:
    return frozenset(available_timezones())


def _near_zone(zone: str) -> str:
    import difflib

    near = difflib.get_close_matches(zone, sorted(_zones()), n=1, cutoff=0.6)
    return f"Did you mean {near[0]}?" if near else "Look the name up in the IANA time zone list."


@lru_cache(maxsize=256)
def _offset_changes(zone: str, first_year: int, last_year: int) -> tuple[Ints, Ints]:
    """Return when each offset begins (the first far in the past) and the offset in seconds."""
    info = ZoneInfo(zone)
    low = datetime(first_year, 1, 1, tzinfo=UTC)
    days = (datetime(last_year, 12, 31, tzinfo=UTC) - low).days + 1
    seconds = int(low.timestamp()) + DAY_S * np.arange(days, dtype=np.int64)
    daily = [_offset_at(info, int(second)) for second in seconds]
    starts, offsets = [int(np.iinfo(np.int64).min // 2)], [daily[0]]
    for index in range(1, days):
        if daily[index] != daily[index - 1]:
            starts.append(_change_between(info, int(seconds[index - 1]), int(seconds[index])))
            offsets.append(daily[index])
    return np.array(starts, np.int64), np.array(offsets, np.int64)


def _offset_at(info: ZoneInfo, time_s: int) -> int:
    offset = datetime.fromtimestamp(time_s, UTC).astimezone(info).utcoffset() or timedelta(0)
    return int(offset.total_seconds())


def _change_between(info: ZoneInfo, low_s: int, high_s: int) -> int:
    before = _offset_at(info, low_s)
    while high_s - low_s > 1:
        middle = (low_s + high_s) // 2
        low_s, high_s = (middle, high_s) if _offset_at(info, middle) == before else (low_s, middle)
    return high_s
