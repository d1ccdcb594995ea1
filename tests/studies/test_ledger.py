"""A study's answer stands as long as nothing it came from has changed."""

from pathlib import Path

import pytest

from studies.__main__ import main
from studies.ledger import Ledger, digest

STUDY = """
from pathlib import Path
from wattquestion.rule import FACTOR
DATA = ["data.txt"]
def run():
    return {"share": FACTOR * int((Path(__file__).parents[1] / "data.txt").read_text())}
"""


@pytest.fixture
def ledger(tmp_path: Path) -> Ledger:
    """A project with one study, which multiplies a number in a file by a factor in its package: 3 x 7 = 21."""
    files = {
        "src/wattquestion/__init__.py": "",
        "src/wattquestion/rule.py": "FACTOR = 3\n",
        "src/wattquestion/unused.py": "",
        "questions/__init__.py": "",
        "questions/share.py": STUDY,
        "data.txt": "7",
    }
    for name, text in files.items():
        (tmp_path / name).parent.mkdir(parents=True, exist_ok=True)
        (tmp_path / name).write_text(text, encoding="utf-8")
    return Ledger(tmp_path, "questions")


def test_digest_is_sha256(tmp_path: Path) -> None:
    """FIPS 180-2 appendix B.1: the digest of "abc" is ba7816bf...; a file that is not there has none."""
    (tmp_path / "abc").write_bytes(b"abc")
    assert digest(tmp_path / "abc") == "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"
    assert digest(tmp_path / "absent") == ""


def test_answer_is_kept_with_what_it_came_from(ledger: Ledger) -> None:
    """Files are the study, the modules it imported and its data; not a module nobody imported."""
    assert ledger.is_stale("share")
    assert main(ledger, only_compare=False) == 0
    kept = ledger.committed("share")
    assert kept["result"] == {"share": 21}
    assert set(kept["files"]) == {
        "data.txt",
        "questions/share.py",
        "src/wattquestion/__init__.py",
        "src/wattquestion/rule.py",
    }
    assert not ledger.is_stale("share")


@pytest.mark.parametrize(
    ("file", "text", "code", "says"),
    [
        ("src/wattquestion/unused.py", "X = 1", 0, "1 studies, 0 stale"),
        ("src/wattquestion/rule.py", "FACTOR = 6 // 2", 0, "share: the same answer"),
        ("src/wattquestion/rule.py", "FACTOR = 4", 1, "no longer as committed: share"),
        ("data.txt", "8", 1, "no longer as committed: share"),
    ],
)
def test_change_shows(ledger: Ledger, capsys: pytest.CaptureFixture, file: str, text: str, code: int, says: str) -> None:
    """A change elsewhere leaves the study alone; one below it reruns it, and another answer fails but is not kept."""
    main(ledger, only_compare=False)
    before = ledger.path("share").read_bytes()
    (ledger.root / file).write_text(text, encoding="utf-8")
    assert main(ledger, only_compare=True) == code
    assert says in capsys.readouterr().out
    assert ledger.path("share").read_bytes() == before


def test_every_study_has_its_answer_committed(root: Path) -> None:
    """No study without a committed answer, and no answer whose study is gone."""
    ledger = Ledger(root)
    assert sorted(path.stem for path in (root / "studies" / "results").glob("*.json")) == ledger.names()
