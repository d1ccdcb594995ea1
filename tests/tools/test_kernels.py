"""What is compiled before the tests is what their processes ask for."""

import os
import subprocess
import sys
from pathlib import Path

AFTER = """
from benchmarks.engine import BRANCH
from tools.kernels import main
from wattwright.simulate.loop_kernels import run_steps
from wattwright.tariff.kernels import line_costs

main()
before = len(run_steps.signatures), len(line_costs.signatures)
exec(BRANCH)
print(*before, len(run_steps.signatures))
"""


def test_another_site_finds_the_machine_code(root: Path) -> None:
    """In a process of its own the engine and the tariff are compiled once, and a site without rules needs no other code."""
    environment = {name: value for name, value in os.environ.items() if name != "NUMBA_DISABLE_JIT"}
    environment["PYTHONPATH"] = os.pathsep.join([str(root), str(root / "src")])
    told = subprocess.run([sys.executable, "-c", AFTER], env=environment, check=True, capture_output=True, text=True)
    assert told.stdout.split() == ["1", "1", "1"]
