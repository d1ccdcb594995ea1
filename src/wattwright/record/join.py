"""Readings of one meter from files of different layouts, joined channel by channel."""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from wattwright.core.errors import Place, RecordError
from wattwright.core.quality import Quality
from wattwright.core.quantity import Direction, Phase, Quantity
from wattwright.record.channels import Understood
from wattwright.record.judge import Judged
from wattwright.record.readers.numbers import Numbers
from wattwright.record.readers.rows import joined
from wattwright.record.record import Form

_Kind = tuple[Quantity, Form, Phase, Direction, int]


def join(judged: Sequence[Judged], name: str) -> list[Judged]:
    """Return the readings of each meter as one; meters are told apart by the names their files give them.

    Raises RecordError where files of one meter have different steps or mark different ends of the interval.
    """
    meters: dict[str, list[Judged]] = {}
    for one in judged:
        meters.setdefault(one.meter, []).append(one)
    return [_one(parts, name) if len(parts) > 1 else parts[0] for parts in meters.values()]


def _one(parts: Sequence[Judged], name: str) -> Judged:
    first = parts[0]
    for part in parts[1:]:
        _refuse_other_step(first, part)
    by_kind = [_by_kind(part) for part in parts]
    kinds = list(dict.fromkeys(kind for part in by_kind for kind in part))
    found = {i: _channel(kind, parts, by_kind) for i, kind in enumerate(kinds)}
    return Judged(
        name=name,
        meter=first.meter,
        rows=joined([part.rows for part in parts]),
        starts_s=np.concatenate([part.starts_s for part in parts]),
        step_s=first.step_s,
        mark=first.mark,
        found=found,
        layout=first.layout,
        before=tuple(replace(f, where=f"{part.name}, {f.where}") for part in parts for f in part.before),
        after=tuple(replace(f, where=f"{part.name}, {f.where}") for part in parts for f in part.after),
    )


def _refuse_other_step(first: Judged, other: Judged) -> None:
    registers = [u.meaning.form is Form.REGISTER for part in (first, other) for u in part.found.values()]
    if first.step_s == other.step_s and (first.mark == other.mark or not any(registers)):
        return
    differ = first.step_s != other.step_s
    raise RecordError.one(
        "record.files-differ",
        Place(other.rows.name(0)),
        found=f"readings every {other.step_s:,} s" if differ else f"a register whose stamps mark the {other.mark.value}",
        wanted=f"readings every {first.step_s:,} s, stamps at the {first.mark.value}, as in {first.rows.name(0)}",
        next_step="Read the files apart, or export them alike.",
    )


def _by_kind(part: Judged) -> dict[_Kind, Understood]:
    """Return the columns by what they mean, equal ones numbered."""
    out: dict[_Kind, Understood] = {}
    for one in part.found.values():
        meaning, number = one.meaning, 0
        while (kind := (meaning.quantity, meaning.form, meaning.phase, meaning.direction, number)) in out:
            number += 1
        out[kind] = one
    return out


def _channel(kind: _Kind, parts: Sequence[Judged], by_kind: Sequence[dict[_Kind, Understood]]) -> Understood:
    """Return one channel over all files, in the unit of the first that has it.

    Rows of a file that lacks it take the reading that another file has for their interval, so that no two contradict.
    """
    first = next(part[kind] for part in by_kind if kind in part)
    values: list[NDArray[np.float64]] = []
    written: list[NDArray[np.float64]] = []
    quality: list[NDArray[np.uint8]] = []
    for part, columns in zip(parts, by_kind, strict=True):
        one = columns.get(kind)
        if one is None:
            values.append(np.full(len(part.rows), np.nan))
            written.append(values[-1])
            quality.append(np.full(len(part.rows), int(Quality.MISSING), np.uint8))
            continue
        ratio = one.meaning.factor / first.meaning.factor
        values.append(one.numbers.values if ratio == 1 else one.numbers.values * ratio)
        written.append(one.numbers.raw if ratio == 1 else one.numbers.raw * ratio)
        valid = np.where(np.isnan(one.numbers.values), int(Quality.MISSING), int(Quality.VALID)).astype(np.uint8)
        quality.append(valid if one.quality is None else one.quality)
    starts = np.concatenate([part.starts_s for part in parts])
    has = np.concatenate([np.full(len(part.rows), kind in columns) for part, columns in zip(parts, by_kind, strict=True)])
    held, raw, codes = np.concatenate(values), np.concatenate(written), np.concatenate(quality)
    if not has.all():
        known, where = np.unique(starts[has], return_index=True)
        at = np.minimum(np.searchsorted(known, starts), len(known) - 1)
        taken = ~has & (known[at] == starts)
        source = np.flatnonzero(has)[where[at[taken]]]
        held[taken], raw[taken], codes[taken] = held[source], raw[source], codes[source]
    return replace(first, numbers=Numbers(held, (), (), (), written=raw), quality=codes)
