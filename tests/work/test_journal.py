"""A journal of finished tasks: resumed work comes to the same answer, and what does not belong is refused."""

import json
import os
import signal
import subprocess
import sys

import numpy as np
import pytest
from hypothesis import given, settings, strategies as st

from tests.work.parts import Part, drawing, fail
from wattwright.core.errors import FileError
from wattwright.core.labour import IN_TURN
from wattwright.core.progress import Reporting
from wattwright.work import journal as journal_module
from wattwright.work.journal import Journal, Kept

PARTS = [Part(f"part {k}") for k in range(6)]


class Counting:
    """A labour that counts the tasks it is given, and breaks off after some."""

    def __init__(self, most=99):
        self.done, self.most = [], most

    def map(self, work, tasks, progress, heard):
        def listen(place, result):
            words = heard(place, result)
            self.done.append(tasks[place].name)
            if len(self.done) == self.most:
                raise KeyboardInterrupt
            return words

        return IN_TURN.map(work, tasks, progress, listen)


def same(one, two):
    return all(np.array_equal(a.draws, b.draws) and a.mean == b.mean for a, b in zip(one, two, strict=True))


@settings(max_examples=20)
@given(most=st.integers(1, 5), torn=st.integers(0, 60))
def test_interrupted_work_comes_to_the_same_answer(most, torn, tmp_path_factory):
    """Broken off after any task, its last line torn anywhere: the same answer, and only what is missing is done again."""
    path = tmp_path_factory.mktemp("torn") / "work.jsonl"
    with Journal(path, "inputs") as journal, pytest.raises(KeyboardInterrupt):
        Kept(Counting(most), journal).map(drawing(), PARTS)
    content = path.read_bytes()
    path.write_bytes(content[: len(content) - torn])
    whole = most if torn == 0 else most - 1
    again = Counting()
    with Journal(path, "inputs") as journal:
        assert len(journal) == whole
        made = Kept(again, journal).map(drawing(), PARTS)
    assert same(made, IN_TURN.map(drawing(), PARTS))
    assert again.done == [part.name for part in PARTS[whole:]]
    # The journal is whole again: nothing is left to do.
    with Journal(path, "inputs") as journal:
        idle = Counting()
        assert same(Kept(idle, journal).map(drawing(), PARTS), made)
    assert idle.done == []


def test_progress_counts_what_was_known(tmp_path):
    """Progress begins where the work stopped, and what was known is heard too, each at its own place."""
    told, heard = [], []
    with Journal(tmp_path / "work.jsonl", "inputs") as journal:
        Kept(IN_TURN, journal).map(drawing(), [PARTS[1], PARTS[4]])
        Kept(IN_TURN, journal).map(
            drawing(), PARTS, Reporting(lambda *report: told.append(report)), lambda place, one: heard.append(place) or "well"
        )
    assert told == [("drawing", 2, 6), *(("drawing, well", count, 6) for count in (3, 4, 5, 6))]
    assert heard == [1, 4, 0, 2, 3, 5]


def test_other_work_is_not_mistaken(tmp_path):
    """The same task of work with another mark, or another name, is done anew."""
    with Journal(tmp_path / "work.jsonl", "inputs") as journal:
        first = Kept(IN_TURN, journal).map(drawing(7), PARTS[:1])
        other = Kept(IN_TURN, journal).map(drawing(8), PARTS[:1])
        assert len(journal) == 2
    assert not same(first, other)


def test_what_fails_is_not_kept(tmp_path):
    """A task that raised is not in the journal; those before it are."""
    with Journal(tmp_path / "work.jsonl", "inputs") as journal:
        with pytest.raises(ValueError, match="seven"):
            Kept(IN_TURN, journal).map(drawing(do=fail), [Part("a"), Part("plain"), Part("b")])
        assert len(journal) == 1


