"""Every benchmark can be run, and what it is compared with does the same work; nothing here is timed."""

import subprocess
import sys
from itertools import count
from pathlib import Path

import numpy as np
import pytest

from benchmarks import __main__ as program
from benchmarks.billing import bare_amounts
from benchmarks.harness import Benchmark, Outcome, measure
from benchmarks.loads import MONTH, ask, compile_c, compiled, drivers, in_c, prepare_python
from benchmarks.reading import bare
from benchmarks.samples import CLOCK, ZONE, day_night, write_minutes, year, year_of_power
from wattwright.record.read import read_record
from wattwright.tariff.bill import bill
from wattwright.tariff.lines import Group
from wattwright.tariff.usage import Usage

NOT_BENCHMARKS = {"__init__.py", "__main__.py", "harness.py", "samples.py", "loads_kernels.py"}


def test_every_module_is_registered(root: Path) -> None:
    """Each module that defines a benchmark has it in the table, and no two have one name."""
    texts = {path.name: path.read_text(encoding="utf-8") for path in (root / "benchmarks").glob("*.py")}
    defined = sum(text.count("= Benchmark(") for name, text in texts.items() if name not in NOT_BENCHMARKS)
    names = [one.name for one in program.BENCHMARKS]
    assert [name for name, text in texts.items() if name not in NOT_BENCHMARKS and "= Benchmark(" not in text] == []
    assert (len(names), len(set(names))) == (defined, defined)


@pytest.mark.parametrize("benchmark", program.BENCHMARKS, ids=lambda one: one.name)
def test_both_sides_run(benchmark: Benchmark) -> None:
    """Ours and the reference can be called again and again; by a clock that ticks once a look the ratio is 1."""
    ticks = count()
    outcome = measure(Benchmark(benchmark.name, benchmark.bar, 1, benchmark.prepare), lambda: float(next(ticks)))
    assert (outcome.ours_s, outcome.reference_s, outcome.ratio) == (1.0, 1.0, 1.0)
    assert 0.0 < benchmark.bar < 1000.0
    assert benchmark.pairs >= 3


def test_the_bare_reader_reads_the_same(tmp_path: Path) -> None:
    """Bare polars and the record hold the same year of whole watts, minute by minute."""
    path = write_minutes(tmp_path)
    ours, theirs = read_record(path, ZONE).main.series, bare(path)
    assert np.array_equal(ours.values, year_of_power(60))
    assert np.array_equal(theirs["Power W"].to_numpy(), year_of_power(60))
    assert np.array_equal(theirs["Time"].dt.epoch("s").to_numpy(), ours.times_s)


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
    outcome = Outcome(name="sample", bar=1.0, pairs=3, ours_s=ratio, reference_s=1.0, ratio=ratio)
    monkeypatch.setattr(program, "BENCHMARKS", (None,))
    monkeypatch.setattr(program, "measure", lambda _: outcome)
    monkeypatch.setattr(program, "RESULTS", tmp_path / "results.json")
    assert program.main(write=True) == code
    assert says in capsys.readouterr().out
    assert f'"ratio": {ratio}' in (tmp_path / "results.json").read_text(encoding="utf-8")
