"""Every benchmark can be run, and what it is compared with does the same work; nothing here is timed."""

import re
import shutil
import subprocess
import sys
from concurrent.futures import ThreadPoolExecutor
from contextlib import nullcontext
from dataclasses import replace
from functools import partial
from itertools import count
from pathlib import Path
from types import SimpleNamespace

import numpy as np
import pytest

from benchmarks import __main__ as program, desk
from benchmarks.billing import bare_amounts
from benchmarks.desk import DESK
from benchmarks.harness import Benchmark, Outcome
from benchmarks.loads import MONTH, ask, compile_c, compiled, drivers, in_c, prepare_python
from benchmarks.memory import MEMORY, rise
from benchmarks.reading import GROWTH, bare
from benchmarks.samples import CLOCK, DAY_FIRST, LAYOUTS, ZONE, Minutes, day_night, write_minutes, year, year_of_power
from tests.handover.kit import PLAIN, hours
from wattwright.record.read import read_record
from wattwright.tariff.bill import bill
from wattwright.tariff.lines import Group
from wattwright.tariff.usage import Usage

NOT_BENCHMARKS = {"__init__.py", "__main__.py", "harness.py", "samples.py", "loads_kernels.py"}
TIMED = [one for one in program.BENCHMARKS if isinstance(one, Benchmark)]


def test_every_module_is_registered(root: Path) -> None:
    """Each module that makes a benchmark has it in the table, and no two have one name."""
    modules = {path.stem: path.read_text(encoding="utf-8") for path in (root / "benchmarks").glob("*.py")}
    making = {name for name, text in modules.items() if re.search(r"\b(Benchmark|Growth|Memory|Tail)\(name=", text)}
    names = [one.name for one in program.BENCHMARKS]
    assert making == {f"{name}" for name in modules if f"{name}.py" not in NOT_BENCHMARKS}
    assert {
        one.prepare.func.__module__ if isinstance(one.prepare, partial) else one.prepare.__module__ for one in program.BENCHMARKS
    } == {f"benchmarks.{name}" for name in making}
    assert len(names) == len(set(names))


@pytest.mark.parametrize("benchmark", TIMED, ids=lambda one: one.name)
def test_both_sides_run(benchmark: Benchmark) -> None:
    """Ours and the reference can be called again and again; by a clock that ticks once a look the ratio is 1."""
    ticks = count()
    outcome = replace(benchmark, pairs=1).measure(lambda: float(next(ticks)))
    assert (outcome.ours, outcome.reference, outcome.ratio) == (1000.0, 1000.0, 1.0)
    assert 0.0 < benchmark.bar < 1000.0
    assert benchmark.pairs >= 3


def test_growth_runs() -> None:
    """Files of two sizes are read; by a clock that ticks once a look the time does not grow."""
    ticks = count()
    outcome = replace(GROWTH, pairs=1, sizes=(2, 4)).measure(lambda: float(next(ticks)))
    assert outcome.ratio == 0.0


