"""The level of a load that is on for hours: where a site stays at its base and at a second level, with little in between.

Means over an hour blur every step; but a load that runs for hours beside a quiet site leaves two heaps of readings.
"""

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
_CLEAR, _DIP = 3.0, 1.5
"""The second heap stands above the dip before it by so many standard deviations of its count, and holds so many times as many."""
LEAST_MOVES = 5
"""And the site went from one heap to the other and back at least so often within two intervals."""
_NEAR = 0.15


def second_level_w(power_w: Floats, least_w: float) -> float | None:
    """Return how far a second heap of readings lies above that of the base, W; None where there is none to speak of."""
    power = power_w[~np.isnan(power_w)]
    if len(power) < 100:
        return None
    base = _densest(power, 5)
    best: tuple[float, float] | None = None
    top = float(np.percentile(power, 95)) - base
    for level in np.exp(np.arange(np.log(least_w), np.log(max(top, least_w * 1.01)), 0.05)):
        clear = _clear(power, base, float(level))
        if clear >= _CLEAR and (best is None or clear > best[0]) and _moves(power_w, base, float(level)) >= LEAST_MOVES:
            best = (clear, float(level))
    return None if best is None else _middle(power, base, best[1])


def _densest(power: Floats, parts: int) -> float:
    """Return the middle of the narrowest stretch that holds one of so many parts of the readings."""
    held = np.sort(power)
    many = max(2, len(held) // parts)
    width = held[many - 1 :] - held[: len(held) - many + 1]
    first = int(np.argmin(width))
    return float(np.median(held[first : first + many]))


def _clear(power: Floats, base: float, level: float) -> float:
    """Return how far readings a level above the base outnumber those in the dip below, in standard deviations; 0 where little."""
    here = float((np.abs(power - base - level) < _NEAR * level).sum())
    dip = float((np.abs(power - base - 0.65 * level) < _NEAR * level).sum())
    return 0.0 if here < _DIP * dip else float((here - dip) / np.sqrt(here + dip + 1.0))


def _moves(power_w: Floats, base: float, level: float) -> int:
    """Return how often the site went from the one heap to the other within two intervals: the rarer of up and down."""
    low, high = np.abs(power_w - base) < _NEAR * level, np.abs(power_w - base - level) < _NEAR * level
    up = sum(int((low[:-lag] & high[lag:]).sum()) for lag in (1, 2))
    down = sum(int((high[:-lag] & low[lag:]).sum()) for lag in (1, 2))
    return min(up, down)


def _middle(power: Floats, base: float, level: float) -> float:
    """Return the middle of the narrowest stretch that holds half of the second heap, above the base, W."""
    return _densest(power[np.abs(power - base - level) < _NEAR * level], 2) - base
