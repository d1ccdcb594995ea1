"""A two-point thermostat on a first-order body, solved from crossing to crossing in closed form."""

from dataclasses import dataclass
from math import exp, log

import numpy as np
from numpy.typing import NDArray

from wattwright.demo.pulses import Pulses
from wattwright.demo.year import BLOCK_MINUTES


@dataclass(frozen=True, slots=True)
class Thermostat:
    """A body that drifts to its surroundings, and to the surroundings plus `rise_k` while its load is on."""

    low_c: float
    high_c: float
    rise_k: float
    """Final temperature change by the running load: positive heats, negative cools."""
    time_constant_min: float


def thermostat_pulses(
    thermostat: Thermostat,
    surroundings_c: NDArray[np.float64],
    power_w: float,
    enabled: NDArray[np.bool_] | None = None,
) -> Pulses:
    """Return the running times of the load over the year.

    `surroundings_c` and `enabled` are per quarter hour, (blocks,); where not enabled the load is off and the body drifts.
    """
    sign = 1.0 if thermostat.rise_k > 0 else -1.0
    low, high = sorted((sign * thermostat.low_c, sign * thermostat.high_c))
    free = np.ones(len(surroundings_c), dtype=bool) if enabled is None else enabled
    body = _Body(low, high, abs(thermostat.rise_k), thermostat.time_constant_min)
    for block, (rest, allowed) in enumerate(zip((sign * surroundings_c).tolist(), free.tolist(), strict=True)):
        body.pass_block(float(block * BLOCK_MINUTES), rest, allowed)
    edges = np.array([*body.edges, float(len(free) * BLOCK_MINUTES)][: 2 * ((len(body.edges) + 1) // 2)])
    return Pulses(edges[0::2], edges[1::2], np.full(len(edges) // 2, power_w))


class _Body:
    """The running state; a cooled body is mirrored by its caller, so that here the load always heats."""

    __slots__ = ("_high", "_low", "_now", "_on", "_rise", "_tau", "edges")

    def __init__(self, low: float, high: float, rise: float, tau: float) -> None:
        self._low, self._high, self._rise, self._tau = low, high, rise, tau
        self._now, self._on = 0.5 * (low + high), False
        self.edges: list[float] = []

    def pass_block(self, start: float, rest: float, allowed: bool) -> None:
        """Drift through one quarter hour and note every switching."""
        left = float(BLOCK_MINUTES)
        if self._on and not allowed:
            self._switch(start)
        while True:
            target = rest + self._rise if self._on else rest
            wait = self._until_switching(target) if allowed else left
            if wait >= left:
                self._now = target + (self._now - target) * exp(-left / self._tau)
                return
            left -= wait
            self._now = target + (self._now - target) * exp(-wait / self._tau)
            self._switch(start + BLOCK_MINUTES - left)

    def _until_switching(self, target: float) -> float:
        limit = self._high if self._on else self._low
        ahead = (limit - self._now) if self._on else (self._now - limit)
        if ahead <= 1e-9:
            return 0.0
        beyond = (target - limit) if self._on else (limit - target)
        if beyond <= 0.0:
            return float("inf")
        return self._tau * log((ahead + beyond) / beyond)

    def _switch(self, when: float) -> None:
        self._on = not self._on
        self.edges.append(when)
