"""One benchmark: two actions timed in turn, and the median of their ratios held against a bar."""

import statistics
import time
from collections.abc import Callable
from contextlib import AbstractContextManager
from dataclasses import dataclass

Action = Callable[[], object]


@dataclass(frozen=True)
class Benchmark:
    """What is compared with what.

    ``prepare`` opens what both need and gives (ours, reference), two actions without arguments; ``bar`` is the largest
    ratio of their times that is still good.
    """

    name: str
    bar: float
    pairs: int
    prepare: Callable[[], AbstractContextManager[tuple[Action, Action]]]


@dataclass(frozen=True)
class Outcome:
    """Medians over the pairs: time of ours and of the reference in seconds, and the ratio of the two."""

    name: str
    bar: float
    pairs: int
    ours_s: float
    reference_s: float
    ratio: float

    @property
    def is_good(self) -> bool:
        """True when the ratio does not exceed the bar."""
        return self.ratio <= self.bar


def duration_s(action: Action, clock: Callable[[], float]) -> float:
    """Seconds one call of the action takes by the clock."""
    start = clock()
    action()
    return clock() - start


def measure(benchmark: Benchmark, clock: Callable[[], float] = time.perf_counter) -> Outcome:
    """Call both once to warm up, then in turn, pair by pair, so that a busy spell of the machine meets both alike."""
    with benchmark.prepare() as (ours, reference):
        ours(), reference()
        timed = [(duration_s(ours, clock), duration_s(reference, clock)) for _ in range(benchmark.pairs)]
    return Outcome(
        name=benchmark.name,
        bar=benchmark.bar,
        pairs=benchmark.pairs,
        ours_s=statistics.median(mine for mine, _ in timed),
        reference_s=statistics.median(other for _, other in timed),
        ratio=statistics.median(mine / other for mine, other in timed),
    )
