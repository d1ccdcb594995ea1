"""A process beside the server that reads what people upload, within bounds of time and memory.

The server itself never parses a meter file: it has the stage made here, and finds its result on the shelf. A file that takes too
long or too much ends the process and not the desk.
"""

import time
from dataclasses import dataclass
from pathlib import Path
from threading import Lock
from typing import Any

from wattwright.core.errors import Fault, InputError, Place, RecordError, WorkError
from wattwright.core.labour import Work
from wattwright.job.assessment import Assessment
from wattwright.job.equipping import gear_of
from wattwright.job.file import load_job
from wattwright.job.look import Look, Told, look_at
from wattwright.work.processes import Processes

MOST_S = 120.0
MOST_BYTES = 6 * 2**30
"""Address space of the process, of which much is never touched."""
GEAR = "gear"
"""Stands for the equipment of a job, which is no stage but simulates a year."""
_PARTS = 60


@dataclass(frozen=True, slots=True)
class Task:
    """A stage to be made for the job in a folder, its results on a shelf."""

    folder: Path
    shelf: Path
    stage: str


@dataclass(frozen=True, slots=True)
class Viewing:
    """A meter file to be looked at as it was told, each open answer tried."""

    path: Path
    told: Told


@dataclass(frozen=True, slots=True)
class Outcome:
    """What came of a task: a look, or the faults for which there is no result."""

    look: Look | None = None
    faults: tuple[Fault, ...] = ()


class _TakesTooLong(Exception):
    """The bound of time is passed."""


class Bench:
    """One process, started when first needed and again after it was ended; one task at a time."""

    def __init__(self, most_s: float = MOST_S, most_bytes: int = MOST_BYTES) -> None:
        self._most_s, self._processes, self._lock = most_s, Processes(1), Lock()
        self._work = Work("reading", _do, most_bytes, Outcome)

    def close(self) -> None:
        """End the process, also in the middle of a task."""
        self._processes.end(at_once=True)

    def make(self, folder: Path, shelf: Path, stage: str) -> tuple[Fault, ...]:
        """Have a stage of a job put on its shelf; return the faults for which it cannot be made."""
        return self._asked(Task(folder, shelf, stage), stage).faults

    def look(self, path: Path, told: Told) -> Look | None:
        """A look at a meter file with every answer tried; None where it is damaged, which its stage tells."""
        return self._asked(Viewing(path, told), path.name).look

    def _asked(self, task: Task | Viewing, name: str) -> Outcome:
        with self._lock:
            try:
                return self._processes.map(self._work, [task], _Until(time.monotonic() + self._most_s))[0]
            except _TakesTooLong:
                return Outcome(faults=(_beyond(name, f"more than {self._most_s:g} s of work"),))
            except WorkError:
                return Outcome(faults=(_beyond(name, "work that ended the process it was done in"),))


@dataclass(frozen=True, slots=True)
class _Until:
    """Progress that ends the work at an instant."""

    end_s: float

    def at(self, what: str, done: float, total: float) -> None:
        """Stop where the time is over."""
        if time.monotonic() > self.end_s and done < total:
            raise _TakesTooLong


def _beyond(name: str, found: str) -> Fault:
    return Fault(
        "desk.beyond-bounds",
        Place(field=name),
        found=found,
        wanted="readings that can be worked out within the bounds of the desk",
        next_step="Take a shorter stretch or a longer step of the readings, or use the command line, which has no such bounds.",
    )


def _do(most_bytes: int, task: Task | Viewing) -> Outcome:
    """Do a task within the bound of memory; bad input is an outcome, so that the process goes on."""
    _bound_memory(most_bytes)
    try:
        return _made(task)
    except InputError as error:
        return Outcome(faults=error.faults)
    except (MemoryError, ImportError):  # where there is no room left, a library cannot be loaded either
        return Outcome(faults=(_beyond("the readings", f"more than {most_bytes / 2**30:g} GB of memory"),))


def _made(task: Task | Viewing) -> Outcome:
    if isinstance(task, Viewing):
        try:
            return Outcome(look_at(task.path, task.told, _PARTS))
        except RecordError:
            return Outcome()
    assessment = Assessment(load_job(task.folder), shelf=task.shelf)
    if task.stage == GEAR:
        gear_of(assessment)
    else:
        assessment.graph.result(task.stage)
    return Outcome()


def _bound_memory(most_bytes: int) -> None:
    try:
        import resource
    except ImportError:  # a system without such bounds
        return
    limit: Any = resource.RLIMIT_AS
    resource.setrlimit(limit, (most_bytes, resource.getrlimit(limit)[1]))
