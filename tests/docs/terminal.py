"""Console blocks of the documentation: which commands stand in them, and whether what is shown is what comes out."""

import re
import shlex
from dataclasses import dataclass

import pytest

from wattwright.cli.main import run

ELIDED = "..."
_NARROW = str.maketrans({"\N{NARROW NO-BREAK SPACE}": " ", "\N{NO-BREAK SPACE}": " ", "\N{THIN SPACE}": " "})


def plainly(text: str) -> list[str]:
    """Return the lines of a text with narrow spaces as plain ones, since nobody can type them, and no blanks at their ends."""
    return [line.rstrip() for line in text.translate(_NARROW).splitlines()]


@dataclass(frozen=True)
class Command:
    """A line behind "$ " and the lines shown below it, up to the next one."""

    words: tuple[str, ...]
    shown: tuple[str, ...]


def commands(text: str) -> list[Command]:
    """Return the commands of a console block; raises ValueError for a block that begins with anything else."""
    found: list[tuple[str, list[str]]] = []
    for line in plainly(text):
        if line.startswith("$ "):
            found.append((line[2:], []))
        elif found:
            found[-1][1].append(line)
        else:
            raise ValueError(f"output without a command: {line}")
    return [Command(tuple(shlex.split(line)), tuple(shown)) for line, shown in found]


def run_here(words: tuple[str, ...], capsys: pytest.CaptureFixture, monkeypatch: pytest.MonkeyPatch) -> tuple[int, list[str]]:
    """Run a command line of wattwright in this process; return its exit code and the lines it wrote."""
    monkeypatch.setattr("sys.argv", list(words))
    capsys.readouterr()
    with pytest.raises(SystemExit) as ended:
        run()
    out, err = capsys.readouterr()
    return int(ended.value.code or 0), plainly(out + err)


def matches(shown: tuple[str, ...], lines: list[str]) -> bool:
    """True where the lines are the ones shown; a line "..." stands for any number of them."""
    pattern = "".join(r"(?:.*\n)*" if one == ELIDED else re.escape(one) + "\n" for one in shown)
    return re.fullmatch(pattern, "".join(f"{line}\n" for line in lines)) is not None
