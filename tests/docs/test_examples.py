"""Every example in README and documentation is run or read by the program itself, and comes out as it is printed."""

from pathlib import Path

import pytest

from tests.docs.conftest import BLOCKS, Block, blocks_of
from tests.docs.terminal import commands, matches, plainly, run_here
from wattwright.catalogue.equipment.range import load_range
from wattwright.control.faults import faults
from wattwright.control.rules import Control
from wattwright.core.errors import JobError
from wattwright.core.specfile import parse_text, validated
from wattwright.demand.year.bills import Bills
from wattwright.job.file import parsed
from wattwright.tariff.load import parse_tariff

FILES = ("job.toml", "rules.toml", "tariff.toml", "bills.toml", "equipment.toml")
LANGUAGES = {"toml", "python", "console", "text"}


def heading(block: Block) -> str:
    """The comment on the first line of a TOML block, which says what file it is."""
    return block.text.partition("\n")[0].removeprefix("# ").strip()


def test_every_block_says_what_it_is() -> None:
    """No fenced block is of a language that nothing here reads, and each kind occurs."""
    assert {block.language for block in BLOCKS} == LANGUAGES
    assert [str(block) for block in BLOCKS if block.language == "toml" and heading(block) not in FILES] == []


def test_toml_is_accepted(toml_block: Block, tmp_path: Path) -> None:
    """A job, tariff, rules, bills or equipment file as printed passes the real loader, cross references and all."""
    if heading(toml_block) == "tariff.toml":
        assert parse_tariff(toml_block.text, str(toml_block)).tariffs
    elif heading(toml_block) == "rules.toml":
        assert faults(validated(parse_text(toml_block.text, str(toml_block), JobError), Control, JobError)) == ()
    elif heading(toml_block) == "equipment.toml":
        (tmp_path / "own.toml").write_text(toml_block.text, encoding="utf-8")
        assert load_range([tmp_path / "own.toml"], only=True)
    elif heading(toml_block) == "bills.toml":
        assert validated(parse_text(toml_block.text, str(toml_block), JobError), Bills, JobError).bills
    else:
        assert parsed(parse_text(toml_block.text, str(toml_block), JobError)).name


def test_python_runs(python_block: Block, desk: Path, capsys: pytest.CaptureFixture) -> None:
    """A Python example runs beside the example files and prints what stands below it."""
    exec(compile(python_block.text, str(python_block), "exec"), {"__name__": "__main__"})
    assert plainly(capsys.readouterr().out) == plainly(python_block.printed or "")


def test_console_comes_out(console_block: Block, desk: Path, root: Path, capsys, monkeypatch) -> None:
    """A command of wattwright gives the output and exit code shown; a target of make exists."""
    code = 0
    targets = (root / "Makefile").read_text(encoding="utf-8")
    for command in commands(console_block.text):
        if command.words[0] == "wattwright":
            code, lines = run_here(command.words, capsys, monkeypatch)
            assert not command.shown or matches(command.shown, lines), "\n".join(lines)
        elif command.words == ("echo", "$?"):
            assert command.shown == (str(code),)
        else:
            assert command.words[0] == "make"
            assert f"\n{command.words[1]}:" in targets


def test_the_price_list_of_the_page_is_that_of_the_examples(pages: dict[str, str], root: Path) -> None:
    """What the page on equipment prints is the file that its commands read."""
    assert (root / "examples/gear/prices.csv").read_text(encoding="utf-8") in pages["docs/gear.md"]


def test_blocks_are_found() -> None:
    """A block ends at its own fence, knows its line, and a text block right below is what it prints."""
    page = "One\n\n```python\nprint(1)\n```\n\n```text\n1\n```\n\n```toml\na = 1\n```\n"
    first, second, third = blocks_of("page", page)
    assert (first.line, first.language, first.text, first.printed) == (3, "python", "print(1)\n", "1\n")
    assert (second.printed, third.line, third.printed) == (None, 11, None)


@pytest.mark.parametrize(
    ("shown", "same"),
    [(("a", "b"), True), (("a", "..."), True), (("...",), True), (("a",), False), (("a", "c"), False), (("...", "a"), False)],
)
def test_shown_lines_are_held_to_what_comes_out(shown, same) -> None:
    """Lines left out are only those that "..." stands for."""
    assert matches(shown, ["a", "b"]) is same


def test_output_needs_a_command() -> None:
    """A console block that begins with output is refused."""
    with pytest.raises(ValueError, match="output without a command"):
        commands("kWh\n")
