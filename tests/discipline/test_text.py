"""What may not stand in the project's files, whatever they hold."""

import ast
import re
from itertools import pairwise

import pytest

# Each pattern is written so that it does not match itself.
PLACES = {
    "a package registry": r"py[p]i\.org|python[h]osted|np[m]js\.|--(?:extra-)?inde[x]-url|--find-[l]inks|/simp[l]e/",
    "a folder of one machine": r"(?<![\w.~*)}\]])/(?:hom[e]|User[s]|roo[t]|wor[k]|tm[p]|op[t]|mn[t])/\w",
}
LEFTOVER = re.compile(r"\b(?:TOD[O]|FIXM[E]|XX[X])\b|^(?:<{7}|>{7}) ")
SILENCER = re.compile(
    r"NotImplemente[d]Error|xfai[l]\(|pytest\.ski[p]\b|mark\.ski[p]"
    r"|typ[e]: ignore(?:\[[\w, -]*\])?|noq[a](?:: ?[\w, ]*\d)?|n[o] cover"
)
REASON = re.compile(r"#[^#]*[a-z]{2,}(?: \S+){2,}")


def found(pattern, tracked, suffix="") -> list[str]:
    """File, line number and line of each match."""
    return [
        f"{name}:{number}: {line.strip()}"
        for name, text in tracked.items()
        if name.endswith(suffix)
        for number, line in enumerate(text.splitlines(), 1)
        if re.search(pattern, line)
    ]


def lacks_reason(line: str) -> bool:
    """True where a line silences something without a comment of three words or more behind it."""
    silencer = SILENCER.search(line)
    return silencer is not None and not REASON.search(line, silencer.end())


@pytest.mark.parametrize("what", PLACES)
def test_no_place_of_one_machine(tracked, what: str) -> None:
    """No tracked file names a package registry or an absolute path: the project works wherever it is put."""
    assert found(PLACES[what], tracked) == []


def test_nothing_left_over(tracked) -> None:
    """No note of unfinished work, and no mark of a merge that was not finished, stands in a tracked file."""
    assert found(LEFTOVER, tracked) == []


def test_silenced_with_reason(tracked) -> None:
    """What is skipped, silenced or left out says why on the same line."""
    lines = found(SILENCER, tracked, ".py")
    assert [line for line in lines if lacks_reason(line)] == []


@pytest.mark.parametrize(
    ("line", "lacking"),
    [
        ("value = read(text)", False),
        ("value = read(text)  # typ" + "e: ignore[no-any-return]", True),
        ("value = read(text)  # no" + "qa: E501", True),
        ("value = read(text)  # typ" + "e: ignore[no-any-return]  # the library has no types", False),
    ],
)
def test_reason_is_recognised(line: str, lacking: bool) -> None:
    """A rule's code alone is no reason; a comment behind it is one."""
    assert lacks_reason(line) is lacking


def is_text(node) -> bool:
    """True for a string literal, with or without fields to fill in."""
    return isinstance(node, ast.JoinedStr) or (isinstance(node, ast.Constant) and isinstance(node.value, str))


def slips(tree) -> list[int]:
    """Lines on which an exception is raised with two string literals side by side; functions that build one may take several."""
    calls = [node.exc for node in ast.walk(tree) if isinstance(node, ast.Raise) and isinstance(node.exc, ast.Call)]
    calls = [call for call in calls if ast.unparse(call.func).split(".")[-1][:1].isupper()]
    return [call.lineno for call in calls if any(is_text(a) and is_text(b) for a, b in pairwise(call.args))]


def test_message_is_one_string(package) -> None:
    """No exception is raised with two strings side by side: a comma between halves of a message makes a tuple of it."""
    assert [f"{module.name}:{line}" for module in package for line in slips(module.tree)] == []


def test_slip_is_recognised() -> None:
    """Two halves with a comma between are found, halves that Python joins are not."""
    assert slips(ast.parse('raise ValueError("no step", f"in {name}")')) == [1]
    assert slips(ast.parse('raise ValueError("no step " f"in {name}")')) == []


def test_constraints_are_names_and_versions(tracked) -> None:
    """constraints.txt pins exact versions and holds no address, option or path."""
    odd = [line for line in tracked["constraints.txt"].splitlines() if not re.fullmatch(r"[\w.-]+==[\w.+!]+", line)]
    assert odd == []
