"""A load on a time programme fitted to its runs in a record: its rating, and the times at which it really switches.

What is used: the height of its power steps, and where they lie within the day. A run belongs to the line of the programme whose
times are nearest, on a day on which that line is on.
"""

import datetime as dt
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from wattwright.control.moments import Moment
from wattwright.control.programmes import DAYS
from wattwright.control.rules import SwitchTimes, TimeProgramme
from wattwright.core.clock import DAY_S, SiteClock
from wattwright.core.fields import Held
from wattwright.core.series import Series
from wattwright.loads.columns import USES
from wattwright.loads.plain import Resistive
from wattwright.simulate.fit.identify import Parameter
from wattwright.simulate.fit.runs import Runs, runs_between, site_steps
from wattwright.simulate.fit.statistics import Estimate, robust_mean
from wattwright.simulate.fit.today import Today

Floats = NDArray[np.float64]
_FEW = 3
_STRAYS_S = 180.0
"""A time switch switches within this of its own mean: common practice, no source."""
_NEAR_S = 2 * 3600.0
"""A run belongs to a line when both its ends lie within this of the line's times: timers stray by minutes, some by an hour."""


@dataclass(frozen=True, slots=True, eq=False)
class ProgrammeSeen:
    """What a record shows of a programmed load: the runs that are its own, its power step (W), and when each line switches it.

    ``edges`` holds s of the local day by the line's place in the programme and "on" or "off".
    """

    runs: Runs
    level: Estimate
    edges: dict[tuple[int, str], Estimate] = field(default_factory=dict)

    def statistics(self) -> tuple[Estimate, ...]:
        """Return the statistics that are fitted."""
        return (self.level, *self.edges.values())


def seen_of(runs: Runs, programme: TimeProgramme, clock: SiteClock) -> ProgrammeSeen | None:
    """Return what the ``runs`` of a programmed load show; None where no line is seen a few times."""
    if len(runs) == 0:
        return None
    on_s, off_s = _of_day(runs.on_s, clock), _of_day(runs.off_s, clock)
    weekday = clock.parts(runs.on_s.astype(np.int64)).weekday
    edges: dict[tuple[int, str], Estimate] = {}
    belongs = np.zeros(len(runs), np.bool_)
    for k, line in enumerate(programme.times):
        times = clock_times(line)
        if times is None:
            continue
        mine = (np.abs(_turned(on_s - times[0])) < _NEAR_S) & (np.abs(_turned(off_s - times[1])) < _NEAR_S)
        mine &= np.isin(weekday, [DAYS.index(day) for day in line.days])
        if mine.sum() >= _FEW:
            belongs |= mine
            edges[k, "on"] = _mean_time(on_s[mine], times[0])
            edges[k, "off"] = _mean_time(off_s[mine], times[1])
    if not edges:
        return None
    own = Runs(runs.on_s[belongs], runs.off_s[belongs], runs.level_w[belongs], runs.unpaired)
    return ProgrammeSeen(own, robust_mean(own.level_w), edges)


def runs_by_clock(series: Series, rating_w: float, programme: TimeProgramme, clock: SiteClock) -> Runs:
    """Return the runs of a programmed load among others alike: day for day its step nearest to where most days have one.

    A time switch strays by the same on every day; other loads come at any time.
    """
    steps = site_steps(series, rating_w)
    of_day_s, parts = _of_day(steps.time_s, clock), clock.parts(steps.time_s.astype(np.int64))
    there = np.isin(parts.month, programme.months) if programme.months else np.ones(len(steps.at), np.bool_)
    rises, falls = list[int](), list[int]()
    for line in programme.times:
        times = clock_times(line)
        if times is None:
            continue
        begins, ends = (
            np.flatnonzero(there & (steps.rising == rising) & (np.abs(_turned(of_day_s - at)) < _NEAR_S))
            for at, rising in zip(times, (True, False), strict=True)
        )
        begins = begins[np.isin(parts.weekday[begins], [DAYS.index(day) for day in line.days])]
        begins, ends = (
            _where_most(one, _turned(of_day_s[one] - at), parts.day_number[one])
            for one, at in zip((begins, ends), times, strict=True)
        )
        length_s = (times[1] - times[0]) % DAY_S
        for one in begins:
            behind = ends[np.abs(steps.time_s[ends] - steps.time_s[one] - length_s) < 2 * _STRAYS_S]
            if len(behind) > 0:
                rises.append(int(steps.at[one]))
                falls.append(int(steps.at[behind[0]]))
    order = np.argsort(rises)
    return runs_between(series, np.array(rises, np.int64)[order], np.array(falls, np.int64)[order])