def test_another_journal_is_refused(tmp_path, monkeypatch):
    """Of other inputs or another version: refused with what to do, and begun anew when asked."""
    path = tmp_path / "work.jsonl"
    with Journal(path, "inputs") as journal:
        Kept(IN_TURN, journal).map(drawing(), PARTS)
    with pytest.raises(FileError, match=r"a journal of other inputs or another seed; .* Start anew"):
        Journal(path, "other inputs")
    monkeypatch.setattr(journal_module, "made_by", lambda: "later code")
    with pytest.raises(FileError, match="a journal of another version of the program"):
        Journal(path, "inputs")
    with Journal(path, "inputs", anew=True) as journal:
        assert len(journal) == 0
    with Journal(path, "inputs") as journal:
        assert len(journal) == 0


@pytest.mark.parametrize(
    ("content", "words"),
    [
        (b"", "found something else"),
        (b"no line end", "found something else"),
        (b'{"journal": 99}\n', "found something else"),
        (b'{"journal": \n', "found line 1 damaged"),
        (b"[]\n", "found something else"),
        (b"time,kW\n2025-01-01,3\n", "found something else"),
    ],
)
def test_other_files_are_refused(tmp_path, content, words):
    """A file that is no journal is refused and left as it is."""
    path = tmp_path / "work.jsonl"
    path.write_bytes(content)
    with pytest.raises(FileError, match=words):
        Journal(path, "inputs")
    assert path.read_bytes() == content


@pytest.mark.parametrize("bad", [b"{broken}", b'{"task": "x"}', b"7"])
def test_damage_within_is_refused(tmp_path, bad):
    """A damaged line that is not the last one is no interruption: refused with its number."""
    path = tmp_path / "work.jsonl"
    with Journal(path, "inputs") as journal:
        Kept(IN_TURN, journal).map(drawing(), PARTS)
    lines = path.read_bytes().splitlines()
    lines[2] = bad
    path.write_bytes(b"\n".join(lines) + b"\n")
    with pytest.raises(FileError, match="line 3 damaged"):
        Journal(path, "inputs")


def test_no_room_is_told(tmp_path, monkeypatch):
    """A disk that takes no more is told as a sentence, and ends the work."""
    with Journal(tmp_path / "work.jsonl", "inputs") as journal:

        def full(_):
            raise OSError(28, "No space left on device")

        monkeypatch.setattr(journal_module.os, "fsync", full)
        with pytest.raises(FileError, match="no space left"):
            Kept(IN_TURN, journal).map(drawing(), PARTS)


def test_each_line_is_json_for_everybody(tmp_path):
    """A journal is plain text: a head, then one JSON object a task."""
    with Journal(tmp_path / "work.jsonl", "inputs") as journal:
        Kept(IN_TURN, journal).map(drawing(), PARTS)
    head, *tasks = [json.loads(line) for line in (tmp_path / "work.jsonl").read_text().splitlines()]
    assert head["mark"] == "inputs"
    assert [one["task"] for one in tasks] == [drawing().key(part) for part in PARTS]


PROGRAM = """
import sys
from pathlib import Path
from tests.work.parts import Part, drawing
from wattwright.work.journal import Journal, Kept
from wattwright.work.processes import Processes
if __name__ == "__main__":
    parts = [Part(f"part {k}", 0.1) for k in range(40)]
    with Processes(2) as pool, Journal(Path(sys.argv[1]), "inputs") as journal:
        print(len(journal), flush=True)
        made = Kept(pool, journal).map(drawing(), parts, heard=lambda place, one: print(place, flush=True) or "")
    print(sum(one.mean for one in made).hex())
"""


def test_killed_program_goes_on(root, tmp_path):
    """A program killed in the middle of work in processes goes on from its journal and says the same sum to the last bit."""
    (tmp_path / "program.py").write_text(PROGRAM)
    command = [sys.executable, str(tmp_path / "program.py"), str(tmp_path / "work.jsonl")]
    surroundings = {**os.environ, "PYTHONPATH": os.pathsep.join([str(root), str(root / "src")])}
    with subprocess.Popen(command, stdout=subprocess.PIPE, text=True, env=surroundings) as program:
        for _ in range(10):
            program.stdout.readline()
        program.send_signal(signal.SIGKILL)
    resumed = subprocess.run(command, capture_output=True, text=True, env=surroundings, check=True).stdout.split()
    assert 8 <= int(resumed[0]) < 40
    plain = IN_TURN.map(drawing(), [Part(f"part {k}") for k in range(40)])
    assert resumed[-1] == sum(one.mean for one in plain).hex()


