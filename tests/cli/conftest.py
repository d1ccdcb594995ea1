"""Running the command line as a person does, inside this process or in one of its own."""

import os
import subprocess
import sys
from dataclasses import dataclass

import pytest

from tests.job.hand import TARIFF, readings, write_job
from wattwright.cli.main import run

PROGRAM = "from wattwright.cli.main import run; run()"


@dataclass(frozen=True)
class Done:
    """How a call ended and what it wrote."""

    code: int
    out: str
    err: str


@pytest.fixture
def place(tmp_path, monkeypatch):
    """A folder to work in: a job, and beside it a meter file and a tariff of its own."""
    write_job(tmp_path / "job")
    (tmp_path / "readings.csv").write_text(readings())
    (tmp_path / "tariff.toml").write_text(TARIFF)
    monkeypatch.chdir(tmp_path)
    return tmp_path


@pytest.fixture
def wattwright(place, capsys, monkeypatch):
    """Call the command line in this process."""

    def call(*given) -> Done:
        monkeypatch.setattr(sys, "argv", ["wattwright", *map(str, given)])
        with pytest.raises(SystemExit) as ended:
            run()
        told = capsys.readouterr()
        return Done(int(ended.value.code or 0), told.out, told.err)

    return call


@pytest.fixture
def process(place, root):
    """Call the command line in a process of its own; ``first`` is a line of Python run before it."""
    started = []

    def call(*given, first="pass", **options):
        environment = {**os.environ, "PYTHONPATH": str(root / "src"), "COLUMNS": "160"}
        command = [sys.executable, "-c", f"import sys\n{first}\n{PROGRAM}", *map(str, given)]
        pipes = {"stdout": subprocess.PIPE, "stderr": subprocess.PIPE, "text": True}
        started.append(subprocess.Popen(command, cwd=place, env=environment, **pipes, **options))
        return started[-1]

    yield call
    for one in started:
        one.kill()
        one.wait()
        for pipe in (one.stdin, one.stdout, one.stderr):
            if pipe:
                pipe.close()
