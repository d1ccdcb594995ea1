"""Long tables: rows of several meters or quantities below one another, told apart by columns of text."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np
import polars as pl

from wattwright.record.measures import known_unit
from wattwright.record.readers.qualities import worded
from wattwright.record.readers.rows import Rows
from wattwright.record.readers.shape import Header
from wattwright.record.readers.signs import Look, look
from wattwright.record.readers.table import Table
from wattwright.record.units import unit_in
from wattwright.record.words import has_word, plain, words

_MOST_METERS = 500
_STAMPED = (Look.STAMP, Look.DATE, Look.TIME)
_ALIKE = 0.95


def split_long(table: Table) -> list[tuple[Table, str]]:
    """Return a table for each meter in ``table`` with its name, a column for each quantity; itself where it is not long."""
    looks = [_look(table, i) for i in range(table.body.width)]
    stamps = [str(i) for i, kind in enumerate(looks) if kind in _STAMPED] or ["0"]
    beside = [i for i, kind in enumerate(looks) if str(i) not in stamps and _tells_quality(table, i, kind)]
    labels = [i for i, kind in enumerate(looks) if str(i) not in (*stamps, *map(str, beside)) and _is_label(table, i, kind)]
    units = [i for i in labels if _all(table, i, lambda text: known_unit(text) != "")]
    # Where a column says the unit or the direction of each row, the table is long however few rows share a stamp.
    if not labels or (
        not units
        and not any(_is_constant(table, i) for i in labels)
        and table.body.select(stamps).n_unique() * 1.5 > table.body.height
    ):
        return [(table, "")]
    keys = [str(i) for i in labels]
    if table.body.select([*stamps, *keys]).n_unique() < _ALIKE * table.body.height:
        return [(table, "")]
    quantities = [i for i in labels if i not in units and _all(table, i, _tells_quantity)]
    meters = [i for i in labels if i not in (*units, *quantities)]
    free = [i for i in range(table.body.width) if i not in (*labels, *beside) and str(i) not in stamps]
    values = [i for i in free if looks[i] in (Look.NUMBER, Look.EMPTY)]
    columns = _Columns(stamps, quantities, units, values, beside, [i for i in free if i not in values])
    return [(_wide(part, columns), name) for name, part in _groups(table, meters)]


def _look(table: Table, column: int) -> Look:
    if table.is_typed(column):
        return Look.NUMBER
    text = table.text(column)
    kinds = [look(one) for one in text.gather_every(max(1, len(text) // 200)).to_list()]
    return max(dict.fromkeys(kinds), key=kinds.count)


def _is_label(table: Table, column: int, kind: Look) -> bool:
    """Return whether a column tells rows apart: text, or numbers under a name that speaks of a meter, with few values in all."""
    named = has_word(plain(table.names[column]), words("label")["meter"])
    if kind is not Look.TEXT and not (named and kind is Look.NUMBER):
        return False
    return 1 < table.text(column).n_unique() <= min(_MOST_METERS, table.body.height // 2) or _is_constant(table, column)


def _is_constant(table: Table, column: int) -> bool:
    """Return whether a column holds one unit or one direction in all its rows."""
    if table.is_typed(column) or table.text(column).n_unique() != 1:
        return False
    text = str(table.text(column)[0]).strip()
    return known_unit(text) != "" or any(plain(text) in listed for listed in _flows())


def _flows() -> list[tuple[str, ...]]:
    """Return the words for what was taken from and given to the grid."""
    return [*words("direction").values(), words("label")["taken"]]


def _tells_quality(table: Table, column: int, kind: Look) -> bool:
    if kind is Look.NUMBER or table.is_typed(column):
        return plain(table.names[column]) in words("beside")["quality"]
    return worded(table, column) is not None


def _all(table: Table, column: int, holds: Callable[[str], bool]) -> bool:
    return all(holds(str(one).strip()) for one in table.text(column).unique().to_list())


def _tells_quantity(text: str) -> bool:
    flat = plain(text)
    known = [word for listed in words("quantity").values() for word in listed if len(word) > 2]
    return bool(unit_in(text)) or has_word(flat, known) or any(has_word(flat, listed) for listed in _flows())


def _groups(table: Table, meters: Sequence[int]) -> list[tuple[str, Table]]:
    """Return the rows of each meter, by the texts of its columns."""
    if not meters:
        return [("", table)]
    label = pl.concat_str([table.text(i).str.strip_chars() for i in meters], separator=" ").alias("label")
    told = pl.select(label).to_series()
    out = []
    for name in told.unique(maintain_order=True).to_list():
        kept = (told == name).to_numpy()
        out.append((str(name), replace(table, body=table.body.filter(pl.Series(kept)), rows=table.rows.only(kept))))
    return out


@dataclass(frozen=True, slots=True)
class _Columns:
    """The columns of a long table by what they are for, as indices (stamps as their names in the body)."""

    stamps: Sequence[str]
    quantities: Sequence[int]
    units: Sequence[int]
    values: Sequence[int]
    beside: Sequence[int]
    others: Sequence[int]


def _wide(table: Table, columns: _Columns) -> Table:
    """Return the rows of one meter with a column for each quantity and unit; rows of one stamp become one.

    Behind the readings of each quantity stand their qualities, and text that tells no rows apart stands as it was.
    """
    stamps, quantities = columns.stamps, columns.quantities
    telling = [table.text(i).str.strip_chars() for i in (*quantities, *columns.units)]
    body = table.body.with_columns(
        row=pl.int_range(pl.len()), label=pl.concat_str(telling, separator="\t") if telling else pl.lit("")
    )
    # The second row of a stamp and quantity is one of its own, as in the repeated hour.
    body = body.with_columns(turn=pl.int_range(pl.len()).over([*stamps, "label"]))
    key = [*stamps, "turn"]
    whole = body.select([*key, "row"]).unique(key, keep="first", maintain_order=True)
    names = [table.names[int(one)] for one in stamps]
    made = {str(i): whole[one] for i, one in enumerate(stamps)}
    for label in body["label"].unique(maintain_order=True).to_list():
        part = body.filter(pl.col("label") == label)
        said = label.split("\t") if label else []
        for i in (*columns.values, *columns.beside):
            held = whole.join(part.select([*key, str(i)]), on=key, how="left", maintain_order="left")[str(i)]
            made[str(len(names))] = held.fill_null("") if held.dtype == pl.String else held
            is_value = i in columns.values
            names.append(_name(said, len(quantities), table.names[i], len(columns.values)) if is_value else table.names[i])
    first = whole["row"].to_numpy()
    for i in columns.others:
        made[str(len(names))] = table.text(i).gather(first)
        names.append(table.names[i])
    where = Rows(table.rows.numbers[np.asarray(first)], table.rows.names[:1], counted=table.rows.counted)
    header = Header(tuple(names), (), table.header.row, table.header.preamble)
    return replace(table, header=header, body=pl.DataFrame(made), rows=where)


def _name(label: Sequence[str], quantities: int, column: str, columns: int) -> str:
    """Return the name of a channel: its quantity, or the column's name, and its unit in brackets."""
    told, unit = " ".join(label[:quantities]), " ".join(label[quantities:])
    name = f"{told} {column}".strip() if columns > 1 or not told else told
    return f"{name} [{unit}]" if unit and unit_in(name) != unit else name
