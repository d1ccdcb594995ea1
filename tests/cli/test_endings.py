"""How calls end: codes, sentences, help, closed pipes, Ctrl-C, and nothing good written over."""

import io
import json
import os
import pty
import re
import shlex
import signal
import subprocess
import sys

import pytest
import typer

from tests.job.hand import TARIFF, readings
from tests.job.proved import write_job
from tests.job.simulated import HEATER, PUMP, SUPPLY, TIMES, question
from tests.job.test_planning import MAY_HEATER, MAY_PUMP, PRICES, TARIFF as PAID
from wattwright import __version__
from wattwright.cli import failing, watching
from wattwright.cli.main import app
from wattwright.core.errors import OwnFault
from wattwright.core.progress import SILENT

VERBS = sorted(typer.main.get_command(app).commands)
FILE = ("readings.csv", "--zone", "Europe/Athens")


@pytest.mark.parametrize("flag", ["-h", "--help"])
def test_help_names_every_verb_and_code(wattwright, flag):
    """The help page lists the verbs and says what the exit codes mean."""
    done = wattwright(flag)
    assert done.code == 0
    assert all(verb in done.out for verb in VERBS)
    assert "0 fine, 1 bad input, 2 wrong usage, 3 a fault of ours" in done.out


def test_version(wattwright):
    """The version is the package's."""
    assert wattwright("--version").out == f"wattwright {__version__}\n"


def test_no_verb_shows_help(wattwright):
    """Called alone it shows help and ends as wrong usage."""
    done = wattwright()
    assert done.code == 2
    assert "Usage" in done.out + done.err


def example_of(verb):
    """The example in the help of a verb, as arguments."""
    text = typer.main.get_command(app).commands[verb].help
    return shlex.split(re.search(r"Example: wattwright (.*)", text)[1])


@pytest.mark.parametrize("verb", VERBS)
def test_help_of_each_verb_has_an_example(wattwright, verb):
    """Help of a verb ends well and shows an example that begins with the verb."""
    done = wattwright(verb, "--help")
    assert done.code == 0
    assert "Example: wattwright " + verb in re.sub(r"[\s│]+", " ", done.out)
    assert example_of(verb)[0] == verb


# The year and its papers take half a minute and have tests of their own (tests/demo, tests/handover, "make demo"); here it
# matters that the example's arguments reach them, in a process of its own.
SHORT = {
    "jobs": 'import os\nos.environ["XDG_DATA_HOME"] = os.getcwd()',
    "desk": """
import os
os.environ["XDG_DATA_HOME"] = os.getcwd()
import wattwright.web.serve as serving
serving.serve = lambda desk, port, started: started(f"http://127.0.0.1:{port}/")
""",
    "demo": """
import wattwright.cli.verbs as verbs
from wattwright.job.file import new_job
from wattwright.handover.papers import Papers
import datetime
verbs.demo_job = lambda into, _: new_job(into, "x", "UTC", datetime.date(2025, 1, 1))
names = ("report.pdf", "report.html", "workbook.xlsx", "survey.pdf")
verbs.write_papers = lambda _, into, __: Papers(*(into / name for name in names), ("report",))
""",
    # Tried on the compiled engine, also where everything else runs as plain Python.
    "plan": """
import os
os.environ.pop("NUMBA_DISABLE_JIT", None)
import wattwright.cli.planning as planning
from wattwright.plan.search import Effort
planning.Effort = lambda plans, budget_s: Effort(20, budget_s)
""",
    "supply": """
import os
os.environ.pop("NUMBA_DISABLE_JIT", None)
import wattwright.cli.planning as planning
from wattwright.plan.search import Effort
planning.Effort = lambda plans, budget_s: Effort(20, budget_s)
""",
}


@pytest.mark.parametrize("verb", VERBS)
def test_example_of_each_verb_runs(process, place, verb):
    """With the files it names lying there, the example ends well and writes something, in a process of its own."""
    if verb in ("simulate", "calibrate"):
        (place / "demo-job").mkdir()
        question(place / "demo-job", SUPPLY, HEATER, PUMP, TIMES)
        (place / "demo-job" / "trial.toml").write_text(TIMES)
    if verb in ("plan", "drawings", "supply", "desk", "jobs"):
        (place / "demo-job").mkdir()
        question(place / "demo-job", SUPPLY, MAY_HEATER, MAY_PUMP, TIMES, PAID)
        (place / "demo-job" / "tariff.toml").write_text(PRICES)
    if verb == "proof":
        (place / "demo-job").mkdir()
        write_job(place / "demo-job", after_days=1)
    done = process(*example_of(verb), first=SHORT.get(verb, "pass"))
    out, err = done.communicate(timeout=120)
    assert done.returncode == 0, err
    assert out
    assert err == ""


