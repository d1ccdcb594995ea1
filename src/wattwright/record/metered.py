"""Readings whose file says itself what they are, made ready like a judged table."""

import numpy as np

from wattwright.core.errors import Place
from wattwright.core.findings import Finding
from wattwright.record import columns, kinds
from wattwright.record.channels import Understood, meaning_note
from wattwright.record.judge import Judged, nothing_measured, said_columns
from wattwright.record.readers.numbers import Numbers
from wattwright.record.readers.source import Metered, Packing
from wattwright.record.record import Layout, Meaning, StampsMark
from wattwright.record.spec import LayoutSpec
from wattwright.record.turning import turn


def judge_metered(data: Metered, packing: Packing, said: LayoutSpec) -> Judged:
    """Return the readings of one meter with what the file, or where it is silent a person, says about them.

    Raises RecordError where nothing says what any of them measures.
    """
    told = said_columns(data.names, Place(data.name), said.columns)
    found: dict[int, Understood] = {}
    for i, name in enumerate(data.names):
        meaning: Meaning | None = columns.from_spec(told[i], name) if i in told else data.meanings[i]
        if meaning is not None:
            nothing = int(np.isnan(data.values[i]).sum()) if len(data.names) == 1 else 0
            numbers = Numbers(data.values[i], (("", nothing),) if nothing else (), (), ())
            found[i] = Understood(name, numbers, meaning, told[i].id if i in told else "", data.quality[i])
    found, turns = turn(found, data.names, Place(data.name), said.turned)
    unknown = tuple(name for i, name in enumerate(data.names) if i not in found)
    if not found:
        raise nothing_measured(data.names, Place(data.name), unknown)
    notes: list[Finding] = [meaning_note(one) for one in found.values()]
    notes += turns
    notes += [kinds.OTHER_UNIT.at("columns", column=name) for name in unknown]
    layout = Layout(
        encoding=packing.encoding,
        compression=packing.compression,
        delimiter=packing.delimiter,
        decimal="point",
        preamble_rows=0,
        header_row=None,
        columns=data.names,
        stamp_columns=("start",),
        stamp_format=data.stamp_format,
        stamps=StampsMark.START,
        stamps_why="the format defines it so",
        clock_why=data.clock_why,
        unread_columns=unknown,
    )
    return Judged(
        name=data.name,
        meter=data.meter,
        rows=data.rows,
        starts_s=data.starts_s,
        step_s=data.step_s,
        mark=StampsMark.START,
        found=found,
        layout=layout,
        before=data.findings,
        after=tuple(notes),
    )
