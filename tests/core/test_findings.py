"""Findings are data; every sentence of every kind can be made from the data its code gives."""

import ast
import importlib
import pkgutil
from dataclasses import dataclass
from datetime import date
from functools import cache
from string import Formatter

import pytest

import wattwright
from wattwright.core import wording
from wattwright.core.errors import OwnFault
from wattwright.core.findings import Finding, FindingKind, Severity, define, gravest_first, kinds
from wattwright.core.show import Show

SAMPLES = {
    "text": "Some text", "count": 3, "number": 1.5, "plain": 63.0, "power": 1500.0, "apparent": 1500.0, "rating": 15000.0,
    "kilowatts": 1500.0, "energy": 2.5, "size": 26.0, "percent": 0.5,
    "completeness": 0.5, "temperature": 20.0, "duration": 3600, "time": 1_700_000_000, "day": date(2025, 1, 1),
}  # fmt: skip


def rooms_with_kinds():
    """Names of the modules that register kinds of finding."""
    return [one.name for one in pkgutil.walk_packages(wattwright.__path__, "wattwright.") if one.name.endswith(".kinds")]


def places(template):
    """Value name and way of showing of each field of a template."""
    return [(name, way or "text") for _, name, way, _ in Formatter().parse(template) if name is not None]


def kinds_in(node, called):
    """Names of the kinds an expression may stand for: kinds.A, or kinds.A if ... else kinds.B."""
    inner = [one for one in ast.walk(node) if isinstance(one, ast.Attribute) and isinstance(one.value, ast.Name)]
    return {one.attr for one in inner if one.value.id in called}


@dataclass(frozen=True)
class Source:
    """What one file says that may bear on findings: its imports, its assignments to a name, its calls of ``at``."""

    imports: list[ast.ImportFrom]
    assigned: list[ast.Assign]
    calls: list[ast.Call]


@cache
def sources(root):
    """Every file of the package, read and parsed once for all rooms: that takes longer than all that is asked of it."""
    return [source_of(ast.parse(path.read_text(encoding="utf-8"))) for path in (root / "src").rglob("*.py")]


def source_of(tree):
    """Imports, assignments and calls of a syntax tree."""
    nodes = list(ast.walk(tree))
    calls = [one for one in nodes if isinstance(one, ast.Call) and isinstance(one.func, ast.Attribute) and one.func.attr == "at"]
    assigned = [one for one in nodes if isinstance(one, ast.Assign) and is_name(one.targets[0])]
    return Source([one for one in nodes if isinstance(one, ast.ImportFrom)], assigned, calls)


def given_by_code(files, module):
    """For each kind of a room: the sets of value names that files pass, read from the source without running it."""
    found = {}
    for file in files:
        called = names_of(module, file.imports)
        if not called:
            continue
        held = {one.targets[0].id: kinds_in(one.value, called) for one in file.assigned}
        for call in file.calls:
            owner = call.func.value
            for name in held.get(owner.id, ()) if is_name(owner) else kinds_in(owner, called):
                found.setdefault(name, []).append({keyword.arg for keyword in call.keywords})
    return found


def names_of(module, imports):
    """The names by which a file calls the module of kinds."""
    place, _, name = module.rpartition(".")
    aliases = [alias for one in imports if one.module == place for alias in one.names if alias.name == name]
    return {alias.asname or alias.name for alias in aliases}


def is_name(node):
    return isinstance(node, ast.Name)


def test_there_are_rooms_with_kinds():
    """The search for kinds finds the rooms that have them, so the tests below look at something."""
    assert {"wattwright.record.kinds", "wattwright.demand.kinds", "wattwright.tariff.kinds"} <= set(rooms_with_kinds())


@pytest.mark.parametrize("module", rooms_with_kinds())
def test_every_kind_is_used_and_can_be_said(root, module):
    """Each kind of a room is given somewhere, with every value its three texts name, and each text can be formatted."""
    room = importlib.import_module(module)
    used = given_by_code(sources(root), module)
    constants = {name: kind for name, kind in vars(room).items() if isinstance(kind, FindingKind)}
    assert set(used) == set(constants)
    for name, kind in constants.items():
        texts = [wording.template(key) for key in (kind.code, f"{kind.code}.why", f"{kind.code}.do")]
        wanted = {field for text in texts for field, _ in places(text)}
        for passed in used[name]:
            assert wanted <= passed, f"{name} says {wanted - passed} and is not given it"
            assert passed <= wanted, f"{name} is given {passed - wanted} and says nothing of it"
        sample = {field: SAMPLES[way] for text in texts for field, way in places(text)}
        finding = kind.at("somewhere", **sample)
        for sentence in (finding.says(Show()), finding.why(Show("de_DE")), finding.do(Show())):
            assert sentence[0].isupper() or sentence[0].isdigit()
            assert sentence.endswith(".")
            assert "{" not in sentence


