"""What must change so that an order comes in time, or that the hardware cannot do it: tried out in the closed form."""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np

from wattwright.control.rules import UNITS
from wattwright.core.errors import OwnFault
from wattwright.plan.shed.chance import start_wear, trip_share
from wattwright.plan.shed.overload import Overload, overloads
from wattwright.plan.shed.results import Change, Reason, Setting, Verdict
from wattwright.plan.shed.site import Limit, ShedSite
from wattwright.plan.shed.way import SOONEST_NEXT_S, Way, response

_TRIED = 40
"""Values of a pick-up value that are tried, from the present one down to a fortieth of it."""


@dataclass(frozen=True, slots=True, eq=False)
class Asked:
    """One limit with its events, the way of the order, the share of events that may trip, and the quickest report there is."""

    site: ShedSite
    limit: Limit
    events: tuple[Overload, ...]
    way: Way
    tolerated_share: float
    fastest_s: float | None

    def holds(self, one: Way, events: Sequence[Overload] | None = None) -> bool:
        """Return whether no event trips more often than is tolerated when an order takes this way."""
        return all(trip_share(one, event) <= self.tolerated_share for event in (self.events if events is None else events))


def verdict(asked: Asked) -> Verdict:
    """Return what must change; the order as it is must be too late in some event."""
    changes = [*_alone(asked)] or [*_jointly(asked)]
    reason, lower = _reason(asked), [*_pick_up(asked)]
    if reason in ("unseen", "too little"):
        changes, lower = [*changes, *lower], []
    takes = response(quickest(asked.way), _worst(asked))
    return Verdict(
        status="change a setting" if changes else "cannot protect", reason=reason, changes=tuple(changes),
        hardware=() if changes else tuple(_hardware(asked)), instead=tuple(lower),
        quickest_s=takes.least_s, slowest_s=takes.quantile_s(1.0 - asked.tolerated_share),
    )  # fmt: skip


def quickest(one: Way) -> Way:
    """Return the way with every setting at its quickest that needs no other hardware."""
    return replace(one, delay_s=0.0, next_s=min(one.next_s, SOONEST_NEXT_S))


def largest(holds: Callable[[float], bool], most: float) -> float | None:
    """Return the largest value up to ``most`` that holds, rounded down as it is set; None where nought does not hold.

    What holds for a value holds for every smaller one.
    """
    if not holds(0.0):
        return None
    low, high = 0.0, most
    for _ in range(40):
        middle = 0.5 * (low + high)
        low, high = (middle, high) if holds(middle) else (low, middle)
    return rounded_down(low)


def rounded_down(time_s: float) -> float:
    """Return a time as a person would set it, no longer than it is: in tenths below 10 s, in fives from 60 s on."""
    step = 0.1 if time_s < 10.0 else (1.0 if time_s < 60.0 else 5.0)
    return float(round(np.floor(time_s / step + 1e-9) * step, 6))


def _alone(asked: Asked) -> Iterator[Change]:
    """Yield the settings of which one alone is enough."""
    now = asked.way
    yield from _upto("on-delay", now.delay_s, 0.0, lambda upto: asked.holds(replace(now, delay_s=upto)))
    yield from _upto(
        "next after", now.next_s, SOONEST_NEXT_S, lambda upto: asked.holds(replace(now, next_s=max(upto, SOONEST_NEXT_S)))
    )
    if asked.fastest_s is not None:
        yield from _upto("report every", now.interval_s, asked.fastest_s, lambda upto: asked.holds(now.reporting(upto)))
    yield from _order(asked)


