"""Series: one entry that stands for many alike, such as a breaker in eleven ratings and three curves.

A person writes what is common once and what differs as lists; each combination becomes an entry of its own, with the line of
what it came from, so that a fault still says where it stands.
"""

import re
from collections.abc import Iterator
from itertools import product
from typing import Any

from wattwright.core.errors import Fault, InputError
from wattwright.core.specfile import SpecText, dotted

MOST = 2000
"""Entries a single series may stand for; a slip of the pen makes more."""

_Path = tuple[str | int, ...]


def without_series(source: SpecText) -> SpecText:
    """Return a file with the entries that its series stand for after those it lists.

    Raises InputError with every fault of the series themselves; what they stand for is judged with all other entries.
    """
    entries = list(source.data.get("equipment", []))
    lines = dict(source.lines)
    faults: list[Fault] = []
    for number, series in enumerate(source.data.get("series", [])):
        path: _Path = ("series", number)
        if fault := _wrong(series, source, path):
            faults.append(fault)
            continue
        for entry in _entries(series):
            lines.update(_lines_of(source, path, ("equipment", len(entries))))
            entries.append(entry)
    if faults:
        raise InputError(faults)
    rest = {name: value for name, value in source.data.items() if name not in ("series", "equipment")}
    return SpecText(source.name, source.text, {**rest, "equipment": entries}, lines)


def _wrong(series: Any, source: SpecText, path: _Path) -> Fault | None:
    """Return what is wrong with a series itself."""

    def fault(where: _Path, found: str, wanted: str, step: str) -> Fault:
        return Fault("equipment.series", source.place((*path, *where)), found, wanted, step)

    if not isinstance(series, dict) or set(series) != {"each", "of"}:
        return fault((), "a series of another form", 'two tables, "each" and "of"', "Write what differs in each, the rest in of.")
    each, of = series["each"], series["of"]
    if not isinstance(of, dict) or not isinstance(of.get("id"), str) or not isinstance(of.get("name"), str):
        return fault(("of",), "no id or no name", "an id and a name", "Write what differs in braces, such as breaker-{rated}.")
    lists = isinstance(each, dict) and each and all(isinstance(one, list) and one for one in each.values())
    if not lists:
        return fault(("each",), "no lists", "a list for every entry that differs", 'Write for example rated = ["6 A", "10 A"].')
    count = 1
    for one in each.values():
        count *= len(one)
    if count > MOST:
        return fault(("each",), f"{count} combinations", f"at most {MOST}", "Part the series.")
    missing = [name for name in each if f"{{{name}}}" not in of["id"]]
    if missing:
        return fault(("of", "id"), dotted(("id",)), f"{{{missing[0]}}} in the id", "Else two of the series have one id.")
    return None


def _entries(series: dict[str, Any]) -> Iterator[dict[str, Any]]:
    names = list(series["each"])
    for values in product(*series["each"].values()):
        chosen = dict(zip(names, values, strict=True))
        entry: dict[str, Any] = {}
        for name, value in {**series["of"], **chosen}.items():
            _put(entry, name, value)
        entry["id"] = _slug(_filled(series["of"]["id"], chosen))
        entry["name"] = _filled(series["of"]["name"], chosen)
        yield entry


def _put(entry: dict[str, Any], name: str, value: Any) -> None:
    """Put a value in its place: ``coil.voltage`` goes into the table ``coil``."""
    *tables, last = name.split(".")
    for table in tables:
        kept = entry.get(table)
        entry[table] = dict(kept) if isinstance(kept, dict) else {}
        entry = entry[table]
    entry[last] = value


def _filled(text: str, chosen: dict[str, Any]) -> str:
    for name, value in chosen.items():
        text = text.replace(f"{{{name}}}", str(value))
    return text


def _slug(text: str) -> str:
    return re.sub(r"[^a-z0-9-]+", "", text.lower().replace(".", "-"))


def _lines_of(source: SpecText, series: _Path, entry: _Path) -> dict[_Path, int]:
    """Return the lines of an entry: those of what its series says."""
    found: dict[_Path, int] = {entry: source.lines[series]}
    for part in ("each", "of"):
        head = (*series, part)
        for path, line in source.lines.items():
            if path[: len(head)] == head and len(path) > len(head):
                names = str(path[len(head)]).split(".")
                found[(*entry, *names, *(path[len(head) + 1 :] if part == "of" else ()))] = line
    return found
