"""A process beside the server that makes the pages of jobs, and reads what people upload, within bounds of time and memory.

The server itself never parses a meter file and works nothing out: it asks for a page and shows what comes. A file that takes too
long or too much ends the process and not the desk.
"""

import time
from collections.abc import Callable, Collection, Mapping
from dataclasses import dataclass, field, replace
from pathlib import Path
from threading import Lock
from typing import Any, Literal

from wattwright.core.errors import Fault, InputError, JobError, Place, TariffError, WorkError
from wattwright.core.labour import Work
from wattwright.core.specfile import parse_text, validated
from wattwright.job.edit import Edit
from wattwright.job.file import FILE_NAME, parsed
from wattwright.job.photos import cleaned
from wattwright.job.spec import JobSpec
from wattwright.job.visited import as_text, read_entered
from wattwright.store.exchange import files_in_zip, text_in_zip
from wattwright.store.store import Files
from wattwright.tariff.schema import TariffFileSpec
from wattwright.web.open_job import OpenJob, open_job
from wattwright.web.whole import Wanted, Whole, make_whole
from wattwright.work.processes import Processes

MOST_S = 600.0
"""Nobody waits for it, and a year of a job with many loads takes its time on a busy machine."""
MOST_BYTES = 6 * 2**30
"""Memory that the process may write to. Address space has no bound: what draws the pictures reserves much and touches little."""
_MOST_GIVEN_S = 60.0
"""A photo takes a second; a file of a visit may hold many."""
_MOST_TEXT_S = 30.0
"""A job file of the greatest length that is taken needs two on this machine, and up to ten where much else runs."""
_MOST_START_S = 180.0
"""A process that has never been started on this machine takes a quarter of a minute until it answers."""
_NO_THREAD = "can't start new thread"
"""What Python says where there is no room for the stack of one."""
_PHOTOS = "photos/"
"""Where photos lie: what is there and not named yet may be named later, by a change of the job file."""
_MOST_OPEN = 4
"""Revisions held open in the process at once; each may hold a year of readings."""


@dataclass(frozen=True, slots=True)
class Outcome:
    """What came of a task: a page, a content or files to keep, or the faults for which there is none.

    ``spec`` is what a job file says whose text is the content: the server does not read it again.
    """

    page: Whole | None = None
    faults: tuple[Fault, ...] = ()
    content: bytes = b""
    files: Mapping[str, bytes] = field(default_factory=dict)
    spec: JobSpec | None = None


@dataclass(frozen=True, slots=True)
class Given:
    """What a person gave, to be read with care, and its name: a photo, the entries of a visit, a job as a zip file or as text.

    Of a zip file the text of the job file is read first, within the bounds of a text, and then the files beside it, of which
    ``photos`` are those that the job file names as such.
    """

    kind: Literal["photo", "entries", "zip", "zip-text", "text", "tariff"]
    name: str
    content: bytes
    photos: Collection[str] = ()


Task = Wanted | Given | None
"""A page to be made, something to be read, or nothing: to that an answer comes as soon as the process is up."""


class _TakesTooLong(Exception):
    """The bound of time is passed."""


@dataclass(eq=False, slots=True)
class _Alone:
    """A process that does one thing at a time, started when first needed and again after it was ended."""

    processes: Processes = field(default_factory=lambda: Processes(1))
    lock: Lock = field(default_factory=Lock)


