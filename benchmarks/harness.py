"""Benchmarks: ours and a plain reference measured in turn within one run, and what comes of it held against a bar."""

import math
import statistics
import time
from collections.abc import Callable, Sequence
from contextlib import AbstractContextManager
from dataclasses import dataclass

Action = Callable[[], object]
Clock = Callable[[], float]


@dataclass(frozen=True)
class Outcome:
    """What was measured: medians for ours and for the reference in ``unit``, and the number ``ratio`` that the bar holds."""

    name: str
    bar: float
    pairs: int
    ours: float
    reference: float
    ratio: float
    unit: str = "ms"

    @property
    def is_good(self) -> bool:
        """True when the ratio does not exceed the bar."""
        return self.ratio <= self.bar


def duration_ms(action: Action, clock: Clock) -> float:
    """Milliseconds one call of the action takes by the clock, which counts seconds."""
    start = clock()
    action()
    return 1e3 * (clock() - start)


@dataclass(frozen=True)
class Benchmark:
    """How long ours takes against a reference.

    ``prepare`` opens what both need and gives (ours, reference), two actions without arguments; ``bar`` is the largest
    ratio of their times that is still good.
    """

    name: str
    bar: float
    pairs: int
    prepare: Callable[[], AbstractContextManager[tuple[Action, Action]]]

    def measure(self, clock: Clock = time.perf_counter) -> Outcome:
        """Call both once to warm up, then in turn, pair by pair, so that a busy spell of the machine meets both alike."""
        with self.prepare() as (ours, reference):
            ours(), reference()
            timed = [(duration_ms(ours, clock), duration_ms(reference, clock)) for _ in range(self.pairs)]
        return _outcome(self.name, self.bar, timed, "ms")


@dataclass(frozen=True)
class Tail:
    """How long the slowest of several actions takes against a reference, in 95 of 100 cases.

    ``prepare`` gives (all of ours, reference); ``bar`` is the largest ratio of the times below which 95 of 100 calls stay.
    """

    name: str
    bar: float
    pairs: int
    prepare: Callable[[], AbstractContextManager[tuple[Sequence[Action], Action]]]

    def measure(self, clock: Clock = time.perf_counter) -> Outcome:
        """Call all once to warm up, then in turn, so that a busy spell of the machine meets all alike."""
        with self.prepare() as (ours, reference):
            actions = (*ours, reference)
            for action in actions:
                action()
            rounds = [[duration_ms(action, clock) for action in actions] for _ in range(self.pairs)]
        *mine, other = (statistics.quantiles(column, n=20)[-1] for column in zip(*rounds, strict=True))
        return Outcome(self.name, self.bar, self.pairs, max(mine), other, max(mine) / other)


@dataclass(frozen=True)
class Allowed:
    """How long ours takes against a time that it may take, ms: for what is promised to people and not against a reference."""

    name: str
    allowed: float
    pairs: int
    prepare: Callable[[], AbstractContextManager[Action]]
    bar: float = 1.0

    def measure(self, clock: Clock = time.perf_counter) -> Outcome:
        """Call it once to warm up, then again and again; the median counts."""
        with self.prepare() as ours:
            ours()
            median = statistics.median(duration_ms(ours, clock) for _ in range(self.pairs))
        return Outcome(self.name, self.bar, self.pairs, median, self.allowed, median / self.allowed)


@dataclass(frozen=True)
class Growth:
    """How the time of one action grows with the size of its work: the exponent of a power of the size.

    ``prepare`` gives an action for each of ``sizes`` (rising); ``bar`` is the largest exponent that is still good.
    """

    name: str
    bar: float
    pairs: int
    sizes: tuple[int, ...]
    prepare: Callable[[tuple[int, ...]], AbstractContextManager[Sequence[Action]]]

    def measure(self, clock: Clock = time.perf_counter) -> Outcome:
        """Call all once to warm up, then in turn; the exponent is the slope of the least squares line through the logarithms.

        ``ours`` is the median time at the largest size, ``reference`` that at the smallest.
        """
        with self.prepare(self.sizes) as actions:
            for action in actions:
                action()
            rounds = [[duration_ms(action, clock) for action in actions] for _ in range(self.pairs)]
        times = [statistics.median(column) for column in zip(*rounds, strict=True)]
        slope = statistics.linear_regression([math.log(size) for size in self.sizes], [math.log(one) for one in times]).slope
        return Outcome(self.name, self.bar, self.pairs, times[-1], times[0], slope)


@dataclass(frozen=True)
class Memory:
    """How much memory ours needs against a reference.

    ``prepare`` gives (ours, reference), each of which runs in a process of its own and returns the bytes by which its peak rose.
    """

    name: str
    bar: float
    pairs: int
    prepare: Callable[[], AbstractContextManager[tuple[Callable[[], int], Callable[[], int]]]]

    def measure(self, clock: Clock = time.perf_counter) -> Outcome:
        """Run both in turn, pair by pair; no clock is needed."""
        del clock
        with self.prepare() as (ours, reference):
            peaks = [(ours() / 2**20, reference() / 2**20) for _ in range(self.pairs)]
        return _outcome(self.name, self.bar, peaks, "MiB")


def _outcome(name: str, bar: float, pairs: Sequence[tuple[float, float]], unit: str) -> Outcome:
    ours = statistics.median(mine for mine, _ in pairs)
    reference = statistics.median(other for _, other in pairs)
    return Outcome(name, bar, len(pairs), ours, reference, statistics.median(mine / other for mine, other in pairs), unit)
