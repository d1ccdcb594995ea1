"""A job taken in from a zip file: its photos are decoded and written anew, as all that a person gives the desk."""

from wattwright.core.errors import InputError
from wattwright.job.edit import Edit
from wattwright.store.exchange import read_zip
from wattwright.web.desk import Desk
from wattwright.web.words import words

_PHOTOS = "photos/"
"""Where photos lie: what is there and not named yet may be named later, by a change of the job file."""


def taken_in(desk: Desk, content: bytes) -> str:
    """Add the job of a zip file and return its id.

    Raises StoreError and JobError as reading it does, and InputError with every photo that is none; nothing is kept then.
    """
    text, files = read_zip(content)
    named = {path for load in Edit(text).done()[1].loads for path in load.photos}
    made = {path: desk.making.bench.photo(path, files[path]) for path in files if path in named or path.startswith(_PHOTOS)}
    refused = tuple(fault for one in made.values() for fault in one.faults)
    if refused:
        raise InputError(refused)
    return desk.store.add(text, {**files, **{path: one.content for path, one in made.items()}}, words("cause.import"))
