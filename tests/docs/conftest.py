"""The documentation as the tests see it: its pages, their fenced blocks, and a folder in which the blocks run."""

import re
import shutil
from dataclasses import dataclass
from itertools import zip_longest
from pathlib import Path

import pytest

from tools.generated import PAGES

_FENCE = re.compile(r"^```(?P<language>\w*)\n(?P<text>.*?)^```$", re.MULTILINE | re.DOTALL)


@dataclass(frozen=True)
class Block:
    """One fenced block: the page and line it begins on, its language, its text, and what a ``text`` block right below it says."""

    page: str
    line: int
    language: str
    text: str
    printed: str | None

    def __str__(self) -> str:
        return f"{self.page}:{self.line}"


def written_pages(root: Path) -> dict[str, str]:
    """Name and text of every page that a person writes: README and documentation, the generated pages left out."""
    names = ["README.md", "CHANGELOG.md", *(f"docs/{path.name}" for path in sorted((root / "docs").glob("*.md")))]
    return {name: (root / name).read_text(encoding="utf-8") for name in names if name not in PAGES}


def blocks_of(page: str, text: str) -> list[Block]:
    """Return the fenced blocks of a page."""
    found = list(_FENCE.finditer(text))
    blocks = []
    for one, below in zip_longest(found, found[1:]):
        close = below is not None and below["language"] == "text" and not text[one.end() : below.start()].strip()
        line = text.count("\n", 0, one.start()) + 1
        blocks.append(Block(page, line, one["language"], one["text"], below["text"] if close else None))
    return blocks


ROOT = Path(__file__).resolve().parents[2]
BLOCKS = [block for name, text in written_pages(ROOT).items() for block in blocks_of(name, text)]


def pytest_generate_tests(metafunc: pytest.Metafunc) -> None:
    """Give a test that takes a ``toml_block``, ``python_block`` or ``console_block`` every block of that language."""
    for language in ("toml", "python", "console"):
        if f"{language}_block" in metafunc.fixturenames:
            metafunc.parametrize(f"{language}_block", [one for one in BLOCKS if one.language == language], ids=str)


@pytest.fixture(scope="session")
def pages(root: Path) -> dict[str, str]:
    """Name and text of every page that a person writes."""
    return written_pages(root)


@pytest.fixture
def desk(root: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder of its own with the examples in it, a terminal of 100 columns, and no colours."""
    shutil.copytree(root / "examples", tmp_path / "examples")
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("COLUMNS", "100")
    monkeypatch.setenv("NO_COLOR", "1")
    monkeypatch.delenv("FORCE_COLOR", raising=False)
    return tmp_path
