"""Tables of one layout from several files, put one behind the other so that they are judged as one."""

from collections.abc import Sequence
from dataclasses import replace

import polars as pl

from wattwright.core.findings import Finding
from wattwright.record.readers.rows import joined
from wattwright.record.readers.source import Packing, Piece
from wattwright.record.readers.table import Table


def put_together(pieces: Sequence[Piece], name: str) -> list[Piece]:
    """Return the pieces with tables of the same columns joined into one called ``name``; what is no table stays as it is."""
    groups: dict[object, list[Piece]] = {}
    for number, piece in enumerate(pieces):
        groups.setdefault(_layout_of(piece, number), []).append(piece)
    return [_joined(group, name) if len(group) > 1 else group[0] for group in groups.values()]


def _layout_of(piece: Piece, number: int) -> object:
    table = piece.data
    if not isinstance(table, Table):
        return number
    return (piece.meter, table.names, table.header.fields, table.delimiter, table.numbered, tuple(table.body.dtypes))


def _joined(pieces: Sequence[Piece], name: str) -> Piece:
    tables = [piece.data for piece in pieces if isinstance(piece.data, Table)]
    first = tables[0]
    whole = replace(
        first,
        name=name,
        body=pl.concat([table.body for table in tables]),
        rows=joined([table.rows for table in tables]),
        dropped=tuple(row for table in tables for row in table.dropped),
        headers_again=tuple(row for table in tables for row in table.headers_again),
        edges=None if first.edges is None else (first.edges[0], (tables[-1].edges or first.edges)[1]),
    )
    encodings = dict.fromkeys(piece.packing.encoding for piece in pieces)
    packed = dict.fromkeys(piece.packing.compression for piece in pieces if piece.packing.compression)
    notes: list[Finding] = []
    for piece in pieces:
        notes += [note for note in piece.notes if note not in notes]
    packing = Packing(" and ".join(encodings), " and ".join(packed), pieces[0].packing.delimiter)
    return Piece(whole, packing, pieces[0].meter, tuple(notes))
