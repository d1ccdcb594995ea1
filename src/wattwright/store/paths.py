"""Which paths a file of a job may have: below the job's folder, on every system, and never in the place of the job file."""

import re
import unicodedata
from collections.abc import Callable, Iterable
from pathlib import PurePosixPath

from wattwright.core.errors import Place, StoreError, quoted
from wattwright.job.file import FILE_NAME

MOST_LETTERS = 200
"""In a path, and bytes in each of its names: file systems take 255 (POSIX NAME_MAX)."""
_REFUSED = re.compile(r'[\x00-\x1f\x7f<>:"|?*\\]')
_UNSEEN = ("Cc", "Cf", "Cs", "Co", "Zl", "Zp")
"""Kinds of letters that nobody sees, or that turn the order of those beside them (Unicode general categories)."""
_DEVICES = re.compile(r"(con|prn|aux|nul|conin\$|conout\$|(com|lpt)[\d¹²³])(\..*)?", re.IGNORECASE)
"""Names that Windows keeps for its devices, whatever follows a dot (from memory)."""


def safe_path(text: str) -> str:
    """Return a path as it is kept: forward slashes, letters composed (Unicode NFC), so that two that look alike are one.

    Raises StoreError where it leads out of the folder or is no name.
    """
    text = unicodedata.normalize("NFC", text)
    path = PurePosixPath(text)
    without = next((words for is_wrong, words in _WRONG if is_wrong(text, path)), None)
    if without is not None:
        raise StoreError.one(
            "store.path",
            Place(field="the name of a file"),
            found=quoted(text),
            wanted=f"a name below the job's folder{without}",
            next_step="Give the file a plain name, such as readings.csv.",
        )
    return str(path)


def require_apart(paths: Iterable[str]) -> None:
    """Raise StoreError where a path would have to be a file and a folder at once: such a job could not be laid out."""
    every = set(paths)
    for path in sorted(every):
        above = next((str(one) for one in PurePosixPath(path).parents if str(one) in every), "")
        if above:
            raise StoreError.one(
                "store.path",
                Place(field="the name of a file"),
                found=f"{quoted(above)} beside {quoted(path)}",
                wanted="each name once, for a file or for a folder",
                next_step="Give one of them another name.",
            )


def _strange(text: str) -> str:
    """The letters of a text that no name may have, none where there are none."""
    return "".join(one for one in text if _REFUSED.match(one) or unicodedata.category(one) in _UNSEEN)


def _size(name: str) -> int:
    """The bytes of a name in a file system."""
    return len(name.encode(errors="surrogatepass"))


def _is_long(text: str, path: PurePosixPath) -> bool:
    return len(text) > MOST_LETTERS or any(_size(part) > MOST_LETTERS for part in path.parts)


_WRONG: tuple[tuple[Callable[[str, PurePosixPath], bool], str], ...] = (
    (lambda _, path: not path.parts or path.is_absolute() or ".." in path.parts, ""),
    (lambda text, _: bool(_strange(text)), ', without < > : " | ? * \\ and without letters that nobody sees'),
    (_is_long, f" of {MOST_LETTERS} letters at most, and as many bytes in each of its parts"),
    (lambda _, path: any(part.startswith(".") for part in path.parts), ", no part of which begins with a dot"),
    (lambda _, path: any(part.endswith((" ", ".")) for part in path.parts), ", no part of which ends with a space or a dot"),
    (
        lambda _, path: any(map(_DEVICES.fullmatch, path.parts)),
        " that no system keeps for a device, as CON and COM1",
    ),
    (lambda _, path: str(path).casefold() == FILE_NAME, f", where {FILE_NAME} is the job file itself"),
)
"""What no path may be, and how that is said; the first that holds."""


def name_of(given: str) -> str:
    """Return a plain name made of what a browser calls an uploaded file: its last part, odd letters replaced."""
    last = unicodedata.normalize("NFC", re.split(r"[/\\]", given)[-1])
    seen = "".join(one for one in last if _REFUSED.match(one) or unicodedata.category(one) not in _UNSEEN)
    plain = _REFUSED.sub("-", seen).strip(" .")[-80:].lstrip(" .")
    while _size(plain) > MOST_LETTERS:
        plain = plain[1:].lstrip(" .")
    return plain if plain and not _DEVICES.fullmatch(plain) and plain.casefold() != FILE_NAME else "readings.csv"
