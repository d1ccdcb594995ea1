"""The documentation is whole: nothing that exists is missing from it, and nothing in it is missing from the program."""

import re
from pathlib import Path

import pytest
import typer

from tools import findings_page, generated, validation
from wattwright.checks.registry import all_checks
from wattwright.cli.main import app
from wattwright.core.basis import Basis
from wattwright.core.errors import WattwrightError

_OPTION = re.compile(r"(?<![\w-])--[a-z][a-z-]+")
_LINK = re.compile(r"\]\(([^)\s]+)\)")


@pytest.fixture(scope="module")
def verbs() -> dict:
    """Every verb of the command line."""
    return typer.main.get_command(app).commands


def headings(text: str) -> set[str]:
    """The anchors that a page's headings get."""
    plain = (re.sub(r"[^\w\s-]", "", line).strip().lower() for line in re.findall(r"^#+ (.+)$", text, re.MULTILINE))
    return {re.sub(r"[\s-]+", "-", one) for one in plain}


def test_generated_pages_are_fresh(capsys: pytest.CaptureFixture) -> None:
    """The committed pages are what the program gives today."""
    assert generated.main(["--check"]) == 0, capsys.readouterr().out


def test_every_page_is_in_the_menu(root: Path) -> None:
    """mkdocs.yml names every page of the documentation."""
    menu = (root / "mkdocs.yml").read_text(encoding="utf-8")
    assert [path.name for path in (root / "docs").glob("*.md") if f": {path.name}" not in menu] == []


def test_every_verb_is_told(root: Path, pages, verbs) -> None:
    """Each verb stands on the page of the command line, with every option, and in a page that a person wrote."""
    page = (root / "docs/command-line.md").read_text(encoding="utf-8")
    written = "\n".join(pages.values())
    for name, command in verbs.items():
        section = page.partition(f"## wattwright {name}\n")[2].partition("\n## ")[0]
        options = [flag for parameter in command.params for flag in parameter.opts if flag.startswith("--")]
        assert [flag for flag in options if f"`{flag}`" not in section] == []
        assert re.search(rf"(?:wattwright|make) {name}\b", written), name


def test_every_option_told_exists(pages, verbs) -> None:
    """No page names an option that no verb has."""
    known = {flag for command in verbs.values() for parameter in command.params for flag in parameter.opts}
    known |= {"--help", "--version"}
    told = {(name, flag) for name, text in pages.items() for flag in _OPTION.findall(text)}
    assert {one for one in told if one[1] not in known} == set()


def test_every_reading_option_is_explained(pages, verbs) -> None:
    """The page about files that are not understood takes up each option that says how to read one."""
    flags = {flag for parameter in verbs["record"].params for flag in parameter.opts if flag.startswith("--")} - {"--json"}
    assert {flag for flag in flags if f"`{flag}" not in pages["docs/reading-files.md"]} == set()


def test_every_finding_has_its_place(root: Path) -> None:
    """Each kind of finding that the package defines is on the page of findings with all its sentences."""
    page = (root / "docs/findings.md").read_text(encoding="utf-8")
    sources = [path.read_text(encoding="utf-8") for path in (root / "src").rglob("*.py")]
    defined = {code for text in sources for code in re.findall(r'= define\(\s*"([\w.-]+)"', text)}
    assert len(defined) >= 37
    assert {code for code in defined if f"### {code}\n" not in page} == set()
    assert {kind.code for kind in findings_page.every_kind()} == defined


def test_a_sentence_shows_its_values() -> None:
    """Values of a template stand as words in italics, whatever the way they are shown."""
    assert findings_page.shown("{missing:count} of {other_breaks:count} {unit}") == "*missing* of *other breaks* *unit*"


def test_every_error_is_in_the_tree(pages) -> None:
    """The architecture page names every class of the error family."""

    def family(one: type) -> set[str]:
        return {one.__name__}.union(*(family(below) for below in one.__subclasses__()))

    assert {name for name in family(WattwrightError) if name not in pages["docs/architecture.md"]} == set()


def test_every_basis_mark_is_explained(pages) -> None:
    """Each mark has a row on the page about marks."""
    assert [mark.value for mark in Basis if f"| {mark.value} | " not in pages["docs/basis.md"]] == []


def test_links_lead_somewhere(root: Path, pages) -> None:
    """Every link within the project names a file that is there and, behind "#", a heading of it."""
    broken = []
    for name, text in pages.items():
        for target in _LINK.findall(text):
            file, _, anchor = target.partition("#")
            path = (root / name).parent / file if file else root / name
            if "://" in target or (path.exists() and (not anchor or anchor in headings(path.read_text(encoding="utf-8")))):
                continue
            broken.append((name, target))
    assert broken == []


def test_validation_page_holds_every_check(root: Path) -> None:
    """Each registered check has a row, under the heading of its room, and the page counts them."""
    page = (root / "docs/validation.md").read_text(encoding="utf-8")
    checks = all_checks()
    assert f"of {len(checks)} checks hold." in page
    assert [one.id for one in checks if f"| {one.what.replace('|', '/')} | " not in page] == []
    assert {one.id.partition(".")[0] for one in checks} <= set(validation.ROOMS)
