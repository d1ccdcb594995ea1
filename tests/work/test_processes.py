"""Work in several processes: the same results, told as they come, and nothing left running whatever happens."""

import multiprocessing
import os
import pickle
import signal
import subprocess
import sys
import threading
import time
from dataclasses import replace
from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest

from tests.work.parts import Drawn, Part, Shared, draw, drawing, fail, unpackings
from wattwright.core.errors import Cancelled, InputError, OwnFault, UsageError, WorkError
from wattwright.core.labour import IN_TURN
from wattwright.core.progress import Reporting
from wattwright.core.seeds import Streams
from wattwright.work.processes import Processes, usual_count
from wattwright.work.worker import BEGIN, TASK, keep_memory, serve

# The first lasts longest, so that with several processes it is done last.
PARTS = [Part(f"part {k}", 0.3 if k == 0 else 0.0) for k in range(6)]
LONG = [Part("quick"), *(Part(f"long {k}", 60.0) for k in range(4))]


def none_left():
    """Whether no worker of this process is running; those that ended have been waited for."""
    return not multiprocessing.active_children()


def test_same_results_with_any_count():
    """One after the other, or in one, two or three processes: the draws of each task's own stream, in the order of the tasks."""
    # Plain twin: the stream of each name, drawn here without any labour.
    wanted = [Streams(7).stream(part.name).normal(size=4) for part in PARTS]
    made = [IN_TURN.map(drawing(), PARTS)]
    for count in (1, 2, 3):
        with Processes(count) as labour:
            made.append(labour.map(drawing(), PARTS))
    for results in made:
        for one, draws in zip(results, wanted, strict=True):
            np.testing.assert_array_equal(one.draws, draws)
    assert none_left()


def test_what_is_shared_is_sent_once_and_processes_stay():
    """Over many tasks and two rounds of the same work each process unpacks what they share once, and is not started again."""
    work = drawing(do=unpackings)
    with Processes(2) as labour:
        first, second = (labour.map(work, [Part(f"{k}", 0.05) for k in range(8)]) for _ in range(2))
        other = labour.map(drawing(do=unpackings), [Part("one")])
    assert {one.mean for one in (*first, *second)} == {1.0}
    assert {one.process for one in (*first, *second)} >= {one.process for one in other}
    assert len({one.process for one in (*first, *second)}) == 2
    assert other[0].mean == 2.0


def test_progress_and_what_is_heard():
    """Each result is heard once with its place; progress never goes back, ends at all of them, and carries the words heard."""
    told, heard = [], []

    def listen(place, result):
        heard.append(place)
        return f"best {max(heard)}" if place % 2 else ""

    with Processes(2) as labour:
        labour.map(drawing(), PARTS[1:3])  # both are up
        labour.map(drawing(), PARTS, Reporting(lambda *report: told.append(report)), listen)
    assert sorted(heard) == list(range(6))
    assert heard[-1] == 0, "the task that lasts longest is done last"
    assert told[0] == ("drawing", 0, 6)
    assert told[-1] == ("drawing, best 5", 6, 6)
    assert all(one[1] <= two[1] for one, two in pairwise(told))


def test_no_tasks_and_no_processes():
    """Nothing to do starts nothing; less than one process cannot work."""
    with Processes(usual_count()) as labour:
        assert labour.map(drawing(), []) == ()
        assert none_left()
    with pytest.raises(UsageError, match="at least one"):
        Processes(0)


@pytest.mark.parametrize(
    ("name", "kind", "words"),
    [
        ("input", InputError, 'x.toml, line 3: found "7"; expected a colour. Name one.'),
        ("plain", ValueError, "seven is no colour"),
        ("stubborn", OwnFault, "Stubborn in a worker process: this and that"),
        ("unsendable", OwnFault, "lambda"),
        ("ends", WorkError, r"drawing ended by signal SIGKILL while at task 2 of 3\. .* close other programs, or take less"),
        ("leaves", WorkError, r"ended with code 7 while at task 2 of 3\. What it wrote .* start again to go on from there\."),
    ],
)
def test_what_a_task_raises_comes_back(name, kind, words):
    """An error of a task comes with its own words, a process that ends is told with what to do; then the labour works on."""
    with Processes(1) as labour:
        heard = []
        with pytest.raises((kind, AttributeError) if name == "unsendable" else kind, match=words):
            labour.map(drawing(do=fail), [Part("a"), Part(name), Part("b")], heard=lambda place, one: heard.append(place) or "")
        assert heard == [0], "what was done before is kept"
        assert none_left()
        if name == "ends":
            assert len(labour.map(drawing(), PARTS[1:])) == 5
    assert none_left()


@pytest.mark.parametrize("how", ["stopped", "interrupted", "failing listener"])
def test_stopping_ends_tasks_under_way(how):
    """Stopped by a token, a keyboard or an error of who listens: tasks of a minute end at once, what was done was heard."""
    stop, heard = threading.Event(), []

    def listen(place, result):
        heard.append(place)
        if how == "stopped":
            stop.set()
        elif how == "interrupted":
            raise KeyboardInterrupt
        else:
            raise OSError("no space")
        return ""

    began = time.monotonic()
    wanted = {"stopped": Cancelled, "interrupted": KeyboardInterrupt, "failing listener": OSError}[how]
    with Processes(2) as labour, pytest.raises(wanted):
        labour.map(drawing(), LONG, Reporting(lambda *_: None, stop.is_set), listen)
    assert heard == [0]
    assert none_left()
    assert time.monotonic() - began < 30.0