def test_the_desk_is_served_and_asked(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A small job: all pages, pictures and quick answers come, the heaviest weighs something, and the year is drawn."""
    (tmp_path / "job.toml").write_text(PLAIN)
    (tmp_path / "readings.csv").write_text(hours([1.0, 2.0] * 48))
    slowest, quickest, weight, drawn = DESK
    ticks, folders = count(), []
    with desk.served(tmp_path) as one:
        # One desk for all four: each would start its own, and wait until the same pages are made.
        monkeypatch.setattr(desk, "served", lambda folder: nullcontext(folders.append(folder) or one))
        for tail in (slowest, quickest):
            outcome = replace(tail, pairs=2, prepare=partial(tail.prepare, tmp_path)).measure(lambda: float(next(ticks)))
            assert outcome.ratio == 1.0
        heavy = replace(weight, prepare=partial(weight.prepare, tmp_path)).measure()
        assert 0.0 < heavy.ours < heavy.reference == pytest.approx(400_000 / 2**20)
        if shutil.which("chromium"):
            # In a thread of its own: a browser of other tests may hold the loop of this one.
            year = replace(drawn, pairs=1, prepare=partial(drawn.prepare, tmp_path))
            with ThreadPoolExecutor(1) as thread:
                assert thread.submit(year.measure).result().ours > 0.0
    assert folders == [tmp_path] * (4 if shutil.which("chromium") else 3)


def test_memory_is_measured_in_processes_of_their_own() -> None:
    """Both sides report a rise of their peak above nothing, and the reading that a person does is the one measured."""
    outcome = replace(MEMORY[0], pairs=1).measure()
    assert min(outcome.ours, outcome.reference) > 0


@pytest.mark.parametrize("which", ["ours", "reference"])
def test_the_rise_is_no_less_than_nothing(tmp_path: Path, which: str) -> None:
    """A peak never falls."""
    assert rise(which, write_minutes(tmp_path, DAY_FIRST, 2), DAY_FIRST) >= 0


@pytest.mark.parametrize("layout", LAYOUTS, ids=lambda one: one.name)
def test_the_bare_reader_reads_the_same(tmp_path: Path, layout: Minutes) -> None:
    """Bare polars and the record hold the same year of whole watts, minute by minute; the bare one the digits of the stamps."""
    path = write_minutes(tmp_path, layout)
    ours, theirs = read_record(path, ZONE).main.series, bare(path, layout)
    watts = theirs.to_series(1).to_numpy() * (1000.0 if layout.comma else 1.0)
    assert np.allclose(ours.values, year_of_power(60), rtol=1e-12)
    assert np.allclose(watts, year_of_power(60), rtol=1e-12)
    shown = ours.times_s if layout.zone == "UTC" else CLOCK.local_s(ours.times_s)
    assert np.array_equal(theirs.to_series(0).dt.epoch("s").to_numpy(), shown)


def test_the_bare_sums_are_the_energy_lines() -> None:
    """Twelve months of two prices: the exact lines differ from the float sums by 24 roundings to a cent and to a Wh at most."""
    power = year(3600)
    exact = float(bill(day_night(), Usage(power), CLOCK).group_total(Group.ENERGY))
    bare_sums = bare_amounts(power)
    assert bare_sums.height == 12
    assert exact == pytest.approx(float(bare_sums["kwh"].sum()), abs=24 * (0.005 + 0.0005 * 0.224))


def test_the_c_loop_is_the_same_load(tmp_path: Path) -> None:
    """A month of the room gives the same energy, starts and degree-seconds in C, and another interpreter answers with them."""
    outdoors, gains = drivers(MONTH)
    ours = compiled(outdoors, gains)()
    assert ours == pytest.approx(in_c(compile_c(tmp_path), outdoors, gains), rel=1e-9)
    assert ours[1] > 100
    with prepare_python() as (_, plainly):
        assert plainly() == pytest.approx(ours, rel=1e-9)


def test_another_interpreter_must_be_open_for_questions() -> None:
    """One that was started without its ends tied to us cannot be asked."""
    with subprocess.Popen([sys.executable, "-c", ""]) as closed, pytest.raises(ValueError, match="asked"):
        ask(closed)


@pytest.mark.parametrize(("ratio", "code", "says"), [(0.5, 0, "good (3 pairs)"), (1.5, 1, "over the bar (3 pairs)")])
def test_table_and_exit_code(monkeypatch, tmp_path: Path, capsys, ratio: float, code: int, says: str) -> None:
    """A ratio over its bar fails the run and says so; with --write the table is kept."""
    outcome = Outcome(name="sample", bar=1.0, pairs=3, ours=ratio, reference=1.0, ratio=ratio)
    monkeypatch.setattr(program, "BENCHMARKS", (SimpleNamespace(measure=lambda: outcome),))
    monkeypatch.setattr(program, "RESULTS", tmp_path / "results.json")
    assert program.main(write=True) == code
    assert says in capsys.readouterr().out
    assert f'"ratio": {ratio}' in (tmp_path / "results.json").read_text(encoding="utf-8")
