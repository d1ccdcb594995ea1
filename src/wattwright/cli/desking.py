"""The verb that opens the desk: the store, what was given taken into it, and the server until it is told to end."""

import datetime as dt
import shutil
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from wattwright.cli.options import Reading
from wattwright.cli.verbs import say
from wattwright.core.errors import FileError, Place, UsageError
from wattwright.core.files import read_bytes
from wattwright.job.cache import FOLDER
from wattwright.store.store import Store
from wattwright.web.desk import Desk
from wattwright.web.held import PAPERS
from wattwright.web.links import links
from wattwright.web.serve import serve
from wattwright.web.taking_in import opened

CAUSE = "read from its folder"


def open_desk(given: Reading | None, port: int, folder: Path | None, url: str) -> None:
    """Show the jobs of a store in the browser until the process is told to end; a job or meter file given is taken in first.

    Raises FileError, JobError, StoreError, UsageError, and InputError where the port is taken.
    """
    if given is not None and not given.source.exists():
        step = "Check the name and the folder."
        place = Place(file=str(given.source))
        raise FileError.one("file.unreadable", place, found="no such file", wanted="a job or a meter file", next_step=step)
    kept = folder or usual_folder()
    with _alone(kept):
        desk = Desk(Store(kept, url))
        try:
            opened = "" if given is None else _taken(desk, given)
            desk.errands.go_on()
            serve(desk, port, lambda address: _started(address, opened))
        finally:
            desk.close()


@contextmanager
def _alone(folder: Path) -> Iterator[None]:
    """Hold a folder of jobs for one desk: two would do the same long work. Raises FileError where another one has it open."""
    try:
        import fcntl
    except ImportError:  # a system without such locks: nobody is refused
        yield
        return
    folder.mkdir(parents=True, exist_ok=True)
    with (folder / "desk.lock").open("w") as lock:
        try:
            fcntl.flock(lock, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except OSError as error:
            place = Place(file=str(folder))
            step = "Go on in the desk that is open, end it, or name another folder with --folder."
            raise FileError.one(
                "desk.open-already",
                place,
                found="jobs that another desk has open",
                wanted="a folder no other desk has",
                next_step=step,
            ) from error
        yield


def usual_folder() -> Path:
    """Return where jobs of this person lie on this machine."""
    from platformdirs import user_data_path

    return user_data_path("wattwright", appauthor=False)


def _started(address: str, opened: str) -> None:
    page = address.rstrip("/") + opened if opened else address
    say(f"The desk is at {page}\nIt is shown on this machine only. Control-C ends it.")
    sys.stdout.flush()


def _taken(desk: Desk, given: Reading) -> str:
    """Return the address of the job that was given, taken into the store with the results and papers that lie with it."""
    if not given.is_job:
        made = desk.new(
            given.source.name[:80], given.zone or "UTC", {given.source.name: read_bytes(given.source)}, dt.date.today()
        )
        return links().sheet(made, "meter-files")
    if given.zone or given.channel:
        raise UsageError("--zone and --channel belong in the job file when a job is given; write them there.")
    job = opened(desk.store, desk.making.bench, given.source, CAUSE)
    folder = given.source if given.source.is_dir() else given.source.parent
    _beside(folder / FOLDER, desk.store.results(job) / FOLDER)
    _beside(folder / "papers", desk.store.results(job) / PAPERS)
    return links().job(job)


def _beside(there: Path, here: Path) -> None:
    """Copy results that lie beside a job: each is known by what it was made from, so a wrong one is never taken for right."""
    if there.is_dir() and not here.exists():
        shutil.copytree(there, here)
