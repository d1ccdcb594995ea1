"""The supply's protection: which loads are shed, in which order they go and come back."""

import numpy as np
from numpy.typing import NDArray

from wattwright.control.columns import (
    C_SHED,
    G_OVER_S,
    G_UNDER_S,
    H_BACK_S,
    H_DELAY_S,
    H_INTERVAL_S,
    H_NEXT_S,
    H_PICK_UP,
    H_REPORT_S,
    H_RESTORE,
)  # fmt: skip
from wattwright.control.rule_kernels import INSTANT_S, Rules, Standing, furthest, gauge
from wattwright.core.kernels import lean_kernel

Floats = NDArray[np.float64]


@lean_kernel
def shedding(rules: Rules, standing: Standing, now_s: float, time_s: float, signals: Floats) -> bool:
    """Shed the next load of the order while the supply is too high for too long, restore the last one when it is low enough.

    Returns whether one of its delays is running or news is on its way. The loads that are shed are always the first of the order.
    """
    if len(rules.shed_order) == 0:
        return False
    g, h = standing.shed, rules.shed
    there = signals[rules.shed_signal]
    seen = gauge(g, h[H_INTERVAL_S], h[H_REPORT_S], now_s, there)
    over, under = seen >= h[H_PICK_UP], seen <= h[H_RESTORE]
    if not over:
        g[G_OVER_S] = 0.0
    if not under:
        g[G_UNDER_S] = 0.0
    count = shed_count(rules, standing)
    if over and g[G_OVER_S] + INSTANT_S >= h[H_DELAY_S] and count < len(rules.shed_order):
        standing.contacts[rules.shed_order[count], C_SHED] = 1.0
        # The next one waits its own time, counted from here.
        g[G_OVER_S] = h[H_DELAY_S] - h[H_NEXT_S]
    if under and g[G_UNDER_S] + INSTANT_S >= h[H_BACK_S] and count > 0:
        standing.contacts[rules.shed_order[count - 1], C_SHED] = 0.0
        g[G_UNDER_S] = 0.0
    g[G_OVER_S] += time_s if over else 0.0
    g[G_UNDER_S] += time_s if under else 0.0
    count = shed_count(rules, standing)
    # What is there or on its way will be seen before long.
    more = over or furthest(g, 1.0) >= h[H_PICK_UP] or there >= h[H_PICK_UP]
    less = under or furthest(g, -1.0) <= h[H_RESTORE] or there <= h[H_RESTORE]
    return (more and count < len(rules.shed_order)) or (less and count > 0)


@lean_kernel
def shed_count(rules: Rules, standing: Standing) -> int:
    """Return how many loads of the order are shed."""
    for place in range(len(rules.shed_order)):
        if standing.contacts[rules.shed_order[place], C_SHED] == 0.0:
            return place
    return len(rules.shed_order)
