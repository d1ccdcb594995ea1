"""The store: one door to many jobs. Each method is one transaction: all of it holds, or nothing."""

import secrets
from collections.abc import Callable, Mapping
from pathlib import Path
from types import MappingProxyType
from typing import TypeVar

from sqlalchemy import Connection

from wattwright.store import jobs, runs
from wattwright.store.database import open_engine, reading, sqlite_url, writing
from wattwright.store.jobs import Listed, Revision
from wattwright.store.named import require_own_files
from wattwright.store.paths import require_apart, safe_path
from wattwright.store.runs import Run, RunState
from wattwright.store.working import clear_away, lay_out

Found = TypeVar("Found")
Files = Mapping[str, bytes]
"""Contents by path."""
NO_FILES: Files = MappingProxyType({})
WORK = "work"
RESULTS = "results"
"""Folder of a job's results, shared by its revisions: a result is known by what it was made from."""


class Store:
    """Jobs in a database; working copies and results lie in a folder of this machine. Safe to be asked from several threads."""

    def __init__(self, folder: Path, url: str = "") -> None:
        """Open the store of a folder: its own SQLite file, or the database at ``url``. Raises StoreError, FileError."""
        folder.mkdir(parents=True, exist_ok=True)
        self.folder = folder
        self._engine = open_engine(url or sqlite_url(folder))

    def close(self) -> None:
        """Let go of the database."""
        self._engine.dispose()

    def jobs(self) -> tuple[Listed, ...]:
        """Return every job, the one changed last first."""
        return self._read(jobs.listed)

    def head(self, job: str) -> Revision:
        """Return the revision of a job that holds. Raises StoreError."""
        return self._read(lambda own: jobs.revision(own, job, jobs.head_of(own, job)))

    def revision(self, job: str, number: int) -> Revision:
        """Return a revision of a job. Raises StoreError."""
        return self._read(lambda own: jobs.revision(own, job, number))

    def newest(self, job: str) -> int:
        """Return the highest number of a job's revisions, whichever holds; they are numbered from 1 without a gap."""
        return self._read(lambda own: jobs.newest(own, job))

    def content(self, sha256: str) -> bytes:
        """Return what a file holds. Raises StoreError."""
        return self._read(lambda own: jobs.content_of(own, sha256))

    def add(self, text: str, files: Files, cause: str, origin: str = "") -> str:
        """Add a job and return its id. Raises StoreError for a path that cannot be kept, JobError for a file named elsewhere."""
        require_own_files(text)
        job, safe = secrets.token_hex(6), {safe_path(path): content for path, content in files.items()}
        require_apart(safe)
        with writing(self._engine) as own:
            kept = {path: jobs.keep_file(own, content) for path, content in safe.items()}
            jobs.add_job(own, job, (text, kept), cause, origin)
        return job

    def change(self, base: Revision, text: str, cause: str, add: Files = NO_FILES, take_out: tuple[str, ...] = ()) -> Revision:
        """Add a revision made on ``base``: another text, files added or replaced, paths taken out.

        Raises StoreError (jobs.CHANGED_MEANWHILE) where another revision holds by now, and JobError for a file named elsewhere;
        nothing is changed or lost then.
        """
        require_own_files(text)
        safe = {safe_path(path): content for path, content in add.items()}
        require_apart([*(path for path in base.files if path not in take_out), *safe])
        with writing(self._engine) as own:
            kept = {path: sha256 for path, sha256 in base.files.items() if path not in take_out}
            kept |= {path: jobs.keep_file(own, content) for path, content in safe.items()}
            number = jobs.add_revision(own, base.job, base.number, (text, kept), cause)
            return jobs.revision(own, base.job, number)

    def undo(self, job: str, base: int) -> Revision:
        """Go back to the revision before ``base``. Raises StoreError where there is none, or another one holds by now."""
        return self._move(job, base, back=True)

    def redo(self, job: str, base: int) -> Revision:
        """Go forward to the newest revision made on ``base``. Raises StoreError as undo does."""
        return self._move(job, base, back=False)

    def move_to(self, job: str, folder: str) -> None:
        """Have a folder be the one that a job is read from, and no other job. Raises StoreError."""
        with writing(self._engine) as own:
            jobs.move_to(own, job, folder)

    def remove(self, job: str, base: int) -> None:
        """Remove a job for good. Raises StoreError where another revision than ``base`` holds by now."""
        with writing(self._engine) as own:
            jobs.remove_job(own, job, base)
        self.tidy()

    def tidy(self) -> None:
        """Take from the disk what lies there of jobs and contents that are kept no more; what resists goes the next time."""
        ids, contents = self._read(jobs.kept)
        clear_away(self.folder / WORK, ids, contents)

    def laid_out(self, revision: Revision) -> Path:
        """Return the folder of a revision, made where it is not there yet. Raises FileError."""
        return lay_out(revision, self.folder / WORK, self.content)

    def results(self, job: str) -> Path:
        """Return the folder in which results of a job lie."""
        return self.folder / WORK / job / RESULTS

    def begin(self, job: str, number: int, kind: str, asked: str) -> Run:
        """Add long work for a revision; it waits for its turn. One of the same kind that has not ended is returned instead."""
        with writing(self._engine) as own:
            jobs.head_of(own, job, locked=True)
            last = runs.last_run(own, job, kind)
            return (
                last if last is not None and last.is_open else runs.add_run(own, secrets.token_hex(6), job, number, kind, asked)
            )

    def run(self, id_: str) -> Run:
        """Return a run by its id."""
        return self._read(lambda own: runs.run(own, id_))

    def find_run(self, id_: str) -> Run | None:
        """Return a run by its id, None where there is none."""
        return self._read(lambda own: runs.find_run(own, id_))

    def last_run(self, job: str, kind: str) -> Run | None:
        """Return the newest run of a kind for a job, None where there is none."""
        return self._read(lambda own: runs.last_run(own, job, kind))

    def open_runs(self) -> tuple[Run, ...]:
        """Return all work that has not ended, the oldest first."""
        return self._read(runs.open_runs)

    def progress(self, id_: str, doing: str, done: float, total: float) -> None:
        """Write down how far a run is."""
        with writing(self._engine) as own:
            runs.set_progress(own, id_, doing, done, total)

    def stop(self, id_: str) -> None:
        """Ask a run to stop."""
        with writing(self._engine) as own:
            runs.ask_to_stop(own, id_)

    def ended(self, id_: str, state: RunState, told: str = "") -> None:
        """Write down that a run has ended."""
        with writing(self._engine) as own:
            runs.end_run(own, id_, state, told)

    def _move(self, job: str, base: int, *, back: bool) -> Revision:
        with writing(self._engine) as own:
            return jobs.revision(own, job, jobs.move_head(own, job, base, back=back))

    def _read(self, ask: Callable[[Connection], Found]) -> Found:
        with reading(self._engine) as own:
            return ask(own)
