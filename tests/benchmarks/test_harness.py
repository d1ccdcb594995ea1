"""The benchmark harness takes turns and holds the median ratio against the bar."""

from contextlib import nullcontext

import pytest

from benchmarks.harness import Benchmark, measure


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
    outcome = measure(Benchmark("sample", bar, 3, lambda: nullcontext((ours, reference))), clock)
    assert seen == ["ours", "reference"] * 4
    assert (outcome.ours_s, outcome.reference_s, outcome.ratio) == (6.0, 4.0, 2.0)
    assert outcome.is_good is good
