"""Stamps into UTC: which end they mark, midnight that carries the ending day, and the clock they were written by."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from wattwright.core.clock import DAY_S, SiteClock
from wattwright.core.findings import Finding
from wattwright.record import kinds
from wattwright.record.daylight import on_site_clock, standard_offset_s
from wattwright.record.grid import steps_alike
from wattwright.record.readers.stamps import Stamps
from wattwright.record.record import StampsMark
from wattwright.record.words import has_word, plain, words

Ints = NDArray[np.int64]
_INCLUSIVE = (1, 60)
_CHUNK = 1 << 16
"""Stamps looked at a time, so that a long record needs little memory beside itself."""
_ROUND_STEPS_S = np.array(
    [s * unit for unit, parts in ((1, (1, 2, 3, 4, 5, 6, 10, 12, 15, 20, 30)), (60, (1, 2, 3, 4, 5, 6, 10, 12, 15, 20, 30)),
     (3600, (1, 2, 3, 4, 6, 8, 12, 24))) for s in parts]
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Said:
    """What a person said about the stamps: ``mark`` ("start", "end"), ``clock``; empty where the file is to tell."""

    mark: str = ""
    clock: str = ""
    zone: bool = False


@dataclass(frozen=True, slots=True)
class Columns:
    """The names of a table's columns, and the lines above them."""

    names: Sequence[str]
    preamble: Sequence[str]


@dataclass(frozen=True, slots=True)
class Placed:
    """Each row's interval start in UTC seconds (shape (n,)), which end its stamp marked and why, and the clock it was read by.

    ``sure`` tells that something in the file shows which end it is.
    """

    starts_s: Ints
    step_s: int
    mark: StampsMark
    mark_why: str
    clock_why: str
    findings: tuple[Finding, ...]
    sure: bool = True


def usual_step(seconds: Ints) -> int:
    """Return the step between stamps in the order of time, s: the commonest, or the round one they scatter about; 0 for none."""
    first = int(seconds[1] - seconds[0]) if len(seconds) > 1 else 0
    if first > 0 and steps_alike(seconds, first) > 0.9 * (len(seconds) - 1):
        return first
    steps = np.diff(seconds)
    if (steps < 0).sum() > 0.01 * len(steps):
        steps = np.diff(np.sort(seconds))
    if (steps <= 0).any():
        steps = steps[steps > 0]
    if not len(steps):
        return 0
    values, counts = np.unique(steps, return_counts=True)
    commonest, middle = int(values[np.argmax(counts)]), float(np.median(steps))
    nearest = int(_ROUND_STEPS_S[np.argmin(np.abs(_ROUND_STEPS_S - middle))])
    scattered = commonest not in _ROUND_STEPS_S and counts.max() <= 0.9 * len(steps)
    return nearest if scattered and abs(nearest - middle) <= 0.1 * nearest else commonest


def place(stamps: Stamps, columns: Columns, clock: SiteClock, said: Said, step_s: int = 0) -> Placed:
    """Return where each row lies in UTC; ``step_s`` is the step where it is known from more rows than these, else 0."""
    # A file that runs backwards is judged forwards.
    backward = int((stamps.local[1:] < stamps.local[:-1]).sum())
    turn = slice(None, None, -1) if backward > 0.5 * len(stamps.local) else slice(None)
    local = stamps.local[turn]
    late = _late_midnights(local) if not stamps.counted else np.zeros(len(local), np.bool_)
    local = local + DAY_S * late if late.any() else local
    step = step_s or usual_step(local)
    inclusive: list[Finding] = []
    if stamps.lengths is not None:
        step = _from_ends(int(np.median(stamps.lengths)), step, inclusive)
    mark, why = _mark(stamps, local, columns, step, bool(late.any()), said.mark)
    findings = [_mark_finding(mark, why, step), *inclusive]
    shift = step if mark is StampsMark.END else 0
    days_of = SiteClock("UTC") if said.clock == "UTC" else clock
    if stamps.utc is not None and (stamps.counted or step % DAY_S):
        utc, clock_why = stamps.utc[turn] + DAY_S * late if late.any() else stamps.utc[turn], _utc_why(stamps)
        starts = utc - shift if shift else utc
    elif step and step % DAY_S == 0:
        starts, clock_why = _days(local, shift, days_of, findings)
    elif said.clock == "UTC":
        starts, clock_why = local - shift, "UTC, as you said"
    else:
        starts, clock_why = on_site_clock(local, shift, clock, said.clock, findings)
    if not said.zone and (stamps.utc is None or stamps.numbered) and said.clock != "UTC":
        findings.append(kinds.ZONE.at("stamps"))
    if stamps.order.other:
        order = stamps.order
        findings.append(kinds.DATE_ORDER.at("stamps", order=order.order, breaks=order.breaks, other=order.other,
                                            other_breaks=order.other_breaks))  # fmt: skip
    told = why or "assumed, since nothing in the file shows it"
    return Placed(starts[turn], step, mark, told, clock_why, tuple(findings), sure=bool(why))


