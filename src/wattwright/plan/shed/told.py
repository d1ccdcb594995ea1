"""What the check tells a person, as findings."""

from collections.abc import Iterator, Sequence

import numpy as np

from wattwright.core.findings import Finding, Scalar
from wattwright.plan.shed import kinds
from wattwright.plan.shed.cases import WELDED, WORKING
from wattwright.plan.shed.results import Case, Change, Coming, LimitCheck, Verdict
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
    event = worst.event
    said: dict[str, Scalar] = {
        "limit": one.name, "comes": listed(event.comes), "running": listed(event.running), "ratio": event.ratio,
        "holds": event.holds_s, "share": worst.trip_share,
    }  # fmt: skip
    verdict: Verdict = one.verdict
    if verdict.reason == "start":
        start = {"ratio": event.start_ratio, "lasts": event.lasts_s, "holds": event.start_holds_s}
        return kinds.START.at(one.name, **{**said, **start})
    plain = {"beyond": kinds.BEYOND, "unseen": kinds.UNSEEN, "too little": kinds.TOO_LITTLE, "never": kinds.NEVER}
    if verdict.reason in plain:
        return plain[verdict.reason].at(one.name, **said)
    if verdict.status == "cannot protect":
        return kinds.CANNOT.at(one.name, **said, least=verdict.quickest_s, most=verdict.slowest_s)
    least, most = (np.nan, np.nan) if one.response is None else (one.response.least_s, one.response.most_s)
    return kinds.LATE.at(one.name, **said, least=least, most=most)


def _setting(limit: str, change: Change, tolerated_share: float, unit: str) -> Finding:
    if change.setting == "shed order":
        return kinds.SET_ORDER.at(limit, limit=limit, loads=listed(change.loads))
    if change.setting == "pick up":
        kind = kinds.SET_CURRENT if unit == "A" else kinds.SET_POWER
        return kind.at(limit, limit=limit, upto=change.upto, now=change.now)
    beside = f" With it, {listed([_SETTINGS[one] for one in change.beside])} at the quickest." if change.beside else ""
    return kinds.SET_TIME.at(
        limit, limit=limit, setting=_SETTINGS[change.setting], upto=change.upto, now=change.now, beside=beside,
        tolerated=tolerated_share,
    )  # fmt: skip


def listed(names: Sequence[str], last: str = "and") -> str:
    """Return names in a row, ``last`` before the last of them; what there is always where there are none."""
    if not names:
        return "the rest of the site"
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} {last} {names[-1]}"
