"""Readings that come whenever a value changes, or by no fixed step: each held until the next one and averaged over a step."""

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from wattwright.core.clock import DAY_S
from wattwright.core.errors import RecordError
from wattwright.core.findings import Finding
from wattwright.core.quality import Quality
from wattwright.record import kinds
from wattwright.record.channels import Understood, most_used, turned
from wattwright.record.grid import LEAST_OWN, steps_alike
from wattwright.record.judge import Judged
from wattwright.record.readers.numbers import Numbers
from wattwright.record.readers.rows import Rows
from wattwright.record.record import Form, StampsMark
from wattwright.record.registers import used_between
from wattwright.record.spec import LayoutSpec

Ints = NDArray[np.int64]
Floats = NDArray[np.float64]
STEP_S = 60
"""The step of the intervals where a person names none: one minute (common practice, no source)."""
HOLD_AT_MOST_S = DAY_S
"""A value that stood for longer than a day is no longer believed (common practice, no source)."""
SPREAD = (Form.ENERGY, Form.REGISTER)
"""Forms of which only the total between two readings is known."""
_MOST_INTERVALS = 20_000_000
_FEWEST = 50
_MONTH_S = 27 * DAY_S
"""Rows so far apart and more are months or bills: common practice, no source."""
_MOST_MONTHS = 20_000
"""Far more rows than there are months in the years a meter can have logged, each told several times."""
_REGULAR, _JITTER, _ALL, _SPREAD = 0.9, 0.1, 0.98, 4.0
"""What tells events from a fixed step with jitter or gaps: common practice, no source."""


@dataclass(frozen=True, slots=True)
class Stretches:
    """Times [starts, ends) in UTC seconds, in order and apart, in each of which a value holds: shape (n,) each."""

    starts_s: Ints
    ends_s: Ints
    values: Floats


