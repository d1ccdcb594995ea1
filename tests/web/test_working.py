"""Work beside the server: readings on a bench with bounds, long work in programs of its own, that stops and goes on."""

import json
import os
import signal
import subprocess
import sys
import threading
import time
from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.handover.kit import PLAIN, hours
from tests.web.conftest import Asked
from wattwright.core.errors import WorkError
from wattwright.store.jobs import Revision
from wattwright.store.runs import Run, RunState
from wattwright.store.store import Store
from wattwright.web import bench as bench_module, errand as errand_module, errands as errands_module
from wattwright.web.bench import Bench, Given, Outcome
from wattwright.web.errand import BUILD, PLAN, Errand, as_arguments, do, main
from wattwright.web.errands import Errands
from wattwright.web.whole import Wanted
from wattwright.work.journal import Journal


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A job of four days of hours."""
    made = tmp_path / "job"
    made.mkdir()
    (made / "job.toml").write_text(PLAIN)
    (made / "readings.csv").write_text(hours([1.0, 2.0] * 48))
    return made


@pytest.fixture(scope="module")
def bench() -> Iterator[Bench]:
    """A bench with its process."""
    made = Bench()
    yield made
    made.close()


def wanted(folder: Path, shelf: Path, name: str = "demand") -> Wanted:
    """A page of the job."""
    return Wanted(Revision("job", 1, None, None, 0, "made", PLAIN, {}), folder, shelf, name)


def test_a_page_and_its_stages(bench: Bench, folder: Path, tmp_path: Path) -> None:
    """A page is made by another process, and the stages it needs lie on the shelf afterwards."""
    made = bench.make(wanted(folder, tmp_path / "shelf")).page
    assert made.faults == ()
    assert "year-heat.wide" in made.drawings
    assert len(list((tmp_path / "shelf").rglob("demand.*.zip"))) == 1


def test_bad_input_is_told_on_the_page(bench: Bench, folder: Path, tmp_path: Path) -> None:
    """A file that cannot be read is told by its faults, and the process goes on."""
    (folder / "readings.csv").write_text("nothing here\n")
    made = bench.make(wanted(folder, tmp_path / "shelf"))
    assert made.page.faults[0].code.startswith("record.")
    (folder / "job.toml").write_text("version = ")
    assert bench.make(wanted(folder, tmp_path / "other")).faults[0].code.startswith("spec.")


def test_bound_of_time(folder: Path, tmp_path: Path) -> None:
    """Work that takes too long is ended and told, and the bench goes on with the next."""
    short = Bench(most_s=0.01)
    [fault] = short.make(wanted(folder, tmp_path / "shelf")).faults
    assert (fault.code, "0.01 s" in fault.found) == ("desk.beyond-bounds", True)
    short._most_s = 120.0
    assert short.make(wanted(folder, tmp_path / "shelf")).page.faults == ()
    short.close()


def test_bound_of_memory(folder: Path, tmp_path: Path) -> None:
    """Work that takes more memory than it may is told, however its process took it."""
    tight = Bench(most_bytes=60 * 2**20)
    [fault] = tight.make(wanted(folder, tmp_path / "shelf")).faults
    assert fault.code == "desk.beyond-bounds"
    tight.close()


def test_what_is_timed(monkeypatch: pytest.MonkeyPatch) -> None:
    """To start the process takes seconds that are not those of a text; one killed while it had nothing to do is started anew."""
    monkeypatch.setattr(bench_module, "_MOST_TEXT_S", 1.0)
    one = Bench()
    assert one.text(PLAIN.encode(), "text", "job.toml").faults == ()
    os.kill(one._takers.processes._workers[0].process.pid, signal.SIGKILL)
    assert one.text(PLAIN.encode(), "text", "job.toml").faults == ()
    one.close()


def test_a_process_that_does_not_come_up(monkeypatch: pytest.MonkeyPatch) -> None:
    """That is told as what it is, and not as a fault of what was given."""
    monkeypatch.setattr(bench_module, "_MOST_START_S", 0.01)
    one = Bench()
    [fault] = one.text(PLAIN.encode(), "text", "job.toml").faults
    assert "not up in 0.01 s" in fault.found
    assert "once more" in fault.next_step
    one.close()


def test_a_process_that_ends(folder: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A process that is gone is told in the place of the page it made; where none can be started, that is told."""
    one, ends = Bench(), [None]

    def gone(_work: object, tasks: list[object], _until: object) -> list[Outcome]:
        if tasks[0] is None and None not in ends:
            return [Outcome()]
        raise WorkError("it ended")

    monkeypatch.setattr(one._makers.processes, "map", gone)
    [fault] = one.make(wanted(folder, tmp_path)).faults
    assert "when it is started" in fault.found
    ends.remove(None)
    [fault] = one.make(wanted(folder, tmp_path)).faults
    assert (fault.place.field, "ended the process" in fault.found) == ("demand", True)


