"""Run the benchmarks and print the table; ``--write`` keeps it in ``benchmarks/results.json``."""

import argparse
import json
import sys
from dataclasses import asdict
from pathlib import Path

from benchmarks.billing import COMPILED_COST, EXACT_BILL
from benchmarks.demand import DEMAND
from benchmarks.harness import Outcome, measure
from benchmarks.loads import ONE_LOAD, ONE_LOAD_PLAIN
from benchmarks.reading import READING
from benchmarks.start_up import START_UP

BENCHMARKS = (START_UP, READING, DEMAND, EXACT_BILL, COMPILED_COST, ONE_LOAD, ONE_LOAD_PLAIN)
RESULTS = Path(__file__).with_name("results.json")


def row(outcome: Outcome) -> str:
    """One line of the table."""
    verdict = "good" if outcome.is_good else "over the bar"
    times = f"{1e3 * outcome.ours_s:8.1f} ms {1e3 * outcome.reference_s:8.1f} ms"
    return f"{outcome.name:<28} {times} {outcome.ratio:7.3g} {outcome.bar:6.3g}  {verdict} ({outcome.pairs} pairs)"


def main(*, write: bool) -> int:
    """Measure everything; return 1 when a ratio lies over its bar."""
    print(f"{'benchmark':<28} {'ours':>11} {'reference':>11} {'ratio':>7} {'bar':>6}")
    outcomes = []
    for benchmark in BENCHMARKS:
        outcomes.append(measure(benchmark))
        print(row(outcomes[-1]), flush=True)
    if write:
        RESULTS.write_text(json.dumps([asdict(outcome) for outcome in outcomes], indent=2) + "\n", encoding="utf-8")
    return 0 if all(outcome.is_good for outcome in outcomes) else 1


if __name__ == "__main__":
    parser = argparse.ArgumentParser(prog="benchmarks", description=__doc__)
    parser.add_argument("--write", action="store_true", help="keep the table in benchmarks/results.json")
    sys.exit(main(write=parser.parse_args().write))
