"""A job taken in from a zip file or a folder: its photos are decoded and written anew, as all that a person gives the desk."""

from functools import partial
from pathlib import Path

from wattwright.core.errors import InputError
from wattwright.job.edit import Edit
from wattwright.store.exchange import read_zip, take_folder
from wattwright.store.store import Files
from wattwright.web.bench import Bench
from wattwright.web.desk import Desk
from wattwright.web.words import words

_PHOTOS = "photos/"
"""Where photos lie: what is there and not named yet may be named later, by a change of the job file."""


def taken_in(desk: Desk, content: bytes) -> str:
    """Add the job of a zip file and return its id.

    Raises StoreError and JobError as reading it does, and InputError with every photo that is none; nothing is kept then.
    """
    text, files = read_zip(content)
    return desk.store.add(text, _redrawn(desk.making.bench, text, files), words("cause.import"))


def opened(desk: Desk, path: Path, cause: str) -> str:
    """Return the id of the job of a folder, read as `take_folder` reads it.

    Raises what that does, and InputError with every photo that is none; nothing is kept then.
    """
    return take_folder(desk.store, path, cause, partial(_redrawn, desk.making.bench))


def _redrawn(bench: Bench, text: str, files: Files) -> dict[str, bytes]:
    """The files of a job, its photos written anew. Raises InputError with every photo that is none."""
    named = {path for load in Edit(text).done()[1].loads for path in load.photos}
    made = {path: bench.photo(path, files[path]) for path in files if path in named or path.startswith(_PHOTOS)}
    refused = tuple(fault for one in made.values() for fault in one.faults)
    if refused:
        raise InputError(refused)
    return {**files, **{path: one.content for path, one in made.items()}}
