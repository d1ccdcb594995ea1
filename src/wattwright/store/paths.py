"""Which paths a file of a job may have: below the job's folder, on every system, and never in the place of the job file."""

import re
from pathlib import PurePosixPath

from wattwright.core.errors import Place, StoreError, quoted
from wattwright.job.file import FILE_NAME

MOST_LETTERS = 200
"""In a path, and bytes in each of its names: file systems take 255 (POSIX NAME_MAX)."""
_REFUSED = re.compile(r'[\x00-\x1f\x7f<>:"|?*\\]')
_DEVICES = re.compile(r"(con|prn|aux|nul|com\d|lpt\d)(\..*)?", re.IGNORECASE)


def safe_path(text: str) -> str:
    """Return a path as it is kept, with forward slashes. Raises StoreError where it leads out of the folder or is no name."""
    path = PurePosixPath(text)
    parts = path.parts
    wrong = (
        not parts
        or len(text) > MOST_LETTERS
        or any(_size(part) > MOST_LETTERS for part in parts)
        or _REFUSED.search(text) is not None
        or path.is_absolute()
        or any(
            part in (".", "..") or part.startswith(".") or part.endswith((" ", ".")) or _DEVICES.fullmatch(part) for part in parts
        )
        or str(path).casefold() == FILE_NAME
    )
    if wrong:
        raise StoreError.one(
            "store.path",
            Place(field="the name of a file"),
            found=quoted(text),
            wanted="a name below the job's folder",
            next_step="Give the file a plain name, such as readings.csv.",
        )
    return str(path)


def _size(name: str) -> int:
    """The bytes of a name in a file system."""
    return len(name.encode(errors="surrogatepass"))


def name_of(given: str) -> str:
    """Return a plain name made of what a browser calls an uploaded file: its last part, odd letters replaced."""
    last = re.split(r"[/\\]", given)[-1]
    plain = _REFUSED.sub("-", last).strip(" .")[-80:].lstrip(" .")
    while _size(plain) > MOST_LETTERS:
        plain = plain[1:].lstrip(" .")
    return plain if plain and not _DEVICES.fullmatch(plain) and plain.casefold() != FILE_NAME else "readings.csv"