class Bench:
    """A process for pages, and another for what a person gives: nobody waits for a page until a photo is taken."""

    def __init__(self, most_s: float = MOST_S, most_bytes: int = MOST_BYTES) -> None:
        self._most_s, self._makers, self._takers = most_s, _Alone(), _Alone()
        self._work = Work("the work of a page", _asked, most_bytes, Outcome)

    def close(self) -> None:
        """End the process, also in the middle of a page."""
        for one in (self._makers, self._takers):
            one.processes.end(at_once=True)

    def photo(self, name: str, content: bytes) -> Outcome:
        """Have a photo decoded and written anew."""
        return self._given(Given("photo", name, content))

    def entries(self, name: str, content: bytes) -> Outcome:
        """Have a file read that the survey on the phone saved."""
        return self._given(Given("entries", name, content))

    def job(self, name: str, content: bytes) -> Outcome:
        """Have the job of a zip file read: its text and the files beside it, each photo written anew."""
        read = self._given(Given("zip-text", FILE_NAME, content))
        if read.spec is None:
            return read
        beside = self._given(Given("zip", name, content, photos_of(read.spec)))
        return beside if beside.faults else replace(read, files=beside.files)

    def text(self, content: bytes, kind: Literal["text", "tariff"], name: str) -> Outcome:
        """Have a text read that is to be a job file, with what it says, or tried that is to be a tariff."""
        return self._given(Given(kind, name, content))

    def _given(self, given: "Given") -> Outcome:
        most_s = _MOST_GIVEN_S if given.kind in ("photo", "entries", "zip") else _MOST_TEXT_S
        return self._bounded(self._takers, given, given.name, most_s)

    def make(self, wanted: Wanted) -> Outcome:
        """Have a page made, whatever its stages need put on the job's shelf."""
        return self._bounded(self._makers, wanted, wanted.name, self._most_s)

    def _bounded(self, by: "_Alone", task: Task, name: str, most_s: float) -> Outcome:
        with by.lock:
            try:
                self._up(by)
            except _TakesTooLong:
                return Outcome(faults=(_beyond(name, f"a process not up in {_MOST_START_S:g} s", _AGAIN),))
            except WorkError:
                return Outcome(faults=(_beyond(name, "a process that ends when it is started", _AGAIN),))
            try:
                return by.processes.map(self._work, [task], _Until(time.monotonic() + most_s))[0]
            except _TakesTooLong:
                return Outcome(faults=(_beyond(name, f"more than {most_s:g} s of work", _step_of(task)),))
            except WorkError:
                return Outcome(faults=(_beyond(name, "work that ended the process it was done in", _step_of(task)),))

    def _up(self, by: "_Alone") -> None:
        """Wait until the process answers: a task is timed from there, and a process ended meanwhile is no fault of it.

        Raises _TakesTooLong, and WorkError where one that was just started ended too.
        """
        until = _Until(time.monotonic() + _MOST_START_S)
        try:
            by.processes.map(self._work, [None], until)
        except WorkError:  # it was ended while it had nothing to do
            by.processes.map(self._work, [None], until)


@dataclass(frozen=True, slots=True)
class _Until:
    """Progress that ends the work at an instant."""

    end_s: float

    def at(self, what: str, done: float, total: float) -> None:
        """Stop where the time is over."""
        if time.monotonic() > self.end_s and done < total:
            raise _TakesTooLong


_SHORTER = "Take a shorter stretch or a longer step of readings, or the command line, which has no such bounds."

_AGAIN = "Do it once more when the machine has less to do. Nothing was kept."


def _step_of(task: object) -> str:
    """What to do where a task goes beyond the bounds: what was given is another file than readings, and was not kept."""
    return "Give a plainer or a shorter file. Nothing was kept." if isinstance(task, Given) else _SHORTER


def _beyond(name: str, found: str, next_step: str = _SHORTER) -> Fault:
    return Fault(
        "desk.beyond-bounds",
        Place(field=name),
        found=found,
        wanted="what can be worked out within the bounds of the desk",
        next_step=next_step,
    )


def _cleaned(path: str, content: bytes) -> bytes:
    return cleaned(content, path)


def photos_of(spec: JobSpec) -> frozenset[str]:
    """Return the paths that a job names as those of photos."""
    return frozenset(path for load in spec.loads for path in load.photos)


