"""A revision as a folder on the disk, for the assessment to read: made once, whole, and never changed."""

import shutil
import tempfile
from collections.abc import Callable
from pathlib import Path

from wattwright.core.errors import OwnFault
from wattwright.core.files import unwritable, write_bytes
from wattwright.job.file import FILE_NAME
from wattwright.store.jobs import Revision

CONTENTS = "contents"


def clear_away(folder: Path, jobs: frozenset[str], contents: frozenset[str]) -> None:
    """Remove what lies in the folder of working copies of other jobs and other contents than those given."""
    for one in folder.glob("*"):
        if one.name not in jobs and one.name != CONTENTS:
            shutil.rmtree(one, ignore_errors=True)
    for content in (folder / CONTENTS).glob("*"):
        if content.name not in contents:
            content.unlink(missing_ok=True)


def lay_out(revision: Revision, into: Path, content_of: Callable[[str], bytes]) -> Path:
    """Return the folder of a revision below ``into``, made where it is not there yet. Raises FileError.

    Contents lie there once for all revisions, and a revision's files are links to them where the system has such.
    """
    folder = into / revision.job / f"r{revision.number}"
    if folder.is_dir():
        return folder
    try:
        folder.parent.mkdir(parents=True, exist_ok=True)
        part = Path(tempfile.mkdtemp(prefix=f".r{revision.number}.", dir=folder.parent))
        (part / FILE_NAME).write_text(revision.text, encoding="utf-8", newline="")
        for path, sha256 in revision.files.items():
            target = part / path
            if not target.resolve().is_relative_to(part.resolve()):
                raise OwnFault(f"a kept path leads out of its folder: {path}")
            target.parent.mkdir(parents=True, exist_ok=True)
            _link(_content(into / CONTENTS / sha256, sha256, content_of), target)
    except OSError as error:
        raise unwritable(folder, error) from error
    try:
        part.rename(folder)
    except OSError:
        shutil.rmtree(part, ignore_errors=True)  # another process was first, with the same
        if not folder.is_dir():
            raise
    return folder


def _content(path: Path, sha256: str, content_of: Callable[[str], bytes]) -> Path:
    return path if path.is_file() else write_bytes(path, content_of(sha256))


def _link(content: Path, target: Path) -> None:
    try:
        target.hardlink_to(content)
    except OSError:
        shutil.copyfile(content, target)  # a file system without links