def test_each_task_by_its_kind(monkeypatch: pytest.MonkeyPatch) -> None:
    """The same in this process: to nothing comes an answer, and a text is read."""
    monkeypatch.setattr(bench_module, "_bound_memory", lambda most_bytes: None)
    assert bench_module._asked(1, None) == Outcome()
    [fault] = bench_module._asked(1, Given("text", "job.toml", b"version = ")).faults
    assert fault.code == "spec.toml"


def test_memory_at_its_end(folder: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The same in this process: what is held is let go."""
    monkeypatch.setattr(bench_module, "_bound_memory", lambda most_bytes: None)
    assert bench_module.do(1, wanted(folder, tmp_path / "shelf")).page.faults == ()

    def full(*_: object) -> None:
        raise MemoryError

    monkeypatch.setattr(bench_module, "make_whole", full)
    assert "GB of memory" in bench_module.do(2**30, wanted(folder, tmp_path)).faults[0].found
    assert bench_module._OPEN == {}


@pytest.mark.parametrize(("told", "is_room"), [("can't start new thread", True), ("a fault of ours", False)])
def test_no_room_for_a_thread(folder: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, told: str, is_room: bool) -> None:
    """A thread that cannot be started for want of memory is told as that; other errors stay what they are."""
    monkeypatch.setattr(bench_module, "_bound_memory", lambda most_bytes: None)

    def fails(*_: object) -> None:
        raise RuntimeError(told)

    monkeypatch.setattr(bench_module, "make_whole", fails)
    if is_room:
        assert "GB of memory" in bench_module.do(2**30, wanted(folder, tmp_path)).faults[0].found
    else:
        with pytest.raises(RuntimeError, match="ours"):
            bench_module.do(2**30, wanted(folder, tmp_path))


def test_few_revisions_are_held_open(folder: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Only the revisions asked for last are held in memory, and each is opened once."""
    monkeypatch.setattr(bench_module, "_OPEN", {})
    asked = [wanted(folder, tmp_path / str(i)) for i in range(bench_module._MOST_OPEN + 1)]
    first = [bench_module._opened(one) for one in asked]
    assert bench_module._opened(asked[-1]) is first[-1]
    assert [one.results for one in bench_module._OPEN.values()] == [one.results for one in asked[1:]]


def test_no_bounds_on_this_system(monkeypatch: pytest.MonkeyPatch) -> None:
    """Where the system has no bounds of memory the work is done without."""
    monkeypatch.setitem(sys.modules, "resource", None)
    bench_module._bound_memory(1)


# ---- long work


@pytest.fixture
def store(tmp_path: Path, folder: Path) -> Iterator[Store]:
    """A store with the job."""
    made = Store(tmp_path / "store")
    made.add(PLAIN, {"readings.csv": (folder / "readings.csv").read_bytes()}, "made")
    yield made
    made.close()


SAYS = 'import json, sys, time\nfor i in range(3): print(json.dumps({"doing": "counting", "done": i, "total": 3}), flush=True)\n'
WAITS = SAYS + "sys.stdin.read()\n"
FAILS = 'import json, sys\nprint(json.dumps({"fault": "The pump is not there."}), flush=True)\nsys.exit(1)\n'
BREAKS = "import sys; sys.exit(3)\n"


def program(text: str):
    """A stand-in for the program that does an errand."""
    return lambda errand: [sys.executable, "-c", text]


def until(store: Store, run: Run, state: RunState, seconds: float = 30.0) -> Run:
    """Wait until a run is in a state."""
    end = time.monotonic() + seconds
    while store.run(run.id).state is not state:
        assert time.monotonic() < end, store.run(run.id)
        time.sleep(0.05)
    return store.run(run.id)


def begun(store: Store, text: str) -> tuple[Errands, Run]:
    """A run of a stand-in, under way."""
    errands = Errands(store, program(text))
    run = store.begin(store.jobs()[0].id, 1, PLAN, "{}")
    errands.wake()
    return errands, run


def test_done(store: Store) -> None:
    """Work that ends well is done, and its last progress is kept."""
    errands, run = begun(store, SAYS)
    ended = until(store, run, RunState.DONE)
    assert (ended.doing, ended.done, ended.total) == ("counting", 2, 3)
    again = store.begin(run.job, 1, BUILD, "{}")
    errands.wake()
    until(store, again, RunState.DONE)
    errands.close()


@pytest.mark.parametrize(("text", "told"), [(FAILS, "The pump is not there."), (BREAKS, "This is a fault of wattwright.")])
def test_failed(store: Store, text: str, told: str) -> None:
    """Work that cannot be done says why, in its own words or as a fault of ours."""
    errands, run = begun(store, text)
    assert told in until(store, run, RunState.FAILED).told
    errands.close()


@pytest.mark.parametrize(
    ("sent", "told"), [("KILL", "ended from outside"), ("TERM", "ended from outside"), ("ABRT", "fault of wattwright")]
)
def test_ended_by_a_signal(store: Store, sent: str, told: str) -> None:
    """A program that somebody ended is told as such; one that broke so badly that it was cut off is a fault of ours."""
    errands, run = begun(store, f"import os, signal; os.kill(os.getpid(), signal.SIG{sent})")
    words = until(store, run, RunState.FAILED).told
    assert told in words
    assert ("fault of wattwright" in words) == (sent == "ABRT")
    errands.close()


def test_control_c_is_for_the_desk(store: Store) -> None:
    """The program is in a group of its own: what the terminal sends to the desk does not end it, and it goes on later."""
    says = 'import json, os\nprint(json.dumps({"doing": str(os.getpgrp()), "done": 0, "total": 1}), flush=True)\n'
    errands, run = begun(store, says)
    assert int(until(store, run, RunState.DONE).doing) != os.getpgrp()
    errands.close()


def test_a_job_removed_while_its_work_is_under_way(folder: Path, tmp_path: Path) -> None:
    """Its work is stopped first, program and all, and the work of other jobs goes on."""
    ask = Asked(folder, tmp_path / "kept", WAITS)
    other = ask.store.add(PLAIN, {}, "made")
    assert ask.post(f"/do/begin-{BUILD}").status_code == 303
    run = until(ask.store, ask.store.open_runs()[0], RunState.RUNNING)
    waiting = ask.desk.begin(other, 1, BUILD, "{}")
    ended = []
    stopped = ask.store.ended
    ask.store.ended = lambda id_, state, told="": (ended.append((id_, state)), stopped(id_, state, told))
    late = ask.post("/do/remove", {"base": "7"})
    assert (late.status_code, ask.store.run(run.id).state) == (409, RunState.RUNNING)
    assert ask.post("/do/remove").headers["location"] == "/"
    assert ended == [(run.id, RunState.STOPPED)]
    assert ask.store.find_run(run.id) is None
    until(ask.store, waiting, RunState.RUNNING)
    ask.desk.close()


def test_a_run_that_is_gone(store: Store) -> None:
    """Where a run is taken away under its program, the program is ended and the next run is done."""
    errands, run = begun(store, WAITS)
    until(store, run, RunState.RUNNING)
    other = store.add(PLAIN, {}, "made")
    store.remove(run.job, 1)
    errands._command = program(SAYS)
    following = store.begin(other, 1, PLAN, "{}")
    errands.wake()  # as whoever begins a run does: the first may be over before there is another
    until(store, following, RunState.DONE)
    errands.close()


def test_removal_does_not_wait_for_ever(store: Store, monkeypatch: pytest.MonkeyPatch) -> None:
    """Work that does not end when it is asked to keeps nobody waiting for long, and is asked once."""
    monkeypatch.setattr(errands_module, "_FAREWELL_S", 0.1)
    errands = Errands(store, program(WAITS))
    monkeypatch.setattr(errands, "wake", lambda: None)
    run = store.begin(store.jobs()[0].id, 1, PLAN, "{}")
    store.progress(run.id, "", 0, 0)
    errands.stop("another")
    assert store.run(run.id).state is RunState.RUNNING
    for _ in range(2):
        errands.stop(run.job)
        assert store.run(run.id).state is RunState.STOPPING


def test_a_fault_in_an_errand(store: Store) -> None:
    """A fault of ours in doing one is told of that one, and the next is done."""
    errands = Errands(store, lambda errand: [sys.executable, "-c", SAYS] if errand.kind == BUILD else 1 / 0)
    job = store.jobs()[0].id
    broken, next_ = store.begin(job, 1, PLAN, "{}"), store.begin(job, 1, BUILD, "{}")
    errands.wake()
    told = until(store, broken, RunState.FAILED).told
    assert "This is a fault of wattwright" in told
    assert "ZeroDivisionError" in told
    until(store, next_, RunState.DONE)
    errands.close()


# The thread is to die here: that is what the next work finds.
@pytest.mark.filterwarnings("ignore::pytest.PytestUnhandledThreadExceptionWarning")
@pytest.mark.parametrize("error", [OSError, SystemExit])
def test_work_goes_on_after_the_store_was_away(store: Store, monkeypatch: pytest.MonkeyPatch, error: type) -> None:
    """Where the store cannot be asked for once it is asked again; a thread that has ended is begun anew by the next work."""
    monkeypatch.setattr(errands_module, "_AGAIN_S", 0.01)
    asked, errands = store.open_runs, Errands(store, program(SAYS))
    away = threading.Event()

    def once():
        if not away.is_set():
            away.set()
            raise error
        return asked()

    monkeypatch.setattr(store, "open_runs", once)
    run = store.begin(store.jobs()[0].id, 1, PLAN, "{}")
    errands.wake()
    assert away.wait(10)
    if error is SystemExit:
        errands._thread.join(10)
        errands.wake()
    until(store, run, RunState.DONE)
    errands.close()


def test_stopped(store: Store) -> None:
    """Work that is asked to stop is ended."""
    errands, run = begun(store, WAITS)
    until(store, run, RunState.RUNNING)
    store.stop(run.id)
    until(store, run, RunState.STOPPED)
    errands.close()


def test_goes_on_after_a_restart(store: Store) -> None:
    """What was under way when the desk ended is taken up by the next one; what was to stop has stopped."""
    errands, run = begun(store, WAITS)
    until(store, run, RunState.RUNNING)
    errands.close()
    assert store.run(run.id).is_open
    after = Errands(store, program(SAYS))
    after.go_on()
    until(store, run, RunState.DONE)
    stopping = store.begin(run.job, 1, PLAN, "{}")
    store.progress(stopping.id, "", 0, 0)
    store.stop(stopping.id)
    after.go_on()
    assert store.run(stopping.id).state is RunState.STOPPED
    after.close()
    Errands(store).close()


def test_a_revision_that_cannot_be_laid_out(store: Store) -> None:
    """Work for a revision whose folder cannot be made is told, and the next goes on."""
    (store.folder / "work").write_text("in the way")
    errands, run = begun(store, SAYS)
    assert "cannot" in until(store, run, RunState.FAILED).told or store.run(run.id).told
    errands.close()


def test_the_errand_itself(store: Store, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capfd: pytest.CaptureFixture) -> None:
    """The program builds the papers and says how far it is; what cannot be done is told in its own words."""
    monkeypatch.setattr(errand_module, "_end_with_the_desk", lambda: None)
    monkeypatch.setattr(errand_module, "_TOLD_EVERY_S", 0.0)
    folder = store.laid_out(store.head(store.jobs()[0].id))
    shelf = tmp_path / "results"
    code = subprocess.run(
        [sys.executable, "-m", "wattwright.web.errand", *as_arguments(Errand(BUILD, folder, shelf))],
        stdin=subprocess.PIPE, capture_output=True, check=False,
    )  # fmt: skip
    # Its input has ended at once, as when the desk has gone: it ends with it.
    assert code.returncode == 1
    told = []

    class Heard:
        def at(self, what: str, done: float, total: float) -> None:
            told.append(what)

    do(Errand(BUILD, folder, shelf), Heard())
    assert (shelf / "papers" / "report.pdf").read_bytes().startswith(b"%PDF-")
    assert any(what.startswith("making") for what in told)


def test_main_tells_lines(store: Store, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Progress and faults are lines of JSON; a job without loads has nothing to plan, which is told with exit code 1."""
    said: list[dict] = []
    progress = errand_module._telling(said.append)
    progress.at("seeking", 1, 2)
    progress.at("seeking", 2, 2)
    assert said == [{"doing": "seeking", "done": 1.0, "total": 2.0}]
    folder = store.laid_out(store.head(store.jobs()[0].id))
    with subprocess.Popen(
        [sys.executable, "-m", "wattwright.web.errand", *as_arguments(Errand(PLAN, folder, tmp_path / "shelf", 5))],
        stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True,
    ) as one:  # fmt: skip
        lines = [json.loads(line) for line in one.stdout]
        assert one.wait() == 1
    assert "fault" in lines[-1]


def test_main_in_this_process(
    store: Store, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capfd: pytest.CaptureFixture
) -> None:
    """The same in this process, well and not."""
    monkeypatch.setattr(errand_module, "_end_with_the_desk", lambda: None)
    monkeypatch.setattr(errand_module.os, "dup2", lambda *_: None)
    folder = store.laid_out(store.head(store.jobs()[0].id))
    assert main(as_arguments(Errand(BUILD, folder, tmp_path / "shelf"))) == 0
    assert main(as_arguments(Errand(PLAN, folder, tmp_path / "shelf", 5))) == 1
    assert '"fault"' in capfd.readouterr().out


def test_ends_with_the_desk(monkeypatch: pytest.MonkeyPatch) -> None:
    """When the pipe of the desk ends, so does the program."""
    ended = threading.Event()
    monkeypatch.setattr(errand_module.os, "read", lambda *_: b"")
    monkeypatch.setattr(errand_module.os, "_exit", lambda code: ended.set())
    with Path("/dev/null").open() as nothing:
        monkeypatch.setattr(errand_module.sys, "stdin", nothing)
        errand_module._end_with_the_desk()
    assert ended.is_set()


def test_journal_of_other_code_gives_way(tmp_path: Path) -> None:
    """A journal that belongs to other work is begun anew; those of other inputs are taken away."""
    path = tmp_path / "journal-a.jsonl"
    Journal(path, "other").__exit__(None, None, None)
    with errand_module._opened(path, "a" * 24):
        pass
    from contextlib import ExitStack

    with ExitStack() as stack:
        labour_for = errand_module._labour_in(stack, tmp_path)
        assert labour_for("b" * 30).journal.path.name == f"journal-{'b' * 24}.jsonl"
        assert not path.exists()
        assert labour_for("").count >= 1
