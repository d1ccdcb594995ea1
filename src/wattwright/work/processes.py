"""Work spread over processes of this machine.

The processes are started afresh, so that they share no locks, threads or random state with this one, and are kept from one
``map`` to the next. One task at a time is with each process: so it is known which task was with one that ended, and a task
under way can be ended. That, and that none outlives its parent, is why they are held here and not by an executor.
"""

import multiprocessing
import os
import pickle
import signal
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from multiprocessing.connection import Connection, wait
from multiprocessing.context import SpawnProcess
from types import TracebackType
from typing import Any, Self

from wattwright.core.errors import OwnFault, UsageError, WorkError
from wattwright.core.labour import Given, Heard, Result, Task, Work, said, unheard
from wattwright.core.progress import SILENT, Progress
from wattwright.work.worker import BEGIN, TASK, live

_ASKED_S = 0.2
"""How often progress is asked whether to stop while no task is done."""
_FAREWELL_S = 5.0
_BY_ITSELF = (
    "What it wrote before that says why. A program of your own that has work done in processes keeps what it does behind "
    'if __name__ == "__main__".'
)


def usual_count() -> int:
    """Return how many processes this one may keep busy: one for each core it may use."""
    return len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1


@dataclass(slots=True, eq=False)
class _Worker:
    """A process, the line to it, the work it knows, the place of its task (None: none), and whether its answer is being read."""

    process: SpawnProcess
    line: Connection
    knows: object = None
    at: int | None = None
    reading: bool = False

    def read(self) -> tuple[int, bool, Any]:
        """Return the answer on the line."""
        self.reading = True
        place, well, answer = pickle.loads(self.line.recv_bytes())
        self.reading, self.at = False, None
        return place, well, answer


@dataclass(slots=True, eq=False)
class _Round:
    """One ``map`` under way: what is still to be given out, and what has come back."""

    work: Work[Any, Any, Any]
    tasks: Sequence[Any]
    heard: Heard
    results: dict[int, Any] = field(default_factory=dict)
    given: int = 0
    words: str = ""

    def take(self, place: int, result: Any) -> None:
        self.results[place] = result
        self.words = self.heard(place, result) or self.words


class Processes:
    """Several processes that do tasks side by side; use it in a ``with`` block, which ends them.

    It is a ``core.labour.Labour``: results come in the order of the tasks and are the same for any count of processes.
    """

    def __init__(self, count: int) -> None:
        """Take how many processes to start when they are first needed; raises UsageError for less than one."""
        if count < 1:
            raise UsageError(f"Work needs at least one process, and {count} were asked for.")
        self.count = count
        self._workers: list[_Worker] = []

    def __enter__(self) -> Self:
        """Begin; no process is started yet."""
        return self

    def __exit__(self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None) -> None:
        """End every process."""
        self.end()

    def map(
        self, work: Work[Given, Task, Result], tasks: Sequence[Task], progress: Progress = SILENT, heard: Heard = unheard
    ) -> tuple[Result, ...]:
        """Do what ``Labour.map`` says; on any error, and when the person stops it, every process is ended first."""
        one = _Round(work, tasks, heard)
        progress.at(work.name, 0, len(tasks))
        try:
            self._start(min(self.count, len(tasks)))
            self._work(one, progress)
        except BaseException:
            try:
                self._last_results(one)
            finally:
                self.end(at_once=True)
            raise
        return tuple(one.results[place] for place in range(len(tasks)))

    def end(self, *, at_once: bool = False) -> None:
        """End the processes: when they have nothing to do, or at once."""
        workers, self._workers = self._workers, []
        for one in workers:
            one.line.close()
            if at_once:
                one.process.kill()
        for one in workers:
            one.process.join(_FAREWELL_S)
            if one.process.is_alive():
                one.process.kill()
                one.process.join()
            one.process.close()

    def _start(self, count: int) -> None:
        context = multiprocessing.get_context("spawn")
        while len(self._workers) < count:
            ours, theirs = context.Pipe()
            process = context.Process(target=live, args=(theirs,), daemon=True)
            process.start()
            # Only the process holds its end from now on, so that the line breaks when it ends.
            theirs.close()
            self._workers.append(_Worker(process, ours))

    def _work(self, one: _Round, progress: Progress) -> None:
        for worker in self._workers:
            worker.at = None
        # What all tasks share may be large: it is packed once, and only where a worker does not know it yet.
        knowing = [worker.knows is one.work for worker in self._workers]
        packed = b"" if all(knowing) else _packed(BEGIN, one.work.do, one.work.given, one.work.name)
        for worker in self._workers:
            self._hand_out(worker, one, packed)
        while len(one.results) < len(one.tasks):
            ready = wait([worker.line for worker in self._workers], _ASKED_S)
            for worker in self._workers:
                if worker.line in ready:
                    one.take(*self._answer(worker, one))
                    self._hand_out(worker, one, packed)
            progress.at(said(one.work, one.words), len(one.results), len(one.tasks))

    def _hand_out(self, worker: _Worker, one: _Round, packed: bytes) -> None:
        """Give a worker the next task, and before its first of this work what all tasks share."""
        if one.given == len(one.tasks):
            return
        worker.at, one.given = one.given, one.given + 1
        try:
            if worker.knows is not one.work:
                worker.line.send_bytes(packed)
                worker.knows = one.work
            worker.line.send_bytes(_packed(TASK, worker.at, one.tasks[worker.at], one.work.name))
        except (BrokenPipeError, ConnectionResetError) as error:
            raise self._lost(worker, one) from error

    def _answer(self, worker: _Worker, one: _Round) -> tuple[int, Any]:
        try:
            place, well, answer = worker.read()
        except (EOFError, ConnectionResetError) as error:
            raise self._lost(worker, one) from error
        if not well:
            raise answer
        return place, answer

    def _last_results(self, one: _Round) -> None:
        """Take what was done in the meantime, so that it is heard before everything ends."""
        for place, answer in self._waiting():
            one.take(place, answer)

    def _waiting(self) -> Iterator[tuple[int, Any]]:
        for worker in self._workers:
            try:
                # An answer whose reading was broken off has no beginning any more.
                if worker.at is not None and not worker.reading and worker.line.poll():
                    place, well, answer = worker.read()
                    if well:
                        yield place, answer
            except (EOFError, OSError):
                continue

    def _lost(self, worker: _Worker, one: _Round) -> WorkError:
        worker.process.join(_FAREWELL_S)
        code = worker.process.exitcode
        killed = code is not None and code < 0
        how = f"by signal {signal.Signals(-code).name}" if code is not None and killed else f"with code {code}"
        task = "between two tasks" if worker.at is None else f"while at task {worker.at + 1} of {len(one.tasks)}"
        fewer = f"use fewer processes than {self.count}" if self.count > 1 else "take less at a time"
        why = f"The machine may be short of memory: close other programs, or {fewer}." if killed else _BY_ITSELF
        return WorkError(
            f"A worker process of {one.work.name} ended {how} {task}. {why} "
            "What was done until then is kept where a journal is kept; start again to go on from there."
        )


def _packed(kind: str, first: Any, second: Any, name: str) -> bytes:
    try:
        return pickle.dumps((kind, first, second))
    except (pickle.PicklingError, AttributeError, TypeError) as error:
        raise OwnFault(f"{name} cannot be sent to a process: {error}") from error
