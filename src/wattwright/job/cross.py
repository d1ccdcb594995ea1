"""What no single entry can show: ids that are used twice, and references to things that are not there.

Works on the plain data of the file, so that these faults are reported together with those of single entries.
"""

import difflib
from collections.abc import Iterator
from typing import Any

from wattwright.core.errors import Fault
from wattwright.core.quantity import Phase
from wattwright.core.specfile import SpecText
from wattwright.simulate.supply import PHASES

_KINDS = ("meters", "files", "loads", "pv", "strings")


def faults(text: SpecText) -> list[Fault]:
    """Return every id used twice, every reference that leads nowhere and every loop of meters in a job file."""
    tables = {kind: _tables(text.data, kind) for kind in _KINDS}
    control = text.data.get("control")
    switching = _switching(control, tables["loads"], text) if isinstance(control, dict) else ()
    return [
        *_twice(tables, text),
        *_references(tables, text),
        *_loops(tables["meters"], text),
        *switching,
        *_phases(tables["loads"], text),
        *_arrays(tables["strings"], len(tables["pv"]), text),
    ]


_Tables = list[tuple[int, dict[str, Any]]]


def _tables(data: dict[str, Any], kind: str) -> _Tables:
    given = data.get(kind, [])
    return [(index, one) for index, one in enumerate(given) if isinstance(one, dict)] if isinstance(given, list) else []


def _switching(control: dict[str, Any], loads: _Tables, text: SpecText) -> Iterator[Fault]:
    """Every id of a load under [control] that leads nowhere, and every id of a rule used twice."""
    known = [str(one.get("id")) for _, one in loads if "id" in one]
    named: list[tuple[Any, tuple[str | int, ...]]] = []
    for kind, entries in (("rule", ("load", "of")), ("actuator", ("load",)), ("override", ("load",))):
        for index, one in _tables(control, kind):
            named += [(one.get(entry), ("control", kind, index, entry)) for entry in entries]
    for index, one in _tables(control, "interlock"):
        named += _listed(one, "loads", ("control", "interlock", index, "loads"))
    named += _listed(control, "returns", ("control", "returns"))
    shedding = control.get("shedding")
    named += _listed(shedding if isinstance(shedding, dict) else {}, "order", ("control", "shedding", "order"))
    for given, path in named:
        if isinstance(given, str) and given and given not in known:
            yield _nowhere(given, known, text, path, "load")
    seen: set[str] = set()
    for index, one in _tables(control, "rule"):
        if isinstance(one.get("id"), str) and one["id"] in seen:
            yield _again(one["id"], "rules", text, ("control", "rule", index, "id"))
        seen.add(str(one.get("id")))


def _phases(loads: _Tables, text: SpecText) -> Iterator[Fault]:
    """Every conductor of a load or a rule that the supply does not have."""
    supply, control = text.data.get("supply"), text.data.get("control")
    system = supply.get("system") if isinstance(supply, dict) else None
    if system not in PHASES:
        return
    known = [*(str(one) for one in PHASES[system]), "total", "unknown"]
    rules = _tables(control, "rule") if isinstance(control, dict) else []
    named = [(("loads", index), one) for index, one in loads] + [(("control", "rule", index), one) for index, one in rules]
    for path, one in named:
        given = one.get("phase")
        if isinstance(given, str) and given in set(Phase) and given not in known:
            wanted = f"a conductor of a {system} supply: {', '.join(known)}"
            yield Fault("job.no-such-conductor", text.place((*path, "phase")), f'"{given}"', wanted, "Correct it, or the system.")
    island = text.data.get("island")
    for index, one in _tables(island, "protection") if isinstance(island, dict) else []:
        given = one.get("conductors")
        if isinstance(given, int) and given > len(PHASES[system]):
            wanted = f"no more line conductors than the {len(PHASES[system])} of a {system} supply"
            place = text.place(("island", "protection", index, "conductors"))
            yield Fault("job.no-such-conductor", place, str(given), wanted, "Correct it, or the system.")


def _arrays(strings: _Tables, count: int, text: SpecText) -> Iterator[Fault]:
    """Every row of strings of an array that the job lacks; one that names none is of the first."""
    for index, one in strings:
        given = one.get("array", 1)
        if isinstance(given, int) and given > count:
            path = ("strings", index, "array") if "array" in one else ("strings", index)
            wanted = (
                f"strings of arrays that are there: from 1 to {count}" if count else "a [[pv]] array that the strings belong to"
            )
            step = "Number the arrays in the order of [[pv]], from 1." if count else "Add a [[pv]] table."
            yield Fault("job.no-such-array", text.place(path), f"array {given}", wanted, step)


def _listed(table: dict[str, Any], entry: str, path: tuple[str | int, ...]) -> list[tuple[Any, tuple[str | int, ...]]]:
    given = table.get(entry, [])
    return [(one, (*path, index)) for index, one in enumerate(given)] if isinstance(given, list) else []


def _again(id_: str, kind: str, text: SpecText, path: tuple[str | int, ...]) -> Fault:
    wanted = f"an id of its own among the {kind}"
    return Fault("job.id-twice", text.place(path), f'"{id_}" again', wanted, "Choose another id.")


def _twice(tables: dict[str, _Tables], text: SpecText) -> Iterator[Fault]:
    for kind in _KINDS:
        seen: set[str] = set()
        for index, one in tables[kind]:
            id_ = one.get("id")
            if isinstance(id_, str) and id_ in seen:
                yield _again(id_, kind, text, (kind, index, "id"))
            seen.add(str(id_))


def _references(tables: dict[str, _Tables], text: SpecText) -> Iterator[Fault]:
    links = (
        ("meters", "behind", "meters"),
        ("files", "meter", "meters"),
        ("loads", "meter", "meters"),
        ("pv", "meter", "meters"),
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
