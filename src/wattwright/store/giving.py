"""A job of the store written into a folder of its own, the same files as in its zip file; what else lies there stays."""

from collections.abc import Iterable
from pathlib import Path

from wattwright.core.errors import InputError, Place, StoreError
from wattwright.core.files import unwritable, write_bytes
from wattwright.job.file import FILE_NAME
from wattwright.store.exchange import is_kept, origin_of, read_folder
from wattwright.store.jobs import Revision
from wattwright.store.store import Store

_OTHER = "store.folder-taken"


def give_folder(store: Store, job: str, into: Path) -> Revision:
    """Write the revision of a job that holds into a folder, which is then the one that the job is read from; return it.

    The folder is new, is empty, or holds a state of the same job that is kept in the store too; of that state the files that the
    job does not have now are taken away. Raises StoreError for any other folder, in which nothing is changed, and FileError where
    it cannot be written.
    """
    head = store.head(job)
    _require_no_links(into, (FILE_NAME, *head.files))
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
    own = any(one.id == head.job and one.origin == origin_of(into) for one in store.jobs())
    try:
        text, files = read_folder(into)
    except InputError as error:
        raise _by_hand(into) if own else _other(into, "files that are not of this job") from error
    if not is_kept(store, head.job, text, files):
        raise _by_hand(into) if own else _other(into, "another job, or a state of this one that the desk does not have")
    return frozenset(files)


def _require_no_links(into: Path, names: Iterable[str]) -> None:
    """Raise StoreError where a file that would be written is a link: whoever made it means the file that it leads to."""
    for name in names:
        if (into / name).is_symlink():
            raise _other(into, f"{name}, which is a link")


def _by_hand(into: Path) -> StoreError:
    """What is told of the job's own folder where something in it was changed by hand: that would be written over."""
    found = "this job, changed in the folder since it was written there"
    return _other(into, found, f"Take it first: wattwright jobs --take {into}. Nothing was written.")


def _other(into: Path, found: str, step: str = "Name another folder. Nothing was written.") -> StoreError:
    wanted = "a new or empty folder, or one that holds a state of this job that the desk has"
    return StoreError.one(_OTHER, Place(file=str(into)), found=found, wanted=wanted, next_step=step)
