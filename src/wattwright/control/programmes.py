"""A time programme as a list of instants: expanded day by day on the site's clock, holidays, seasons and the sun included.

A switching time holds at the first instant at which the clock shows it; one that the clock jumps over holds at the jump. A line
belongs to the day on which it begins, and a season to whole local days.
"""

import datetime as dt
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace
from functools import lru_cache
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from wattwright.control.moments import Moment
from wattwright.control.rules import AnyRule, Day, SwitchTimes, TimeProgramme
from wattwright.core.clock import DAY_S, SiteClock

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
DAYS: tuple[Day, ...] = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")
_EPOCH = dt.date(1970, 1, 1)
_NO_SAY = 2


@dataclass(frozen=True, slots=True)
class Span:
    """The stretch of time that is simulated: UTC seconds, the site's clock, its holidays and, where the place is known, the sun.

    ``rise_s`` and ``set_s`` hold UTC seconds by local day number; a day without the event is not in them.
    """

    start_s: int
    end_s: int
    clock: SiteClock
    holidays: frozenset[dt.date] = frozenset()
    rise_s: dict[int, float] = field(default_factory=dict)
    set_s: dict[int, float] = field(default_factory=dict)

    def day_numbers(self) -> range:
        """Return the local days that touch the stretch, the one before included: its lines may run past midnight."""
        first, last = (int(self.clock.local_s(np.array([s]))[0]) // DAY_S for s in (self.start_s, self.end_s))
        return range(first - 1, last + 1)

    def with_sun(self, latitude_deg: float, longitude_deg: float) -> "Span":
        """Return the same stretch with sunrise and sunset of a place; longitude counts positive eastwards."""
        from wattwright.sky.sun import sun_times

        # A line of the last day may end on the next.
        numbers = np.array([*self.day_numbers(), self.day_numbers().stop], np.int64)
        sun = sun_times(numbers, latitude_deg, longitude_deg, self.clock)
        rise, set_ = (
            {int(day): float(at) for day, at in zip(numbers, events, strict=True) if np.isfinite(at)}
            for events in (sun.rise_s, sun.set_s)
        )
        return replace(self, rise_s=rise, set_s=set_)


def timeline(rule: AnyRule, span: Span) -> tuple[Floats, Ints]:
    """Return the seconds since the start at which a rule's programme or season changes, sorted, and its state from then on.

    1 closed (or acts), 0 open, 2 no say; in another season the one that the rule names. Empty for a rule that is no programme and
    acts all year.
    """
    if _by_the_sun(rule):
        return _timeline(rule, span)
    return _clockwise(rule, span.start_s, span.end_s, span.clock, span.holidays)


@lru_cache(maxsize=512)
def _clockwise(rule: AnyRule, start_s: int, end_s: int, clock: SiteClock, holidays: frozenset[dt.date]) -> tuple[Floats, Ints]:
    """Return the timeline of a rule that knows no sun; kept, since a search asks for the same ones again and again."""
    times_s, states = _timeline(rule, Span(start_s, end_s, clock, holidays))
    times_s.setflags(write=False)
    states.setflags(write=False)
    return times_s, states


def _by_the_sun(rule: AnyRule) -> bool:
    return isinstance(rule, TimeProgramme) and any(one.on.clock is None or one.off.clock is None for one in rule.times)


def _timeline(rule: AnyRule, span: Span) -> tuple[Floats, Ints]:
    rests = 0 if rule.other_months == "open" else _NO_SAY
    seasons = [(_since(at, span), bool(on)) for at, on in _seasons(rule.months, span)] if rule.months else []
    if not isinstance(rule, TimeProgramme):
        return _arrays([(at, 1 if on else rests) for at, on in seasons])
    lines = instants(rule, span)
    if not seasons:
        # They turn from one to the next already.
        return _arrays([(at, int(on)) for at, on in lines])
    edges = sorted({at for at, _ in (*lines, *seasons)})
    said = [(at, rests if not _held(seasons, at) else int(_held(lines, at))) for at in edges]
    return _arrays([said[0], *(after for before, after in pairwise(said) if before[1] != after[1])])


def instants(programme: TimeProgramme, span: Span) -> list[tuple[float, bool]]:
    """Return the seconds since the start at which the lines of a programme switch, sorted, and whether it is on from then.

    The first instant lies before the start, so that the programme always has a say. Lines that overlap are one.
    """
    edges: list[list[float]] = []
    for begin, end in sorted(_lines(programme, span)):
        if edges and begin <= edges[-1][1]:
            edges[-1][1] = max(edges[-1][1], end)
        else:
            edges.append([begin, end])
    switches = [(_since(at, span), bool(on)) for pair in edges for at, on in zip(pair, (1, 0), strict=True)]
    return [(-np.inf, False), *switches]


def _arrays(changes: Sequence[tuple[float, int]]) -> tuple[Floats, Ints]:
    return np.array([at for at, _ in changes], np.float64), np.array([state for _, state in changes], np.int64)


def _held(changes: Sequence[tuple[float, bool]], time_s: float) -> bool:
    """Return what the last change at or before an instant says."""
    from bisect import bisect_right

    return changes[bisect_right(changes, time_s, key=lambda change: change[0]) - 1][1]


def _since(time_s: float, span: Span) -> float:
    return time_s - span.start_s


def _lines(programme: TimeProgramme, span: Span) -> Iterator[tuple[float, float]]:
    """Yield every stretch in UTC seconds in which a line of the programme is on; none is empty."""
    numbers = np.array(span.day_numbers(), np.int64)
    taken_for = _taken_for(numbers, programme, span)
    for line in programme.times:
        days = numbers[np.isin(taken_for, [DAYS.index(one) for one in line.days])]
        if line.on.clock is not None and line.off.clock is not None:
            yield from _by_clock(line.on.clock, line.off.clock, days, span.clock)
        else:
            for number in days.tolist():
                begin, end = _line(line, number, programme, span)
                if begin < end:
                    yield begin, end


def _taken_for(numbers: Ints, programme: TimeProgramme, span: Span) -> Ints:
    """Return the day of the week, 0 for Monday, that each local day counts as; -1 where the programme rests."""
    found = (numbers + _EPOCH.weekday()) % len(DAYS)
    if programme.holidays == "as usual":
        return found
    free = np.isin(numbers, [(one - _EPOCH).days for one in span.holidays])
    return np.where(free, DAYS.index("Sun") if programme.holidays == "as Sunday" else -1, found)


def _by_clock(on: dt.time, off: dt.time, numbers: Ints, clock: SiteClock) -> Iterator[tuple[float, float]]:
    """Yield the stretches of a line that begins on local days ``numbers``, all at once: a search has thousands of lines.

    It ends on the day after where the clock's digits say so, which a jump of the clock does not change.
    """
    if on == off:
        return
    begins, ends = (
        np.asarray(clock.shown(DAY_S * days + 3600 * at.hour + 60 * at.minute + at.second).first_s, np.float64)
        for at, days in ((on, numbers), (off, numbers + (off < on)))
    )
    some = begins < ends
    yield from zip(begins[some].tolist(), ends[some].tolist(), strict=True)


def _line(line: SwitchTimes, number: int, programme: TimeProgramme, span: Span) -> tuple[float, float]:
    """Return when a line by the sun that begins on local day ``number`` is on, UTC seconds; nothing where both ends are one."""
    nothing, on, off = (0.0, 0.0), _at(line.on, number, span), _at(line.off, number, span)
    if line.on == line.off:
        return nothing
    if on is not None and off is not None and off <= on:
        off = _at(line.off, number + 1, span)
    if on is not None and off is not None:
        return on, off
    if programme.without_sun == "skip":
        return nothing
    return _midnight(number, span), _midnight(number + 1, span)


def _at(moment: Moment, number: int, span: Span) -> float | None:
    """Return when a moment of a local day is, UTC seconds; None where the sun has no such event or the place is not known."""
    if moment.clock is not None:
        return _shown(number * DAY_S + 3600 * moment.clock.hour + 60 * moment.clock.minute + moment.clock.second, span)
    event = (span.rise_s if moment.sun == "sunrise" else span.set_s).get(number)
    return None if event is None else event + moment.offset_s


def _shown(local_s: int, span: Span) -> float:
    return _first_shown(local_s, span.clock)


@lru_cache(maxsize=2**14)
def _first_shown(local_s: int, clock: SiteClock) -> float:
    """Return when a clock first shows a local time; kept, since rules ask for the same midnights again and again."""
    return float(clock.shown(np.array([local_s], np.int64)).first_s[0])


def _midnight(number: int, span: Span) -> float:
    return _shown(number * DAY_S, span)


def _seasons(months: Sequence[int], span: Span) -> Iterator[tuple[float, bool]]:
    """Yield the UTC seconds at which a season begins or ends, and whether it is on from then; the first before the start."""
    before: bool | None = None
    for number in span.day_numbers():
        on = (_EPOCH + dt.timedelta(days=number)).month in months
        if on != before:
            yield (-np.inf if before is None else _midnight(number, span)), on
            before = on
