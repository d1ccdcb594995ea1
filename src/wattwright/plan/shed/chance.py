"""The chance that a supply trips before the order has come, in closed form.

An overload of ratio r uses up the share time / withstand(r); loads that open one after the other lower r. As the first command is
the only thing that is spread, the wear rises evenly with its time, and the supply trips where that time is x or more, with

    x = withstand(r0) (1 - wear of the start - sum over later stages of time / withstand) + duration of the start - first opening

for each way in which commands may be lost. A start counts in full, however soon the load that starts is shed: on the safe side.
"""

import numpy as np
from numpy.typing import NDArray

from wattwright.plan.shed.overload import Overload
from wattwright.plan.shed.times import Times, at_once
from wattwright.plan.shed.way import Way, first_word, openings
from wattwright.simulate.supply_kernels import INSTANT_S

Floats = NDArray[np.float64]


def trip_share(one: Way, event: Overload, more_s: float = 0.0) -> float:
    """Return the share of events in which the supply trips although the order works; ``more_s`` makes its first word later."""
    if not event.stages or event.seen_share > 1.0:
        return unshed_share(event)
    at, weights = openings(one, event.stages)
    return share(event, first_word(one, event.seen_share).later(more_s), at, weights)


def unshed_share(event: Overload) -> float:
    """Return the share of events in which the supply trips where nothing is shed: 1 or 0, since what came on stays on."""
    return float(bool(np.isfinite(event.limit.withstand.time_s(event.ratio))) or start_wear(event) >= 1.0)


def alone_share(event: Overload, opens_s: Floats) -> float:
    """Return 1 or 0: whether the supply trips where the k stages open by themselves, at ``opens_s`` (k,) after the event."""
    if not len(opens_s):
        return unshed_share(event)
    return share(event, at_once(), opens_s[None, :], np.ones(1))


def share(event: Overload, first: Times, opens_s: Floats, weights: Floats) -> float:
    """Return the share of events that trip where contacts open ``opens_s`` (v, k) after the ``first`` word, by ``weights``."""
    holds_s = float(event.limit.withstand.time_s(event.ratio))
    start = start_wear(event)
    if start >= 1.0:
        return 1.0
    if holds_s == np.inf:
        return 0.0
    order = np.argsort(opens_s, axis=1, kind="stable")
    sorted_s = np.take_along_axis(opens_s, order, axis=1)
    places = np.argsort(order, axis=1)
    left = np.stack([event.ratios(places < count) for count in range(1, opens_s.shape[1] + 1)], axis=1)
    # The last ratio stays: it must be borne for ever. Shares of nought time and nought withstand are not wear.
    borne_s = event.limit.withstand.time_s(left)
    with np.errstate(divide="ignore", invalid="ignore"):
        later = np.where(np.diff(sorted_s, axis=1) > 0.0, np.diff(sorted_s, axis=1) / borne_s[:, :-1], 0.0).sum(axis=1)
    budget = 1.0 - start - later
    latest_s = np.where(budget > 0.0, holds_s * np.maximum(budget, 0.0) + event.lasts_s * (start > 0.0) - sorted_s[:, 0], -np.inf)
    latest_s = np.where(np.isfinite(borne_s[:, -1]) | (holds_s <= 0.0), -np.inf, latest_s)
    # What opens at the very instant opens too late.
    in_time = np.where(np.isfinite(latest_s), first.by(np.where(np.isfinite(latest_s), latest_s, 0.0) - INSTANT_S), 0.0)
    return float(np.clip(1.0 - in_time @ weights, 0.0, 1.0))


def start_wear(event: Overload) -> float:
    """Return the wear by the start of what comes, where there is one."""
    if event.lasts_s <= 0.0:
        return 0.0
    holds_s = float(event.limit.withstand.time_s(event.start_ratio))
    return np.inf if holds_s <= 0.0 else event.lasts_s / holds_s
