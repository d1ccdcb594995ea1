"""The words and names of the project: each meant once, none missing, and the code keeps to them."""

import ast
import re
from collections import defaultdict
from pathlib import Path

import pytest

from wattwright.core.basis import WORDS
from wattwright.core.findings import Severity
from wattwright.core.glossary import as_markdown, names, terms
from wattwright.core.quantity import Quantity
from wattwright.core.units import EXAMPLES

# Endings by which people write units; one of these that the glossary does not list is a name outside it.
UNITS = {
    "w", "kw", "mw", "va", "kva", "var", "kvar", "wh", "kwh", "mwh", "kvarh", "v", "mv", "kv", "a", "ma", "s", "sec", "ms", "min",
    "h", "hr", "hours", "minutes", "seconds", "d", "deg", "degc", "degf", "c", "f", "k", "m", "mm", "cm", "m2", "mm2", "m3", "l",
    "px", "pt", "hz", "pct", "percent", "share", "ratio", "factor", "watts", "volts", "amps", "bytes",
}  # fmt: skip
SAME = [{"w", "kw"}, {"va", "kva"}, {"wh", "kwh"}, {"s", "min", "h"}, {"share", "pct", "factor"}, {"kvar", "var"}]
"""Units of one kind of quantity; a stem may stand before one of them only."""

TWO_UNITS = {
    "sunrise": "minutes of the day in the demo's model, hours on a picture's axis",
    "sunset": "minutes of the day in the demo's model, hours on a picture's axis",
    "flow_l": "published draws are in litres a minute, those of the engine's steps in litres a second",
    "offset": "a stamp's offset from UTC in seconds; in the demo's model the day's offset in minutes",
}
"""Stems that stand before two units today, and why."""
WORDLIKE = {"volts_amps"}
"""Names that end like a unit but hold no quantity."""


def public_names(text: str) -> set[str]:
    """Parameters of public functions and methods, and fields of public classes, in the source of a module."""
    found = set()
    for node in ast.parse(text).body:
        inside = node.body if isinstance(node, ast.ClassDef) and not node.name.startswith("_") else []
        for one in [node, *inside]:
            if isinstance(one, ast.FunctionDef) and not one.name.startswith("_"):
                found |= {given.arg for given in [*one.args.posonlyargs, *one.args.args, *one.args.kwonlyargs]}
            elif isinstance(one, ast.AnnAssign) and one in inside and isinstance(one.target, ast.Name):
                found.add(one.target.id)
    return {name for name in found if not name.startswith("_")} - WORDLIKE


@pytest.fixture(scope="module")
def used(root: Path) -> dict[str, str]:
    """Every public name of the package and one module in which it stands."""
    return {
        name: path.relative_to(root).as_posix()
        for path in (root / "src").rglob("*.py")
        for name in public_names(path.read_text(encoding="utf-8"))
    }


def test_names_follow_the_list(used) -> None:
    """A public name that ends like a unit ends in one of the glossary, or is in it as a whole."""
    known = {one.name for one in names()}
    endings = {name: name.rpartition("_")[2] for name in used if "_" in name}
    outside = {name: used[name] for name, end in endings.items() if end in UNITS and f"_{end}" not in known and name not in known}
    assert outside == {}


def test_no_quantity_has_two_names(used) -> None:
    """No stem stands before two units of one kind: a power is either _w or _kw, never now this and now that."""
    stems = defaultdict(set)
    for name in used:
        stem, _, end = name.rpartition("_")
        stems[stem].add(end)
    twice = {stem for stem, ends in stems.items() if stem for kind in SAME if len(ends & kind) > 1}
    assert twice == set(TWO_UNITS)


def test_listed_names_are_used_and_agree(used) -> None:
    """Every name and ending of the list occurs in the code, and a whole name has the unit of its ending."""
    listed = {one.name: one for one in names()}
    unused = [name for name in listed if not (name in used or (name[0] == "_" and any(one.endswith(name) for one in used)))]
    wrong = [
        one.name for one in listed.values() if one.name[0] != "_" for end in listed if end[0] == "_" and one.name.endswith(end)
        if one.unit != listed[end].unit
    ]  # fmt: skip
    assert (unused, wrong) == ([], [])
    whole = [one.meaning for one in names() if one.name[0] != "_"]
    assert len(set(whole)) == len(whole)


def test_a_name_outside_the_list_is_seen() -> None:
    """Parameters and fields are found, private ones and locals are not."""
    text = "def f(power_kw, *, step_s): x_h = 1\nclass C:\n    heat_w: float\n    _own_w: float\n    def m(self, gap_min): pass\n"
    text += "def _hidden(a_w): pass\nlimit_w: float = 1\n"
    assert public_names(text) == {"power_kw", "step_s", "heat_w", "gap_min", "self"}


def test_terms_are_whole() -> None:
    """Each term has a meaning in words without a full stop, and none is defined by an empty text."""
    assert [one.word for one in terms() if len(one.meaning) < 10 or one.meaning.endswith(".")] == []
    assert len({one.meaning for one in terms()}) == len(terms())


def test_the_words_of_the_program_are_explained() -> None:
    """Severities, quantities and what a job, a tariff and a bill are made of all have an entry."""
    known = {one.word for one in terms()}
    wanted = {*(one.value for one in Severity), *(one.value for one in Quantity)}
    wanted |= {"fixed charge", "energy charge", "demand charge", "ratchet", "reactive energy", "export", "levy", "block"}
    wanted |= {"job", "record", "channel", "interval", "reading", "tariff", "bill", "load", "rule", "supply", "meter", "basis"}
    assert wanted - known == set()
    meaning = next(one.meaning for one in terms() if one.word == "basis")
    assert [mark for mark, word in WORDS.items() if f"{mark.value} {word.split()[0]}" not in meaning] == []


def test_page_holds_everything() -> None:
    """The page has one row for each term and one for each name."""
    page = as_markdown()
    assert [one.word for one in terms() if not re.search(rf"^\| {re.escape(one.word)}[ |(]", page, re.MULTILINE)] == []
    assert [one.name for one in names() if f"| `{one.name}` | {one.unit} |" not in page] == []


def test_units_people_write_have_an_ending() -> None:
    """Each unit a person may write and the code holds has its ending."""
    held = {one.unit for one in names()} | {"delta_degC"}
    assert {unit for unit in EXAMPLES if unit not in held} == set()
