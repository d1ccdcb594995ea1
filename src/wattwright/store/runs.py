"""Long work in the database. Whoever calls owns the connection and its transaction."""

import time
from dataclasses import dataclass
from enum import StrEnum

from sqlalchemy import Connection, Row, func, insert, select, update

from wattwright.store.tables import RUNS


class RunState(StrEnum):
    """How long work stands."""

    WAITING = "waiting"
    RUNNING = "running"
    STOPPING = "stopping"
    DONE = "done"
    STOPPED = "stopped"
    FAILED = "failed"


OPEN = (RunState.WAITING, RunState.RUNNING, RunState.STOPPING)
"""States of work that has not ended."""


@dataclass(frozen=True, slots=True)
class Run:
    """Long work of a ``kind`` for one revision, the ``nth`` of its job: what was asked (JSON), how far it is, what it told."""

    id: str
    job: str
    nth: int
    number: int
    kind: str
    asked: str
    state: RunState
    doing: str
    done: float
    total: float
    begun_s: int
    ended_s: int | None
    told: str

    @property
    def is_open(self) -> bool:
        """Return whether it has not ended."""
        return self.state in OPEN


def add_run(connection: Connection, id_: str, job: str, number: int, kind: str, asked: str) -> Run:
    """Add work that waits for its turn."""
    before = connection.execute(select(func.max(RUNS.c.nth)).where(RUNS.c.job == job)).scalar_one()
    connection.execute(
        insert(RUNS).values(
            id=id_, job=job, nth=(before or 0) + 1, number=number, kind=kind, asked=asked, state=RunState.WAITING,
            doing="", done=0.0, total=0.0, begun_s=int(time.time()), ended_s=None, told="",
        )
    )  # fmt: skip
    return run(connection, id_)


def run(connection: Connection, id_: str) -> Run:
    """Return a run by its id, which must be there."""
    return _run(connection.execute(select(RUNS).where(RUNS.c.id == id_)).one())


def find_run(connection: Connection, id_: str) -> Run | None:
    """Return a run by its id, None where there is none."""
    row = connection.execute(select(RUNS).where(RUNS.c.id == id_)).first()
    return None if row is None else _run(row)


def last_run(connection: Connection, job: str, kind: str) -> Run | None:
    """Return the newest run of a kind for a job, None where there is none."""
    asked = select(RUNS).where(RUNS.c.job == job, RUNS.c.kind == kind).order_by(RUNS.c.nth.desc()).limit(1)
    row = connection.execute(asked).first()
    return None if row is None else _run(row)


def open_runs(connection: Connection) -> tuple[Run, ...]:
    """Return all work that has not ended, the oldest first."""
    rows = connection.execute(select(RUNS).where(RUNS.c.state.in_(OPEN)).order_by(RUNS.c.begun_s, RUNS.c.nth, RUNS.c.id))
    return tuple(_run(row) for row in rows)


def set_progress(connection: Connection, id_: str, doing: str, done: float, total: float) -> None:
    """Write down how far a run is; one that is to stop or has ended stays as it is."""
    going = (RUNS.c.id == id_) & RUNS.c.state.in_((RunState.WAITING, RunState.RUNNING))
    connection.execute(update(RUNS).where(going).values(state=RunState.RUNNING, doing=doing, done=done, total=total))


def ask_to_stop(connection: Connection, id_: str) -> None:
    """Ask a run to stop; one that only waits has stopped at once, one that has ended stays as it is."""
    of_run = RUNS.c.id == id_
    waits = update(RUNS).where(of_run, RUNS.c.state == RunState.WAITING)
    connection.execute(waits.values(state=RunState.STOPPED, ended_s=int(time.time())))
    connection.execute(update(RUNS).where(of_run, RUNS.c.state == RunState.RUNNING).values(state=RunState.STOPPING))


def end_run(connection: Connection, id_: str, state: RunState, told: str = "") -> None:
    """Write down that a run has ended, and what was told."""
    connection.execute(update(RUNS).where(RUNS.c.id == id_).values(state=state, ended_s=int(time.time()), told=told))


def _run(row: Row[tuple[object, ...]]) -> Run:
    values = dict(row._mapping)
    return Run(**{**values, "state": RunState(str(values["state"]))})
