"""The page of validation tells the truth about a failed check, and keeps its table whole."""

import json
from pathlib import Path

import pytest

from tools import validation
from wattwright.checks.registry import Check, Confidence, Outcome


def outcome(id_: str, ours: float, tolerance: float = 0.0) -> Outcome:
    """A check of one watt against ``ours``, with bars in its words."""
    why = "rounding | of the source" if tolerance else ""
    check = Check(id_, "one | two", "W", "a book", Confidence.PUBLISHED, tolerance, why, lambda: 1.0, lambda: ours)
    return Outcome(check, 1.0, ours)


@pytest.fixture
def page(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> str:
    """The page of three checks, one of them failed, in a known room and an unknown one, and of one study."""
    outcomes = (outcome("money.a", 1.0), outcome("money.b", 1.5), outcome("orbit.c", 1.25, tolerance=0.5))
    monkeypatch.setattr(validation, "run_checks", lambda: outcomes)
    monkeypatch.setattr(validation, "STUDIES", tmp_path)
    (tmp_path / "peak_band.json").write_text(json.dumps({"result": {"coverage": 0.9}, "files": {}}), encoding="utf-8")
    return validation.page()


def test_failures_are_counted_and_shown(page: str) -> None:
    """Two of three hold; the one that does not says NO with its deviation of half a watt."""
    assert "\n2 of 3 checks hold.\n" in page
    assert "| one / two | 1 W | 1.5 W | +0.5 | none | NO | a book (published) |" in page
    assert "| one / two | 1 W | 1 W | 0 | none | yes | a book (published) |" in page


def test_rooms_head_their_checks(page: str) -> None:
    """A known room has its own heading, another one its name; a tolerance stands with its reason, bars within cells replaced."""
    assert page.index("## Money") < page.index("## Orbit") < page.index("## Studies")
    assert "| +0.25 | 0.5, rounding / of the source | yes |" in page


def test_studies_stand_at_the_end(page: str) -> None:
    """A committed study gives its heading and a row for each figure."""
    assert page.endswith("### Peak band\n\n| result | value |\n|---|---|\n| coverage | 0.9 |\n")


def test_no_study_no_heading(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """Without a committed study there is no empty section."""
    monkeypatch.setattr(validation, "run_checks", lambda: (outcome("money.a", 1.0),))
    monkeypatch.setattr(validation, "STUDIES", tmp_path)
    assert "Studies" not in validation.page()
