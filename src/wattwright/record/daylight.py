"""Local stamps through daylight saving: the skipped hour, the repeated hour, and clocks that never change."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from wattwright.core.clock import DAY_S, SiteClock
from wattwright.core.findings import Finding
from wattwright.record import kinds

Ints = NDArray[np.int64]
_CHUNK = 1 << 14
"""Stamps looked up at a time, so that a long record needs little memory beside itself."""


@dataclass(frozen=True, slots=True)
class _Reading:
    """One way to understand the stamps: interval starts in UTC, which digits are skipped or repeated, and how much is odd."""

    starts_s: Ints
    digits: Ints
    absent: NDArray[np.bool_]
    ambiguous: NDArray[np.bool_]
    again: NDArray[np.bool_]

    @property
    def oddities(self) -> int:
        """Return how many stamps lie in the skipped hour or do not follow the stamp before them."""
        return int(self.absent.sum()) + _backward(self.starts_s)


def _backward(times_s: Ints) -> int:
    return int((times_s[1:] <= times_s[:-1]).sum())


def on_site_clock(local: Ints, shift_s: int, clock: SiteClock, said: str, findings: list[Finding]) -> tuple[Ints, str]:
    """Return interval starts in UTC of stamps ``local`` (n,) that lie ``shift_s`` behind their starts, and the clock in words.

    ``said`` is "site" or "standard time" where a person settled it. What is odd is added to ``findings``.
    """
    if said == "standard time":
        return local - shift_s - standard_offset_s(clock, local), f"standard time of {clock.zone} all year, as you said"
    best = _read(local, shift_s, clock, before=False)
    if shift_s and best.oddities:
        # Some loggers write the end as the start's digits plus the step, even across a change of the clock.
        other = _read(local, shift_s, clock, before=True)
        best = other if other.oddities < best.oddities else best
    if best.absent.any() and said != "site":
        standard = local - shift_s - standard_offset_s(clock, local)
        if _backward(standard) < best.oddities:
            when = int(best.digits[int(np.argmax(best.absent))])
            findings.append(kinds.STANDARD_TIME.at("stamps", when=SiteClock("UTC").text(when)))
            return standard, f"standard time of {clock.zone} all year"
    findings += _single_hours(best)
    changes = "" if clock.zone == "UTC" else " with its daylight saving"
    return best.starts_s, f"the clock of {clock.zone}{changes}"


def _read(local: Ints, shift_s: int, clock: SiteClock, *, before: bool) -> _Reading:
    """Return the stamps read as they stand, or ``before`` their shift is taken off their digits."""
    digits = local - shift_s if before else local
    utc = np.zeros(len(digits), np.int64)
    absent, ambiguous = np.zeros(len(digits), np.bool_), np.zeros(len(digits), np.bool_)
    later: list[Ints] = []
    for low in range(0, len(digits), _CHUNK):
        part = slice(low, low + _CHUNK)
        resolved = clock.resolve(digits[part])
        utc[part], absent[part], ambiguous[part] = resolved.first_s, resolved.absent, resolved.ambiguous
        later.append(resolved.last_s[resolved.ambiguous])
    again = _is_second_time(digits, ambiguous)
    utc[again] = np.concatenate([*later, np.zeros(0, np.int64)])[again[ambiguous]]
    if shift_s and not before:
        utc -= shift_s
    return _Reading(utc, digits, absent, ambiguous, again)


def _is_second_time(local: Ints, ambiguous: NDArray[np.bool_]) -> NDArray[np.bool_]:
    """Return which rows of a repeated hour belong to its second run: those after one step back, else those seen before."""
    again = np.zeros(len(local), np.bool_)
    where = np.flatnonzero(ambiguous)
    for block in _passes(local, where):
        back, repeated = _odd_in(local[block])
        if not back.any() and not repeated.any():
            # A file that begins within the repeated hour goes on without a hole only from its second run.
            again[block] = block[0] == 0 and block[-1] < len(local) - 1
        else:
            again[block] = np.maximum.accumulate(back) if back.sum() == 1 else repeated
    return again


def _passes(local: Ints, where: Ints) -> list[Ints]:
    """Return the rows of each repeated hour: those of one day, or each run of them by itself where it shows both hours alone.

    So a file that was appended to itself has the two hours of either copy side by side.
    """
    out: list[Ints] = []
    for day in np.split(where, np.flatnonzero(np.diff(local[where] // DAY_S) != 0) + 1) if len(where) else ():
        runs = np.split(day, np.flatnonzero(np.diff(day) > 1) + 1)
        whole = len(runs) > 1 and all(np.logical_or(*_odd_in(local[run])).any() for run in runs)
        out += runs if whole else [day]
    return out


def _odd_in(stamps: Ints) -> tuple[NDArray[np.bool_], NDArray[np.bool_]]:
    """Return which of the stamps (n,) lie before the one above them, and which stood before."""
    back = np.concatenate([[False], np.diff(stamps) < 0])
    repeated = np.ones(len(stamps), np.bool_)
    repeated[np.unique(stamps, return_index=True)[1]] = False
    return back, repeated


def _single_hours(reading: _Reading) -> list[Finding]:
    """Return a finding for each repeated hour that stands once, with readings before and after it."""
    doubtful = np.flatnonzero(reading.ambiguous)
    days = reading.digits[doubtful] // DAY_S
    once = []
    for day in np.unique(days).tolist():
        where = doubtful[days == day]
        if not reading.again[where].any() and where[0] > 0 and where[-1] < len(reading.digits) - 1:
            once.append(day)
    return [kinds.AUTUMN_ONCE.at("stamps", day=str(np.datetime64(day, "D"))) for day in once]


def standard_offset_s(clock: SiteClock, local: Ints) -> int:
    """Return the zone's smallest offset from UTC about the time of the record: standard time, in seconds."""
    year = 366 * DAY_S
    times = np.arange(int(local.min()) - year, int(local.max()) + year, 7 * DAY_S)
    return int(clock.offsets_s(times).min())
