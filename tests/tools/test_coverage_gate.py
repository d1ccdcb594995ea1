"""The coverage gate looks at lines and branches apart."""

import json
from pathlib import Path

import pytest

from tools.coverage_gate import main


@pytest.mark.parametrize(
    ("lines", "branches", "code", "says"),
    [
        ((95, 100), (19, 20), 0, "coverage: 95.0 % of lines, 95.0 % of branches"),
        ((0, 0), (0, 0), 0, "coverage: 100.0 % of lines, 100.0 % of branches"),
        ((1000, 1000), (94, 100), 1, "too few branches are covered"),
        ((94, 100), (94, 100), 1, "too few lines and branches are covered"),
    ],
)
def test_each_kind_has_its_bar(tmp_path: Path, capsys: pytest.CaptureFixture, lines, branches, code, says) -> None:
    """95 of 100 passes; many covered lines do not make up for missed branches; what does not occur is not missed."""
    totals = dict(zip(("covered_lines", "num_statements"), lines, strict=True))
    totals |= dict(zip(("covered_branches", "num_branches"), branches, strict=True))
    report = tmp_path / "coverage.json"
    report.write_text(json.dumps({"totals": totals}), encoding="utf-8")
    assert main(str(report)) == code
    assert says in capsys.readouterr().out
