"""What a job file may say before it is kept: no longer than people write, and no name that leads out of the job's folder."""

from collections.abc import Iterator
from typing import Any

from wattwright.core.errors import Fault, JobError, Place, StoreError, quoted
from wattwright.core.specfile import Path_, SpecText, parse_text
from wattwright.job.file import FILE_NAME
from wattwright.store.paths import safe_path

MOST_BYTES = 256 * 1024
"""A house of hundreds of loads is below a third of it."""
_EACH = ""
_NAMES: tuple[tuple[str, ...], ...] = (
    ("files", _EACH, "path"), ("tariff", "files", _EACH), ("weather", "file"), ("measurement", "weather"), ("plan", "gear"),
    ("gear", "catalogue", _EACH), ("loads", _EACH, "photos", _EACH),
)  # fmt: skip
"""Every entry of a job file that names a file."""


def too_long(found: str, name: str) -> StoreError:
    """Return what is told of a text that is longer than is read, by how long it was found and what it is of."""
    return StoreError.one(
        "store.long-text",
        Place(file=name),
        found=found,
        wanted=f"a text of {MOST_BYTES // 1024} kB at most",
        next_step="Take out what is no entry, and keep readings in files of their own. Nothing was kept.",
    )


def require_short(size_bytes: int, name: str = FILE_NAME) -> None:
    """Raise StoreError where a text is longer than is read: to read one takes time that grows with it."""
    if size_bytes > MOST_BYTES:
        raise too_long(f"{size_bytes / 1024:,.0f} kB", name)


def require_own_files(text: str) -> None:
    """Raise JobError with every entry of a job file that names a file outside its folder, and StoreError where it is too long.

    A text that is no TOML names none: nothing is ever opened by it.
    """
    require_short(len(text.encode()))
    try:
        source = parse_text(text, FILE_NAME, JobError)
    except JobError:
        return
    faults = [_outside(source, path, name) for steps in _NAMES for path, name in _named(source.data, steps) if _leads_out(name)]
    if faults:
        raise JobError(faults)


def _named(at: Any, steps: tuple[str, ...], path: Path_ = ()) -> Iterator[tuple[Path_, str]]:
    """Yield what stands at the steps, with where; what is of another kind is told by the check of the job file."""
    if not steps:
        if isinstance(at, str) and at:
            yield path, at
    elif steps[0] == _EACH:
        for index, one in enumerate(at if isinstance(at, list) else ()):
            yield from _named(one, steps[1:], (*path, index))
    elif isinstance(at, dict):
        yield from _named(at.get(steps[0]), steps[1:], (*path, steps[0]))


def _leads_out(name: str) -> bool:
    try:
        safe_path(name)
    except StoreError:
        return True
    return False


def _outside(source: SpecText, path: Path_, name: str) -> Fault:
    step = "Give the file to the desk, and write the plain name it has there, such as readings.csv."
    return Fault("store.outside", source.place(path), quoted(name), "the name of a file in the job's own folder", step)
