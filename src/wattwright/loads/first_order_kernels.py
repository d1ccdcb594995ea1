"""A body that drifts to a final temperature, with a two-point thermostat, solved from switching to switching in closed form.

dT/dt = (T_end - T) / tau, with T_end one value while the load runs and another while it does not. Within a step both are
constant, so the time to a threshold is tau ln(1 + (T_threshold - T) / (T_end - T_threshold)), and no switching is lost or moved
to a step's end. A thermostat keeps its contact between the thresholds, fed or not; the minimum times are those of the load's own
controller.
"""

from math import expm1, log1p

import numpy as np
from numpy.typing import NDArray

from wattwright.core.kernels import kernel
from wattwright.loads.columns import S_CALL, S_RUN, S_RUN_S, S_SINCE, S_STARTS

Floats = NDArray[np.float64]
INSTANT_S = 1e-9
"""Waiting less than this is not waiting: a sum of parts need not reach the whole to the last digit."""


@kernel
def drift(now: float, end: float, tau_s: float, time_s: float) -> float:
    """Return the temperature after ``time_s``; good to the last digit also where the body hardly drifts."""
    return now - (end - now) * expm1(-time_s / tau_s)


@kernel
def passes(now: float, then: float, threshold: float) -> bool:
    """Return whether a drift from ``now`` to ``then`` meets the threshold on its way."""
    return (now < threshold <= then) or (now > threshold >= then)


@kernel
def time_to(now: float, end: float, tau_s: float, threshold: float) -> float:
    """Return how long the drift from ``now`` to ``end`` takes to the threshold, s: 0 where it is passed, inf where never."""
    ahead = threshold - now
    beyond = end - threshold
    if ahead * (end - now) <= 0.0:
        # It drifts away from the threshold, or stands on it.
        return 0.0 if ahead == 0.0 else np.inf
    if beyond * ahead <= 0.0:
        return np.inf
    return tau_s * log1p(ahead / beyond)


@kernel
def switch(s: Floats, i: int, run: bool) -> None:
    """Begin or cease to run, counting the start."""
    s[i, S_RUN] = 1.0 if run else 0.0
    s[i, S_SINCE] = 0.0
    if run:
        s[i, S_STARTS] += 1.0


@kernel
def pass_time(s: Floats, i: int, time_s: float) -> None:
    """Let time pass for the counters."""
    s[i, S_SINCE] += time_s
    if s[i, S_RUN] > 0.0:
        s[i, S_RUN_S] += time_s


@kernel
def settle(s: Floats, i: int, closed: bool, min_on_s: float, min_off_s: float) -> float:
    """Switch what may be switched now; return how long until a minimum time lets the rest happen, s (inf: nothing waits)."""
    wanted = closed and s[i, S_CALL] > 0.0
    runs = s[i, S_RUN] > 0.0
    if wanted == runs:
        return np.inf
    least = min_on_s if runs else min_off_s
    # Without a feed nothing runs, whatever the controller would like to keep.
    if s[i, S_SINCE] >= least - INSTANT_S or (runs and not closed):
        switch(s, i, wanted)
        return np.inf
    return float(least - s[i, S_SINCE])


@kernel
def thermostat(
    s: Floats,
    i: int,
    column: int,
    closed: bool,
    time_s: float,
    ends: tuple[float, float],
    tau_s: float,
    band: tuple[float, float],
    minimum_s: tuple[float, float],
) -> float:
    """Advance the temperature in ``s[i, column]`` by ``time_s`` and return how long the load ran, s.

    ``ends`` are the final temperatures (at rest, running), ``band`` where the thermostat (begins, ceases) to call: it heats where
    the first is the lower, else it cools. ``minimum_s`` are the shortest times (on, off).
    """
    left, ran = time_s, 0.0
    sign = 1.0 if band[0] < band[1] else -1.0
    while left > 0.0:
        now = s[i, column]
        if sign * (now - band[0]) <= 0.0:
            s[i, S_CALL] = 1.0
        elif sign * (now - band[1]) >= 0.0:
            s[i, S_CALL] = 0.0
        wait = settle(s, i, closed, minimum_s[0], minimum_s[1])
        runs = s[i, S_RUN] > 0.0
        end = ends[1] if runs else ends[0]
        threshold = band[1] if s[i, S_CALL] > 0.0 else band[0]
        stay = min(left, wait)
        then = drift(now, end, tau_s, stay)
        if passes(now, then, threshold):
            # Met exactly: rounding must not leave the temperature just short of the threshold.
            stay, then = min(stay, time_to(now, end, tau_s, threshold)), threshold
        s[i, column] = then
        pass_time(s, i, stay)
        ran += stay if runs else 0.0
        left -= stay
    return ran
