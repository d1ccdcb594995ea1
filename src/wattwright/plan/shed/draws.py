"""The same events gone through one by one: reports that arrive or not, delays that run, lost commands, wear that adds up.

It shares no formula with the closed form: every report of the meter is looked at, and the wear is added piece by piece.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from wattwright.core.seeds import Streams
from wattwright.plan.shed.overload import Overload
from wattwright.plan.shed.way import Way

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]
EVENTS = 100_000
_MOST_SENT = 400
"""A telegram that was lost so often in a row is taken never to arrive."""


@dataclass(frozen=True, slots=True)
class Drawn:
    """What came of ``count`` events: the share that tripped with its standard error, and by when all contacts were open, s.

    ``median_s`` and ``most_s`` (99.9 % of the events) are inf where so many never opened.
    """

    count: int
    trip_share: float
    error_share: float
    median_s: float
    most_s: float


def drawn(one: Way, event: Overload, seed: int, count: int = EVENTS, more_s: float = 0.0) -> Drawn:
    """Return what comes of so many events under a working order; ``more_s`` is what the first word comes later."""
    chance = Streams(seed).stream(f"shed {event.limit.name} {', '.join(event.comes)} {more_s:g}")
    seen_s = _seen_s(one, event, chance, count)
    first_s = seen_s + more_s + one.report_s + chance.uniform(0.0, 1.0, count) * one.report_spread_s + one.delay_s
    link_s = chance.uniform(0.0, 1.0, count) * one.link_spread_s
    opens = np.empty((count, len(event.stages)))
    for k, stage in enumerate(event.stages):
        sent = _lost(one.command_loss_share, chance, count)
        opens[:, k] = first_s + stage.place * one.next_s + sent * one.repeat_s + link_s + stage.link_s + one.contactor_s
    tripped = _tripped(event, opens)
    share = float(tripped.mean())
    last = opens.max(axis=1) if event.stages else np.full(count, np.inf)
    median_s, most_s = (float(np.quantile(last, share, method="higher")) for share in (0.5, 0.999))
    return Drawn(count, share, float(np.sqrt(max(share * (1.0 - share), 1.0 / count) / count)), median_s, most_s)


def _lost(share: float, chance: np.random.Generator, count: int) -> Floats:
    """Return how often a telegram is lost before it arrives, each sending looked at by itself; inf where it never does."""
    lost, left = np.zeros(count), np.arange(count)
    for _ in range(_MOST_SENT):
        left = left[chance.random(len(left)) < share]
        if not len(left):
            return lost
        lost[left] += 1.0
    lost[left] = np.inf
    return lost


def _seen_s(one: Way, event: Overload, chance: np.random.Generator, count: int) -> Floats:
    """Return when the report is made that first tells of too much and is not lost, s after the event."""
    if event.seen_share > 1.0:
        return np.full(count, np.inf)
    if one.interval_s <= 0.0:
        return _lost(one.report_loss_share, chance, count) * one.repeat_s
    seen = np.full(count, np.inf)
    at, left = chance.uniform(0.0, one.interval_s, count), np.arange(count)
    for _ in range(_MOST_SENT):
        # The part of the report's mean that lies after the event shows the rise; the part before shows nothing of it.
        shown = np.minimum(at[left] / one.interval_s, 1.0) if one.means else np.ones(len(left))
        tells = (shown >= event.seen_share) & (chance.random(len(left)) >= one.report_loss_share)
        seen[left[tells]] = at[left[tells]]
        left = left[~tells]
        if not len(left):
            break
        at[left] += one.interval_s
    return seen


def _tripped(event: Overload, opens_s: Floats) -> Bools:
    """Return which events trip, (n,): wear added from each instant at which something changes to the next."""
    count = len(opens_s)
    started = np.full((count, 1), event.lasts_s)
    edges = np.sort(np.concatenate([np.zeros((count, 1)), started, opens_s], axis=1), axis=1)
    wear = np.zeros(count)
    for k in range(edges.shape[1]):
        begins = edges[:, k]
        ratio = event.ratios(opens_s <= begins[:, None]) if event.stages else np.full(count, event.ratio)
        # The surge of a start comes on top of what is left.
        ratio = np.where(begins < event.lasts_s, ratio + event.start_ratio - event.ratio, ratio)
        lasts = edges[:, k + 1] - begins if k + 1 < edges.shape[1] else np.full(count, np.inf)
        lasts = np.where(np.isfinite(begins), lasts, 0.0)
        holds = event.limit.withstand.time_s(ratio)
        with np.errstate(divide="ignore", invalid="ignore"):
            wear += np.where((lasts <= 0.0) | np.isinf(holds), 0.0, lasts / holds)
    return np.asarray(wear >= 1.0)
