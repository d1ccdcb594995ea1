"""Frozen results on disk beside the job, found again by the fingerprint of what they were made from."""

import hashlib
from dataclasses import dataclass
from pathlib import Path
from typing import TypeVar

from wattwright.core.errors import InputError
from wattwright.core.files import write_bytes
from wattwright.core.frozen import pack, unpack

Result = TypeVar("Result")
FOLDER = ".wattwright"


@dataclass(frozen=True, slots=True)
class Shelf:
    """Where results lie: a folder, or None to keep nothing on disk."""

    folder: Path | None

    def find(self, stage: str, fingerprint: str, kind: type[Result]) -> Result | None:
        """Return the result of ``stage`` made from exactly these inputs, or None; a damaged one counts as none."""
        path = self._path(stage, fingerprint)
        if path is None or not path.is_file():
            return None
        try:
            return unpack(path.read_bytes(), kind)
        except (InputError, OSError):
            return None

    def keep(self, stage: str, fingerprint: str, result: object) -> None:
        """Store ``result`` and drop what the stage had made from other inputs. Raises FileError when it cannot be written."""
        path = self._path(stage, fingerprint)
        if path is None:
            return
        write_bytes(path, pack(result))
        for other in path.parent.glob(f"{stage}.*.zip"):
            if other != path:
                other.unlink(missing_ok=True)

    def holds(self, stage: str, fingerprint: str) -> str:
        """Return the SHA-256 of what lies here for ``stage`` made from exactly these inputs; empty where nothing does."""
        path = self._path(stage, fingerprint)
        try:
            return "" if path is None else hashlib.sha256(path.read_bytes()).hexdigest()
        except OSError:
            return ""

    def has_other(self, stage: str, fingerprint: str) -> bool:
        """Return whether only results made from other inputs lie here: the stage is stale."""
        path = self._path(stage, fingerprint)
        return path is not None and not path.is_file() and any(path.parent.glob(f"{stage}.*.zip"))

    def _path(self, stage: str, fingerprint: str) -> Path | None:
        return None if self.folder is None else self.folder / FOLDER / f"{stage}.{fingerprint[:24]}.zip"
