"""What is asked about a record's peaks, and what may lie inside its intervals by all there is to know."""

from dataclasses import dataclass
from math import lcm

import numpy as np

from wattwright.core.calendar import days_between
from wattwright.core.clock import DAY_S, SiteClock
from wattwright.core.errors import InputError, Place, RecordError
from wattwright.core.seeds import Streams
from wattwright.core.series import Series, coarser
from wattwright.demand.summary import base_load
from wattwright.demand.within.bands import Rests
from wattwright.demand.within.courses import SLOT_S, Ints, beside, measured_courses
from wattwright.demand.within.draws import Spans, spans_of
from wattwright.demand.within.listed import Listed, ceiling_w, unlisted, usual_loads
from wattwright.demand.within.views import At, Calibrated, View, calibrated, supposed_views

_FEWEST_DAYS = 2


@dataclass(frozen=True, slots=True, eq=False)
class Finer:
    """Readings of the same supply at a shorter step: their name and power in W."""

    name: str
    power: Series


@dataclass(frozen=True, slots=True, eq=False)
class Asked:
    """What was asked: the power that was read, and all there is to know about what lies inside its intervals."""

    power: Series
    clock: SiteClock
    finer: Finer | None
    loads: tuple[Listed, ...]
    streams: Streams
    courses: int

    def check(self) -> None:
        """Raise RecordError where the finer readings cannot stand for what lies inside the record's intervals."""
        if self.finer is None:
            return
        fine, step = self.finer.power, self.power.step_s
        slot = max(SLOT_S, fine.step_s)
        if fine.step_s >= step:
            raise unfit(self.finer, f"steps of {fine.step_s} s", f"steps shorter than the record's {step} s")
        if step % slot or slot % fine.step_s:
            raise unfit(self.finer, f"steps of {fine.step_s} s", f"steps that go into a minute, or into the record's {step} s")
        if (self.power.start_s - fine.start_s) % fine.step_s:
            raise unfit(self.finer, "readings that begin between those of the record", "readings on the same grid of time")

    @property
    def listed(self) -> tuple[Listed, ...]:
        """Return the loads that courses are invented from."""
        if self.loads:
            return (*self.loads, unlisted(self.loads))
        highest = float(np.nanmax(self.power.values)) if self.power.present.any() else 0.0
        return usual_loads(highest, self.base_w)

    @property
    def base_w(self) -> float:
        """Return the base load in W, nought where it is not known or power flows back."""
        base = base_load(self.power, self.clock)
        return base if base > 0 else 0.0

    @property
    def ceiling_w(self) -> float:
        """Return the survey's soft ceiling in W, infinite where there was no survey."""
        return ceiling_w(self.loads) if self.loads else float("inf")

    def rests(self, window_s: int) -> Rests:
        """Return what a band of ``window_s`` rests on."""
        if self.finer is not None and window_s >= self.finer.power.step_s:
            return Rests.FINER
        return Rests.SURVEY if self.loads else Rests.USUAL


@dataclass(frozen=True, slots=True, eq=False)
class Inside:
    """Intervals of one length that were read (starts in UTC seconds), and what may lie inside them.

    ``supposed`` are views by loads alone, none where the finer stretch says it all; ``calibrated`` is that stretch's.
    """

    step_s: int
    start_s: Ints
    at: At
    supposed: list[View]
    calibrated: Calibrated | None

    def views(self) -> list[View]:
        """Return every view of what lies inside over minutes."""
        if self.calibrated is None or self.calibrated.own.slot_s > SLOT_S:
            return self.supposed
        return [self.calibrated.view, *(self.calibrated.view.with_rows(self.calibrated.far, one) for one in self.supposed)]


def grid(step_s: int, window_s: int) -> int:
    """Return the record's step, or the shortest multiple of it into which whole windows go."""
    return lcm(step_s, window_s)


def inside(asked: Asked, step_s: int) -> Inside:
    """Return what may lie inside the intervals of ``step_s`` seconds. Raises RecordError for finer readings of under two days."""
    series = coarser(asked.power, step_s, asked.clock)
    before, after = beside(series.values)
    held = series.present
    starts = series.times_s[held]
    of_day = (asked.clock.local_s(starts) % DAY_S).astype(np.float64)
    at = At(series.values[held], before[held], after[held], of_day, _spans(starts, step_s, asked.clock))
    if not len(at):
        return Inside(step_s, starts, at, [], None)
    fine = asked.finer
    slot_s = max(SLOT_S, fine.power.step_s) if fine is not None else 0
    seen = None
    if fine is not None and step_s % slot_s == 0:
        own = measured_courses(fine.power, series.start_s, step_s, asked.clock)
        days = len(np.unique(own.day))
        if days < _FEWEST_DAYS:
            raise unfit(fine, f"days with an interval of the record read throughout: {days}", "two days or more")
        spans = _spans(own.start_s, step_s, asked.clock)
        if not spans.whole.any():
            raise unfit(fine, "no day read throughout", "one whole day or more")
        seen = calibrated(own, spans, at, starts)
    if seen is not None and slot_s == SLOT_S and not seen.far.any():
        return Inside(step_s, starts, at, [], seen)
    supposed = supposed_views(asked.listed, asked.base_w, step_s, at, asked.streams, asked.courses)
    return Inside(step_s, starts, at, supposed, seen)


def _spans(starts_s: Ints, step_s: int, clock: SiteClock) -> Spans:
    if not len(starts_s):
        return Spans(np.zeros(0, np.int64), np.zeros(0, np.int64), np.zeros(0, np.bool_), 0)
    days = days_between(clock, int(starts_s[0]), int(starts_s[-1]) + step_s, frozenset(), 45.0)
    return spans_of(starts_s, days.starts_s, step_s)


def unfit(finer: Finer, found: str, wanted: str) -> InputError:
    """Return the error that finer readings do not serve."""
    return RecordError.one(
        "demand.finer", Place(finer.name), found=found, wanted=wanted, next_step="Log the same supply for a week at one minute."
    )
