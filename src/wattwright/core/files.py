"""Files read whole and written whole: a partial result never lies over a good one."""

import hashlib
import os
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

from wattwright.core.errors import FileError, Place


@dataclass(frozen=True, slots=True)
class SourceFile:
    """The original of something that was read: its name, size in bytes and SHA-256."""

    name: str
    size_bytes: int
    sha256: str


def read_bytes(path: Path) -> bytes:
    """Return the bytes of ``path``; raises FileError when it is missing, a folder, no file that has an end, or unreadable."""
    if path.exists() and not (path.is_file() or path.is_dir()):
        raise _unreadable(path, OSError(0, "a pipe or a device, which has no end"))
    try:
        return path.read_bytes()
    except OSError as error:
        raise _unreadable(path, error) from error


def source_of(path: Path, content: bytes) -> SourceFile:
    """Return what identifies the original ``content`` read from ``path``."""
    return SourceFile(path.name, len(content), hashlib.sha256(content).hexdigest())


def _unreadable(path: Path, error: OSError) -> FileError:
    place = Place(file=str(path))
    if isinstance(error, FileNotFoundError):
        found, step = "no such file", "Check the name and the folder."
    elif isinstance(error, IsADirectoryError):
        found, step = "a folder", "Name a file inside it."
    else:
        found, step = (error.strerror or "an unreadable file").lower(), "Check that you may read it."
    return FileError.one("file.unreadable", place, found=found, wanted="a file that can be read", next_step=step)


def unwritable(path: Path, error: OSError) -> FileError:
    """Return what a person is told where ``path`` cannot be written."""
    return FileError.one(
        "file.unwritable",
        Place(file=str(path)),
        found=(error.strerror or "a refusal").lower(),
        wanted="a place that can be written to",
        next_step="What stood there is as it was; choose another folder or free some space.",
    )


@contextmanager
def replacing(path: Path) -> Iterator[Path]:
    """Yield a temporary path beside ``path`` that takes its place when the block ends well.

    On any exception the temporary file is removed and what stood at ``path`` stays as it was.
    Raises FileError when the folder cannot be written.
    """
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        handle, name = tempfile.mkstemp(prefix=f".{path.name[:40]}.", suffix=path.suffix, dir=path.parent)
        os.close(handle)
    except OSError as error:
        raise unwritable(path, error) from error
    part = Path(name)
    try:
        yield part
        with part.open("rb") as written:
            os.fsync(written.fileno())
        # mkstemp makes files private to the user; a handed-over paper has the usual rights instead.
        part.chmod(0o666 & ~_umask())
        part.replace(path)
    except OSError as error:
        raise unwritable(path, error) from error
    finally:
        part.unlink(missing_ok=True)


def _umask() -> int:
    mask = os.umask(0)
    os.umask(mask)
    return mask


def write_bytes(path: Path, content: bytes) -> Path:
    """Write ``content`` to ``path`` in one step and return the path; raises FileError."""
    with replacing(path) as part:
        part.write_bytes(content)
    return path


def write_text(path: Path, text: str) -> Path:
    """Write ``text`` as UTF-8 to ``path`` in one step and return the path; raises FileError."""
    return write_bytes(path, text.encode())