@pytest.mark.parametrize("anew", [False, True])
def test_no_journal_takes_the_place_of_another_file(tmp_path, anew):
    """Readings named by mistake are left as they are, also where a journal is to begin anew."""
    path = tmp_path / "readings.csv"
    path.write_text("time,kWh\n2025-01-01,1\n")
    with pytest.raises(FileError, match="Name another file"):
        Journal(path, "inputs", anew=anew)
    assert path.read_text() == "time,kWh\n2025-01-01,1\n"


def test_a_journal_that_may_not_be_written_is_told(tmp_path, monkeypatch):
    """A disk that may only be read: one of our own errors, with the file in it."""
    path = tmp_path / "tried"
    Journal(path, "inputs").__exit__(None, None, None)

    opens = type(path).open

    def refuses(self, mode="r", **more):
        if mode == "ab":
            raise PermissionError(13, "Permission denied")
        return opens(self, mode, **more)

    monkeypatch.setattr(type(path), "open", refuses)
    with pytest.raises(FileError, match="tried"):
        Journal(path, "inputs")


def test_a_journal_is_written_by_one_run_alone(tmp_path):
    """While a run holds it a second one is refused with a sentence, and what it holds stays; afterwards it is free."""
    path = tmp_path / "work.jsonl"
    with Journal(path, "inputs") as journal:
        Kept(Counting(), journal).map(drawing(), PARTS[:2])
        for anew in (False, True):
            with pytest.raises(FileError, match="another run is writing"):
                Journal(path, "inputs", anew=anew)
        Kept(Counting(), journal).map(drawing(), PARTS[:3])
    with Journal(path, "inputs") as journal:
        assert len(journal) == 3


def test_a_refused_journal_is_let_go(tmp_path):
    """One that belongs to other inputs is refused, and the refusal keeps nobody else from it."""
    path = tmp_path / "work.jsonl"
    Journal(path, "inputs").__exit__(None, None, None)
    with pytest.raises(FileError, match="other inputs"):
        Journal(path, "others")
    with Journal(path, "inputs") as journal:
        assert len(journal) == 0


def test_the_lock_of_a_killed_run_is_no_obstacle(tmp_path):
    """A run that was killed while it held the journal leaves it free, with what it had done."""
    path = tmp_path / "work.jsonl"
    code = (
        "import sys, time; from pathlib import Path; from wattwright.work.journal import Journal\n"
        "Journal(Path(sys.argv[1]), 'inputs'); held = Journal(Path(sys.argv[1] + 'x'), 'inputs'); print('held', flush=True)\n"
        "time.sleep(60)"
    )
    with subprocess.Popen([sys.executable, "-c", code, str(path)], stdout=subprocess.PIPE, text=True) as run:
        assert run.stdout.readline() == "held\n"
        other = path.with_name(path.name + "x")
        with pytest.raises(FileError, match="another run is writing"):
            Journal(other, "inputs")
        run.kill()
    with Journal(other, "inputs") as journal:
        assert len(journal) == 0


def test_a_system_without_such_locks_refuses_nobody(tmp_path, monkeypatch):
    """Where the system has no lock of files the journal is opened as it is."""
    monkeypatch.setitem(sys.modules, "fcntl", None)
    path = tmp_path / "work.jsonl"
    with Journal(path, "inputs"), Journal(path, "inputs") as journal:
        assert len(journal) == 0


def test_a_lock_that_cannot_be_had_is_told(tmp_path, monkeypatch):
    """A file system that refuses the lock for another reason is told as a place that cannot be written to."""
    import fcntl

    def refuse(file, kind):
        raise OSError(37, "No locks available")

    monkeypatch.setattr(fcntl, "flock", refuse)
    with pytest.raises(FileError, match="no locks available"):
        Journal(tmp_path / "work.jsonl", "inputs")
