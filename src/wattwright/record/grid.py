"""Rows onto the fixed step: order, jitter, repeated rows, rows that disagree, and gaps."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from wattwright.core.errors import Place, RecordError
from wattwright.core.findings import Finding
from wattwright.record import kinds
from wattwright.record.record import Run

Ints = NDArray[np.int64]
_MOST_INTERVALS = 60_000_000
_JITTER_SHARE = 0.1


@dataclass(frozen=True, slots=True)
class Grid:
    """Where rows go: interval ``index`` (shape (k,)) takes row ``row`` (shape (k,)), the rows kept, in order of time.

    ``questionable`` (shape (k,)) marks intervals that a later row contradicts; ``intervals`` is the length of the grid.
    """

    start_s: int
    step_s: int
    intervals: int
    index: Ints
    row: Ints
    questionable: NDArray[np.bool_]
    duplicates: tuple[Run, ...]
    findings: tuple[Finding, ...]


def lay_out(starts_s: Ints, step_s: int, values: NDArray[np.float64], name: str, rows: Ints) -> Grid:
    """Return the grid for rows with interval starts ``starts_s`` (n,), readings ``values`` (n, columns), numbers ``rows`` (n,).

    Raises RecordError when the stamps keep to no step.
    """
    if step_s <= 0:
        raise _no_step(name, rows)
    findings: list[Finding] = []
    back = int((np.diff(starts_s) < 0).sum())
    order = np.argsort(starts_s, kind="stable")
    if 0 < back < len(starts_s) - 1:
        findings.append(kinds.ORDER.at("rows", count=back))
    sorted_s = starts_s[order]
    start = _origin(sorted_s, step_s)
    index = np.floor_divide(sorted_s - start + step_s // 2, step_s)
    _check_regular(sorted_s, start, step_s, index, name, rows[order], findings)
    first = np.concatenate([[True], np.diff(index) > 0])
    kept = np.flatnonzero(first)
    duplicates, questionable = _judge_repeats(first, kept, order, values, start + index * step_s, step_s, findings)
    start_s = int(start + index[0] * step_s)
    index = index - index[0]
    count = int(index[-1]) + 1
    if count > _MOST_INTERVALS:
        raise _no_step(name, rows)
    return Grid(start_s, step_s, count, index[kept], order[kept], questionable, duplicates, tuple(findings))


def _origin(sorted_s: Ints, step_s: int) -> int:
    """Return the phase of the step: the commonest remainder, so that a few crooked stamps do not shift the grid."""
    values, counts = np.unique(sorted_s % step_s, return_counts=True)
    phase = int(values[np.argmax(counts)])
    return int((sorted_s[0] - phase) // step_s * step_s + phase)


def _check_regular(sorted_s: Ints, start: int, step_s: int, index: Ints, name: str, rows: Ints, findings: list[Finding]) -> None:
    beside = np.abs(sorted_s - (start + index * step_s))
    crooked = int((beside > 0).sum())
    if not crooked:
        return
    far = beside > max(_JITTER_SHARE * step_s, 1)
    if far.sum() > 0.01 * len(beside) or len(beside) < 20:
        worst = int(np.flatnonzero(far if far.any() else beside > 0)[0])
        raise RecordError.one(
            "record.irregular",
            Place(name, int(rows[worst])),
            found=f"{int(far.sum()):,} of {len(beside):,} stamps off the usual step of {step_s:,} s",
            wanted="readings at one fixed step",
            next_step="Export the readings as intervals of one length.",
        )
    findings.append(kinds.JITTER.at("rows", count=crooked, most=int(beside.max())))


def _judge_repeats(
    first: NDArray[np.bool_],
    kept: Ints,
    order: Ints,
    values: NDArray[np.float64],
    times_s: Ints,
    step_s: int,
    findings: list[Finding],
) -> tuple[tuple[Run, ...], NDArray[np.bool_]]:
    """Return the runs of repeated intervals, and which kept rows another row contradicts."""
    questionable = np.zeros(len(kept), np.bool_)
    again = np.flatnonzero(~first)
    if not len(again):
        return (), questionable
    owner = np.searchsorted(kept, again, side="right") - 1
    mine, other = values[order[kept[owner]]], values[order[again]]
    same = ((mine == other) | (np.isnan(mine) & np.isnan(other))).all(axis=1)
    if same.any():
        findings.append(kinds.REPEATED.at("rows", count=int(same.sum()), start=int(times_s[again[same][0]])))
    if not same.all():
        findings.append(kinds.DISAGREE.at("rows", count=int((~same).sum()), start=int(times_s[again[~same][0]])))
        questionable[owner[~same]] = True
    return runs_of(np.unique(times_s[again]), step_s), questionable


def runs_of(times_s: Ints, step_s: int) -> tuple[Run, ...]:
    """Return interval starts (sorted, UTC seconds) gathered into unbroken runs."""
    if not len(times_s):
        return ()
    cuts = np.flatnonzero(np.diff(times_s) != step_s) + 1
    return tuple(Run(int(part[0]), int(part[-1]) + step_s, len(part)) for part in np.split(times_s, cuts))


def _no_step(name: str, rows: Ints) -> RecordError:
    return RecordError.one(
        "record.no-step",
        Place(name, int(rows[0]) if len(rows) else None),
        found=f"{len(rows):,} readings that follow no common step",
        wanted="at least two readings at one fixed step",
        next_step="Check the dates in the first and the last rows.",
    )
