"""The desk: the jobs of a store, each open at the revision that holds, and everything that a person changes."""

import datetime as dt
import os
import secrets
import tempfile
from collections.abc import Callable, Mapping
from importlib.resources import files as resources
from pathlib import Path
from threading import Event, RLock

import tomlkit

from wattwright.core.errors import InputError, JobError, StoreError
from wattwright.demo.job import demo_job
from wattwright.handover.paper import KeyFigure
from wattwright.job.edit import Edit
from wattwright.job.file import FILE_NAME, Job, load_job
from wattwright.job.spec import VERSION, JobSpec
from wattwright.store.exchange import take_folder
from wattwright.store.jobs import CHANGED_MEANWHILE, Revision
from wattwright.store.named import require_short
from wattwright.store.paths import name_of
from wattwright.store.runs import Run
from wattwright.store.store import NO_FILES, Files, Store
from wattwright.web.bench import Bench
from wattwright.web.errands import Errands
from wattwright.web.held import HeldJob
from wattwright.web.making import PATIENCE_S, Making
from wattwright.web.whole import past_page
from wattwright.web.words import words

_TOKEN = "desk.key"
_TOKEN_LETTERS = 43
"""Of 32 bytes; one that is shorter was cut off while it was written."""
_MOST_OPEN = 8
"""Jobs held open at once; each may hold a year of readings."""
_MOST_SAID = 16
"""Texts whose reading is kept: one of the greatest length that is taken takes a second to read, in which others wait."""


class Desk:
    """Safe to be asked from several threads."""

    def __init__(
        self, store: Store, errands: Errands | None = None, bench: Bench | None = None, patience_s: float = PATIENCE_S
    ) -> None:
        self.store, self.errands = store, errands or Errands(store)
        store.tidy()
        self.making = Making(bench or Bench(), patience_s)
        self.token = _token(store.folder / _TOKEN)
        self.ending = Event()
        self._lock = RLock()
        self._open: dict[str, HeldJob] = {}
        self._before: dict[tuple[str, int], tuple[int, tuple[KeyFigure, ...]]] = {}
        self._said: dict[str, JobSpec] = {}

    def close(self) -> None:
        """End what works for the desk; long work goes on at the next start."""
        self.errands.close()
        self.making.close()
        self.store.close()

    def job(self, id_: str) -> HeldJob:
        """A job at the revision that holds. Raises StoreError, FileError, JobError."""
        head = self.store.head(id_)
        with self._lock:
            held = self._open.get(id_)
        # Read while no lock is held: nobody waits for the text of another's job.
        said = self._says(head) if held is None or held.revision.number != head.number else held.spec
        with self._lock:
            held = self._open.pop(id_, None)
            if held is None or held.revision.number != head.number:
                held = _opened(held, head, said, self.store)
            elif held.revision != head:
                held.revision = head  # the same content, with another way back or forward
            self._open[id_] = held
            while len(self._open) > _MOST_OPEN:
                del self._open[next(iter(self._open))]
            return held

    def change(
        self, job: HeldJob, edit: Callable[[Edit], None] | str, cause: str, add: Files = NO_FILES, take_out: tuple[str, ...] = ()
    ) -> Revision:
        """Save a change of a job: entries set by ``edit``, or a whole text.

        Raises JobError with every wrong entry, and StoreError where another change was saved meanwhile.
        """
        text, said = self._read(edit, job) if isinstance(edit, str) else _edited(job, edit)
        if text == job.revision.text and not add and not take_out:
            return job.revision
        before = _known(job)
        now = self.store.change(job.revision, text, cause, add, take_out)
        self._remember(now, job.revision.number, before, said)
        return now

    def add(self, id_: str, edit: Callable[[Edit, HeldJob], tuple[Files, str]]) -> Revision:
        """Save a change that only adds, on whatever revision holds: nothing of another tab is lost by it.

        ``edit`` is given the job file and the job, and returns the files to add and the cause. Raises JobError, StoreError.
        """
        while True:
            job = self.job(id_)
            made = Edit(job.revision.text)
            files, cause = edit(made, job)
            text, said = made.done()
            try:
                before = _known(job)
                now = self.store.change(job.revision, text, cause, files)
            except StoreError as error:
                if error.faults[0].code != CHANGED_MEANWHILE:
                    raise
                continue
            self._remember(now, job.revision.number, before, said)
            return now

    def keep(self, text: str, said: JobSpec, files: Files, cause: str) -> str:
        """Add a job whose text was read, with what it says, and return its id. Raises StoreError, JobError."""
        id_ = self.store.add(text, files, cause)
        self._note(text, said)
        return id_

    def before(self, job: str, number: int) -> tuple[int, tuple[KeyFigure, ...]]:
        """The revision before a change and its key figures; none where they are not known any more."""
        return self._before.get((job, number), (0, ()))

    def new(self, name: str, zone: str, files: Mapping[str, bytes], today: dt.date) -> str:
        """Add a job with meter files, the first that of the main meter, and return its id. Raises JobError."""
        template = resources("wattwright.job").joinpath("new_job.toml").read_text(encoding="utf-8")
        edit = Edit(template)
        for entry, value in (("name", name), ("site.zone", zone), ("papers.date", today)):
            edit.set(entry, value)
        named = add_files(edit, files, "main", ())
        return self.store.add(edit.done()[0], named, words("cause.new"))

    def demo(self) -> str:
        """Add the invented job, or return the id of the one that is there. Raises FileError."""
        folder = self.store.folder / "demo"
        demo_job(folder)
        return take_folder(self.store, folder, words("cause.demo"))

    def begin(self, job: str, number: int, kind: str, asked: str) -> Run:
        """Begin long work for a revision. Raises StoreError."""
        run = self.store.begin(job, number, kind, asked)
        self.errands.wake()
        return run

    def remove(self, job: str, number: int) -> None:
        """Remove a job for good, its work under way stopped first. Raises StoreError where another revision holds by now."""
        if self.store.head(job).number == number:
            self.errands.stop(job)
        self.store.remove(job, number)

    def _remember(self, now: Revision, number: int, before: tuple[KeyFigure, ...], said: JobSpec) -> None:
        with self._lock:
            self._before[now.job, now.number] = (number, before)
        self._note(now.text, said)

    def _read(self, text: str, job: HeldJob) -> tuple[str, JobSpec]:
        """A whole text and what it says. Whatever may be typed is read beside the server, within bounds, and never here."""
        if text == job.revision.text:
            return text, job.spec
        require_short(len(text.encode()))
        made = self.making.bench.text(text.encode(), "text", FILE_NAME)
        if made.spec is None:
            raise JobError(made.faults)
        return made.content.decode(), made.spec

    def _says(self, head: Revision) -> JobSpec:
        """What a revision says: as it was read when it was saved, where that was not long ago."""
        with self._lock:
            said = self._said.get(head.text)
        if said is None:
            said = load_job(self.store.laid_out(head), confined=True).spec
            self._note(head.text, said)
        return said

    def _note(self, text: str, said: JobSpec) -> None:
        """Keep what a text says; one of an older version says more once it is brought up."""
        if said.version != VERSION:
            return
        with self._lock:
            self._said[text] = said
            while len(self._said) > _MOST_SAID:
                del self._said[next(iter(self._said))]


