"""Overloads that can happen although the order watches: loads that come on top of what runs just below the pick-up value."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import combinations

import numpy as np
from numpy.typing import NDArray

from wattwright.core.errors import OwnFault
from wattwright.plan.shed.site import Limit, ShedLoad, ShedSite

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
_MOST_OTHERS = 12
"""Which of so many other loads run is tried out in full; smaller ones beyond are taken to rest."""


@dataclass(frozen=True, slots=True, eq=False)
class Stage:
    """A running load that the order sheds: its place there, what it frees in each of c conductors, the time of its command."""

    load: str
    place: int
    power_w: Floats
    power_var: Floats
    link_s: float


@dataclass(frozen=True, slots=True, eq=False)
class Overload:
    """One event: ``comes`` switch on while ``running`` run; ``stages`` are shed until the order sees too much no more.

    ``before_w``, ``after_w`` and the var beside them (c,) are powers by conductor. ``seen_share`` is how much of the rise lies
    below the pick-up value; more than 1: the order never sees too much. ``start_ratio`` for ``lasts_s`` is the start of
    what comes, ``ratio`` what it then takes of the limit's rating.
    """

    limit: Limit
    comes: tuple[str, ...]
    running: tuple[str, ...]
    before_w: Floats
    before_var: Floats
    after_w: Floats
    after_var: Floats
    seen_share: float
    start_ratio: float
    lasts_s: float
    ratio: float
    stages: tuple[Stage, ...]

    def ratios(self, opened: NDArray[np.bool_]) -> Floats:
        """Return what is left of the ratio, (...), where of the k stages those in ``opened`` (..., k) are open."""
        freed_w = np.array([one.power_w for one in self.stages]).reshape(len(self.stages), -1)
        freed_var = np.array([one.power_var for one in self.stages]).reshape(len(self.stages), -1)
        left_w, left_var = self.after_w - opened @ freed_w, self.after_var - opened @ freed_var
        return self.limit.ratio(np.hypot(left_w, left_var))


def overloads(site: ShedSite, limit: Limit, together: int = 1, averaged_s: float = 0.0) -> tuple[Overload, ...]:
    """Return the worst events of ``together`` loads that come at once, each set of them with what can run beside it.

    What runs is seen below the pick-up value, else it would have been shed before; above it only loads can run, and come, that
    the order does not name. Of all that can run beside a newcomer these events are kept: those that take most of the rating, then
    or at the start, the one of which most is left when the order has done its work, the one that is seen latest, and the one that
    leaves least time: what is borne less what a mean over ``averaged_s`` hides. Loads of which an interlock lets only one run
    never run together.
    """
    found = []
    for comes in combinations(site.loads, together):
        if _may_run(site, [one.id for one in comes]):
            found += list(_events(site, limit, comes, averaged_s))
    return tuple(found)


def welded(site: ShedSite, limit: Limit, load: str, averaged_s: float = 0.0) -> tuple[Overload, ...]:
    """Return the worst events in which a load of the order runs and does not open.

    It runs like a load that the order does not name. The order spends its time on it all the same, and goes on to the next ones
    where it still sees too much. Raises OwnFault where nothing is shed.
    """
    shed = site.control.shedding
    if shed is None:
        raise OwnFault("asked for a welded contact where nothing is shed")
    left = shed.model_copy(update={"order": tuple(id_ for id_ in site.order if id_ != load)})
    without = replace(site, control=site.control.model_copy(update={"shedding": left}))
    found = [one for one in overloads(without, limit, 1, averaged_s) if load in (*one.running, *one.comes)]
    return tuple(
        replace(one, stages=tuple(_stages(site, _running(site, one), (one.after_w, one.after_var), load))) for one in found
    )


def _running(site: ShedSite, event: Overload) -> list[ShedLoad]:
    return [site.load(id_) for id_ in (*event.running, *event.comes)]


def by_themselves(site: ShedSite, event: Overload) -> tuple[Overload, Floats]:
    """Return the event with the loads whose relays open when the link is lost, and when they do, s after it (k,)."""
    opening = [one for one in _running(site, event) if opens_by_itself(site, one)]
    stages = tuple(Stage(one.id, 0, one.power_w, one.power_var, 0.0) for one in opening)
    return replace(event, stages=stages), np.array([site.control.actuator(one.id).lost_after_s for one in opening])


def opens_by_itself(site: ShedSite, load: ShedLoad) -> bool:
    """Return whether the relay of a load opens when its link is lost."""
    actuator = site.control.actuator(load.id)
    return actuator.fail_safe == "open" and not actuator.never


def everything(site: ShedSite) -> tuple[ShedLoad, ...]:
    """Return the loads that can run together and draw the most; all of them where no interlock says otherwise."""
    locked = {id_ for pair in _pairs(site) for id_ in pair}
    free = [one for one in site.loads if one.id not in locked]
    masks, others = _masks(site, (), [one for one in site.loads if one.id in locked])
    watts, reactive = _powers(site, others, masks)
    watts, reactive = watts + sum(one.power_w for one in free), reactive + sum(one.power_var for one in free)
    most = masks[int(np.argmax(np.hypot(watts, reactive).max(axis=-1)))]
    kept = {one.id for one, on in zip(others, most, strict=True) if on} | {one.id for one in free}
    return tuple(one for one in site.loads if one.id in kept)


def _events(site: ShedSite, limit: Limit, comes: Sequence[ShedLoad], averaged_s: float) -> Iterator[Overload]:
    masks, others = _masks(site, comes, [one for one in site.loads if one not in comes])
    before = _powers(site, others, masks)
    order = set(site.order)
    shed_all = ~(masks & np.array([one.id in order for one in others], np.bool_)).any(axis=1)
    unnamed = not any(one.id in order for one in comes)
    allowed = np.asarray((site.seen(*before) < site.pick_up) | (shed_all & unnamed), np.bool_)
    if not allowed.any():
        allowed = np.asarray(~masks.any(axis=1), np.bool_)
    masks, before = masks[allowed], (before[0][allowed], before[1][allowed])
    new_w, new_var = np.sum([one.power_w for one in comes], axis=0), np.sum([one.power_var for one in comes], axis=0)
    after = before[0] + new_w, before[1] + new_var
    ratio = limit.ratio(np.hypot(*after))
    left = np.where(ratio > 1.0, limit.ratio(np.hypot(*_left(site, others, masks, comes, after))), -1.0)
    below = _below(site, site.seen(*before), site.seen(*after))
    latest = np.where(ratio > 1.0, below, -1.0)
    hidden_s = np.where(np.isfinite(below), below, 1.0) * averaged_s
    hurried = np.where(ratio > 1.0, hidden_s - limit.withstand.time_s(ratio), -np.inf)
    started = limit.ratio(np.hypot(*after) + np.sum([one.start_va for one in comes], axis=0))
    for row in dict.fromkeys(int(np.argmax(one)) for one in (ratio, started, left, latest, hurried)):
        running = [one for one, on in zip(others, masks[row], strict=True) if on]
        yield _overload(site, limit, comes, running, float(below[row]))


def _overload(
    site: ShedSite, limit: Limit, comes: Sequence[ShedLoad], running: Sequence[ShedLoad], seen_share: float
) -> Overload:  # fmt: skip
    before, after = site.power(running), site.power([*running, *comes])
    start_va = sum((one.start_va for one in comes), np.zeros_like(site.rest_w))
    stages = tuple(_stages(site, [*running, *comes], after))
    return Overload(
        limit=limit, comes=tuple(one.id for one in comes), running=tuple(one.id for one in running),
        before_w=before[0], before_var=before[1], after_w=after[0], after_var=after[1], seen_share=seen_share,
        start_ratio=float(limit.ratio(np.hypot(*after) + start_va)), lasts_s=max(one.lasts_s for one in comes),
        ratio=float(limit.ratio(np.hypot(*after))), stages=stages,
    )  # fmt: skip


def _stages(site: ShedSite, running: Sequence[ShedLoad], after: tuple[Floats, Floats], stuck: str = "") -> Iterator[Stage]:
    """Yield the running loads of the order that open, until so little is left that it sees too much no more."""
    at_work, (watts, reactive) = {one.id: one for one in running}, after
    for place, id_ in enumerate(site.order):
        if float(site.seen(watts, reactive)) < site.pick_up:
            return
        if id_ in at_work and id_ != stuck:
            one = at_work[id_]
            watts, reactive = watts - one.power_w, reactive - one.power_var
            yield Stage(id_, place, one.power_w, one.power_var, site.control.actuator(id_).link_s)


def _left(
    site: ShedSite, others: Sequence[ShedLoad], masks: NDArray[np.bool_], comes: Sequence[ShedLoad], after: tuple[Floats, Floats]
) -> tuple[Floats, Floats]:
    """Return the powers, each (m, c), that are left when the order has gone on until it sees too much no more."""
    places, new = {one.id: place for place, one in enumerate(others)}, {one.id for one in comes}
    watts, reactive = after[0].copy(), after[1].copy()
    for id_ in site.order:
        runs = masks[:, places[id_]] if id_ in places else np.full(len(masks), id_ in new)
        goes = (runs & (site.seen(watts, reactive) >= site.pick_up))[:, None]
        one = site.load(id_)
        watts, reactive = watts - goes * one.power_w, reactive - goes * one.power_var
    return watts, reactive


def _below(site: ShedSite, before: Floats, after: Floats) -> Floats:
    """Return how much of each rise lies below the pick-up value, as a share of it; inf where it is not seen at all."""
    rise = np.maximum(after - before, 1e-12)
    share = np.maximum(site.pick_up - before, 0.0) / rise
    return np.where(after >= site.pick_up, np.clip(share, 0.0, 1.0), np.inf)


def _masks(site: ShedSite, comes: Sequence[ShedLoad], others: Sequence[ShedLoad]) -> tuple[NDArray[np.bool_], list[ShedLoad]]:
    """Return which of the other loads may run, in every way (2^k, k), and those k loads."""
    largest = sorted(others, key=lambda one: -float(np.hypot(one.power_w, one.power_var).max()))[:_MOST_OTHERS]
    ways = (np.arange(2 ** len(largest))[:, None] >> np.arange(len(largest))) & 1 == 1
    places = {one.id: place for place, one in enumerate(largest)}
    new = {one.id for one in comes}
    may = np.ones(len(ways), np.bool_)
    for pair in _pairs(site):
        first, second = (ways[:, places[id_]] if id_ in places else np.full(len(ways), id_ in new) for id_ in pair)
        may = np.logical_and(may, ~np.logical_and(first, second))
    return ways[may], largest


def _may_run(site: ShedSite, ids: Sequence[str]) -> bool:
    return not any(set(pair) <= set(ids) for pair in _pairs(site))


def _pairs(site: ShedSite) -> Iterator[tuple[str, str]]:
    return (lock.loads for lock in site.control.interlocks if lock.kind == "never both")


def _powers(site: ShedSite, loads: Sequence[ShedLoad], masks: NDArray[np.bool_]) -> tuple[Floats, Floats]:
    """Return active and reactive power, each (m, c), with the loads of each row of ``masks`` (m, k) beside the rest."""
    count = len(site.rest_w)
    watts = np.array([one.power_w for one in loads]).reshape(len(loads), count)
    reactive = np.array([one.power_var for one in loads]).reshape(len(loads), count)
    return site.rest_w + masks @ watts, site.rest_var + masks @ reactive