def _jointly(asked: Asked) -> Iterator[Change]:
    """Yield how far each setting may go that is enough when all others are at their quickest."""
    now, quick = asked.way, quickest(asked.way)
    if asked.fastest_s is not None:
        quick = quick.reporting(min(asked.fastest_s, now.interval_s))
    if not asked.holds(quick):
        return
    tried: dict[Setting, tuple[float, float, Callable[[float], Way]]] = {
        "report every": (now.interval_s, quick.interval_s, quick.reporting),
        "on-delay": (now.delay_s, 0.0, lambda upto: replace(quick, delay_s=upto)),
        "next after": (now.next_s, quick.next_s, lambda upto: replace(quick, next_s=max(upto, SOONEST_NEXT_S))),
    }
    moved = {setting: was > least for setting, (was, least, _) in tried.items()}
    for setting, (was, least, made) in tried.items():
        beside = tuple(one for one in tried if one != setting and moved[one])
        yield from (replace(one, beside=beside) for one in _upto(setting, was, least, _composed(asked.holds, made)))


def _composed(holds: Callable[[Way], bool], made: Callable[[float], Way]) -> Callable[[float], bool]:
    return lambda upto: holds(made(upto))


def _upto(setting: Setting, now: float, least: float, holds: Callable[[float], bool]) -> Iterator[Change]:
    found = largest(holds, now)
    if found is not None and least <= found < now:
        yield Change(setting, now, found)


def _order(asked: Asked) -> Iterator[Change]:
    """Yield an order with what frees most first, where that is another one and enough."""
    shed = asked.site.control.shedding
    if shed is None:
        raise OwnFault("asked for another shed order where nothing is shed")

    def frees(id_: str) -> float:
        one = asked.site.load(id_)
        return float(asked.limit.ratio(np.hypot(one.power_w, one.power_var)))

    present = asked.site.order
    ordered = tuple(sorted(present, key=lambda id_: -frees(id_)))
    if ordered == present:
        return
    other = _with(asked.site, shed.model_copy(update={"order": ordered}))
    if asked.holds(asked.way, overloads(other, asked.limit, 1, asked.way.averaged_s())):
        yield Change("shed order", 0.0, 0.0, ordered)


def _pick_up(asked: Asked) -> Iterator[Change]:
    """Yield the highest lower pick-up value at which no event comes too late any more."""
    shed, now = asked.site.control.shedding, asked.site.pick_up
    if shed is None:
        raise OwnFault("asked for another pick-up value where nothing is shed")
    rest = float(asked.site.seen(*asked.site.power(())))
    step = _step(now / _TRIED)
    for upto in np.arange(np.floor(now / step - 1e-9) * step, rest, -step):
        lower = _with(asked.site, shed.model_copy(update={"pick_up": f"{upto:.10g} {UNITS[shed.quantity]}"}))
        if upto > 0.0 and asked.holds(asked.way, overloads(lower, asked.limit, 1, asked.way.averaged_s())):
            yield Change("pick up", now, float(upto))
            return


def _step(about: float) -> float:
    """Return the largest of 1, 2, 5, 10, 20, 50... that is no more than ``about``."""
    power = 10.0 ** np.floor(np.log10(about))
    return float(max(one * power for one in (1.0, 2.0, 5.0) if one * power <= about))


def _hardware(asked: Asked) -> Iterator[Change]:
    """Yield how quick a meter would have to report, every setting at its quickest."""
    quick = quickest(asked.way)
    found = largest(lambda upto: asked.holds(quick.reporting(upto)), asked.way.interval_s)
    if found is not None and 0.0 < found < asked.way.interval_s:
        yield Change("report every", asked.way.interval_s, found)


def _worst(asked: Asked) -> Overload:
    return max(asked.events, key=lambda one: (trip_share(asked.way, one), one.ratio))


def _reason(asked: Asked) -> Reason:
    """Return why the worst event trips."""
    event = _worst(asked)
    if start_wear(event) >= 1.0:
        return "start"
    if float(event.limit.withstand.time_s(event.ratio)) <= 0.0:
        return "beyond"
    if event.seen_share > 1.0:
        return "unseen"
    opened = np.ones(len(event.stages), np.bool_)
    if not event.stages or np.isfinite(event.limit.withstand.time_s(event.ratios(opened))):
        return "too little"
    return "never" if response(asked.way, event).never_share > asked.tolerated_share else "late"


def _with(site: ShedSite, shed: object) -> ShedSite:
    return replace(site, control=site.control.model_copy(update={"shedding": shed}))
