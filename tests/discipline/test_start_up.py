"""The help page comes at once: what a stage needs is loaded in that stage."""

import json
import subprocess
import sys

HEAVY = {"numpy", "polars", "pydantic", "numba", "altair", "pandas", "babel", "pint"}
PROGRAM = """
import atexit, json, sys
atexit.register(lambda: print(json.dumps(sorted(sys.modules)), file=sys.stderr))
sys.argv = ["wattwright", "--help"]
from wattwright.cli.main import run
run()
"""


def test_help_loads_nothing_heavy() -> None:
    """``wattwright --help`` succeeds, shows its usage and has imported none of the heavy libraries."""
    done = subprocess.run([sys.executable, "-c", PROGRAM], capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
    assert "usage" in done.stdout.lower()
    loaded = set(json.loads(done.stderr.splitlines()[-1]))
    assert "wattwright.cli.main" in loaded
    assert loaded & HEAVY == set()
