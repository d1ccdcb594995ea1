"""``wattwright --help`` against a bare program of as many verbs made with the same command-line library."""

import os
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from functools import partial
from pathlib import Path

import typer

from benchmarks.harness import Action, Benchmark
from wattwright.cli import main as cli

BARE = '''
@app.command()
def verb_{number}(folder: str = ".") -> None:
    """Do thing {number}."""
'''


def verbs(app: typer.Typer) -> int:
    """Number of commands of a program, those of its groups included."""
    groups = (group.typer_instance for group in app.registered_groups)
    return len(app.registered_commands) + sum(verbs(group) for group in groups if group is not None)


def bare_program(count: int) -> str:
    """Source of a program with ``count`` verbs that do nothing."""
    head = "import rich\nimport typer\n\napp = typer.Typer()\n"
    return head + "".join(BARE.format(number=number) for number in range(count)) + "\n\ndef run() -> None:\n    app()\n"


def ask_for_help(module: str, folder: Path) -> None:
    """Start the program of a module in a new interpreter and let it print its help."""
    command = [sys.executable, "-c", f"from {module} import run; run()", "--help"]
    environment = {**os.environ, "PYTHONPATH": os.pathsep.join([str(folder), *sys.path])}
    subprocess.run(command, env=environment, stdout=subprocess.DEVNULL, check=True)


@contextmanager
def prepare() -> Iterator[tuple[Action, Action]]:
    """Write the bare program to a folder of its own and give the two actions."""
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        (folder / "bare_program.py").write_text(bare_program(verbs(cli.app)), encoding="utf-8")
        yield partial(ask_for_help, "wattwright.cli.main", folder), partial(ask_for_help, "bare_program", folder)


START_UP = Benchmark(name="start-up: help", bar=1.3, pairs=15, prepare=prepare)