def averaged(held: Stretches, first_s: int, step_s: int, intervals: int) -> Floats:
    """Return the mean by time over each interval of ``step_s`` from ``first_s``, shape (intervals,).

    NaN where an interval is not wholly held. The sum of mean times step is the integral of what is held over those that are.
    """
    sound = ~np.isnan(held.values)
    starts, ends, values = held.starts_s[sound], held.ends_s[sound], held.values[sound]
    grid = first_s + step_s * np.arange(intervals + 1, dtype=np.int64)
    cuts = np.unique(np.concatenate([grid, starts, ends]))
    cuts = cuts[(cuts >= grid[0]) & (cuts <= grid[-1])]
    low, lasts = cuts[:-1], np.diff(cuts)
    at = np.searchsorted(starts, low, side="right") - 1
    inside = (at >= 0) & (low < ends[np.maximum(at, 0)]) if len(ends) else np.zeros(len(low), np.bool_)
    into = ((low - first_s) // step_s)[inside]
    covered = np.bincount(into, lasts[inside], intervals)
    total = np.bincount(into, values[at[inside]] * lasts[inside], intervals)
    return np.where(covered == step_s, total / step_s, np.nan)


def refuse_months(one: Judged) -> None:
    """Raise RecordError for rows a month or more apart, unless they are surely the counts of registers.

    They are sums of months or bills: no interval readings, and nothing about the course of a day follows from them.
    """
    if len(one.rows) > _MOST_MONTHS:
        return
    times, _ = _times(one)
    apart = np.diff(times)
    apart = apart[apart > 0]
    if not len(apart) or np.median(apart) < _MONTH_S or all(_is_counted(u) for u in one.found.values()):
        return
    raise RecordError.one(
        "record.months",
        one.rows.place(0),
        found=f"{len(one.rows):,} rows some {float(np.median(apart)) / DAY_S:,.0f} days apart",
        wanted="readings of intervals of a day at most; rows a month or more apart are monthly sums or bills",
        next_step="Export the interval readings of the meter. Keep this file to compare their monthly sums with.",
    )


def _is_counted(u: Understood) -> bool:
    return u.meaning.form is Form.REGISTER and not u.meaning.form_open


def recognised(one: Judged) -> str:
    """Return what shows that the readings are events rather than taken at a step, or an empty text where nothing does.

    Registers may be read whenever one likes. Other values are events where the stamps keep to no step and each row changes one.
    """
    if len(one.rows) < _FEWEST or one.step_s <= 0 or 2 * steps_alike(one.starts_s, one.step_s) > len(one.rows):
        return ""
    times, order = _times(one)
    steps = np.diff(times)
    beside = np.abs(steps - np.rint(steps / one.step_s) * one.step_s)
    has_gaps = (steps == one.step_s).mean() >= LEAST_OWN and (beside <= _JITTER * one.step_s).mean() > _REGULAR
    low, high = np.quantile(steps, [0.1, 0.9])
    forms = {u.meaning.form for u in one.found.values()}
    if has_gaps or high < _SPREAD * max(low, 1.0) or Form.ENERGY in forms:
        return ""
    if forms == {Form.REGISTER}:
        return "the stamps keep to no step, and a register may be read at any time"
    changed = np.zeros(len(steps), np.bool_)
    for u in one.found.values():
        values = u.numbers.values[order]
        changed |= (np.diff(values) != 0) & ~(np.isnan(values[1:]) & np.isnan(values[:-1]))
    return "the stamps keep to no step, and each row changes a value" if changed.mean() >= _ALL else ""


def evened(one: Judged, said: LayoutSpec, why: str) -> Judged:
    """Return the readings of ``one`` at a fixed step; ``why`` tells what shows that they are events.

    A mean or a state holds from its stamp to the next one, or back to the one before where stamps mark the end, but no longer
    than ``said`` allows. An energy is spread evenly over that time, and what a register counts between two readings as well.
    Raises RecordError where the readings span too many intervals.
    """
    step, most = int(said.step_s or STEP_S), int(said.hold_at_most_s or HOLD_AT_MOST_S)
    times, order = _times(one)
    first = int(times[0]) // step * step
    intervals = -(-(int(times[-1]) - first) // step)
    if not 0 < intervals <= _MOST_INTERVALS:
        raise _no_span(one, intervals)
    notes: list[Finding] = []
    found = {}
    for i, u in one.found.items():
        held = _held(u, times, u.numbers.values[order], one.mark, most, notes)
        values = averaged(held, first, step, intervals)
        spread = u.meaning.form in SPREAD
        values = values * step if spread else values
        meaning = replace(u.meaning, form=Form.ENERGY) if spread else u.meaning
        codes = np.where(np.isnan(values), np.uint8(Quality.MISSING), np.uint8(Quality.DERIVED)).astype(np.uint8)
        found[i] = replace(u, numbers=Numbers(values, (), (), ()), meaning=meaning, quality=codes)
    between = np.diff(times)
    told = [u.name for u in one.found.values() if u.meaning.form in SPREAD]
    notes += [kinds.SPREAD.at("columns", column=name, longest=int(between.max()), step=step) for name in told]
    note = kinds.EVENTS.at("stamps", why=why, step=step, most=most, rows=len(one.rows), longest=int(between.max()))
    return replace(
        one,
        rows=Rows(np.arange(1, intervals + 1), one.rows.names[:1], counted="interval"),
        starts_s=first + step * np.arange(intervals, dtype=np.int64),
        step_s=step,
        mark=StampsMark.START,
        found=found,
        before=(*(f for f in one.before if f.code != kinds.STAMPS_ASSUMED.code), note),
        after=(*one.after, *notes),
    )


def _times(one: Judged) -> tuple[Ints, Ints]:
    """Return the stamps themselves in the order of time, and that order."""
    stamps = one.starts_s + (one.step_s if one.mark is StampsMark.END else 0)
    order = np.argsort(stamps, kind="stable")
    return stamps[order], order


def _held(u: Understood, times: Ints, values: Floats, mark: StampsMark, most_s: int, notes: list[Finding]) -> Stretches:
    """Return for how long each value holds, in its own unit: of a mean the value, of a count what it is a second."""
    # A blank says nothing new, and of several readings in one second the last one counts.
    told = np.flatnonzero(~np.isnan(values))
    told = told[np.append(np.diff(times[told]) > 0, True)] if len(told) else told
    at, values = times[told], values[told]
    starts, ends, lasts = at[:-1], at[1:], np.diff(at)
    form = u.meaning.form
    if form is Form.REGISTER:
        used, turns = used_between(values, most_used(u.meaning, lasts))
        notes += turned(u.name, turns, starts)
        return Stretches(starts, ends, used / lasts)
    back = mark is StampsMark.END
    kept = values[1:] if back else values[:-1]
    if form is Form.ENERGY:
        return Stretches(starts, ends, np.where(lasts <= most_s, kept / lasts, np.nan))
    if back:
        return Stretches(np.maximum(starts, ends - most_s), ends, kept)
    return Stretches(starts, np.minimum(ends, starts + most_s), kept)


def _no_span(one: Judged, intervals: int) -> RecordError:
    return RecordError.one(
        "record.irregular",
        one.rows.place(0),
        found=f"readings that span {intervals:,} intervals" if intervals else "readings that all have the same stamp",
        wanted=f"readings over at least one interval and at most {_MOST_INTERVALS:,}",
        next_step="Check the first and the last stamp, or name a longer step.",
    )
