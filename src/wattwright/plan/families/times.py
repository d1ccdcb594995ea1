"""Weekly time programmes: up to so many lines, each on some days of the week, at times on the clock's own grid."""

import datetime as dt
from dataclasses import dataclass, field, replace

import numpy as np

from wattwright.catalogue.fits import Ability, Asked
from wattwright.catalogue.schema import Gear
from wattwright.control.moments import Moment
from wattwright.control.rules import AnyRule, Day, SwitchTimes, TimeProgramme

DAYS: tuple[Day, ...] = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")
WORKING, WEEKEND = DAYS[:5], DAYS[5:]
ALL_MONTHS = tuple(range(1, 13))
DAY_MIN = 1440
_STEPS_MIN = (15, 15, 30, 60, 120)
GRID_MIN = 15
"""Step of the times that are tried: finer times differ by less than the people who draw the water do; common practice."""


@dataclass(frozen=True, slots=True, order=True)
class Line:
    """On from a minute of the day to another (the next day's where no later), on some days, in some months (none: all)."""

    on: int
    off: int
    days: tuple[Day, ...] = DAYS
    months: tuple[int, ...] = ()

    def moved(self, chance: np.random.Generator) -> "Line":
        """Return the line with one end, or both, a little earlier or later."""
        by = int(chance.choice(_STEPS_MIN)) * (1 if chance.random() < 0.5 else -1)
        end = int(chance.integers(3))
        on = (self.on + by) % DAY_MIN if end != 1 else self.on
        off = (self.off + by) % DAY_MIN if end != 0 else self.off
        return self if on == off else replace(self, on=on, off=off)


@dataclass(frozen=True, slots=True)
class Times:
    """A time programme for one load, the contact closed within its lines.

    ``months`` (none: all) are those in which it acts, as today's rule has them; ``rests_open``: open in the others. Lines of some
    months lie in a programme of their own. ``seasons`` are months that the tariff treats alike, which lines may be moved to.
    """

    load: str
    gear: Gear = field(hash=False)
    lines: tuple[Line, ...]
    months: tuple[int, ...] = ()
    rests_open: bool = False
    seasons: tuple[tuple[int, ...], ...] = ()

    @property
    def family(self) -> str:
        """Return the name of the family."""
        return "time programme"

    def rules(self, number: int) -> tuple[AnyRule, ...]:
        """Return the programme; where lines are of some months, one for each of these and one that rests in the other months."""
        groups = sorted({one.months for one in self.lines})
        made = [self._programme(f"plan-{number}-times-{k + 1}", months) for k, months in enumerate(groups)]
        outside = tuple(sorted(set(ALL_MONTHS) - {month for one in groups for month in one or self.months or ALL_MONTHS}))
        if self.rests_open and groups != [()] and outside:
            within = tuple(month for month in ALL_MONTHS if month not in outside)
            whole = (SwitchTimes(on=_moment(0), off=_moment(DAY_MIN - 1)), SwitchTimes(on=_moment(DAY_MIN - 1), off=_moment(0)))
            update = {"id": f"plan-{number}-times-season", "months": within, "other_months": "open", "times": whole}
            made.append(made[0].model_copy(update=update))
        return tuple(made)

    def _programme(self, id_: str, months: tuple[int, ...]) -> TimeProgramme:
        mine = [one for one in self.lines if one.months == months]
        rests = self.rests_open and months == ()
        return TimeProgramme.model_validate(
            {
                "id": id_, "load": self.load, "kind": "time programme", "months": months or self.months,
                "other_months": "open" if rests else "no say",
                "times": tuple(SwitchTimes(days=one.days, on=_moment(one.on), off=_moment(one.off)) for one in mine),
            }
        )  # fmt: skip

    def asks(self) -> Asked:
        """Return what it asks of a time switch: an entry for each line, or two where its days are of two kinds."""
        seasonal = bool(self.months) or any(one.months for one in self.lines)
        able: frozenset[Ability] = frozenset(["months"] if seasonal else [])
        times = tuple(float(60 * minute) for one in self.lines for minute in (one.on, one.off))
        return Asked("time programme", entries=len(self.lines), abilities=able, times_s=times)

    def moved(self, chance: np.random.Generator) -> "Times":
        """Return it with a line moved, added, taken away, cut in two, or put on other days."""
        lines, turn = list(self.lines), float(chance.random())
        at = int(chance.integers(len(lines)))
        if turn < 0.08 and len([one for one in lines if one.months == lines[at].months]) > 1:
            del lines[at]
        elif turn < 0.16 and len(lines) < self.gear.entries:
            on = GRID_MIN * int(chance.integers(DAY_MIN // GRID_MIN))
            off = (on + GRID_MIN * int(chance.integers(2, 13))) % DAY_MIN
            lines.append(replace(lines[at], on=on, off=off))
        elif turn < 0.22 and len(lines) < self.gear.entries:
            lines[at : at + 1] = _cut(lines[at], chance)
        elif turn < 0.3 and len(self.seasons) > 1 and self.gear.months:
            lines = self._by_season(lines)
        elif turn < 0.36:
            kinds = [DAYS, WORKING, WEEKEND]
            lines[at] = replace(lines[at], days=kinds[int(chance.integers(3))])
        else:
            lines[at] = lines[at].moved(chance)
        return replace(self, lines=tuple(sorted(set(lines))))

    def without_a_line(self) -> tuple["Times", ...]:
        """Return it without each of its lines that is not the only one of its months."""
        rest = [(*self.lines[:at], *self.lines[at + 1 :]) for at in range(len(self.lines))]
        months = {one.months for one in self.lines}
        return tuple(replace(self, lines=lines) for lines in rest if {one.months for one in lines} == months)

    def _by_season(self, lines: list[Line]) -> list[Line]:
        """Return lines of the whole year once for each season, so that each season's may be moved by itself."""
        if any(one.months for one in lines) or len(lines) * len(self.seasons) > self.gear.entries:
            return lines
        return [replace(one, months=months) for one in lines for months in self.seasons]


def _cut(line: Line, chance: np.random.Generator) -> list[Line]:
    """Return a line cut in two by an hour of rest, where it is long enough."""
    length = (line.off - line.on) % DAY_MIN or DAY_MIN
    if length < 8 * GRID_MIN:
        return [line]
    first = GRID_MIN * int(chance.integers(1, length // GRID_MIN - 4))
    return [
        replace(line, off=(line.on + first) % DAY_MIN),
        replace(line, on=(line.on + first + 60) % DAY_MIN),
    ]


def _moment(minute: int) -> Moment:
    return Moment(dt.time(minute // 60, minute % 60))


def lines_of(wanted: np.ndarray[tuple[int], np.dtype[np.bool_]], days: tuple[Day, ...] = DAYS) -> tuple[Line, ...]:
    """Return the lines that are on in the wanted quarters of an hour of the day, (96,), over midnight where both ends are."""
    if wanted.all():
        return (Line(0, DAY_MIN - GRID_MIN, days), Line(DAY_MIN - GRID_MIN, 0, days))
    turns = np.flatnonzero(wanted & ~np.roll(wanted, 1))
    ends = np.flatnonzero(~wanted & np.roll(wanted, 1))
    return tuple(
        Line(
            int(on) * GRID_MIN,
            int(min((off for off in ends if off > on), default=ends[0] if len(ends) else 0)) * GRID_MIN % DAY_MIN,
            days,
        )
        for on in turns
    )
