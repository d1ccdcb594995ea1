"""What no single entry can show: ids that are used twice, and references to things that are not there.

Works on the plain data of the file, so that these faults are reported together with those of single entries.
"""

import difflib
from collections.abc import Iterator
from typing import Any

from wattwright.core.errors import Fault
from wattwright.core.specfile import SpecText

_KINDS = ("meters", "files", "loads", "rules")


def faults(text: SpecText) -> list[Fault]:
    """Return every id used twice, every reference that leads nowhere and every loop of meters in a job file."""
    tables = {kind: _tables(text, kind) for kind in _KINDS}
    return [*_twice(tables, text), *_references(tables, text), *_loops(tables["meters"], text)]


_Tables = list[tuple[int, dict[str, Any]]]


def _tables(text: SpecText, kind: str) -> _Tables:
    given = text.data.get(kind, [])
    return [(index, one) for index, one in enumerate(given) if isinstance(one, dict)] if isinstance(given, list) else []


def _twice(tables: dict[str, _Tables], text: SpecText) -> Iterator[Fault]:
    for kind in _KINDS:
        seen: set[str] = set()
        for index, one in tables[kind]:
            id_ = one.get("id")
            if isinstance(id_, str) and id_ in seen:
                place = text.place((kind, index, "id"))
                yield Fault("job.id-twice", place, f'"{id_}" again', f"an id of its own among the {kind}", "Choose another id.")
            seen.add(str(id_))


def _references(tables: dict[str, _Tables], text: SpecText) -> Iterator[Fault]:
    links = (
        ("meters", "behind", "meters"),
        ("files", "meter", "meters"),
        ("loads", "meter", "meters"),
        ("rules", "load", "loads"),
    )
    for kind, entry, target in links:
        known = [str(one.get("id")) for _, one in tables[target] if "id" in one]
        for index, one in tables[kind]:
            given = one.get(entry)
            if isinstance(given, str) and given and given not in known:
                yield _nowhere(given, known, text, (kind, index, entry), target.removesuffix("s"))


def _nowhere(given: str, known: list[str], text: SpecText, path: tuple[str | int, ...], what: str) -> Fault:
    near = difflib.get_close_matches(given, known, n=1)
    step = f"Did you mean {near[0]}?" if near else f"Add that {what}, or correct the id."
    wanted = f"the id of a {what}: {', '.join(known) or 'there is none yet'}"
    return Fault("job.no-such-id", text.place(path), f'"{given}"', wanted, step)


def _loops(meters: _Tables, text: SpecText) -> Iterator[Fault]:
    behind = {str(one.get("id")): str(one.get("behind", "")) for _, one in meters}
    for index, one in meters:
        id_, at = str(one.get("id")), str(one.get("behind", ""))
        for _ in range(len(behind)):
            if at == id_:
                place = text.place(("meters", index, "behind"))
                yield Fault(
                    "job.meter-loop", place, f'"{one["behind"]}"', "meters that form a tree", "This meter is behind itself."
                )
                break
            at = behind.get(at, "")
