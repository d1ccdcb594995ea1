"""Rerun the stale studies, to keep their answers or, with ``--stale``, to see whether the committed ones come out."""

import argparse
import os
import sys
from pathlib import Path

from studies.ledger import Ledger


def main(ledger: Ledger, *, only_compare: bool) -> int:
    """Rerun what is stale and say what became of it; return 1 when a committed answer no longer comes out."""
    stale = [name for name in ledger.names() if ledger.is_stale(name)]
    print(f"{len(ledger.names())} studies, {len(stale)} stale")
    differing = []
    for name in stale:
        entry = ledger.rerun(name)
        same = entry["result"] == ledger.committed(name)["result"]
        print(f"{name}: {'the same answer' if same else 'another answer'}")
        if not only_compare:
            ledger.keep(name, entry)
        elif not same:
            differing.append(name)
    if differing:
        print(f"no longer as committed: {', '.join(differing)}; run make studies, look at the change and commit it")
    return 1 if differing else 0


if __name__ == "__main__":
    parser = argparse.ArgumentParser(prog="studies", description=__doc__)
    parser.add_argument("--stale", action="store_true", help="compare only, and fail where an answer differs")
    # Two workers share two cores: threads of the algebra within each only wait for one another (a minute for two seconds' work).
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
    top = Path(__file__).resolve().parents[1]
    sys.exit(main(Ledger(top), only_compare=parser.parse_args().stale))
