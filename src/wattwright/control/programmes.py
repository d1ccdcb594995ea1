"""A time programme as a list of instants: expanded day by day on the site's clock, holidays, seasons and the sun included."""

import datetime as dt
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from wattwright.control.moments import Moment
from wattwright.control.rules import Day, SwitchTimes, TimeProgramme
from wattwright.core.clock import DAY_S, SiteClock

Floats = NDArray[np.float64]
_DAYS: tuple[Day, ...] = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")
_EPOCH = dt.date(1970, 1, 1)


@dataclass(frozen=True, slots=True)
class Span:
    """The stretch of time that is simulated: UTC seconds, the site's clock, its holidays and, where the place is known, the sun.

    ``rise_s`` and ``set_s`` hold UTC seconds by local day number; a day without the event is not in them.
    """

    start_s: int
    end_s: int
    clock: SiteClock
    holidays: frozenset[dt.date] = frozenset()
    rise_s: "dict[int, float] | None" = None
    set_s: "dict[int, float] | None" = None

    def day_numbers(self) -> range:
        """Return the local days that touch the stretch, the one before included: its lines may run past midnight."""
        first, last = (int(self.clock.local_s(np.array([s]))[0]) // DAY_S for s in (self.start_s, self.end_s))
        return range(first - 1, last + 1)


def instants(programme: TimeProgramme, span: Span) -> tuple[Floats, NDArray[np.int64]]:
    """Return the seconds since the start at which the programme switches, sorted, and its state from then on (1 on, 0 off).

    The first instant is at or before the start, so that the programme always has a say. Lines that overlap are one.
    """
    spans = sorted(_lines(programme, span))
    edges: list[list[float]] = []
    for begin, end in spans:
        if end <= begin:
            continue
        if edges and begin <= edges[-1][1]:
            edges[-1][1] = max(edges[-1][1], end)
        else:
            edges.append([begin, end])
    times = [-np.inf, *(edge - span.start_s for pair in edges for edge in pair)]
    states = [0, *([1, 0] * len(edges))]
    return np.array(times), np.array(states, np.int64)


def _lines(programme: TimeProgramme, span: Span) -> Iterator[tuple[float, float]]:
    """Yield every stretch in UTC seconds in which a line of the programme is on."""
    for number in span.day_numbers():
        date = _EPOCH + dt.timedelta(days=number)
        day = _taken_for(date, programme, span)
        if day is None or (programme.months and date.month not in programme.months):
            continue
        for line in programme.times:
            if day in line.days:
                yield from _line(line, number, programme, span)


def _taken_for(date: dt.date, programme: TimeProgramme, span: Span) -> Day | None:
    """Return the day of the week a date counts as, None where the programme rests."""
    if date in span.holidays and programme.holidays != "as usual":
        return "Sun" if programme.holidays == "as Sunday" else None
    return _DAYS[date.weekday()]


def _line(line: SwitchTimes, number: int, programme: TimeProgramme, span: Span) -> Iterator[tuple[float, float]]:
    on, off = (_at(moment, number, span) for moment in (line.on, line.off))
    if on is None or off is None:
        if programme.without_sun == "whole day":
            begin, end = (_at(Moment(dt.time()), number + k, span) for k in (0, 1))
            assert begin is not None and end is not None  # noqa: PT018  midnight is always there
            yield begin, end
        return
    if off <= on:
        off = _at(line.off, number + 1, span)
    if off is not None:
        yield on, off


def _at(moment: Moment, number: int, span: Span) -> float | None:
    """Return when a moment of a local day is, UTC seconds; None where the sun neither rises nor sets, or the place is not known.

    A time that the clock skips is the instant at which it would have been; one that it repeats is the first.
    """
    if moment.clock is not None:
        seconds = 3600 * moment.clock.hour + 60 * moment.clock.minute + moment.clock.second
        return float(span.clock.resolve(np.array([number * DAY_S + seconds])).first_s[0])
    known = span.rise_s if moment.sun == "sunrise" else span.set_s
    event = (known or {}).get(number)
    return None if event is None else event + moment.offset_s


def in_season(months: Sequence[int], span: Span) -> tuple[Floats, NDArray[np.int64]]:
    """Return the instants at which a season begins and ends, and whether it is on from then (1, else 0)."""
    times, states = [-np.inf], [0]
    for number in span.day_numbers():
        date = _EPOCH + dt.timedelta(days=number)
        on = int(not months or date.month in months)
        if on != states[-1] or len(times) == 1:
            begin = _at(Moment(dt.time()), number, span)
            times.append((begin or 0.0) - span.start_s)
            states.append(on)
    return np.array(times), np.array(states, np.int64)
