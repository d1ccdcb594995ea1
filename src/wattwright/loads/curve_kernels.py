"""A value that goes to its end as the sum of two exponentials: where it turns, where it meets a limit, and how long it lies over.

x(t) = end + a exp(-alpha t) + b exp(-beta t); a curve is the tuple (end, a, alpha, b, beta). It turns once at most, so between
its start, its turning and its stop it is monotone and a meeting can be closed in by halving.
"""

from math import expm1, log

import numpy as np

from wattwright.core.kernels import kernel

Curve = tuple[float, float, float, float, float]
_APART = 1e-6
"""Two rates that are closer than this share of each other are taken to be so far apart."""


@kernel
def followed(start: float, now: float, end: float, tau_s: float, own_tau_s: float) -> Curve:
    """Return the curve of a first-order follower at ``start`` of what drifts from ``now`` to ``end``."""
    lag = own_tau_s / tau_s
    if abs(1.0 - lag) < _APART:
        lag = 1.0 + _APART
    a = (now - end) / (1.0 - lag)
    return end, a, 1.0 / tau_s, start - end - a, 1.0 / (lag * tau_s)


@kernel
def value(curve: Curve, time_s: float) -> float:
    """Return x at ``time_s``; good to the last digit where hardly anything happens."""
    end, a, alpha, b, beta = curve
    return end + a + b + a * expm1(-alpha * time_s) + b * expm1(-beta * time_s)


@kernel
def integral(curve: Curve, time_s: float) -> float:
    """Return the integral of x from 0 to ``time_s``."""
    end, a, alpha, b, beta = curve
    return end * time_s - a * expm1(-alpha * time_s) / alpha - b * expm1(-beta * time_s) / beta


@kernel
def turning(curve: Curve) -> float:
    """Return when x turns, s; inf where it does not after 0."""
    _, a, alpha, b, beta = curve
    down = a * alpha
    if down == 0.0 or alpha == beta:
        return np.inf
    ratio = -b * beta / down
    if ratio <= 0.0:
        return np.inf
    when = log(ratio) / (beta - alpha)
    return when if when > 0.0 else np.inf


@kernel
def crossing(curve: Curve, low_s: float, high_s: float, limit: float) -> float:
    """Return when x meets ``limit`` between two times at which it lies on different sides of it, s."""
    rises = value(curve, high_s) > value(curve, low_s)
    for _ in range(60):
        middle = 0.5 * (low_s + high_s)
        if (value(curve, middle) < limit) == rises:
            low_s = middle
        else:
            high_s = middle
    return high_s


@kernel
def over(curve: Curve, time_s: float, limit: float) -> float:
    """Return the integral from 0 to ``time_s`` of how far x lies over ``limit`` (inf: none)."""
    if limit == np.inf:
        return 0.0
    total, begin = 0.0, 0.0
    turn = turning(curve)
    for part in range(2):
        stop = min(turn, time_s) if part == 0 else time_s
        if stop <= begin:
            break
        first, last = value(curve, begin), value(curve, stop)
        start, finish = begin, stop
        if first < limit and last < limit:
            finish = start
        elif first < limit or last < limit:
            met = crossing(curve, begin, stop, limit)
            start, finish = (met, stop) if first < limit else (begin, met)
        total += integral(curve, finish) - integral(curve, start) - limit * (finish - start)
        begin = stop
    return max(0.0, total)


@kernel
def under(curve: Curve, time_s: float, limit: float) -> float:
    """Return the integral from 0 to ``time_s`` of how far x lies under ``limit`` (-inf: none)."""
    return over((-curve[0], -curve[1], curve[2], -curve[3], curve[4]), time_s, -limit)


@kernel
def meets(curve: Curve, time_s: float, threshold: float) -> float:
    """Return when x first meets ``threshold`` coming from elsewhere, s; inf where not within ``time_s``."""
    begin, first = 0.0, value(curve, 0.0)
    turn = turning(curve)
    for part in range(2):
        stop = min(turn, time_s) if part == 0 else time_s
        if stop <= begin:
            break
        last = value(curve, stop)
        if first != threshold and (first < threshold) != (last < threshold):
            return crossing(curve, begin, stop, threshold)
        begin, first = stop, last
    return np.inf