def test_results_on_their_way_are_heard_when_stopped():
    """What was done while the parent was busy is heard before everything ends."""
    heard = []

    def listen(place, result):
        heard.append(place)
        if len(heard) == 1:
            time.sleep(1.5)  # the other process is done by then, and its answer lies on the line
            raise KeyboardInterrupt
        return ""

    with Processes(2) as labour:
        labour.map(drawing(), PARTS[1:3])  # both are up
        with pytest.raises(KeyboardInterrupt):
            labour.map(drawing(), [Part("quick"), Part("slower", 0.5)], heard=listen)
    assert heard == [0, 1]


def test_work_that_cannot_be_sent():
    """A function without a name of its own is a fault of ours, told with the work."""
    with Processes(1) as labour, pytest.raises(OwnFault, match="drawing cannot be sent to a process"):
        labour.map(replace(drawing(), do=lambda given, task: None), PARTS)
    assert none_left()


PROGRAM = """
import sys
from tests.work.parts import Part, drawing
from wattwright.work.processes import Processes
if __name__ == "__main__":
    with Processes(2) as labour:
        parts = [Part("a", 0.5), Part("b", 0.5), *(Part(f"long {k}", 60.0) for k in range(4))]
        labour.map(drawing(), parts, heard=lambda place, one: print(one.process, flush=True) or "")
"""


def running(process):
    """Whether a process is there; one that has ended and is not waited for yet does not run."""
    try:
        return Path(f"/proc/{process}/stat").read_text().rsplit(")", 1)[1].split()[0] != "Z"
    except FileNotFoundError:
        return False


@pytest.mark.skipif(not Path("/proc/self").is_dir(), reason="no /proc")  # only Linux lists its processes there
@pytest.mark.parametrize("how", [signal.SIGINT, signal.SIGKILL])
def test_no_process_outlives_its_parent(how, root, tmp_path):
    """A program that is interrupted, or killed without a chance to clear up, leaves no process behind."""
    (tmp_path / "program.py").write_text(PROGRAM)
    command = [sys.executable, str(tmp_path / "program.py")]
    paths = os.pathsep.join([str(root), str(root / "src")])
    with subprocess.Popen(
        command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True, env={**os.environ, "PYTHONPATH": paths}
    ) as program:
        workers = {int(program.stdout.readline()) for _ in range(2)}
        assert len(workers) == 2
        assert all(running(one) for one in workers)
        program.send_signal(how)
        program.wait(20)
        said = program.stderr.read()
    until = time.monotonic() + 10.0
    while any(running(one) for one in workers) and time.monotonic() < until:
        time.sleep(0.05)
    assert not any(running(one) for one in workers)
    # Only the parent answers to the keyboard: one trace at most, its own.
    assert said.count("Traceback") == (1 if how == signal.SIGINT else 0)


def served(*messages):
    """What a worker answers to messages, asked in a thread of this process."""
    ours, theirs = multiprocessing.Pipe()
    thread = threading.Thread(target=serve, args=(theirs,))
    thread.start()
    answers = []
    for message in messages:
        ours.send_bytes(message if isinstance(message, bytes) else pickle.dumps(message))
        if message[0] != BEGIN:
            answers.append(pickle.loads(ours.recv_bytes()))
    ours.close()
    thread.join(5)
    assert not thread.is_alive(), "it ends with its line"
    theirs.close()
    return answers


def test_what_a_worker_answers():
    """It answers each task with place and result, an error with its words, and what it cannot unpack with why."""
    good, bad, broken, after = served(
        (BEGIN, fail, Shared(7)), (TASK, 3, Part("x")), (TASK, 4, Part("plain")), b"no pickle", (TASK, 5, Part("stubborn"))
    )
    assert good[:2] == (3, True)
    assert isinstance(good[2], Drawn)
    assert good[2].mean == draw(Shared(7), Part("x")).mean
    assert bad[:2] == (4, False)
    assert "Traceback" in bad[2].__notes__[0]
    assert broken[:2] == (-1, False)
    assert isinstance(broken[2], pickle.UnpicklingError | KeyError | ValueError)
    assert isinstance(after[2], OwnFault)


def test_what_is_shared_is_packed_only_for_those_that_do_not_know_it():
    """What all tasks share is packed once for all processes, and not again in a later round of the same work."""
    work = drawing()
    with Processes(2) as labour:
        for _ in range(3):
            labour.map(work, PARTS[1:5])
        assert work.given.packed == 1
        labour.map(replace(work), PARTS[1:3])
    assert work.given.packed == 2


_REUSED = """
import resource
import numpy as np
from wattwright.work.worker import keep_memory

def faults():
    return resource.getrusage(resource.RUSAGE_SELF).ru_minflt

print(int(keep_memory()))
for k in range(20):
    if k == 4:
        began = faults()
    for size in (300_000, 525_600, 1_000_000):
        np.ones(size)
print(faults() - began)
"""


def test_memory_of_a_task_is_kept_for_the_next():
    """Arrays of a year taken and freed again and again cost a page fault the first time only, where the C library can be told."""
    told, faults = map(
        int, subprocess.run([sys.executable, "-c", _REUSED], capture_output=True, text=True, check=True).stdout.split()
    )
    # Each round takes 14.6 MB, 3,565 pages of 4 kB: kept, the 16 rounds together cost less than one does.
    assert told == (1 if sys.platform == "linux" else told)
    assert not told or faults < 3_565


def test_memory_is_left_as_it_is_where_the_c_library_cannot_be_told(monkeypatch):
    """Another C library than the one that knows the option is left as it is."""
    monkeypatch.setattr("ctypes.CDLL", lambda name: object())
    assert not keep_memory()
