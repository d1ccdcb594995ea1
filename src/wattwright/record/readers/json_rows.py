"""JSON and JSON Lines: rows or columns of readings, wherever they stand within two levels."""

import itertools
import json
import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from typing import Any

from wattwright.core.errors import Place, RecordError, quoted
from wattwright.record.readers.cells import series_of, table_of
from wattwright.record.readers.opening import Opened
from wattwright.record.readers.source import Packing, Piece
from wattwright.record.readers.table import MOST_FAULTS

LARGEST_BYTES = 1 << 27
"""The most a JSON file may hold, 128 MiB: it grows to many times that when it is read."""
_DEEPEST = 4
_MOST_NAMES = 2_000
_MOST_LINES, _LONGEST_LINE = 50, 200


def is_json(content: bytes) -> bool:
    """Return whether text begins as JSON does."""
    return re.match(rb"\s*(\{|\[\s*[\[{\]])", content) is not None


def read_json(opened: Opened) -> list[Piece]:
    """Return the tables in a JSON or JSON Lines text, several where it holds several lists of readings by name.

    Raises RecordError with the line where it is broken, nests too deep, is too large, or holds no rows of readings.
    """
    if len(opened.content) > LARGEST_BYTES:
        raise _refused(opened.name, None, f"a JSON file of {len(opened.content) >> 20} MiB", f"at most {LARGEST_BYTES >> 20} MiB")
    document, kind = _parsed(opened), "JSON"
    if document is None:
        document, kind = _lines(opened), "JSON Lines"
    found = list(_tables(document, "", 0))
    if not found:
        raise _refused(opened.name, None, "no list of readings", "a list of objects, or lists of equal length by name")
    packing = Packing(f"{kind} in {opened.encoding}", opened.compression, "names")
    counted = "" if kind == "JSON Lines" else "item"
    several, said = len(found) > 1, tuple(_said(document))
    tables = ((table_of({n: series_of(c) for n, c in columns.items()}, opened.name, counted), name) for name, columns in found)
    return [
        Piece(replace(table, header=replace(table.header, preamble=said)), packing, name if several else "")
        for table, name in tables
    ]


def _said(document: Any) -> Iterator[str]:
    """Yield what an object says beside its readings, such as "timezone: UTC", as lines above a table would."""
    if not isinstance(document, dict):
        return
    for key, one in itertools.islice(document.items(), _MOST_LINES):
        inner = one.items() if isinstance(one, dict) else [(key, one)]
        told = ((name, text) for name, text in itertools.islice(inner, _MOST_LINES) if isinstance(text, str))
        yield from (f"{name}: {text}"[:_LONGEST_LINE] for name, text in told)


def _parsed(opened: Opened) -> Any:
    """Return the document, None where another object follows the first one: JSON Lines."""
    try:
        return json.loads(opened.content, parse_constant=_no_number)
    except json.JSONDecodeError as error:
        if error.msg == "Extra data" and opened.content[error.pos - 1 : error.pos + 1].strip() in (b"", b"{", b"["):
            return None
        if "\n" in error.doc.strip() and _is_line(error.doc.partition("\n")[0]):
            return None
        raise _broken(opened.name, error.lineno, error) from error
    except RecursionError as error:
        raise _refused(opened.name, None, "lists or objects nested very deep", f"at most {_DEEPEST} levels") from error
    except ValueError as error:
        raise _refused(opened.name, None, "a number of thousands of digits", "readings") from error


def _is_line(line: str) -> bool:
    try:
        return isinstance(json.loads(line), dict)
    except (ValueError, RecursionError):
        return False


def _no_number(_: str) -> None:
    """NaN and infinities, which JSON does not know, are no readings."""


def _lines(opened: Opened) -> list[Any]:
    rows, faults = [], []
    for number, line in enumerate(opened.content.split(b"\n"), 1):
        if not line.strip():
            continue
        try:
            row = json.loads(line, parse_constant=_no_number)
        except (ValueError, RecursionError) as error:
            faults.append(_broken(opened.name, number, error).faults[0])
            continue
        if not isinstance(row, dict):
            faults.append(_refused(opened.name, number, quoted(line.decode()), "an object in each line").faults[0])
        rows.append(row)
    if faults:
        raise RecordError(faults[:MOST_FAULTS])
    return rows


