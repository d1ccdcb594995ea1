"""A process beside the server that makes the pages of jobs, and reads what people upload, within bounds of time and memory.

The server itself never parses a meter file and works nothing out: it asks for a page and shows what comes. A file that takes too
long or too much ends the process and not the desk.
"""

import time
from dataclasses import dataclass
from pathlib import Path
from threading import Lock
from typing import Any

from wattwright.core.errors import Fault, InputError, Place, WorkError
from wattwright.core.labour import Work
from wattwright.web.open_job import OpenJob, open_job
from wattwright.web.whole import Wanted, Whole, make_whole
from wattwright.work.processes import Processes

MOST_S = 600.0
"""Nobody waits for it, and a year of a job with many loads takes its time on a busy machine."""
MOST_BYTES = 6 * 2**30
"""Memory that the process may write to. Address space has no bound: what draws the pictures reserves much and touches little."""
_MOST_OPEN = 4
"""Revisions held open in the process at once; each may hold a year of readings."""


@dataclass(frozen=True, slots=True)
class Outcome:
    """What came of a task: a page, or the faults for which there is none."""

    page: Whole | None = None
    faults: tuple[Fault, ...] = ()


class _TakesTooLong(Exception):
    """The bound of time is passed."""


class Bench:
    """One process, started when first needed and again after it was ended; one page at a time."""

    def __init__(self, most_s: float = MOST_S, most_bytes: int = MOST_BYTES) -> None:
        self._most_s, self._processes, self._lock = most_s, Processes(1), Lock()
        self._work = Work("reading", _do, most_bytes, Outcome)

    def close(self) -> None:
        """End the process, also in the middle of a page."""
        self._processes.end(at_once=True)

    def make(self, wanted: Wanted) -> Outcome:
        """Have a page made, whatever its stages need put on the job's shelf."""
        with self._lock:
            try:
                return self._processes.map(self._work, [wanted], _Until(time.monotonic() + self._most_s))[0]
            except _TakesTooLong:
                return Outcome(faults=(_beyond(wanted.name, f"more than {self._most_s:g} s of work"),))
            except WorkError:
                return Outcome(faults=(_beyond(wanted.name, "work that ended the process it was done in"),))


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


def _do(most_bytes: int, wanted: Wanted) -> Outcome:
    """Make a page within the bound of memory; bad input is an outcome, so that the process goes on."""
    _bound_memory(most_bytes)
    try:
        return Outcome(make_whole(_opened(wanted), wanted))
    except InputError as error:
        return Outcome(faults=error.faults)
    except (MemoryError, ImportError):  # where there is no room left, a library cannot be loaded either
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
