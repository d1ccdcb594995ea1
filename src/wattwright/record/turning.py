"""Columns named by a person, and those whose current transformer is clamped the wrong way round: their sign is turned."""

from collections.abc import Mapping, Sequence
from dataclasses import replace

from wattwright.core.errors import Place, RecordError, quoted
from wattwright.core.findings import Finding
from wattwright.record.channels import Understood
from wattwright.record.faults import kinds
from wattwright.record.record import Form


def column_index(names: Sequence[str], place: Place, column: str) -> int:
    """Return the index of the column called ``column``, or of that number from 1; raises RecordError where there is none."""
    if column in names:
        return names.index(column)
    if column.isdecimal() and 1 <= int(column) <= len(names):
        return int(column) - 1
    raise RecordError.one(
        "record.no-column",
        place,
        found=f"no column {quoted(column)}",
        wanted="one of " + listed(names) + ", or its number from 1",
        next_step="Correct the name: in the job file under the meter file's layout, or in --column.",
    )


def listed(names: Sequence[str]) -> str:
    """Return names in quotes, at most a dozen of them."""
    more = f" and {len(names) - 12:,} more" if len(names) > 12 else ""
    return ", ".join(quoted(name) for name in names[:12]) + more


def turn(
    found: Mapping[int, Understood], names: Sequence[str], place: Place, turned: Sequence[str]
) -> tuple[dict[int, Understood], list[Finding]]:
    """Return the columns, those named in ``turned`` with a factor of the other sign, and a note about each of these.

    The numbers themselves stay as they stand in the file. Raises RecordError for a column that is not there, or a register.
    """
    columns: dict[int, Understood] = dict(found)
    notes: list[Finding] = []
    for index in dict.fromkeys(column_index(names, place, column) for column in turned):
        one = columns.get(index)
        if one is None or one.meaning.form in (Form.REGISTER, Form.STATE):
            raise RecordError.one(
                "record.no-turning",
                place,
                found=f"{quoted(names[index])}, which holds {'a ' + one.meaning.form.value if one else 'no known quantity'}",
                wanted="a column of power, current or energy per interval",
                next_step="Take it out of turned in the meter file's layout.",
            )
        meaning = replace(one.meaning, factor=-one.meaning.factor, why=f"{one.meaning.why}; its sign turned, as you said")
        columns[index] = replace(one, meaning=meaning)
        notes.append(kinds.TURNED.at("columns", column=one.name))
    return columns, notes
