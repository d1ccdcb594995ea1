"""Which studies there are, what each answer came from, and whether it still stands."""

import hashlib
import importlib
import json
import multiprocessing
import sys
from collections.abc import Iterable
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass
from pathlib import Path
from typing import Any

OWN = {"__init__", "__main__", "ledger"}


def digest(path: Path) -> str:
    """SHA-256 of a file in hexadecimal; an empty text where there is no such file."""
    return hashlib.sha256(path.read_bytes()).hexdigest() if path.is_file() else ""


def is_study(path: Path, folder: Path) -> bool:
    """True for a study's module and not for what runs them."""
    return path.parent == folder and path.stem not in OWN


def is_made(path: Path, folder: Path) -> bool:
    """True for what studies are made from: the modules in folders below theirs."""
    return folder in path.parents and path.parent != folder


def answer(root: Path, package: str, name: str) -> tuple[Any, list[str]]:
    """Run one study and list the files it used; to be called in a fresh process, where nothing else is imported yet."""
    sys.path[:0] = [str(root), str(root / "src")]
    module = importlib.import_module(f"{package}.{name}")
    result = module.run()
    used = {Path(file).resolve() for loaded in list(sys.modules.values()) if (file := getattr(loaded, "__file__", None))}
    code = {
        path for path in used if root / "src" in path.parents or is_study(path, root / package) or is_made(path, root / package)
    }
    return result, sorted({path.relative_to(root).as_posix() for path in code} | set(getattr(module, "DATA", ())))


@dataclass(frozen=True)
class Ledger:
    """The studies in folder ``package`` below ``root``, and their committed answers in its folder ``results``."""

    root: Path
    package: str = "studies"

    def names(self) -> list[str]:
        """All studies, in alphabetical order."""
        return sorted(path.stem for path in (self.root / self.package).glob("*.py") if is_study(path, path.parent))

    def path(self, name: str) -> Path:
        """Where the committed answer of a study lies."""
        return self.root / self.package / "results" / f"{name}.json"

    def committed(self, name: str) -> dict[str, Any]:
        """The committed answer with the files it came from; both empty where none was committed yet."""
        path = self.path(name)
        return json.loads(path.read_text(encoding="utf-8")) if path.is_file() else {"result": None, "files": {}}

    def is_stale(self, name: str) -> bool:
        """True when a file the answer came from has changed or gone, or no answer was committed."""
        files = self.committed(name)["files"]
        return not files or self.digests(files) != files

    def digests(self, files: Iterable[str]) -> dict[str, str]:
        """SHA-256 of each file, by its path from the top folder."""
        return {file: digest(self.root / file) for file in files}

    def rerun(self, name: str) -> dict[str, Any]:
        """Run a study in a process of its own, so that the list of imported files is its own too."""
        with ProcessPoolExecutor(1, mp_context=multiprocessing.get_context("spawn")) as process:
            result, files = process.submit(answer, self.root, self.package, name).result()
        return {"result": json.loads(json.dumps(result)), "files": self.digests(files)}

    def keep(self, name: str, entry: dict[str, Any]) -> None:
        """Write a study's answer to where it is committed."""
        self.path(name).parent.mkdir(exist_ok=True)
        text = json.dumps(entry, indent=2, sort_keys=True, ensure_ascii=False, allow_nan=False)
        self.path(name).write_text(text + "\n", encoding="utf-8")
