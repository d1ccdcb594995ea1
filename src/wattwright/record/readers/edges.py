"""The first and last rows of a table as they stand in the file."""

from dataclasses import replace

import polars as pl

from wattwright.record.readers.table import EDGE_ROWS, MOST_FIELDS, Edges, Table

_SAMPLE = 500


def edges_of(table: Table) -> Edges:
    """Return the first and the last rows of ``table``, also where its body was turned into one row for each interval."""
    if table.edges is not None:
        return table.edges
    rows = len(table.rows)
    first = range(min(EDGE_ROWS, rows))
    return _as_they_stand(table, first), _as_they_stand(table, range(max(EDGE_ROWS, rows - EDGE_ROWS), rows))


def _as_they_stand(table: Table, rows: range) -> tuple[tuple[int, str], ...]:
    """Return rows with their numbers, the fields parted by bars whatever parts them in the file, the many of a wide one cut."""
    if not len(rows):
        return ()
    some = replace(table, body=table.body.slice(rows.start, len(rows)))
    fields = [some.text(i).to_list() for i in range(min(table.body.width, MOST_FIELDS))]
    for i, cells in enumerate(fields):
        if table.is_typed(i) and _is_whole(table.body[str(i)]):
            fields[i] = [cell.removesuffix(".0") for cell in cells]
    more = " | …" if table.body.width > MOST_FIELDS else ""
    told = [" | ".join(cells) + more for cells in zip(*fields, strict=True)]
    return tuple((table.rows.number(row), text) for row, text in zip(rows, told, strict=True))


def _is_whole(numbers: pl.Series) -> bool:
    """Return whether a column of numbers was written without decimals, judged by some hundreds of it."""
    some = numbers.gather_every(max(1, len(numbers) // _SAMPLE)).fill_null(0.0).fill_nan(0.0)
    return bool((some % 1 == 0).all())