def _broken(name: str, line: int, error: Exception) -> RecordError:
    said = error.msg.lower() if isinstance(error, json.JSONDecodeError) else "nesting or a number beyond measure"
    return _refused(name, line, f"JSON that breaks off or is damaged ({said})", "well-formed JSON")


def _refused(name: str, line: int | None, found: str, wanted: str) -> RecordError:
    return RecordError.one("record.json", Place(name, line), found=found, wanted=wanted, next_step="Export the readings again.")


def _tables(value: Any, name: str, depth: int) -> Iterator[tuple[str, Mapping[str, Sequence[object]]]]:
    """Yield each table in a document with its name: rows as objects, rows as lists, or lists by name."""
    if isinstance(value, list) and value and all(isinstance(row, dict) for row in value):
        columns = _of_objects(value)
        inner = [key for key, column in columns.items() if any(isinstance(cell, list) for cell in column)]
        if not inner:
            yield name, columns
        elif depth < _DEEPEST:
            for number, row in enumerate(value, 1):
                yield from _tables(row, _title(row) or f"{name} {number}".strip(), depth + 1)
    elif isinstance(value, list) and len(value) > 1 and all(isinstance(row, list) for row in value):
        yield from _of_lists(value, None, name)
    elif isinstance(value, dict):
        yield from _in_object(value, name, depth)


def _title(row: Mapping[str, Any]) -> str:
    """Return the first text of an object, which tells one meter from the next."""
    return next((one for one in row.values() if isinstance(one, str)), "")


def _in_object(value: Mapping[str, Any], name: str, depth: int) -> Iterator[tuple[str, Mapping[str, Sequence[object]]]]:
    lists = {key: one for key, one in value.items() if isinstance(one, list)}
    plain = {key: one for key, one in lists.items() if one and not any(isinstance(cell, dict | list) for cell in one)}
    if len(plain) > 1 and len({len(one) for one in plain.values()}) == 1:
        yield name, plain
        return
    names = next((one for one in plain.values() if all(isinstance(cell, str) for cell in one)), None)
    for key, one in value.items():
        if key not in plain and isinstance(one, list | dict) and depth < _DEEPEST:
            if names and isinstance(one, list) and one and all(isinstance(row, list) and len(row) == len(names) for row in one):
                yield from _of_lists(one, names, key)
            else:
                yield from _tables(one, key if not name or depth > 1 else name, depth + 1)


def _of_objects(rows: Sequence[Mapping[str, Any]]) -> dict[str, list[object]]:
    """Return the columns of rows of objects; an object within a row gives columns named by both."""
    columns: dict[str, list[object]] = {}
    for number, row in enumerate(rows):
        for key, cell in _flat(row):
            column = columns.setdefault(key, [])
            if len(column) > number:
                continue
            column.extend([None] * (number - len(column)))
            column.append(cell)
        if len(columns) > _MOST_NAMES:
            break
    for column in columns.values():
        column.extend([None] * (len(rows) - len(column)))
    return columns


def _flat(row: Mapping[str, Any]) -> Iterator[tuple[str, object]]:
    for key, cell in row.items():
        if isinstance(cell, dict):
            yield from ((f"{key} {inner}", one) for inner, one in cell.items())
        else:
            yield key, cell


def _of_lists(rows: Sequence[Sequence[Any]], names: Sequence[str] | None, name: str) -> Iterator[tuple[str, Mapping[str, Any]]]:
    if names is None and rows and all(isinstance(cell, str) for cell in rows[0]) and len(rows[0]) == len(set(rows[0])):
        second = rows[1] if len(rows) > 1 else rows[0]
        if not all(isinstance(cell, str) for cell in second):
            names, rows = rows[0], rows[1:]
    width = max(len(row) for row in rows)
    if width > _MOST_NAMES or any(isinstance(cell, list | dict) for row in rows for cell in row):
        return
    called = names or [f"column {i + 1}" for i in range(width)]
    yield name, {one: [row[i] if i < len(row) else None for row in rows] for i, one in enumerate(called)}
