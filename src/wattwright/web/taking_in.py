"""A job taken in from a zip file or a folder: its photos are decoded and written anew, as all that a person gives the desk."""

from functools import partial
from pathlib import Path

from wattwright.core.errors import InputError
from wattwright.store.exchange import take_folder
from wattwright.store.store import Files, Store
from wattwright.web.bench import Bench, redrawn
from wattwright.web.words import words


def taken_in(store: Store, bench: Bench, content: bytes) -> str:
    """Add the job of a zip file and return its id.

    It is read beside the server, within bounds of time and memory. Raises InputError with what is wrong with it, also with every
    photo that is none; nothing is kept then.
    """
    made = bench.job("job.zip", content)
    if made.faults:
        raise InputError(made.faults)
    return store.add(made.content.decode(), made.files, words("cause.import"))


def opened(store: Store, bench: Bench, path: Path, cause: str) -> str:
    """Return the id of the job of a folder, read as `take_folder` reads it.

    Raises what that does, and InputError with every photo that is none; nothing is kept then.
    """
    return take_folder(store, path, cause, partial(_redrawn, bench))


def _redrawn(bench: Bench, text: str, files: Files) -> Files:
    def drawn(path: str, content: bytes) -> bytes:
        made = bench.photo(path, content)
        if made.faults:
            raise InputError(made.faults)
        return made.content

    return redrawn(text, files, drawn)