def test_codes_are_named_for_their_room():
    """A code begins with its room and has small letters, digits and hyphens."""
    for module in rooms_with_kinds():
        importlib.import_module(module)
    codes = [kind.code for kind in kinds()]
    assert codes == sorted(codes)
    rooms = {module.split(".")[1] for module in rooms_with_kinds()}
    ours = [code for code in codes if not code.startswith("test.")]
    assert {code.split(".")[0] for code in ours} == rooms


KIND = define(
    "test.warm",
    Severity.LOOK,
    says="{count:count} of {rooms:text} are at {t:temperature}.",
    why="Because.",
    do="Open a window.",
    source="nobody",
)


def test_finding_is_said_in_the_way_of_its_reader():
    """One finding, two readers: units and marks are the reader's, the data stay as they were."""
    finding = KIND.at("upstairs", count=1200, rooms="rooms", t=20.0)
    assert finding.says(Show()) == "1,200 of rooms are at 20.0\N{NARROW NO-BREAK SPACE}°C."
    assert finding.says(Show("de_DE", "US")) == "1.200 of rooms are at 68,0\N{NARROW NO-BREAK SPACE}°F."  # 20 * 1.8 + 32
    assert finding.as_json(Show()) == {
        "code": "test.warm",
        "severity": "look",
        "where": "upstairs",
        "says": finding.says(Show()),
        "why": "Because.",
        "do": "Open a window.",
        "source": "nobody",
    }


def test_code_is_taken_once():
    """The same kind may be defined again, word for word; another under its code, or another text, is a fault of ours."""
    texts = {"says": "{count:count} of {rooms:text} are at {t:temperature}.", "why": "Because.", "do": "Open a window."}
    assert define("test.warm", Severity.LOOK, **texts, source="nobody") == KIND
    with pytest.raises(OwnFault, match=r"test\.warm"):
        define("test.warm", Severity.STOP, **texts, source="nobody")
    with pytest.raises(OwnFault, match="two texts"):
        define("test.warm", Severity.LOOK, **{**texts, "why": "Otherwise."}, source="nobody")


def test_gravest_come_first_in_the_order_given():
    """Stops before looks before notes; equals keep their order."""
    given = [Finding(f"x{i}", severity, "") for i, severity in enumerate([*Severity, *reversed(Severity)])]
    assert [one.code for one in gravest_first(tuple(given))] == ["x0", "x5", "x1", "x4", "x2", "x3"]


def test_another_language_lies_over_english():
    """A language of its own says what it has; what it lacks is said in English; its keys are its own."""
    wording.register("xq", {"test.warm": "Velu {t:temperature}, {count:count}!"})
    finding = KIND.at("", count=1, rooms="r", t=1.0)
    reader = Show("xq_XQ")
    assert reader.language == "xq"
    # The made-up language has no CLDR numbers, so its template is shown with those of a real one.
    assert wording.template("test.warm", "xq") == "Velu {t:temperature}, {count:count}!"
    assert finding.do(reader) == "Open a window."
    assert wording.keys("xq") == {"test.warm"}
    assert wording.keys() >= {"test.warm"}
    assert wording.keys("zz") == frozenset()
    wording.register("de", {"test.warm": "{count:count} bei {t:temperature}."})
    assert finding.says(Show("de_DE")) == "1 bei 1,00\N{NARROW NO-BREAK SPACE}°C."


def test_key_without_text_is_a_fault_of_ours():
    """Nobody is shown a bare key."""
    with pytest.raises(OwnFault, match=r'no text for "test\.nothing"'):
        wording.template("test.nothing")


def test_plain_field_is_shown_as_text():
    """A field without a way is text."""
    wording.register("en", {"test.plain": "It is {what}."})
    assert wording.say("test.plain", {"what": 3}, Show()) == "It is 3."
