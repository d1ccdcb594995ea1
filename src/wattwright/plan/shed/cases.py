"""What becomes of a limit of the supply: with the order working, with two loads at once, and where something fails."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from wattwright.plan.shed.chance import alone_share, trip_share, unshed_share
from wattwright.plan.shed.draws import EVENTS, drawn
from wattwright.plan.shed.overload import Overload, by_themselves, everything, opens_by_itself, overloads, welded
from wattwright.plan.shed.results import Case, Event, LimitCheck, ResponseTime, Status, Verdict
from wattwright.plan.shed.site import Limit, ShedLoad, ShedSite
from wattwright.plan.shed.spec import ShedGear
from wattwright.plan.shed.verdict import Asked, verdict
from wattwright.plan.shed.way import Way, response

Floats = NDArray[np.float64]
WORKING, TOGETHER, RESTARTS, LOST, WELDED, UNSHED = (
    "the plan works", "two loads start together", "the meter restarts", "the link is lost", "a contactor is welded",
    "nothing sheds",
)  # fmt: skip
Rate = tuple[float, float, float]


@dataclass(frozen=True, slots=True)
class Chance:
    """How the chances are told: events a year (least, middle, most) if known, what is tolerated, the seed, events to draw."""

    per_year: Rate | None = None
    tolerated_share: float = 0.001
    seed: int = 0
    count: int = EVENTS


def check_limit(site: ShedSite, limit: Limit, one: Way | None, gear: ShedGear, chance: Chance) -> LimitCheck:
    """Return everything about one limit; ``one`` is None where nothing is shed."""
    loads = everything(site)
    watts, reactive = site.power(loads)
    whole = np.hypot(watts, reactive)
    singles = overloads(site, limit, 1, 0.0 if one is None else one.averaged_s())
    cases: tuple[Case, ...] = ()
    takes: ResponseTime | None = None
    judged = _plain("not needed")
    if one is None:
        cases = (_unshed(site, limit, loads, chance),)
        judged = _plain("nothing sheds") if cases[0].trip_share > 0.0 else judged
    elif float(limit.ratio(whole)) > 1.0 or any(unshed_share(event) > 0.0 for event in singles):
        cases = tuple(_cases(site, limit, singles, one, gear, chance))
        judged = _judged(site, limit, singles, one, gear, chance)
        takes = _takes(one, max(singles, key=lambda event: (trip_share(one, event), event.ratio)))
    return LimitCheck(
        name=limit.name, rating=limit.rating, unit=limit.unit, conductors=site.conductors, everything_w=float(watts.sum()),
        everything_a=_amps(site, watts, reactive), everything_ratio=float(limit.ratio(whole)), response=takes, cases=cases,
        verdict=judged,
    )  # fmt: skip


def _judged(
    site: ShedSite, limit: Limit, singles: tuple[Overload, ...], one: Way, gear: ShedGear, chance: Chance
) -> Verdict:  # fmt: skip
    asked = Asked(site, limit, singles, one, chance.tolerated_share, gear.fastest_s)
    return _plain("in time") if asked.holds(one) else verdict(asked)


def _plain(status: Status) -> Verdict:
    return Verdict(status, "", (), (), (), np.nan, np.nan)


def _cases(
    site: ShedSite, limit: Limit, singles: Sequence[Overload], one: Way, gear: ShedGear, chance: Chance
) -> Iterator[Case]:  # fmt: skip
    yield _worked(site, WORKING, singles, one, chance)
    pairs = overloads(site, limit, 2, one.averaged_s())
    if pairs:
        yield _worked(site, TOGETHER, pairs, one, chance)
    yield _worked(site, RESTARTS, singles, one, chance, gear.restart_s)
    yield _link_lost(site, limit, singles, chance)
    yield from _one_welded(site, limit, one, chance)


def _worked(
    site: ShedSite, name: str, events: Sequence[Overload], one: Way, chance: Chance, more_s: float = 0.0
) -> Case:  # fmt: skip
    """Return the case of an order that works: the worst event in closed form, and the same drawn one by one."""
    worst = max(events, key=lambda event: (trip_share(one, event, more_s), event.ratio))
    seen = drawn(one, worst, chance.seed, chance.count, more_s)
    share = trip_share(one, worst, more_s)
    return Case(
        name, name == RESTARTS, share, seen.trip_share, seen.error_share, "", _yearly(share, chance), _event(site, worst)
    )  # fmt: skip


def _link_lost(site: ShedSite, limit: Limit, singles: Sequence[Overload], chance: Chance) -> Case:
    """Return the case without the link: long gone, or going at the very event, whichever is worse."""

    def tripped(event: Overload) -> float:
        return alone_share(*by_themselves(site, event))

    left = tuple(one for one in site.loads if not opens_by_itself(site, one))
    lasting = _unshed(replace(site, loads=left), limit, everything(replace(site, loads=left)), chance)
    worst = max(singles, key=lambda event: (tripped(event), event.ratio))
    if lasting.trip_share >= tripped(worst):
        return replace(lasting, name=LOST, failed=True)
    return Case(LOST, True, tripped(worst), None, None, "", _yearly(tripped(worst), chance), _event(site, worst))


def _one_welded(site: ShedSite, limit: Limit, one: Way, chance: Chance) -> Iterator[Case]:
    """Yield the case of the contact that is worst when it welds, where a load that should open can run at all."""
    found = [(id_, event) for id_ in site.order for event in welded(site, limit, id_, one.averaged_s())]
    if found:
        id_, event = max(found, key=lambda each: (trip_share(one, each[1]), each[1].ratio))
        share = trip_share(one, event)
        yield Case(WELDED, True, share, None, None, site.load(id_).name, _yearly(share, chance), _event(site, event))


def _unshed(site: ShedSite, limit: Limit, loads: Sequence[ShedLoad], chance: Chance) -> Case:
    """Return the case in which nothing is shed and everything that can runs at once."""
    watts, reactive = site.power(loads)
    ratio = float(limit.ratio(np.hypot(watts, reactive)))
    holds_s, share = float(limit.withstand.time_s(ratio)), 1.0 if ratio > 1.0 else 0.0
    event = Event(
        (), tuple(one.name for one in loads), float(watts.sum()), float(watts.sum()), _amps(site, watts, reactive),
        _amps(site, watts, reactive), ratio, holds_s, ratio, holds_s, 0.0, (),
    )  # fmt: skip
    return Case(UNSHED, False, share, None, None, "", _yearly(share, chance), event)


def _yearly(share: float, chance: Chance) -> Rate | None:
    if chance.per_year is None:
        return None
    least, middle, most = (share * rate for rate in chance.per_year)
    return least, middle, most


def _event(site: ShedSite, one: Overload) -> Event:
    named = {load.id: load.name for load in site.loads}
    return Event(
        comes=tuple(named[id_] for id_ in one.comes), running=tuple(named[id_] for id_ in one.running),
        before_w=float(one.before_w.sum()), after_w=float(one.after_w.sum()),
        before_a=_amps(site, one.before_w, one.before_var), after_a=_amps(site, one.after_w, one.after_var), ratio=one.ratio,
        holds_s=float(one.limit.withstand.time_s(one.ratio)), start_ratio=one.start_ratio,
        start_holds_s=float(one.limit.withstand.time_s(one.start_ratio)), lasts_s=one.lasts_s,
        sheds=tuple(named[stage.load] for stage in one.stages),
    )  # fmt: skip


def _amps(site: ShedSite, watts: Floats, reactive: Floats) -> tuple[float, ...]:
    return tuple(float(each) for each in np.hypot(watts, reactive) / site.supply.connection.voltage_v)


def _takes(one: Way, event: Overload) -> ResponseTime | None:
    """Return how long the order takes in an event, with its parts; None where it sheds nothing in it."""
    if not event.stages:
        return None
    times, last = response(one, event), max(event.stages, key=lambda stage: stage.place * one.next_s + stage.link_s)
    below_s = min(event.seen_share, 1.0) * one.averaged_s()
    return ResponseTime(
        least_s=times.least_s, median_s=times.quantile_s(0.5), most_s=times.quantile_s(0.999),
        meter_s=below_s + one.interval_s, report_s=one.report_s + one.report_spread_s, delay_s=one.delay_s,
        order_s=last.place * one.next_s, link_s=last.link_s + one.link_spread_s + one.contactor_s,
    )  # fmt: skip
