"""The project's own files, read once for all tests about how they are written."""

import ast
import subprocess
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path

import pytest


@dataclass(frozen=True)
class Module:
    """One Python file: its place below the project's top folder, its text and its syntax tree."""

    name: str
    text: str
    tree: ast.Module

    @classmethod
    def read(cls, root: Path, path: Path) -> "Module":
        text = path.read_text(encoding="utf-8")
        return cls(path.relative_to(root).as_posix(), text, ast.parse(text))

    def functions(self) -> list[ast.FunctionDef | ast.AsyncFunctionDef]:
        """All functions and methods, nested ones included."""
        return [node for node in ast.walk(self.tree) if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef)]


@pytest.fixture(scope="session")
def package(root: Path) -> list[Module]:
    """Every module of the package."""
    return [Module.read(root, path) for path in sorted((root / "src" / "wattwright").rglob("*.py"))]


@pytest.fixture(scope="session")
def tests(root: Path) -> list[Module]:
    """Every test module."""
    return [Module.read(root, path) for path in sorted((root / "tests").rglob("test_*.py"))]


@pytest.fixture(scope="session")
def tracked_names(root: Path) -> list[str]:
    """Path of every tracked file that is still there, from the top folder."""
    listed = subprocess.run(["git", "ls-files", "-z"], cwd=root, capture_output=True, text=True, check=True).stdout
    return [name for name in listed.split("\0") if name and (root / name).is_file()]


@pytest.fixture(scope="session")
def tracked(root: Path, tracked_names: list[str]) -> dict[str, str]:
    """Name and text of every tracked text file; pictures, typefaces and other binary files are left out."""
    texts = {}
    for name in tracked_names:
        with suppress(UnicodeDecodeError):
            texts[name] = (root / name).read_text(encoding="utf-8")
    return texts