def _from_ends(length: int, step: int, findings: list[Finding]) -> int:
    """Return the step of rows that give both ends: their ``length``, or the ``step`` of their starts a minute or second longer.

    Some exports write the last minute or second that still belongs to the interval, 00:00 to 00:59, with no other gap meant.
    """
    if step - length not in _INCLUSIVE:
        return length
    findings.append(kinds.INCLUSIVE_END.at("stamps", short=step - length, step=step))
    return step


def _mark_finding(mark: StampsMark, why: str, step: int) -> Finding:
    return kinds.STAMPS.at("stamps", end=mark.value, why=why) if why else kinds.STAMPS_ASSUMED.at("stamps", step=step)


def _utc_why(stamps: Stamps) -> str:
    if stamps.counted:
        return "seconds counted in UTC"
    if stamps.numbered:
        return "each day counted from its midnight on the site's clock"
    return stamps.clock_why or "the stamps carry their offset from UTC"


def _late_midnights(local: Ints) -> NDArray[np.bool_]:
    """Return which rows are midnights dated by the day that ends (00:00 after 23:xx of the same date); none unless most are."""
    parts = (low + np.flatnonzero(local[low : low + _CHUNK] % DAY_S == 0) for low in range(0, len(local), _CHUNK))
    midnights = np.concatenate([*parts, np.zeros(0, np.int64)])
    late = np.zeros(len(local), np.bool_)
    if not len(midnights) or len(midnights) > 0.5 * len(local):
        return late
    # Written so, the clock seems to fall back by nearly a day and then to leap forward by more than one.
    before = local[midnights] - local[np.maximum(midnights - 1, 0)]
    after = local[np.minimum(midnights + 1, len(local) - 1)] - local[midnights]
    falls = (midnights == 0) | ((before < 0) & (before > -DAY_S))
    leaps = (midnights == len(local) - 1) | (after > DAY_S)
    shown = falls & leaps
    if shown.sum() > len(midnights) / 2:
        late[midnights] = True
    return late


def _mark(stamps: Stamps, local: Ints, columns: Columns, step: int, late: bool, said: str) -> tuple[StampsMark, str]:
    """Return which end the stamps mark, and what shows it (empty when nothing does)."""
    if said:
        return StampsMark(said), "you said so"
    if stamps.numbered or stamps.lengths is not None:
        told = "the intervals are numbered from midnight on" if stamps.numbered else "each row gives the start and the end"
        return StampsMark.START, told
    if late:
        return StampsMark.END, "midnight is written as 00:00 of the day that ends"
    if stamps.has_24:
        return StampsMark.END, "midnight is written as 24:00"
    if stamps.dated:
        return StampsMark.START, "each row is dated by its day"
    called = [columns.names[i] for i in stamps.columns]
    for mark in StampsMark:
        if any(has_word(plain(name), words("stamps")[mark.value]) for name in called):
            return mark, f'the column is called "{" ".join(called)}"'
    for mark in StampsMark:
        line = next((one for one in columns.preamble if has_word(plain(one), words("preamble")[mark.value])), None)
        if line is not None:
            return mark, f'a line above the readings says "{line.strip()[:80]}"'
    return (StampsMark.START, "") if stamps.counted or not step else _mark_by_ends(local, step)


def _mark_by_ends(local: Ints, step: int) -> tuple[StampsMark, str]:
    """Return which end the stamps mark by where the file begins and stops: exports run over whole days."""
    first, last = int(local.min()) % DAY_S, int(local.max()) % DAY_S
    if first == 0 and last == DAY_S - step:
        return StampsMark.START, "the file runs from 00:00 to the last interval before midnight"
    if first == step and last == 0:
        return StampsMark.END, "the file runs from one interval past 00:00 to midnight"
    return StampsMark.START, ""


def _days(local: Ints, shift_s: int, clock: SiteClock, findings: list[Finding]) -> tuple[Ints, str]:
    """Return the starts of rows that hold whole days: 24 h each from midnight of standard time, so that one step holds all."""
    offset = standard_offset_s(clock, local)
    if len(np.unique(clock.offsets_s(np.arange(int(local.min()), int(local.max()) + 1, DAY_S)))) > 1:
        findings.append(kinds.DAYS.at("stamps"))
    return local - shift_s - offset, f"days of 24 h from midnight of standard time in {clock.zone}"
