"""The benchmark harness takes turns and holds the median ratio against the bar."""

from contextlib import nullcontext

import pytest

from benchmarks.harness import Benchmark, Growth, Memory, Tail


class Clock:
    """A clock that moves only when told to."""

    def __init__(self) -> None:
        self.now_s = 0.0

    def __call__(self) -> float:
        return self.now_s

    def spend(self, durations_s: list[float], seen: list[str], name: str):
        """An action that takes the next of the given times and notes its name."""
        left = iter(durations_s)

        def action() -> None:
            seen.append(name)
            self.now_s += next(left)

        return action


@pytest.mark.parametrize(("bar", "good"), [(2.0, True), (1.9, False)])
def test_median_of_ratios_in_turn(bar: float, good: bool) -> None:
    """Pairs (2, 1), (12, 4), (6, 6) after a slow warm-up: ratios 2, 3, 1, so 2; medians of the times are 6 and 4."""
    clock, seen = Clock(), []
    ours = clock.spend([100.0, 2.0, 12.0, 6.0], seen, "ours")
    reference = clock.spend([100.0, 1.0, 4.0, 6.0], seen, "reference")
    outcome = Benchmark("sample", bar, 3, lambda: nullcontext((ours, reference))).measure(clock)
    assert seen == ["ours", "reference"] * 4
    assert (outcome.ours, outcome.reference, outcome.ratio, outcome.unit) == (6000.0, 4000.0, 2.0, "ms")
    assert outcome.is_good is good


def test_growth_is_the_slope_of_the_logarithms() -> None:
    """Times that double whenever the size grows fourfold grow with its square root; medians of three rounds."""
    clock, seen = Clock(), []
    actions = [clock.spend([100.0, t, t * 5, t], seen, str(t)) for t in (1.0, 2.0, 4.0)]
    outcome = Growth("sample", 0.6, 3, (10, 40, 160), lambda _: nullcontext(actions)).measure(clock)
    assert outcome.ratio == pytest.approx(0.5)
    assert (outcome.ours, outcome.reference) == (4000.0, 1000.0)
    assert seen == ["1.0", "2.0", "4.0"] * 4


def test_tail_is_the_slowest_of_the_best_95() -> None:
    """Of times 1 to 20 s of one action and 2 s of the other, against 4 s: 95 of 100 stay below 19.95 s (Weibull's i/(n+1))."""
    clock, seen = Clock(), []
    slow = clock.spend([100.0, *map(float, range(1, 21))], seen, "slow")
    steady, reference = clock.spend([100.0, *[2.0] * 20], seen, "steady"), clock.spend([100.0, *[4.0] * 20], seen, "reference")
    outcome = Tail("sample", 5.0, 20, lambda: nullcontext(([slow, steady], reference))).measure(clock)
    assert (outcome.ours, outcome.reference) == (pytest.approx(19950.0), pytest.approx(4000.0))
    assert outcome.ratio == pytest.approx(19.95 / 4.0)
    assert seen == ["slow", "steady", "reference"] * 21


def test_memory_is_the_median_of_ratios() -> None:
    """Pairs (3, 2), (8, 2), (6, 3) MiB: ratios 1.5, 4, 2, so 2; medians 6 and 2."""
    ours, reference = iter([3 << 20, 8 << 20, 6 << 20]), iter([2 << 20, 2 << 20, 3 << 20])
    outcome = Memory("sample", 1.5, 3, lambda: nullcontext((lambda: next(ours), lambda: next(reference)))).measure()
    assert (outcome.ours, outcome.reference, outcome.ratio, outcome.unit) == (6.0, 2.0, 2.0, "MiB")
    assert not outcome.is_good
