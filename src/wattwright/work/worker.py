"""What a worker process does: it is told the work once, then a task at a time, until its line to the parent is closed."""

import ctypes
import pickle
import signal
import threading
import traceback
from multiprocessing import parent_process
from multiprocessing.connection import Connection
from typing import Any

from wattwright.core.errors import OwnFault, WattwrightError

BEGIN, TASK = "begin", "task"

_TRIM_THRESHOLD, _MMAP_THRESHOLD = -1, -3
"""Options of ``mallopt``, as the C library's own header numbers them."""
_KEPT_BYTES, _MAPPED_BYTES = 256 * 1024 * 1024, 32 * 1024 * 1024


def live(line: Connection) -> None:
    """Serve as a process of its own, and end when the parent does, however that came about."""
    # Control and C reaches every process of a terminal; the parent alone decides what it means.
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    threading.Thread(target=_end_with_parent, daemon=True).start()
    keep_memory()
    serve(line)


def keep_memory() -> bool:
    """Have the C library keep freed memory for the next task, where it can be told to; return whether it could.

    Each task takes and frees the same arrays of a year. Given back to the system they cost a page fault for every 4 kB in every
    task: a sixth of the time of two processes.
    """
    try:
        tell = ctypes.CDLL(None).mallopt
    except (AttributeError, OSError, TypeError):  # not this C library
        return False
    return bool(tell(_TRIM_THRESHOLD, _KEPT_BYTES)) and bool(tell(_MMAP_THRESHOLD, _MAPPED_BYTES))


def _end_with_parent() -> None:
    import os

    parent = parent_process()
    if parent is not None:
        parent.join()
        os._exit(1)


def serve(line: Connection) -> None:
    """Answer each task with its place, whether it went well, and the result or the error; return when the line is closed."""
    do, given = None, None
    while True:
        try:
            kind, first, second = pickle.loads(line.recv_bytes())
            if kind == BEGIN:
                do, given = first, second
            else:
                line.send_bytes(_answer(do, given, first, second))
        except (EOFError, BrokenPipeError, ConnectionResetError):
            return
        except Exception as error:
            # What was sent cannot be unpacked here: the parent is told instead of a task's answer.
            line.send_bytes(pickle.dumps((-1, False, portable(error))))


def _answer(do: Any, given: Any, place: int, task: Any) -> bytes:
    try:
        return pickle.dumps((place, True, do(given, task)))
    except Exception as error:
        return pickle.dumps((place, False, portable(error)))


def portable(error: Exception) -> Exception:
    """Return an error that can go to another process: itself, or where it cannot, a fault of ours with its words."""
    trace = "".join(traceback.format_exception(error))
    if not isinstance(error, WattwrightError):
        error.add_note(f"In a worker process:\n{trace}")
    try:
        if str(pickle.loads(pickle.dumps(error))) == str(error):
            return error
    except Exception:  # it fails in its own way, and then cannot go
        pass
    told = OwnFault(f"{type(error).__name__} in a worker process: {error}")
    told.add_note(trace)
    return told