def redrawn(named: Collection[str], files: Files, drawn: Callable[[str, bytes], bytes] = _cleaned) -> Files:
    """Return the files of a job, its photos, ``named`` as such or among them, written anew by ``drawn``.

    Raises InputError with every photo that is none.
    """
    made, refused = dict(files), list[Fault]()
    for path in (one for one in files if one in named or one.startswith(_PHOTOS)):
        try:
            made[path] = drawn(path, files[path])
        except InputError as error:
            refused += error.faults
    if refused:
        raise InputError(refused)
    return made


def _text(given: Given) -> Outcome:
    text, spec = Edit(given.content.decode("utf-8")).done()
    return Outcome(content=text.encode(), spec=spec)


def _text_in_zip(given: Given) -> Outcome:
    """Read the job file of a zip file. It is kept as it is, and must be one that can be changed."""
    text = text_in_zip(given.content)
    changed, spec = Edit(text).done()
    said = spec if changed == text else parsed(parse_text(text, FILE_NAME, JobError))
    return Outcome(content=text.encode(), spec=said)


def _beside(given: Given) -> Outcome:
    return Outcome(files=redrawn(given.photos, files_in_zip(given.content)))


def _tariff(given: Given) -> Outcome:
    text = given.content.decode("utf-8-sig")
    validated(parse_text(text, given.name, TariffError), TariffFileSpec, TariffError)
    return Outcome()


_READERS: Mapping[str, Callable[[Given], Outcome]] = {
    "photo": lambda given: Outcome(content=cleaned(given.content, given.name)),
    "entries": lambda given: Outcome(content=as_text(read_entered(given.content, given.name)).encode()),
    "zip": _beside, "zip-text": _text_in_zip, "text": _text, "tariff": _tariff,
}  # fmt: skip


def _asked(most_bytes: int, task: Task) -> Outcome:
    """Do a task in the process, whichever it is."""
    if isinstance(task, Given):
        return take_given(most_bytes, task)
    return Outcome() if task is None else do(most_bytes, task)


def take_given(most_bytes: int, given: Given) -> Outcome:
    """Read what a person gave within the bound of memory, and return it as it is kept."""
    _bound_memory(most_bytes)
    try:
        return _READERS[given.kind](given)
    except InputError as error:
        return Outcome(faults=error.faults)
    except MemoryError:
        return Outcome(faults=(_beyond(given.name, f"more than {most_bytes / 2**30:g} GB of memory", _step_of(given)),))


def do(most_bytes: int, wanted: Wanted) -> Outcome:
    """Make a page within the bound of memory; bad input is an outcome, so that the process goes on."""
    _bound_memory(most_bytes)
    try:
        return Outcome(make_whole(_opened(wanted), wanted))
    except InputError as error:
        return Outcome(faults=error.faults)
    except (MemoryError, ImportError, RuntimeError) as error:
        if isinstance(error, RuntimeError) and str(error) != _NO_THREAD:
            raise
        # Where there is no room left, a library cannot be loaded and a thread not be started either.
        _OPEN.clear()
        return Outcome(faults=(_beyond("the readings", f"more than {most_bytes / 2**30:g} GB of memory"),))


_OPEN: dict[tuple[Path, Path], OpenJob] = {}
"""What the process holds open, the revision asked for last at the end."""


def _opened(wanted: Wanted) -> OpenJob:
    key = (wanted.folder, wanted.results)
    held = _OPEN.pop(key, None)
    _OPEN[key] = held or open_job(wanted.revision, wanted.folder, wanted.results)
    while len(_OPEN) > _MOST_OPEN:
        del _OPEN[next(iter(_OPEN))]
    return _OPEN[key]


def _bound_memory(most_bytes: int) -> None:
    try:
        import resource
    except ImportError:  # a system without such bounds
        return
    limit: Any = resource.RLIMIT_DATA
    resource.setrlimit(limit, (most_bytes, resource.getrlimit(limit)[1]))
