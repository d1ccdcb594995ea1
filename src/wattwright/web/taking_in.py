"""A job taken in from a zip file or a folder: its photos are decoded and written anew, as all that a person gives the desk."""

from collections.abc import Callable
from dataclasses import replace
from functools import partial
from pathlib import Path

from wattwright.core.errors import InputError, Place
from wattwright.job.edit import Edit
from wattwright.job.spec import JobSpec
from wattwright.store.exchange import REFUSED, take_folder
from wattwright.store.store import Files, Store
from wattwright.web.bench import Bench, photos_of, redrawn
from wattwright.web.words import words


def taken_in(bench: Bench, content: bytes, keep: Callable[[str, JobSpec, Files, str], str], name: str = "") -> str:
    """Add the job of a zip file and return its id, as ``keep`` does with its text, what it says, its files and the cause.

    ``name`` is how the zip file is called in what is told of it as a whole, empty: what was given. It is read beside the server,
    within bounds of time and memory. Raises InputError with what is wrong with it, also with every photo that is none; nothing is
    kept then.
    """
    made = bench.job("job.zip", content)
    if made.spec is None:
        raise InputError([replace(one, place=Place(file=name)) if name and one.code == REFUSED else one for one in made.faults])
    return keep(made.content.decode(), made.spec, made.files, words("cause.import"))


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

    return redrawn(photos_of(Edit(text).done()[1]), files, drawn)