def _edited(job: HeldJob, edit: Callable[[Edit], None]) -> tuple[str, JobSpec]:
    made = Edit(job.revision.text)
    edit(made)
    return made.done()


def _opened(before: HeldJob | None, head: Revision, said: JobSpec, store: Store) -> HeldJob:
    """A revision as it holds now; until its pages are made those of the one before are shown, and said to be out of date."""
    folder = store.laid_out(head)
    opened = HeldJob(head, Job(said, folder, folder / FILE_NAME, confined=True), store.results(head.job))
    if before is not None:
        before.is_past = True
        opened.pages.update({name: past_page(page) for name, page in before.pages.items()})
    return opened


def _known(job: HeldJob) -> tuple[KeyFigure, ...]:
    """The figures that answer first, as the page made last has them."""
    latest = job.latest()
    return () if latest is None else latest.key_figures


def add_files(edit: Edit, files: Mapping[str, bytes], whose: str, taken: tuple[str, ...]) -> dict[str, bytes]:
    """Name meter files in a job file and return them by path: of the main meter, of meters behind it, or finer readings."""
    made: dict[str, bytes] = {}
    for given, content in files.items():
        path = free(name_of(given), (*taken, *made))
        made[path] = content
        stands = [str(one.get("id")) for one in edit.value("files") or ()]
        id_ = free(slug(path.split(".")[0]), stands)
        meter = _main(edit) if whose in ("main", "finer") else ""
        if not meter:
            meter = free(slug(f"meter-{id_}"), [str(one.get("id")) for one in edit.value("meters") or ()])
            edit.append("meters", {"id": meter, "name": path, "behind": _main(edit)})
        edit.append("files", {"id": id_, "path": path, "meter": meter, **({"finer": True} if whose == "finer" else {})})
        whose = "behind" if whose == "main" else whose
    return made


def _main(edit: Edit) -> str:
    """The id of the main meter, which is added where the job has none."""
    for one in edit.value("meters") or ():
        if not one.get("behind"):
            return str(one.get("id"))
    edit.append("meters", {"id": "main", "name": words("meter.main")})
    return "main"


def slug(text: str) -> str:
    """An id made of words: small letters, digits and hyphens."""
    plain = "".join(letter if letter.isascii() and letter.isalnum() else "-" for letter in text.lower())
    return "-".join(part for part in plain.split("-") if part)[:40] or "one"


def free(name: str, taken: tuple[str, ...] | list[str]) -> str:
    """The name, with a number where it is taken already."""
    stem, dot, end = name.partition(".")
    number, made = 1, name
    while made.casefold() in {one.casefold() for one in taken}:
        number += 1
        made = f"{stem}-{number}{dot}{end}"
    return made


def empty_table() -> tomlkit.items.Table:
    """A table with nothing in it."""
    return tomlkit.table()


def is_conflict(error: InputError) -> bool:
    """Whether a change was refused because another one was saved meanwhile."""
    return error.faults[0].code == CHANGED_MEANWHILE


def _token(path: Path) -> str:
    """The secret that every form of this desk carries: kept, so that a page outlives a restart of the server."""
    try:
        kept = path.read_text(encoding="ascii")
    except (OSError, UnicodeDecodeError):
        kept = ""
    if len(kept) >= _TOKEN_LETTERS:
        return kept
    made = secrets.token_urlsafe(32)
    # Written whole or not at all, and from its first moment for nobody else to read.
    handle, part = tempfile.mkstemp(prefix=f".{_TOKEN}.", dir=path.parent)
    with os.fdopen(handle, "w", encoding="ascii") as file:
        file.write(made)
        file.flush()
        os.fsync(file.fileno())
    Path(part).replace(path)
    return made
