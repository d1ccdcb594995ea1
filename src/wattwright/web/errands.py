"""Long work, one after the other, each in a program of its own; what the end of the desk breaks off goes on at its next start."""

import json
import signal
import subprocess
import sys
import threading
import time
from collections.abc import Callable
from queue import Empty, Queue
from typing import IO

from wattwright.core.errors import InputError
from wattwright.store.runs import Run, RunState
from wattwright.store.store import Store
from wattwright.web.errand import Errand, as_arguments

_ASKED_S = 0.3
"""How often it is asked whether a run is to stop."""
_FAREWELL_S = 5.0
_AGAIN_S = 2.0
"""How long after a fault of the store itself it is asked again."""
_OWN_FAULT = "This is a fault of wattwright. Start it again; if it stays, run it on the command line with WATTWRIGHT_DEBUG=1."
_FROM_OUTSIDE = (
    "Its program was ended from outside: by somebody, or by the system where memory ran short. Nothing that was kept is lost; "
    "start it again."
)
_SENT_FROM_OUTSIDE = tuple(
    int(getattr(signal, one)) for one in ("SIGKILL", "SIGTERM", "SIGHUP", "SIGINT", "SIGQUIT") if hasattr(signal, one)
)


class Errands:
    """Does the open runs of a store, the oldest first, in a thread that is started when first needed."""

    def __init__(self, store: Store, command: Callable[[Errand], list[str]] | None = None) -> None:
        self._store, self._command = store, command or _program
        self._wake, self._ends, self._lock = threading.Event(), threading.Event(), threading.Lock()
        self._thread: threading.Thread | None = None

    def go_on(self) -> None:
        """Take up what was under way when the desk ended; what was to stop has stopped."""
        for run in self._store.open_runs():
            if run.state is RunState.STOPPING:
                self._store.ended(run.id, RunState.STOPPED)
        if self._store.open_runs():
            self.wake()

    def wake(self) -> None:
        """See that open runs are done."""
        with self._lock:
            if self._thread is None or not self._thread.is_alive():
                self._thread = threading.Thread(target=self._work, name="errands", daemon=True)
                self._thread.start()
        self._wake.set()

    def stop(self, job: str) -> None:
        """Stop all work of a job, and wait a while for its program to end: so nothing writes into what is taken away next."""
        last = time.monotonic() + _FAREWELL_S
        for run in self._of(job):
            if run.state is not RunState.STOPPING:
                self._store.stop(run.id)
        while self._of(job) and time.monotonic() < last:
            self.wake()
            time.sleep(_ASKED_S)

    def close(self) -> None:
        """End the program under way; its run stays open and goes on at the next start."""
        self._ends.set()
        self._wake.set()
        if self._thread is not None:
            self._thread.join(_FAREWELL_S)

    def _work(self) -> None:
        while not self._ends.is_set():
            self._wake.wait()
            self._wake.clear()
            try:
                while not self._ends.is_set() and (waiting := self._store.open_runs()):
                    self._do_or_tell(waiting[0])
            except Exception:  # the store itself is away: nothing can be told in it, and it is asked again
                self._ends.wait(_AGAIN_S)
                self._wake.set()

    def _do_or_tell(self, run: Run) -> None:
        """Do a run; a fault in doing it ends this one and not those that wait."""
        try:
            self._do(run)
        except Exception as error:
            self._store.ended(run.id, RunState.FAILED, f"{_OWN_FAULT} ({type(error).__name__})")

    def _of(self, job: str) -> list[Run]:
        return [one for one in self._store.open_runs() if one.job == job]

    def _do(self, run: Run) -> None:
        try:
            folder = self._store.laid_out(self._store.revision(run.job, run.number))
        except InputError as error:
            self._store.ended(run.id, RunState.FAILED, str(error))
            return
        shelf = self._store.results(run.job)
        shelf.mkdir(parents=True, exist_ok=True)
        asked = json.loads(run.asked)
        self._store.progress(run.id, "", 0.0, 0.0)
        command = self._command(Errand(run.kind, folder, shelf, **asked))
        with subprocess.Popen(
            command, stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, text=True,
            # Control-C at the terminal is for the desk alone: what is under way goes on at its next start.
            start_new_session=True,
        ) as one:  # fmt: skip
            try:
                told = self._watch(run, one)
            finally:
                one.kill()
        if told is not None:
            state, words = told
            self._store.ended(run.id, state, words)

    def _watch(self, run: Run, program: "subprocess.Popen[str]") -> tuple[RunState, str] | None:
        """Follow a program; return how it ended or is to end, None where the desk ends first or the run is gone with its job."""
        assert program.stdout is not None  # a pipe was asked for
        lines: Queue[str | None] = Queue()
        threading.Thread(target=_read, args=(program.stdout, lines), daemon=True).start()
        fault = ""
        while True:
            try:
                line = lines.get(timeout=_ASKED_S)
            except Empty:
                line = ""
            if line is None:
                break
            told = json.loads(line) if line else {}
            fault = str(told.get("fault", fault))
            if "doing" in told:
                self._store.progress(run.id, told["doing"], told["done"], told["total"])
            now = self._store.find_run(run.id)
            if self._ends.is_set() or now is None:
                return None
            if now.state is RunState.STOPPING:
                return RunState.STOPPED, ""
        code = program.wait()
        if code == 0:
            return RunState.DONE, ""
        return RunState.FAILED, fault or (_FROM_OUTSIDE if -code in _SENT_FROM_OUTSIDE else _OWN_FAULT)


def _program(errand: Errand) -> list[str]:
    return [sys.executable, "-m", "wattwright.web.errand", *as_arguments(errand)]


def _read(lines: IO[str], into: "Queue[str | None]") -> None:
    for line in lines:
        into.put(line)
    into.put(None)
