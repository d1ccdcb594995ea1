"""What the check tells a person, as findings."""

from collections.abc import Iterator, Sequence

import numpy as np

from wattwright.core.findings import Finding
from wattwright.plan.shed import kinds
from wattwright.plan.shed.cases import WELDED, WORKING
from wattwright.plan.shed.results import Case, Change, Coming, Event, LimitCheck
from wattwright.plan.shed.returns import OUTAGE
from wattwright.plan.shed.site import ShedSite
from wattwright.plan.shed.spec import AcceptedControl

_FULL = 1.0 + 1e-9
_SETTINGS = {
    "on-delay": "the on-delay of shedding",
    "next after": "the wait between two loads",
    "report every": "the meter's reporting interval",
}


def of_limit(one: LimitCheck, accepted: AcceptedControl | None, tolerated_share: float, unit: str) -> Iterator[Finding]:
    """Yield what there is to say about one limit; ``unit`` is that of the pick-up value."""
    if one.verdict.status == "nothing sheds":
        yield kinds.NOTHING_SHEDS.at(one.name, limit=one.name, ratio=one.everything_ratio)
        return
    if one.relies and accepted is None:
        yield kinds.RELIES.at(one.name, limit=one.name, ratio=one.everything_ratio)
    elif one.relies and accepted is not None:
        yield kinds.ACCEPTED.at(one.name, limit=one.name, by=accepted.by, on=accepted.on.isoformat(), rule=accepted.rule)
    if one.verdict.status in ("change a setting", "cannot protect"):
        yield from _too_late(one, tolerated_share, unit)
    yield from _failing([case for case in one.cases if case.name != WORKING and case.trip_share > tolerated_share], one.name)


def of_rest(site: ShedSite) -> Iterator[Finding]:
    """Yield that what cannot be shed reaches the pick-up value by itself."""
    power_w, power_var = site.power(())
    if site.order and float(site.seen(power_w, power_var)) >= site.pick_up:
        yield kinds.REST_ABOVE.at(
            "shedding", rest=float(power_w.sum()), order=listed([site.load(id_).name for id_ in site.order])
        )


def of_coming(one: Coming) -> Iterator[Finding]:
    """Yield that what comes back is too much, and whether a stagger helps."""
    if one.ratio <= _FULL:
        return
    if one.when != OUTAGE:
        yield kinds.RELEASED.at(one.limit, when=one.when, limit=one.limit, loads=listed(one.loads), ratio=one.ratio)
    elif one.enough_s is None:
        yield kinds.REBOUND_ALWAYS.at(one.limit, when=one.when, limit=one.limit, ratio=one.ratio)
    else:
        # Rounded up to a whole second: it is set in seconds.
        enough = float(np.ceil(one.enough_s - 1e-9))
        yield kinds.REBOUND.at(one.limit, when=one.when, limit=one.limit, ratio=one.ratio, stagger=one.stagger_s, enough=enough)


def _failing(cases: Sequence[Case], limit: str) -> Iterator[Finding]:
    """Yield the cases in which the supply trips, those that come to the same in one finding."""
    alike: dict[tuple[float, float], list[str]] = {}
    for case in cases:
        what = f"the contact of {case.detail} is welded" if case.name == WELDED else case.name
        alike.setdefault((round(case.trip_share, 6), round(case.event.highest_ratio, 6)), []).append(what)
    for (share, ratio), names in alike.items():
        yield kinds.FAILS.at(limit, case=listed(names, "or"), limit=limit, share=share, ratio=ratio)


def _too_late(one: LimitCheck, tolerated_share: float, unit: str) -> Iterator[Finding]:
    yield _why(one, one.cases[0])
    for change in (*one.verdict.changes, *one.verdict.instead):
        yield _setting(one.name, change, tolerated_share, unit)
    for change in one.verdict.hardware:
        yield kinds.QUICKER_METER.at(one.name, limit=one.name, upto=change.upto, now=change.now)


def _why(one: LimitCheck, worst: Case) -> Finding:
    event, reason = worst.event, one.verdict.reason
    comes, running, share = listed(event.comes), listed(event.running), worst.trip_share
    if reason == "start":
        return kinds.START.at(
            one.name, limit=one.name, comes=comes, running=running, ratio=event.start_ratio, lasts=event.lasts_s,
            holds=event.start_holds_s,
        )  # fmt: skip
    if reason == "beyond":
        return kinds.BEYOND.at(one.name, limit=one.name, comes=comes, running=running, ratio=event.ratio)
    if reason == "unseen":
        return kinds.UNSEEN.at(
            one.name, limit=one.name, comes=comes, running=running, ratio=event.ratio, holds=event.holds_s
        )  # fmt: skip
    if reason == "too little":
        return kinds.TOO_LITTLE.at(one.name, limit=one.name, comes=comes, running=running)
    if reason == "never":
        return kinds.NEVER.at(one.name, limit=one.name, comes=comes, running=running, share=share)
    return _late(one, event, share)


def _late(one: LimitCheck, event: Event, share: float) -> Finding:
    comes, running = listed(event.comes), listed(event.running)
    cannot = one.verdict.status == "cannot protect"
    least_s, most_s = one.verdict.quickest_s, one.verdict.slowest_s
    if one.response is not None and not cannot:
        least_s, most_s = one.response.least_s, one.response.most_s
    too_late = kinds.CANNOT if cannot else kinds.LATE
    return too_late.at(
        one.name, limit=one.name, comes=comes, running=running, ratio=event.ratio, holds=event.holds_s, share=share,
        least=least_s, most=most_s,
    )  # fmt: skip


def _setting(limit: str, change: Change, tolerated_share: float, unit: str) -> Finding:
    if change.setting == "shed order":
        return kinds.SET_ORDER.at(limit, limit=limit, loads=listed(change.loads))
    if change.setting == "pick up":
        kind = kinds.SET_CURRENT if unit == "A" else kinds.SET_POWER
        return kind.at(limit, limit=limit, upto=change.upto, now=change.now)
    beside = f", with {listed([_SETTINGS[one] for one in change.beside])} at the quickest" if change.beside else ""
    return kinds.SET_TIME.at(
        limit, limit=limit, setting=_SETTINGS[change.setting], upto=change.upto, now=change.now, beside=beside,
        tolerated=tolerated_share,
    )  # fmt: skip


def listed(names: Sequence[str], last: str = "and") -> str:
    """Return names in a row, ``last`` before the last of them; what there is always where there are none."""
    if not names:
        return "the rest of the site"
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} {last} {names[-1]}"
