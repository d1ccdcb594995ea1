"""A body that drifts to a final temperature, with a two-point thermostat, solved from switching to switching in closed form.

dT/dt = (T_end - T) / tau, with T_end and tau one pair while the load runs and another while it does not. Within a step both are
constant, so the time to a threshold is tau ln(1 + (T_threshold - T) / (T_end - T_threshold)), and no switching is lost or moved
to a step's end. A thermostat keeps its contact between the thresholds, fed or not; the minimum times are those of the load's own
controller.
"""

from math import expm1, log1p

import numpy as np
from numpy.typing import NDArray

from wattwright.core.kernels import kernel, lean_kernel
from wattwright.loads.columns import S_CALL, S_GONE, S_RUN, S_RUN_S, S_SINCE, S_STARTS, S_STAY_S, S_TAU_S

Floats = NDArray[np.float64]
INSTANT_S = 1e-9
"""Waiting less than this is not waiting: a sum of parts need not reach the whole to the last digit."""


@kernel
def drift(now: float, end: float, tau_s: float, time_s: float) -> float:
    """Return the temperature after ``time_s``; good to the last digit also where the body hardly drifts."""
    return now - (end - now) * expm1(-time_s / tau_s)


@kernel
def gone(tau_s: float, time_s: float) -> float:
    """Return the share of the way to its end that a drift has gone after ``time_s``."""
    return -expm1(-time_s / tau_s)


@kernel
def area(now: float, end: float, tau_s: float, time_s: float, share: float) -> float:
    """Return the integral of the temperature over a drift of ``time_s`` that went ``share`` of its way, K s."""
    return now * time_s + (end - now) * (time_s - tau_s * share)


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
def short_of(now: float, then: float, end: float, tau_s: float, time_s: float, share: float, limit: float) -> float:
    """Return the integral of what a drift from ``now`` to ``then`` lacks to ``limit`` while below it, K s (limit -inf: none)."""
    if now >= limit and then >= limit:
        return 0.0
    if now <= limit and then <= limit:
        return max(0.0, limit * time_s - area(now, end, tau_s, time_s, share))
    crossed = min(time_s, time_to(now, end, tau_s, limit))
    if now < limit:
        return max(0.0, limit * crossed - area(now, end, tau_s, crossed, gone(tau_s, crossed)))
    rest = time_s - crossed
    return max(0.0, limit * rest - area(limit, end, tau_s, rest, gone(tau_s, rest)))


@kernel
def outside(now: float, then: float, end: float, tau_s: float, time_s: float, share: float, low: float, high: float) -> float:
    """Return the integral of how far a drift lies outside ``low`` to ``high``, K s."""
    if low <= now <= high and low <= then <= high:
        return 0.0
    under = short_of(now, then, end, tau_s, time_s, share, low)
    return under + short_of(-now, -then, -end, tau_s, time_s, share, -high)


@lean_kernel
def switch(s: Floats, i: int, run: bool) -> None:
    """Begin or cease to run, counting the start."""
    s[i, S_RUN] = 1.0 if run else 0.0
    s[i, S_SINCE] = 0.0
    if run:
        s[i, S_STARTS] += 1.0


@lean_kernel
def pass_time(s: Floats, i: int, time_s: float) -> None:
    """Let time pass for the counters."""
    s[i, S_SINCE] += time_s
    if s[i, S_RUN] > 0.0:
        s[i, S_RUN_S] += time_s


@lean_kernel
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


@lean_kernel
def obey(s: Floats, i: int, now: float, band: tuple[float, float]) -> None:
    """Let a two-point contact follow its value; it heats where the first of ``band`` (begins, ceases) is the lower."""
    sign = 1.0 if band[0] < band[1] else -1.0
    if sign * (now - band[0]) <= 0.0:
        s[i, S_CALL] = 1.0
    elif sign * (now - band[1]) >= 0.0:
        s[i, S_CALL] = 0.0


@lean_kernel
def stretch(
    s: Floats,
    i: int,
    column: int,
    closed: bool,
    left_s: float,
    ends: tuple[float, float],
    taus_s: tuple[float, float],
    band: tuple[float, float],
    minimum_s: tuple[float, float],
) -> tuple[float, float, float, float, float]:
    """Advance ``s[i, column]`` to its next switching, or by ``left_s``; return (how long, from, end, tau, share gone).

    ``ends`` and ``taus_s`` are those (at rest, running), ``band`` where the thermostat (begins, ceases) to call, ``minimum_s``
    the shortest times (on, off). Whether the load ran in this stretch stands in S_RUN afterwards.
    """
    now = s[i, column]
    obey(s, i, now, band)
    stay = min(left_s, settle(s, i, closed, minimum_s[0], minimum_s[1]))
    runs = s[i, S_RUN] > 0.0
    end, tau_s = (ends[1], taus_s[1]) if runs else (ends[0], taus_s[0])
    threshold = band[1] if s[i, S_CALL] > 0.0 else band[0]
    if tau_s != s[i, S_TAU_S] or stay != s[i, S_STAY_S]:
        s[i, S_TAU_S], s[i, S_STAY_S], s[i, S_GONE] = tau_s, stay, gone(tau_s, stay)
    share = s[i, S_GONE]
    then = now + (end - now) * share
    if passes(now, then, threshold):
        # Met exactly: rounding must not leave the value just short of the threshold.
        stay, then = min(stay, time_to(now, end, tau_s, threshold)), threshold
        share = (threshold - now) / (end - now)
    s[i, column] = then
    pass_time(s, i, stay)
    return stay, now, end, tau_s, share
