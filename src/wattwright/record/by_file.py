"""Stamps of several files placed file by file, since each begins anew, yet by one rule for all."""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from wattwright.core.clock import SiteClock
from wattwright.core.errors import RecordError
from wattwright.core.findings import Finding
from wattwright.record import kinds
from wattwright.record.clockwork import Columns, Placed, Said, place, usual_step
from wattwright.record.readers.rows import Rows
from wattwright.record.readers.stamps import Stamps


def place_files(stamps: Stamps, rows: Rows, columns: Columns, clock: SiteClock, said: Said) -> Placed:
    """Return where each row lies in UTC; rows of several files share the step, the end their stamps mark, and the clock.

    Raises RecordError where two files show different ends.
    """
    parts = rows.parts()
    if len(parts) == 1:
        return place(stamps, columns, clock, said)
    step = usual_step(np.unique(stamps.local))
    cut = [stamps.part(part) for part in parts]
    placed = [place(one, columns, clock, said, step) for one in cut]
    settled = _settled(placed, rows, said)
    if settled != said:
        placed = [place(one, columns, clock, settled, step) for one in cut]
    first = next((one for one in placed if one.sure), placed[0])
    findings = _each_once(placed)
    starts = np.concatenate([one.starts_s for one in placed])
    order = np.concatenate(
        [np.arange(len(starts))[parts[i]] for i in sorted(range(len(parts)), key=lambda i: int(cut[i].local.min()))]
    )
    whole = place(stamps.part(order), columns, clock, replace(settled, mark=first.mark.value), step)
    if (np.diff(whole.starts_s) > 0).all():
        # Files that go on from one another show together which run of a repeated hour is which.
        starts[order] = whole.starts_s
        once = [f for f in whole.findings if f.code == kinds.AUTUMN_ONCE.code]
        findings = (*(f for f in findings if f.code != kinds.AUTUMN_ONCE.code), *once)
    return replace(first, starts_s=starts, findings=findings)


def _settled(placed: Sequence[Placed], rows: Rows, said: Said) -> Said:
    """Return what is settled by one of the files, for all of them."""
    sure = {one.mark: index for index, one in reversed(list(enumerate(placed))) if one.sure}
    if len(sure) > 1:
        (first, at), (second, other) = sorted(sure.items(), key=lambda pair: pair[1])
        raise RecordError.one(
            "record.stamps-differ",
            rows.place(rows.starts[other]),
            found=f"stamps that mark the {second.value} of the interval: {placed[other].mark_why}",
            wanted=f"one end throughout; in {rows.names[at]} they mark the {first.value}: {placed[at].mark_why}",
            next_step='Say which it is with stamps = "start" or "end", or read the files apart.',
            field="stamps",
            choices=("start", "end"),
        )
    standard = any(f.code == kinds.STANDARD_TIME.code for one in placed for f in one.findings)
    mark = next(iter(sure)).value if sure and not said.mark else said.mark
    return replace(said, mark=mark if len(sure) and not all(one.sure for one in placed) else said.mark,
                   clock="standard time" if standard and not said.clock else said.clock)  # fmt: skip


def _each_once(placed: Sequence[Placed]) -> tuple[Finding, ...]:
    """Return the findings of all files, each only once."""
    told: list[Finding] = []
    for one in placed:
        told += [finding for finding in one.findings if finding not in told]
    return tuple(told)
