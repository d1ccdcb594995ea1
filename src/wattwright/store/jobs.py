"""Jobs and their revisions in the database. Whoever calls owns the connection and its transaction."""

import hashlib
import time
from collections.abc import Mapping
from dataclasses import dataclass

from sqlalchemy import Connection, delete, func, insert, select, update

from wattwright.core.errors import Place, StoreError, quoted
from wattwright.store.database import insert_once
from wattwright.store.tables import FILES, JOBS, REVISION_FILES, REVISIONS, RUNS

CHANGED_MEANWHILE = "store.changed-meanwhile"
"""Code of the fault of a change that was made on a revision which no longer holds."""


@dataclass(frozen=True, slots=True)
class Revision:
    """One state of a job: its number, the text of job.toml, the files by path (SHA-256), what made it, and its neighbours.

    ``parent`` is the revision that was changed, None for the first; ``child`` the one that redo leads to, None where none does.
    """

    job: str
    number: int
    parent: int | None
    child: int | None
    made_s: int
    cause: str
    text: str
    files: Mapping[str, str]


@dataclass(frozen=True, slots=True)
class Listed:
    """A job of the list: its id, the folder it came from (empty: none), and its revision now."""

    id: str
    origin: str
    head: Revision


def keep_file(connection: Connection, content: bytes) -> str:
    """Keep a content, once, and return its SHA-256."""
    sha256 = hashlib.sha256(content).hexdigest()
    insert_once(connection, FILES, {"sha256": sha256, "size_bytes": len(content), "content": content})
    return sha256


def content_of(connection: Connection, sha256: str) -> bytes:
    """Return a content by its SHA-256. Raises StoreError where it is not kept."""
    found = connection.execute(select(FILES.c.content).where(FILES.c.sha256 == sha256)).scalar_one_or_none()
    if found is None:
        raise _not_there(f"the file {sha256[:16]}")
    return bytes(found)


def add_job(connection: Connection, id_: str, first: tuple[str, Mapping[str, str]], cause: str, origin: str) -> None:
    """Add a job with its first revision: the text of its job file, and its files by path."""
    connection.execute(insert(JOBS).values(id=id_, made_s=_now(), head=1, origin=origin))
    _add_revision(connection, id_, 1, None, first, cause)


def add_revision(connection: Connection, job: str, base: int, content: tuple[str, Mapping[str, str]], cause: str) -> int:
    """Add a revision made on ``base`` and make it the one that holds; return its number.

    Raises StoreError (CHANGED_MEANWHILE) where another one holds by now: nothing is changed then.
    """
    _require_head(connection, job, base)
    last = connection.execute(select(func.max(REVISIONS.c.number)).where(REVISIONS.c.job == job)).scalar_one()
    _add_revision(connection, job, last + 1, base, content, cause)
    connection.execute(update(JOBS).where(JOBS.c.id == job).values(head=last + 1))
    return int(last) + 1


def move_head(connection: Connection, job: str, base: int, *, back: bool) -> int:
    """Undo or redo: make the revision before or after ``base`` the one that holds; return its number.

    Raises StoreError where there is none, or another one than ``base`` holds by now.
    """
    _require_head(connection, job, base)
    now = revision(connection, job, base)
    to = now.parent if back else now.child
    if to is None:
        raise _not_there("a change to take back" if back else "a change to make again")
    connection.execute(update(JOBS).where(JOBS.c.id == job).values(head=to))
    return to


def head_of(connection: Connection, job: str, *, locked: bool = False) -> int:
    """Return the number of the revision that holds; ``locked`` keeps other writers off it. Raises StoreError without the job."""
    asked = select(JOBS.c.head).where(JOBS.c.id == job)
    found = connection.execute(asked.with_for_update() if locked else asked).scalar_one_or_none()
    if found is None:
        raise _not_there(f"the job {quoted(job)}")
    return int(found)


def revision(connection: Connection, job: str, number: int) -> Revision:
    """Return a revision of a job. Raises StoreError where it is not there."""
    of_job = REVISIONS.c.job == job
    row = connection.execute(select(REVISIONS).where(of_job, REVISIONS.c.number == number)).first()
    if row is None:
        raise _not_there(f"revision {number} of the job {quoted(job)}")
    child = connection.execute(select(func.max(REVISIONS.c.number)).where(of_job, REVISIONS.c.parent == number)).scalar_one()
    named = select(REVISION_FILES.c.path, REVISION_FILES.c.sha256).where(
        REVISION_FILES.c.job == job, REVISION_FILES.c.number == number
    )
    files = {row.path: row.sha256 for row in connection.execute(named.order_by(REVISION_FILES.c.path))}
    return Revision(job, number, row.parent, child, row.made_s, row.cause, row.text, files)


def newest(connection: Connection, job: str) -> int:
    """Return the highest number of a job's revisions, nought for a job that is not there: every one below it is kept."""
    return connection.execute(select(func.max(REVISIONS.c.number)).where(REVISIONS.c.job == job)).scalar_one() or 0


def listed(connection: Connection) -> tuple[Listed, ...]:
    """Return every job, the one changed last first."""
    rows = connection.execute(select(JOBS.c.id, JOBS.c.origin, JOBS.c.head)).all()
    found = [Listed(row.id, row.origin, revision(connection, row.id, row.head)) for row in rows]
    return tuple(sorted(found, key=lambda one: (-one.head.made_s, one.id)))


def move_to(connection: Connection, job: str, folder: str) -> None:
    """Have a folder be the one that a job is read from, and no other job. Raises StoreError for a job that is not there."""
    head_of(connection, job)
    connection.execute(update(JOBS).where(JOBS.c.origin == folder).values(origin=""))
    connection.execute(update(JOBS).where(JOBS.c.id == job).values(origin=folder))


def remove_job(connection: Connection, job: str, base: int) -> None:
    """Remove a job with all its revisions and runs; contents that no other job has go too. Raises StoreError as a change does."""
    _require_head(connection, job, base)
    for table in (RUNS, REVISION_FILES, REVISIONS):
        connection.execute(delete(table).where(table.c.job == job))
    connection.execute(delete(JOBS).where(JOBS.c.id == job))
    connection.execute(delete(FILES).where(FILES.c.sha256.not_in(select(REVISION_FILES.c.sha256))))


def kept(connection: Connection) -> tuple[frozenset[str], frozenset[str]]:
    """Return the ids of all jobs, and the SHA-256 of all contents."""
    ids = connection.execute(select(JOBS.c.id)).scalars()
    return frozenset(ids), frozenset(connection.execute(select(FILES.c.sha256)).scalars())


def _add_revision(
    connection: Connection, job: str, number: int, parent: int | None, content: tuple[str, Mapping[str, str]], cause: str
) -> None:
    text, files = content
    connection.execute(insert(REVISIONS).values(job=job, number=number, parent=parent, made_s=_now(), cause=cause, text=text))
    if files:
        rows = [{"job": job, "number": number, "path": path, "sha256": sha256} for path, sha256 in files.items()]
        connection.execute(insert(REVISION_FILES), rows)


def _require_head(connection: Connection, job: str, base: int) -> None:
    head = head_of(connection, job, locked=True)
    if head != base:
        raise StoreError.one(
            CHANGED_MEANWHILE,
            Place(field="the job"),
            found=f"revision {head}",
            wanted=f"revision {base}, which your change was made on",
            next_step="Look at what the job says now, and make your change again on that.",
        )


def _not_there(what: str) -> StoreError:
    return StoreError.one(
        "store.not-there", Place(field="the store"), found="nothing", wanted=what, next_step="Go back to the list of jobs."
    )


def _now() -> int:
    return int(time.time())
