"""Long work, one after the other, each in a program of its own; what the end of the desk breaks off goes on at its next start."""

import json
import subprocess
import sys
import threading
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
_OWN_FAULT = "This is a fault of wattwright. Start it again; if it stays, run it on the command line with WATTWRIGHT_DEBUG=1."


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
            if self._thread is None:
                self._thread = threading.Thread(target=self._work, name="errands", daemon=True)
                self._thread.start()
        self._wake.set()

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
            while not self._ends.is_set() and (waiting := self._store.open_runs()):
                self._do(waiting[0])

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
            command, stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, text=True
        ) as one:
            told = self._watch(run, one)
        if told is not None:
            state, words = told
            self._store.ended(run.id, state, words)

    def _watch(self, run: Run, program: "subprocess.Popen[str]") -> tuple[RunState, str] | None:
        """Follow a program to its end; return how it ended, None where the desk ends first."""
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
            if self._ends.is_set():
                _end(program)
                return None
            if self._store.run(run.id).state is RunState.STOPPING:
                _end(program)
                return RunState.STOPPED, ""
        code = program.wait()
        if code == 0:
            return RunState.DONE, ""
        return RunState.FAILED, fault or _OWN_FAULT


def _program(errand: Errand) -> list[str]:
    return [sys.executable, "-m", "wattwright.web.errand", *as_arguments(errand)]


def _read(lines: IO[str], into: "Queue[str | None]") -> None:
    for line in lines:
        into.put(line)
    into.put(None)


def _end(program: "subprocess.Popen[str]") -> None:
    program.kill()
    program.wait()