WRONG = [
    (("demand", "none.csv"), 1, "no such file"),
    (("demand", "empty"), 1, "a folder without files"),
    (("demand", "broken.csv", "--zone", "Europe/Athens"), 1, "broken.csv"),
    (("demand", *FILE[:1], "--zone", "Europe/Athen"), 1, "Did you mean Europe/Athens?"),
    (("demand", *FILE, "--channel", "nothing"), 1, 'no channel "nothing"'),
    (("bill", *FILE, "--tariff", "none.toml"), 1, "no such file"),
    (("bill", *FILE, "--tariff", "tariff.toml", "--paid", "x"), 1, "one, two"),
    (("new", "x", "--zone", "Mars"), 1, "IANA time zone"),
    (("demand",), 2, "Missing argument"),
    (("demand", *FILE, "--colour", "red"), 2, "No such option"),
    (("sing",), 2, "No such command"),
    (("demand", *FILE, "--date-order", "odd"), 2, "--date-order: found"),
    (("demand", *FILE, "--column", "P=odd"), 2, "--column: found"),
    (("demand", "job", "--zone", "UTC", "--channel", "x", "--date-order", "day first"), 2, "belongs in the job file"),
    (("bill", *FILE), 2, "--tariff"),
    (("glossary", "zzz"), 2, "No word or meaning"),
]


@pytest.fixture
def faulty(place):
    (place / "empty").mkdir()
    (place / "broken.csv").write_text("nothing to see\nhere\n")
    return place


@pytest.mark.parametrize(("given", "code", "words"), WRONG, ids=[" ".join(given) for given, _, _ in WRONG])
def test_wrong_calls_end_with_a_sentence(wattwright, faulty, given, code, words):
    """The exit code says whose mistake it is, the sentence what to do; nothing is on standard output, no traceback anywhere."""
    done = wattwright(*given)
    assert (done.code, done.out) == (code, "")
    assert words in re.sub(r"[\s│]+", " ", done.err)
    assert "Traceback" not in done.err


@pytest.mark.parametrize(("given", "code", "words"), WRONG, ids=[" ".join(given) for given, _, _ in WRONG])
def test_wrong_calls_are_json_where_json_was_asked(wattwright, faulty, given, code, words):
    """With --json the error is one JSON document with kind, sentence and faults, of the same code."""
    done = wattwright(*given, "--json")
    told = json.loads(done.err)
    assert (done.code, done.out) == (code, "")
    assert told.keys() == {"error", "sentence", "faults"}
    assert words in told["sentence"]
    if code == 1:
        assert all(fault.keys() >= {"code", "file", "line", "found", "wanted", "next_step"} for fault in told["faults"])


def test_fault_of_ours_has_no_traceback(wattwright, monkeypatch):
    """Whatever breaks inside, the person reads one sentence that says where, and the code is 3; also as JSON."""

    def broken(*_):
        raise ZeroDivisionError("secret")

    monkeypatch.setattr("wattwright.cli.demanding.show_demand", broken)
    monkeypatch.delenv("WATTWRIGHT_DEBUG", raising=False)
    done = wattwright("demand", *FILE)
    assert done.code == 3
    assert done.err.startswith("This is a fault of wattwright, not of yours: ZeroDivisionError in broken, line ")
    assert "Traceback" not in done.err
    assert json.loads(wattwright("demand", *FILE, "--json").err)["error"] == "OwnFault"
    monkeypatch.setenv("WATTWRIGHT_DEBUG", "1")
    assert "Traceback" in wattwright("demand", *FILE).err


def test_fault_without_a_place_is_told_too(capsys):
    """An error that was never raised has no line, and what is no error of ours is still told as a fault of ours."""
    assert failing.own_fault(ValueError("x"), as_json=False) == 3
    assert "ValueError. No file is half-written." in capsys.readouterr().err
    assert failing.tell("odd", as_json=False) == 3
    assert failing.tell(OwnFault("ours"), as_json=False) == 3
    assert capsys.readouterr().err == "odd\nours\n"


