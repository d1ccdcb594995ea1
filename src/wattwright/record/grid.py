"""Rows onto the fixed step: order, jitter, repeated rows, rows that disagree, and gaps."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from wattwright.core.clock import DAY_S
from wattwright.core.errors import RecordError
from wattwright.core.findings import Finding
from wattwright.record import kinds
from wattwright.record.faults.steady import steady
from wattwright.record.readers.rows import Rows
from wattwright.record.record import Run

Ints = NDArray[np.int64]
Floats = NDArray[np.float64]
_MOST_INTERVALS = 20_000_000
_FEW_INTERVALS = 100_000
_LEAST_SHARE = 0.01
_CHUNK = 1 << 16
_JITTER_SHARE = 0.1
_MOST_DISAGREE = 0.05
LEAST_OWN = 0.2
"""Where fewer readings than a fifth follow one another by a step, it is none: common practice, no source."""
_HOLD = (
    "If each reading holds until the next one, or counts what was used since the one before, say so: "
    'irregular = "hold" and step = "1 min" in the job file under this file\'s layout, or --hold "1 min".'
)
_LASTING, _LASTING_SHARE, _LASTING_ANYWHERE = 8, 0.05, 24
"""Another step lasts where it holds eight times and through 5 % of the file, or a day of hours: common practice, no source."""


@dataclass(frozen=True, slots=True)
class Grid:
    """Where rows go: interval ``index`` (shape (k,)) takes row ``row`` (shape (k,)), the rows kept, in order of time.

    Both are one slice of everything where each row has its own interval, so that no numbers of rows are held in memory.
    ``questionable`` (shape (k,)) marks intervals that a later row contradicts; ``intervals`` is the length of the grid.
    """

    start_s: int
    step_s: int
    intervals: int
    index: Ints | slice
    row: Ints | slice
    questionable: NDArray[np.bool_]
    duplicates: tuple[Run, ...]
    findings: tuple[Finding, ...]

    @property
    def places(self) -> Ints:
        """Return the intervals that have a row, shape (k,)."""
        return np.arange(self.intervals, dtype=np.int64) if isinstance(self.index, slice) else self.index


def steps_alike(starts_s: Ints, step_s: int) -> int:
    """Return how many of ``starts_s`` (n,) lie ``step_s`` after the one before; part by part, so that little memory is needed."""
    parts = (starts_s[low : low + _CHUNK + 1] for low in range(0, len(starts_s) - 1, _CHUNK))
    return sum(int((np.diff(part) == step_s).sum()) for part in parts)


def lay_out(starts_s: Ints, step_s: int, values: Sequence[Floats], rows: Rows) -> Grid:
    """Return the grid for ``rows`` with interval starts ``starts_s`` (n,) and readings ``values`` (n,) each.

    Raises RecordError when the stamps keep to no step, when nearly everything between them would be missing, or when many rows
    contradict one another.
    """
    if step_s <= 0 or (len(starts_s) > 1 and starts_s.min() == starts_s.max()):
        raise _no_step(rows)
    if steps_alike(starts_s, step_s) == len(starts_s) - 1:
        every = slice(None)
        return Grid(int(starts_s[0]), step_s, len(starts_s), every, every, np.zeros(len(starts_s), np.bool_), (), ())
    findings: list[Finding] = []
    order = np.argsort(starts_s, kind="stable")
    sorted_s = starts_s[order]
    _refuse_other_step(sorted_s, step_s, rows, order)
    start = _origin(sorted_s, step_s)
    index = np.floor_divide(sorted_s - start + step_s // 2, step_s)
    _refuse_holes(sorted_s, index, step_s, rows, order)
    _refuse_no_step(index, step_s, rows, order)
    findings += _crooked(sorted_s, start, step_s, index, rows, order)
    first = np.concatenate([[True], np.diff(index) > 0])
    kept = np.flatnonzero(first)
    # A block sent again steps back too, but that is told as a repeat.
    back = int((np.diff(starts_s[np.sort(order[kept])]) < 0).sum())
    if 0 < back < len(kept) - 1:
        findings.append(kinds.ORDER.at("rows", count=back))
    rivals = _Rivals(first, kept, order, start + index * step_s, step_s)
    duplicates, questionable, more = _judge_repeats(rivals, values, rows)
    return Grid(
        int(start + index[0] * step_s),
        step_s,
        int(index[-1] - index[0]) + 1,
        index[kept] - index[0],
        order[kept],
        questionable,
        duplicates,
        (*findings, *more),
    )


def _origin(sorted_s: Ints, step_s: int) -> int:
    """Return the first point of the grid: its phase is the commonest remainder, or the clock's own where the stamps scatter."""
    remainders, counts = np.unique(sorted_s % step_s, return_counts=True)
    phase = int(remainders[np.argmax(counts)])
    if counts.max() <= 0.5 * len(sorted_s):
        beside = np.abs((sorted_s + step_s // 2) % step_s - step_s // 2)
        phase = 0 if np.median(beside) <= _JITTER_SHARE * step_s else phase
    return int((sorted_s[0] - phase + step_s // 2) // step_s * step_s + phase)


def _refuse_other_step(sorted_s: Ints, step_s: int, rows: Rows, order: Ints) -> None:
    """Raise RecordError where the readings go over to another step and keep to it, so that no one step fits them all."""
    steps = np.diff(sorted_s)
    at = np.flatnonzero(steps > 0)
    steps = steps[at]
    # Steps that scatter about the same multiple or part of the usual one are alike; 0 stands for the usual one.
    own = np.abs(steps - step_s) <= _JITTER_SHARE * step_s
    alike = np.where(own, 0.0, np.where(steps > step_s, np.rint(steps / step_s), -np.rint(step_s / np.maximum(steps, 1))))
    heads = np.flatnonzero(np.concatenate([[True], np.diff(alike) != 0]))
    lengths = np.diff(np.append(heads, len(steps)))
    enough = np.where(lengths >= _LASTING_SHARE * len(steps), _LASTING, _LASTING_ANYWHERE)
    lasting = np.flatnonzero((lengths >= enough) & (alike[heads] != 0))
    if not len(lasting) or not own.any():
        return
    run = int(lasting[0])
    head, end = int(heads[run]), int(heads[run] + lengths[run])
    other = int(np.median(steps[head:end]))
    # Where the file begins with the other step, it changes at the end of that run.
    begins = not own[:head].any()
    row, before, after = (int(at[end - 1]) + 1, other, step_s) if begins else (int(at[head]), step_s, other)
    raise RecordError.one(
        "record.step-changes",
        rows.place(int(order[row])),
        found=f"from this row on a reading every {after:,} s, before it every {before:,} s",
        wanted="readings at one fixed step",
        next_step=f"Export the readings as intervals of one length, or cut the file in two at this row. {_HOLD}",
        field="irregular",
        choices=("hold",),
    )


def _refuse_holes(sorted_s: Ints, index: Ints, step_s: int, rows: Rows, order: Ints) -> None:
    """Raise RecordError where the stamps span so much time that hardly an interval of it has a reading."""
    intervals = int(index[-1] - index[0]) + 1
    if intervals <= _MOST_INTERVALS and (intervals <= _FEW_INTERVALS or len(order) > _LEAST_SHARE * intervals):
        return
    widest = int(np.argmax(np.diff(sorted_s))) + 1
    before = rows.number(int(order[widest - 1]))
    days = int(sorted_s[widest] - sorted_s[widest - 1]) / DAY_S
    raise RecordError.one(
        "record.hole",
        rows.place(int(order[widest])),
        found=f"a stamp {days:,.0f} days after the one before it (row {before:,}); the usual step is {step_s:,} s",
        wanted="readings that follow one another",
        next_step="Check the dates about these rows, or cut the file in two.",
    )


def _refuse_no_step(index: Ints, step_s: int, rows: Rows, order: Ints) -> None:
    """Raise RecordError where hardly two readings are one step apart, and hardly an interval between them has one."""
    own = np.diff(index) <= 1
    if len(own) < _LASTING or own.mean() >= LEAST_OWN or len(index) >= LEAST_OWN * (index[-1] - index[0] + 1):
        return
    raise RecordError.one(
        "record.irregular",
        rows.place(int(order[1])),
        found=f"only {int(own.sum()):,} of {len(own):,} readings the commonest step of {step_s:,} s after the one before",
        wanted="readings at one fixed step",
        next_step=f"Export the readings as intervals of one length. {_HOLD}",
        field="irregular",
        choices=("hold",),
    )


def _crooked(sorted_s: Ints, start: int, step_s: int, index: Ints, rows: Rows, order: Ints) -> list[Finding]:
    beside = np.abs(sorted_s - (start + index * step_s))
    crooked = int((beside > 0).sum())
    if not crooked:
        return []
    far = beside > max(_JITTER_SHARE * step_s, 1)
    if far.sum() > 0.01 * len(beside):
        # Where the first row itself lies beside most others, the row is named at which that changes.
        odd, moving = int(np.argmax(far != far[0])), _drifting(sorted_s, start, step_s)
        raise RecordError.one(
            "record.irregular",
            rows.place(int(order[odd])),
            found=f"{int(far.sum()):,} of {len(beside):,} stamps off the usual step of {step_s:,} s{moving}",
            wanted="readings at one fixed step",
            next_step=f"Export the readings as intervals of one length. {_HOLD}",
            field="irregular",
            choices=("hold",),
        )
    return [kinds.JITTER.at("rows", count=crooked, most=int(beside.max()))]


def _drifting(sorted_s: Ints, start_s: int, step_s: int) -> str:
    """Return in words that the stamps move steadily against their step, or an empty text."""
    found = steady(sorted_s, start_s, step_s)
    way = "later" if found and found[0] > 0 else "earlier"
    return f"; they move {abs(found[0]):,.1f} s {way} every day, so the logger's clock drifts" if found else ""


@dataclass(frozen=True, slots=True)
class _Rivals:
    """Sorted rows, of which several may claim one interval: ``first`` (n,) marks those kept, at positions ``kept`` (k,)."""

    first: NDArray[np.bool_]
    kept: Ints
    order: Ints
    times_s: Ints
    step_s: int


def _judge_repeats(
    rivals: _Rivals, values: Sequence[Floats], rows: Rows
) -> tuple[tuple[Run, ...], NDArray[np.bool_], list[Finding]]:
    """Return the runs of repeated intervals, which kept rows another row contradicts, and findings."""
    questionable = np.zeros(len(rivals.kept), np.bool_)
    again = np.flatnonzero(~rivals.first)
    if not len(again):
        return (), questionable, []
    owner = np.searchsorted(rivals.kept, again, side="right") - 1
    mine, other = rivals.order[rivals.kept[owner]], rivals.order[again]
    same = np.ones(len(again), np.bool_)
    for column in values:
        same &= (column[mine] == column[other]) | (np.isnan(column[mine]) & np.isnan(column[other]))
    differ = np.flatnonzero(~same)
    if len(differ) > _MOST_DISAGREE * len(rivals.kept):
        raise _contradicting(rows, int(other[differ[0]]), int(mine[differ[0]]), len(differ))
    questionable[owner[differ]] = True
    times = rivals.times_s[again]
    findings = []
    if same.any():
        findings.append(kinds.REPEATED.at("rows", count=int(same.sum()), start=int(times[same][0])))
    if len(differ):
        start, at = int(times[differ[0]]), int(other[differ[0]])
        file = rows.elsewhere(at, int(mine[differ[0]]))
        findings.append(kinds.DISAGREE.at("rows", count=len(differ), start=start, row=rows.number(at), file=file))
    return runs_of(np.unique(times), rivals.step_s), questionable, findings


def _contradicting(rows: Rows, row: int, earlier: int, count: int) -> RecordError:
    first = f"row {rows.number(earlier):,}{rows.elsewhere(earlier, row)}"
    return RecordError.one(
        "record.same-stamps",
        rows.place(row),
        found=f"a stamp that {first} already has, with another reading; {count:,} rows are like this",
        wanted="one row for each interval",
        next_step="If the file holds several meters or lacks the time of day, export each meter apart with full stamps.",
    )


def runs_of(times_s: Ints, step_s: int) -> tuple[Run, ...]:
    """Return interval starts (sorted, UTC seconds) gathered into unbroken runs."""
    if not len(times_s):
        return ()
    cuts = np.flatnonzero(np.diff(times_s) != step_s) + 1
    return tuple(Run(int(part[0]), int(part[-1]) + step_s, len(part)) for part in np.split(times_s, cuts))


def _no_step(rows: Rows) -> RecordError:
    one = len(rows) == 1
    return RecordError.one(
        "record.no-step",
        rows.place(0),
        found="a single reading" if one else f"{len(rows):,} readings with the same stamp",
        wanted="at least two readings at one fixed step",
        next_step="Export a longer period." if one else "Check that the stamps hold the time of day.",
    )
