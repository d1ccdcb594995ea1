"""Run the benchmarks and print the table; ``--write`` keeps it in ``benchmarks/results.json``."""

import argparse
import json
import sys
from dataclasses import asdict
from pathlib import Path

from benchmarks.billing import COMPILED_COST, EXACT_BILL
from benchmarks.demand import DEMAND
from benchmarks.desk import DESK
from benchmarks.engine import ENGINE
from benchmarks.harness import Allowed, Benchmark, Growth, Memory, Outcome, Tail
from benchmarks.hours import HOURS
from benchmarks.loads import ONE_LOAD, ONE_LOAD_PLAIN
from benchmarks.memory import MEMORY
from benchmarks.plans import PLANNING
from benchmarks.reading import GROWTH, READING
from benchmarks.sizing import SIZING
from benchmarks.start_up import START_UP

BENCHMARKS: tuple[Allowed | Benchmark | Growth | Memory | Tail, ...] = (
    START_UP, *READING, GROWTH, *MEMORY, DEMAND, HOURS, EXACT_BILL, COMPILED_COST, ONE_LOAD, ONE_LOAD_PLAIN,
    *ENGINE, *PLANNING, *SIZING, *DESK,
)  # fmt: skip
RESULTS = Path(__file__).with_name("results.json")


def row(outcome: Outcome) -> str:
    """One line of the table."""
    verdict = "good" if outcome.is_good else "over the bar"
    unit = outcome.unit
    both = f"{outcome.ours:8.1f} {unit:<3} {outcome.reference:8.1f} {unit:<3}"
    return f"{outcome.name:<42} {both} {outcome.ratio:7.3g} {outcome.bar:6.3g}  {verdict} ({outcome.pairs} pairs)"


def main(*, write: bool) -> int:
    """Measure everything; return 1 when a ratio lies over its bar."""
    print(f"{'benchmark':<42} {'ours':>12} {'reference':>12} {'ratio':>7} {'bar':>6}")
    outcomes = []
    for benchmark in BENCHMARKS:
        outcomes.append(benchmark.measure())
        print(row(outcomes[-1]), flush=True)
    if write:
        RESULTS.write_text(json.dumps([asdict(outcome) for outcome in outcomes], indent=2) + "\n", encoding="utf-8")
    return 0 if all(outcome.is_good for outcome in outcomes) else 1


if __name__ == "__main__":
    parser = argparse.ArgumentParser(prog="benchmarks", description=__doc__)
    parser.add_argument("--write", action="store_true", help="keep the table in benchmarks/results.json")
    sys.exit(main(write=parser.parse_args().write))