def runs_expected(programme: TimeProgramme, series: Series, clock: SiteClock) -> int:
    """Return how many runs a programme makes in the time of a record, lines that go by the sun left out."""
    noons = clock.parts(np.arange(series.start_s + DAY_S // 2, series.end_s, DAY_S))
    there = np.isin(noons.month, programme.months) if programme.months else np.ones(len(noons.month), np.bool_)
    lines = [line for line in programme.times if clock_times(line) is not None]
    return sum(int((there & np.isin(noons.weekday, [DAYS.index(day) for day in line.days])).sum()) for line in lines)


def _where_most(candidates: NDArray[np.int64], offset_s: Floats, day: NDArray[np.int64]) -> NDArray[np.int64]:
    """Return the candidates about the offset that most of them share, of each day the nearest to it."""
    if len(candidates) == 0:
        return candidates
    ordered = np.sort(offset_s)
    many = np.searchsorted(ordered, ordered + _STRAYS_S, side="right") - np.arange(len(ordered))
    first = int(np.argmax(many))
    middle = float(np.median(ordered[first : first + int(many[first])]))
    order = np.lexsort((np.abs(offset_s - middle), day))
    first_of_day = order[np.unique(day[order], return_index=True)[1]]
    return candidates[np.sort(first_of_day[np.abs(offset_s[first_of_day] - middle) <= _STRAYS_S])]


def parameters_of(rating_w: float, programme: TimeProgramme, seen: ProgrammeSeen) -> tuple[Parameter, ...]:
    """Return what of a programmed load is fitted: its rating and the times of the lines that are seen, in s of the local day."""
    found = [Parameter("rating_w", "W", rating_w, 0.7 * rating_w, 1.3 * rating_w)]
    for k, end in seen.edges:
        times = clock_times(programme.times[k])
        assert times is not None  # only such lines have edges
        at = times[0 if end == "on" else 1]
        found.append(Parameter(f"{end}_{k + 1}", "s", at, at - _NEAR_S, at + _NEAR_S))
    return tuple(found)


def clock_times(line: SwitchTimes) -> tuple[float, float] | None:
    """Return when a line switches on and off in s of the local day; None where it goes by the sun, whose times are not fitted."""
    if line.on.clock is None or line.off.clock is None:
        return None
    on, off = (3600.0 * one.hour + 60.0 * one.minute + one.second for one in (line.on.clock, line.off.clock))
    return on, off


def fitted(programme: TimeProgramme, seen: ProgrammeSeen, value: Floats) -> TimeProgramme:
    """Return the programme with the fitted times of the lines that are seen; others go, except for those by the sun."""
    at = dict(zip(seen.edges, value[1:].tolist(), strict=True))
    lines = []
    for k, line in enumerate(programme.times):
        if (k, "on") in at:
            lines.append(line.model_copy(update={end: _moment(at[k, end]) for end in ("on", "off")}))
        elif clock_times(line) is None:
            lines.append(line)
    return programme.model_copy(update={"times": tuple(lines)})


def today(one_id: str, programme: TimeProgramme, seen: ProgrammeSeen, value: Floats, steps: int) -> Today:
    """Return the load with the fitted rating under the programme with the fitted times."""
    load = Resistive(rating_w=Held(float(value[0]))).compiled(one_id)
    return Today(load, np.zeros((steps, USES)), fitted(programme, seen, value))


def _moment(of_day_s: float) -> Moment:
    whole = round(of_day_s) % DAY_S
    return Moment(dt.time(whole // 3600, whole // 60 % 60, whole % 60))


def _of_day(time_s: Floats, clock: SiteClock) -> Floats:
    whole = np.floor(time_s).astype(np.int64)
    return np.asarray((clock.local_s(whole) % DAY_S) + (time_s - whole))


def _turned(difference_s: Floats) -> Floats:
    """Return differences between times of the day as the shorter way round the clock."""
    return np.asarray((difference_s + DAY_S / 2) % DAY_S - DAY_S / 2)


def _mean_time(of_day_s: Floats, about_s: float) -> Estimate:
    mean = robust_mean(_turned(of_day_s - about_s))
    return Estimate(about_s + mean.value, mean.error, mean.freedom)
