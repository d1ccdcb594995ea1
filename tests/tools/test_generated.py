"""The generated pages: written when they differ, named when they are stale, and right in what they say."""

import datetime as dt
import json
import re
import tomllib
from pathlib import Path
from typing import Any

import jsonschema
import pytest
import typer

from tools import generated
from wattwright.cli.main import app


@pytest.fixture
def two_pages(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A project with two generated pages: one as it should be, one out of date."""
    monkeypatch.setattr(generated, "ROOT", tmp_path)
    monkeypatch.setattr(generated, "PAGES", {"fresh.md": lambda: "now\n", "old.md": lambda: "now\n", "new.md": lambda: "now\n"})
    (tmp_path / "fresh.md").write_text("now\n", encoding="utf-8")
    (tmp_path / "old.md").write_text("then\n", encoding="utf-8")
    return tmp_path


def test_check_names_stale_and_missing_pages_and_writes_nothing(two_pages: Path, capsys: pytest.CaptureFixture) -> None:
    """With --check the exit code is 1, the pages are named, and the folder stays as it was."""
    assert generated.main(["--check"]) == 1
    assert capsys.readouterr().out == "stale: old.md, new.md. Run make generated and commit them.\n"
    assert (two_pages / "old.md").read_text(encoding="utf-8") == "then\n"
    assert not (two_pages / "new.md").exists()


def test_writing_leaves_fresh_pages_alone(two_pages: Path) -> None:
    """Without --check the pages are written, those that are right are not touched, and then nothing is stale."""
    before = (two_pages / "fresh.md").stat().st_mtime_ns
    assert generated.main([]) == 0
    assert [(two_pages / name).read_text(encoding="utf-8") for name in ("old.md", "new.md")] == ["now\n", "now\n"]
    assert (two_pages / "fresh.md").stat().st_mtime_ns == before
    assert generated.main(["--check"]) == 0


def test_command_line_page() -> None:
    """Each verb has a section with its example, and each row of its table has two cells, bars within them written out."""
    page = generated.command_line()
    verbs = typer.main.get_command(app).commands
    assert re.findall(r"^## wattwright (\w+)$", page, re.MULTILINE) == list(verbs)
    assert page.count("\nExample:\n\n    wattwright ") == len(verbs)
    assert {row.count("|") for row in page.splitlines() if row.startswith("| `")} == {3}
    assert "`--delimiter` | What separates columns: , ; &#124; or" in page


def schema_in(page: str) -> dict[str, Any]:
    """The JSON schema on a page."""
    return json.loads(page.partition("```json\n")[2].partition("\n```")[0])


def as_json(data: Any) -> Any:
    """TOML's dates and times as JSON has them."""
    if isinstance(data, dict):
        return {key: as_json(value) for key, value in data.items()}
    if isinstance(data, list):
        return [as_json(value) for value in data]
    return data.isoformat() if isinstance(data, dt.date | dt.time) else data


@pytest.mark.parametrize(("name", "file"), [("job", "house/job.toml"), ("tariff", "house/tariff.toml")])
def test_schemas_hold_for_the_examples(root: Path, name: str, file: str) -> None:
    """By the library jsonschema the page holds a schema of draft 2020-12; it fits the example and refuses an odd entry."""
    schema = schema_in(generated.PAGES[f"docs/{name}-schema.md"]())
    jsonschema.Draft202012Validator.check_schema(schema)
    judge = jsonschema.Draft202012Validator(schema)
    data = as_json(tomllib.loads((root / "examples" / file).read_text(encoding="utf-8")))
    assert [error.message for error in judge.iter_errors(data)] == []
    assert list(judge.iter_errors({**data, "nonsense": 1})) != []
