"""Long tables whose unit changes on the way: the columns of one quantity in several units become one, converted row by row."""

from collections.abc import Container, Mapping, Sequence
from itertools import combinations

import numpy as np
from numpy.typing import NDArray

from wattwright.core.errors import RecordError, quoted
from wattwright.core.findings import Finding
from wattwright.core.quantity import Quantity
from wattwright.record import kinds
from wattwright.record.measures import OFFSETS, UNITS
from wattwright.record.readers.numbers import Numbers
from wattwright.record.readers.rows import Rows
from wattwright.record.units import unit_in

Floats = NDArray[np.float64]


def in_one_unit(
    read: Mapping[int, Numbers], names: Sequence[str], told: Container[int], rows: Rows
) -> tuple[dict[int, Numbers], list[Finding]]:
    """Return the columns with those joined that differ in nothing but the unit and never stand in one row, and a note on each.

    Columns in ``told``, of which a person said what they hold, stay apart. Raises RecordError where energy turns into power or
    back, since nothing shows what the rows are then.
    """
    held, notes = dict(read), []
    groups: dict[tuple[str, Quantity], list[int]] = {}
    filled: dict[int, NDArray[np.bool_]] = {}
    for i in sorted(read):
        if i in told or not (stem := _stem(names[i])) or (unit := unit_in(names[i])) not in UNITS:
            continue
        present = ~np.isnan(read[i].values)
        if present.any() and not present.all():
            filled[i] = present
            groups.setdefault((stem, UNITS[unit][0]), []).append(i)
    for one, other in (pair for alike in groups.values() for pair in combinations(alike, 2)):
        if one not in held or other not in held:
            continue
        here, there = filled[one], filled[other]
        if (here & there).any():
            continue
        row, units = int(np.argmax(there)), (unit_in(names[one]), unit_in(names[other]))
        if UNITS[units[0]][1] is not UNITS[units[1]][1]:
            raise RecordError.one(
                "record.unit-changes",
                rows.place(row, _stem(names[other])),
                found=f"the unit {quoted(units[1])}, after {quoted(units[0])} in row {rows.number(int(np.argmax(here))):,}",
                wanted="energy throughout, or power throughout",
                next_step="Find out which of the two the meter gave, and correct the unit or split the file there.",
            )
        held[one], filled[one] = _joined(held[one], held.pop(other), units), here | there
        if units[0] != units[1]:
            count, column, line = int(there.sum()), _stem(names[one]), rows.number(row)
            notes.append(kinds.UNIT_CHANGES.at("rows", count=count, column=column, first=units[0], other=units[1], row=line))
    return held, notes


def _stem(name: str) -> str:
    return name.rpartition(" [")[0]


def _joined(first: Numbers, other: Numbers, units: tuple[str, str]) -> Numbers:
    """Return both columns as one, in the unit of the first."""
    (_, _, into), (_, _, factor) = UNITS[units[0]], UNITS[units[1]]
    shift = OFFSETS.get(units[1], 0.0) - OFFSETS.get(units[0], 0.0)
    # A thousandth is divided by a thousand: times 0.001 would miss the nearest number.
    ratio = factor / into

    def both(one: Floats, two: Floats) -> Floats:
        scaled = two * ratio if ratio >= 1 else two / (into / factor)
        return np.where(np.isnan(one), scaled + shift / into if shift else scaled, one)

    values, written = both(first.values, other.values), both(first.raw, other.raw)
    signs = [(sign, times) for one in (first, other) for sign, times in one.signs if sign]
    unread = tuple(sorted({*first.unread, *other.unread}))
    # What stands in the other unit is blank in the column of the first, and no reading is missing there.
    blank = int(np.isnan(written).sum()) - len(unread) - sum(times for _, times in signs)
    told = (*signs, *([("", blank)] if blank > 0 else []))
    return Numbers(values, told, unread, tuple(sorted({*first.grouped, *other.grouped})), written=written)
