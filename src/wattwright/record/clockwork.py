"""Local stamps into UTC: daylight saving, the repeated hour, midnight that carries the ending day, start or end."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from wattwright.core.clock import DAY_S, SiteClock
from wattwright.core.findings import Finding
from wattwright.record import kinds
from wattwright.record.columns import has_word, plain, words
from wattwright.record.readers.stamps import Stamps
from wattwright.record.record import StampsMark

Ints = NDArray[np.int64]


@dataclass(frozen=True, slots=True)
class Placed:
    """Each row's interval start in UTC seconds (shape (n,)), which end its stamp marked and why, and the clock it was read by."""

    starts_s: Ints
    step_s: int
    mark: StampsMark
    mark_why: str
    clock_why: str
    findings: tuple[Finding, ...]


def usual_step(seconds: Ints) -> int:
    """Return the most frequent positive step between neighbouring stamps in seconds; 0 when there is none."""
    steps = np.diff(seconds)
    steps = steps[steps > 0] if (steps > 0).sum() >= (steps < 0).sum() else -steps[steps < 0]
    if not len(steps):
        return 0
    values, counts = np.unique(steps, return_counts=True)
    return int(values[np.argmax(counts)])


def place(stamps: Stamps, names: tuple[str, ...], clock: SiteClock, zone_given: bool, said_mark: str, said_clock: str) -> Placed:
    """Return where each row lies in UTC.

    ``said_mark`` ("start", "end") and ``said_clock`` ("site", "standard time", "UTC") are what a person wrote, empty to be found.
    """
    local = stamps.seconds
    late_midnight = not stamps.utc and _midnight_is_late(local)
    if late_midnight:
        local = np.where(local % DAY_S == 0, local + DAY_S, local)
    step = usual_step(local)
    mark, why = _mark(stamps, local, names, step, late_midnight, said_mark)
    second = stamps.second
    findings: list[Finding] = []
    if second is not None and mark is StampsMark.START:
        step = int(np.median(second - local)) or step
    utc, clock_why = _to_utc(local, stamps, clock, said_clock, findings)
    if not zone_given and not stamps.utc:
        findings.append(kinds.ZONE.at("stamps"))
    if why:
        findings.append(kinds.STAMPS.at("stamps", end=mark.value, why=why))
    else:
        why = "assumed, since nothing in the file shows it"
        findings.append(kinds.STAMPS_ASSUMED.at("stamps", step=step))
    starts = utc - step if mark is StampsMark.END else utc
    return Placed(starts, step, mark, why, clock_why, tuple(findings))


def _midnight_is_late(local: Ints) -> bool:
    """Return whether 00:00 follows 23:xx of the same date, so that it ends the day it is dated."""
    midnights = np.flatnonzero(local % DAY_S == 0)
    midnights = midnights[(midnights > 0) & (midnights < len(local) - 1)]
    if not len(midnights):
        return False
    before = local[midnights] - local[midnights - 1]
    after = local[midnights + 1] - local[midnights]
    # Written so, the clock seems to fall back by nearly a day and then to leap forward by more than one.
    late = (before < 0) & (before > -DAY_S) & (after > DAY_S // 2)
    return bool(late.sum() > len(midnights) / 2)


def _mark(
    stamps: Stamps, local: Ints, names: tuple[str, ...], step: int, late_midnight: bool, said: str
) -> tuple[StampsMark, str]:
    """Return which end the stamps mark, and what shows it (empty when nothing does)."""
    if said:
        return StampsMark(said), "you said so"
    if stamps.second is not None:
        return StampsMark.START, "each row gives the start and the end"
    if late_midnight:
        return StampsMark.END, "midnight is written as 00:00 of the day that ends"
    if stamps.has_24:
        return StampsMark.END, "midnight is written as 24:00"
    name = " ".join(plain(names[i]) for i in stamps.columns)
    for mark in StampsMark:
        if has_word(name, words()["stamps"][mark.value]):
            return mark, f'the column is called "{" ".join(names[i] for i in stamps.columns)}"'
    if step >= DAY_S:
        return StampsMark.START, "each row is dated by its day"
    return (StampsMark.START, "") if stamps.utc or not step else _mark_by_ends(local, step)


def _mark_by_ends(local: Ints, step: int) -> tuple[StampsMark, str]:
    """Return which end the stamps mark by where the file begins and stops: exports run over whole days."""
    first, last = int(local.min()) % DAY_S, int(local.max()) % DAY_S
    if first == 0 and last == DAY_S - step:
        return StampsMark.START, "the file runs from 00:00 to the last interval before midnight"
    if first == step and last == 0:
        return StampsMark.END, "the file runs from one interval past 00:00 to midnight"
    return StampsMark.START, ""


def _to_utc(local: Ints, stamps: Stamps, clock: SiteClock, said: str, findings: list[Finding]) -> tuple[Ints, str]:
    if stamps.utc:
        return local, "the stamps carry their offset from UTC"
    if said == "UTC":
        return local, "UTC, as you said"
    if said == "standard time":
        return local - _standard_offset(clock, local), f"standard time of {clock.zone} all year, as you said"
    backwards = local[0] > local[-1]
    ordered = local[::-1] if backwards else local
    resolved = clock.resolve(ordered)
    if resolved.absent.any() and not said:
        when = ordered[int(np.flatnonzero(resolved.absent)[0])]
        findings.append(kinds.STANDARD_TIME.at("stamps", when=SiteClock("UTC").text(int(when))))
        return local - _standard_offset(clock, local), f"standard time of {clock.zone} all year"
    again = _is_second_time(ordered, resolved.ambiguous)
    utc = np.where(again, resolved.last_s, resolved.first_s)
    _note_single_hours(ordered, resolved.ambiguous, again, findings)
    changes = "" if clock.zone == "UTC" else " with its daylight saving"
    return (utc[::-1] if backwards else utc), f"the clock of {clock.zone}{changes}"


def _is_second_time(local: Ints, ambiguous: NDArray[np.bool_]) -> NDArray[np.bool_]:
    """Return which rows of a repeated hour belong to its second run: those whose stamp stood before, or after a step back."""
    again = np.zeros(len(local), np.bool_)
    where = np.flatnonzero(ambiguous)
    if not len(where):
        return again
    for block in np.split(where, np.flatnonzero(np.diff(local[where] // DAY_S) != 0) + 1):
        stamps = local[block]
        reached = np.maximum.accumulate(stamps)
        back = np.concatenate([[False], stamps[1:] < reached[:-1]])
        _, first = np.unique(stamps, return_index=True)
        repeated = np.ones(len(block), np.bool_)
        repeated[first] = False
        turned = np.maximum.accumulate(back) if back.any() else repeated
        again[block] = turned if back.sum() == 1 or not repeated.any() else repeated
    return again


def _note_single_hours(local: Ints, ambiguous: NDArray[np.bool_], again: NDArray[np.bool_], findings: list[Finding]) -> None:
    days = np.unique(local[ambiguous] // DAY_S)
    for day in days:
        of_day = ambiguous & (local // DAY_S == day)
        if not again[of_day].any() and of_day.sum() > 0:
            text = str(np.datetime64(int(day), "D"))
            findings.append(kinds.AUTUMN_ONCE.at("stamps", day=text))


def _standard_offset(clock: SiteClock, local: Ints) -> int:
    """Return the zone's smallest offset over the years of the record: standard time, in seconds."""
    year = 366 * DAY_S
    times = np.arange(int(local.min()) - year, int(local.max()) + year, 7 * DAY_S)
    return int(clock.offsets_s(times).min())
