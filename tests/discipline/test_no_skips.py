"""A test that is skipped in CI fails there: a missing browser or meter file must be seen."""

import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

BY_FIXTURE = """
from pytest import fixture, skip

@fixture
def meter_file():
    skip("no meter file here")

def test_reads(meter_file):
    assert meter_file
"""
BY_MODULE = 'import pytest\n\npytest.importorskip("a_library_nobody_wrote")\n\ndef test_reads():\n    assert False\n'
RUNS = "def test_adds():\n    assert 1 + 1 == 2\n"


@pytest.mark.parametrize(
    ("text", "ci", "code"),
    [(BY_FIXTURE, "true", 1), (BY_MODULE, "true", 2), (BY_FIXTURE, "", 0), (RUNS, "true", 0)],
    ids=["fixture in CI", "module in CI", "fixture on a desk", "nothing skipped in CI"],
)
def test_skip_is_a_failure_in_ci(root: Path, tmp_path: Path, text: str, ci: str, code: int) -> None:
    """Pytest's exit code is 1 (failed) or 2 (interrupted at collection) for a skip with CI=true, else 0."""
    shutil.copy(root / "tests" / "conftest.py", tmp_path)
    (tmp_path / "test_sample.py").write_text(text, encoding="utf-8")
    command = [
        sys.executable,
        "-m",
        "pytest",
        "-q",
        "-p",
        "no:cacheprovider",
        "--rootdir",
        str(tmp_path),
        str(tmp_path),
    ]
    done = subprocess.run(command, env={**os.environ, "CI": ci}, cwd=tmp_path, capture_output=True, text=True, check=False)
    assert done.returncode == code, done.stdout
    assert ("in CI every test runs" in done.stdout) == (code != 0)
