"""The coverage gate: lines and branches each reach their bar, which the one combined figure would not show."""

import json
import sys
from collections.abc import Mapping
from pathlib import Path

BAR_PERCENT = 95.0


def shares(totals: Mapping[str, float]) -> dict[str, float]:
    """Covered lines and branches in percent, from the ``totals`` of a coverage JSON report.

    A kind that does not occur at all counts as covered: nothing of it was missed.
    """
    pairs = {
        "lines": (totals["covered_lines"], totals["num_statements"]),
        "branches": (totals["covered_branches"], totals["num_branches"]),
    }
    return {kind: 100.0 * covered / total if total else 100.0 for kind, (covered, total) in pairs.items()}


def main(report: str) -> int:
    """Print both shares of the report file; return 1 when one lies under the bar."""
    found = shares(json.loads(Path(report).read_text(encoding="utf-8"))["totals"])
    print("coverage: " + ", ".join(f"{share:.1f} % of {kind}" for kind, share in found.items()))
    short = [kind for kind, share in found.items() if share < BAR_PERCENT]
    if short:
        print(f"too few {' and '.join(short)} are covered: the bar is {BAR_PERCENT:.0f} % for each")
    return 1 if short else 0


if __name__ == "__main__":
    sys.exit(main(*sys.argv[1:]))