def test_failed_handover_leaves_the_old_papers(wattwright, place):
    """Papers of an earlier run stay byte by byte when the file can no longer be read."""
    assert wattwright("handover", *FILE, "--into", "papers").code == 0
    before = {path.name: path.read_bytes() for path in (place / "papers").iterdir()}
    (place / "readings.csv").write_text("nothing to see\n")
    assert wattwright("handover", *FILE, "--into", "papers").code == 1
    assert {path.name: path.read_bytes() for path in (place / "papers").iterdir()} == before


def test_folder_that_may_not_be_written(wattwright, place):
    """Where a file stands in the way of the folder it is told, and the file stays."""
    (place / "papers").write_text("mine")
    done = wattwright("handover", *FILE, "--into", "papers/sub")
    assert done.code == 1
    assert (place / "papers").read_text() == "mine"


@pytest.mark.parametrize("given", [("glossary", "load factor"), ("demand", *FILE, "--json")])
def test_reader_that_has_gone_is_no_fault(process, given):
    """With the pipe closed before anything is read the call ends with 0 and says nothing."""
    started = process(*given, first="sys.stdin.readline()", stdin=subprocess.PIPE)
    started.stdout.close()
    started.stdin.write("go\n")
    started.stdin.close()
    assert started.wait(60) == 0
    assert started.stderr.read() == ""


SLOW = """
import time, wattwright.cli.verbs as verbs
def slow(*_):
    print("ready", flush=True)
    time.sleep(60)
verbs.show_glossary = slow
"""


@pytest.mark.parametrize("as_json", [False, True])
def test_ctrl_c_ends_with_a_sentence(process, as_json):
    """Stopped from the keyboard the call ends with 1, one sentence and no traceback."""
    started = process("glossary", *(["--json"] if as_json else []), first=SLOW)
    assert started.stdout.readline() == "ready\n"
    started.send_signal(signal.SIGINT)
    assert started.wait(30) == 1
    err = started.stderr.read()
    sentence = json.loads(err)["sentence"] if as_json else err.strip()
    assert sentence == "Stopped. What was finished stays; no file is half-written."


def test_no_progress_without_a_terminal(wattwright):
    """In a script nothing but the result is written."""
    done = wattwright("demand", *FILE)
    assert done.err == ""
    with watching.watching(quiet=False) as progress:
        assert progress is SILENT


class Terminal(io.StringIO):
    """A standard error that is a terminal."""

    def isatty(self):
        return True


def test_progress_on_a_terminal_after_a_second(monkeypatch):
    """On a terminal long work shows what it is at and how far; short work and quiet work show nothing."""
    monkeypatch.setattr(sys, "stderr", Terminal())
    monkeypatch.setenv("TERM", "xterm")
    clock = iter([0.0, 0.5, 2.0, 3.0])
    monkeypatch.setattr(watching.time, "monotonic", lambda: next(clock))
    shown = []
    monkeypatch.setattr("rich.status.Status.update", lambda _, text: shown.append(text))
    with watching.watching(quiet=False) as progress:
        progress.at("reading", 1, 4)  # half a second in
        progress.at("peaks", 2, 4)
        progress.at("months", 3, 4)
    assert shown == ["peaks (2 of 4)", "months (3 of 4)"]
    with watching.watching(quiet=True) as progress:
        assert progress is SILENT


def test_progress_goes_to_standard_error_alone(place, root):
    """With a terminal on standard error and a pipe on standard output, the JSON is the JSON."""
    leader, follower = pty.openpty()
    patience = "import wattwright.cli.watching as w; w._PATIENCE_S = 0.0"
    done = subprocess.run(
        [sys.executable, "-c", f"{patience}\nfrom wattwright.cli.main import run; run()", "demand", *FILE],
        env={**os.environ, "PYTHONPATH": str(root / "src"), "TERM": "xterm"},
        cwd=place, stdout=subprocess.PIPE, stderr=follower, text=True, check=True,
    )  # fmt: skip
    os.close(follower)
    shown = os.read(leader, 100_000).decode(errors="replace")
    os.close(leader)
    assert "of 4)" in shown
    assert "of 4)" not in done.stdout
    assert "24.00" in done.stdout


def test_a_job_of_the_tests_is_invented():
    """The readings and the tariff used here are made up: half a kilowatt-hour in each hour, and two round prices."""
    assert {line.split(",")[1] for line in readings().splitlines()[1:]} == {"0.5"}
    assert '"0.20"' in TARIFF
