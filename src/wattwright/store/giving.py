"""A job of the store written into a folder of its own, the same files as in its zip file; what else lies there stays."""

from pathlib import Path

from wattwright.core.errors import InputError, Place, StoreError
from wattwright.core.files import unwritable, write_bytes
from wattwright.job.file import FILE_NAME
from wattwright.store.exchange import origin_of, read_folder, was_read
from wattwright.store.jobs import Revision
from wattwright.store.store import Store

_OTHER = "store.folder-taken"


def give_folder(store: Store, job: str, into: Path) -> Revision:
    """Write the revision of a job that holds into a folder, which is then the one that the job is read from; return it.

    The folder is new, is empty, or holds an earlier state of the same job, which is kept in the store too; of that state the
    files that the job has no more are taken away. Raises StoreError for any other folder, in which nothing is changed, and
    FileError where it cannot be written.
    """
    head = store.head(job)
    earlier = _earlier(store, head, into)
    for path in head.files:
        target = into / path
        if not target.resolve().is_relative_to(into.resolve()) or (target.exists() and path not in earlier):
            raise _other(into, f"{path} that is not of this job")
    try:
        into.mkdir(parents=True, exist_ok=True)
        for path, sha256 in head.files.items():
            (into / path).parent.mkdir(parents=True, exist_ok=True)
            write_bytes(into / path, store.content(sha256))
        for path in earlier - set(head.files):
            (into / path).unlink()
    except OSError as error:
        raise unwritable(into, error) from error
    # Last: without it a folder that was written in part is no job.
    write_bytes(into / FILE_NAME, head.text.encode())
    store.move_to(job, origin_of(into))
    return head


def _earlier(store: Store, head: Revision, into: Path) -> frozenset[str]:
    """Return the files beside the job file of the state of the job that lies in a folder; none where the folder is empty."""
    if not into.exists() or (into.is_dir() and not any(into.iterdir())):
        return frozenset()
    if not into.is_dir():
        raise _other(into, "a file")
    try:
        text, files = read_folder(into)
    except InputError as error:
        raise _other(into, "files that are not of this job") from error
    if not was_read(store, head, text, files):
        raise _other(into, "another job, or a state of this one that the desk does not have")
    return frozenset(files)


def _other(into: Path, found: str) -> StoreError:
    step = "Name another folder. Nothing was written."
    wanted = "a new or empty folder, or one that holds an earlier state of this job"
    return StoreError.one(_OTHER, Place(file=str(into)), found=found, wanted=wanted, next_step=step)
