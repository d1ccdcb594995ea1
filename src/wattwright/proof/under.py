"""Planned against found, for rules that keep a site's power under a limit, and what a site's meter cannot say of other rules.

How often a limit was passed and by how much, on like days before and after, is all that such a meter shows. Why it was passed
less is not in it: another season, other use and the rule look alike.
"""

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from wattwright.control.rules import AnyRule, Control, Limit, RepeatCycle, Shedding, TimeProgramme, in_unit
from wattwright.core.clock import DAY_S, SiteClock
from wattwright.core.fields import KEPT
from wattwright.core.findings import Finding
from wattwright.core.quantity import Phase
from wattwright.core.series import Series, coarser
from wattwright.proof import kinds
from wattwright.proof.limits import of_like_season
from wattwright.proof.models.record import UseRecord
from wattwright.proof.seal import Seal, SealedLoad

Ints = NDArray[np.int64]
_LONGEST_STEP_S = 3600
_SELDOM = 0.5
"""A limit that is passed as often as half of before is said to be passed still; common practice, no source."""
_FEWEST = 7
"""Fewer readings above a limit, before and after together, tell nothing of a rule; common practice, no source."""
_LONG = "readings of more than an hour do not show it"
_NEVER = "it was hardly ever passed, before or after"
_BY_ITSELF = "the load's own power by the minute"
_LOG: Final = {
    "site power": "the site's power by the minute, with the times at which its contact switched",
    "export power": "what is given back, by the minute, with the times at which its contact switched",
    "current": "the current of each line conductor by the minute",
    "voltage": "the voltage at the controller by the minute",
    "grid voltage": "the voltage of the grid by the minute",
    "state of charge": "the battery's state of charge by the minute",
    "outdoor temperature": "the outdoor temperature, beside the load's own power",
    "load value": "what its sensor shows, such as the temperature of a tank, beside the load's own power",
}


@dataclass(frozen=True, slots=True)
class Under:
    """What is to keep the site's power under ``limit_w``, W: its name, and after how long above it acts, ``wait_s``."""

    name: str
    limit_w: float
    wait_s: float


@dataclass(frozen=True, slots=True)
class Passed:
    """How many of ``read`` readings lie above a limit, and the highest of them, W; nought where none does."""

    count: int
    read: int
    most_w: float

    @property
    def share(self) -> float:
        """Return the share of the readings that lie above."""
        return self.count / self.read if self.read else 0.0


def kept_under(seal: Seal, before: Series, after: Series, reporting: UseRecord, clock: SiteClock) -> tuple[Finding, ...]:
    """Return what the power ``before`` and ``after``, W, shows of the limits that the plan sets, on days of ``reporting``.

    The days before are those of like seasons. What the rules of a load are beside that and beside one programme by the clock is
    said to be untold, with what to log.
    """
    told = [_told(one, before, after, reporting, clock) for one in limits_of(seal)]
    return (*told, *untold_rules(seal))


def limits_of(seal: Seal) -> tuple[Under, ...]:
    """Return the limits of the site's power that a frozen plan sets: of each rule that opens a contact, and of shedding."""
    found = [
        Under(load.name, in_unit(rule.pick_up, rule.quantity), rule.interval_s + rule.report_s + rule.on_delay_s)
        for load in seal.loads
        for rule in _rules(load)
        if isinstance(rule, Limit) and _is_of_site(rule)
    ]
    shed = _shedding(seal)
    if shed is not None and shed.quantity == "site power":
        wait_s = shed.interval_s + shed.report_s + shed.delay_s
        found.append(Under("The shed order", in_unit(shed.pick_up, shed.quantity), wait_s))
    return tuple(found)


def untold_rules(seal: Seal) -> list[Finding]:
    """Return for each load what to log of the rules of which the site's power says nothing."""
    found = list[Finding]()
    for load in seal.loads:
        others = [one for one in _rules(load) if not _is_seen(one, alone=len(load.rules) == 1)]
        if others:
            names, log = (", ".join(dict.fromkeys(each)) for each in ((one.kind for one in others), map(_to_log, others)))
            found.append(kinds.RULES_UNTOLD.at(load.name, load=load.name, rules=names, log=log))
    shed = _shedding(seal)
    if shed is not None and shed.quantity != "site power":
        found.append(kinds.RULES_UNTOLD.at("plan", load="The shed order", rules="limit", log=_LOG[shed.quantity]))
    return found


def passed(power: Series, days: Ints, limit_w: float, clock: SiteClock) -> Passed:
    """Return how often a power, W, lies above a limit on days, numbered since 1970 on the site's clock."""
    here = ~np.isnan(power.values) & np.isin(clock.local_s(power.times_s) // DAY_S, days)
    read = power.values[here]
    above = read[read > limit_w]
    return Passed(len(above), len(read), float(above.max(initial=0.0)))


def _told(one: Under, before: Series, after: Series, reporting: UseRecord, clock: SiteClock) -> Finding:
    step_s = max(before.step_s, after.step_s)
    if step_s > _LONGEST_STEP_S:
        return kinds.LIMIT_UNTOLD.at(one.name, name=one.name, limit=one.limit_w, reason=_LONG)
    # A mean of a quarter of an hour is seldomer above than one of a minute: both sides by the same length.
    after_w, before_w = coarser(after, step_s, clock), coarser(before, step_s, clock)
    now = passed(after_w, clock.local_s(reporting.starts_s) // DAY_S, one.limit_w, clock)
    was = passed(before_w, of_like_season(before_w, reporting, clock), one.limit_w, clock)
    if was.count + now.count < _FEWEST:
        return kinds.LIMIT_UNTOLD.at(one.name, name=one.name, limit=one.limit_w, reason=_NEVER)
    kind = kinds.LIMIT_PASSED if now.share > _SELDOM * was.share else kinds.LIMIT_KEPT
    return kind.at(
        one.name, name=one.name, limit=one.limit_w, step=step_s, wait=one.wait_s, count=now.count, read=now.read, now=now.share,
        over=max(now.most_w - one.limit_w, 0.0), was=was.share, was_over=max(was.most_w - one.limit_w, 0.0),
    )  # fmt: skip


def _is_seen(rule: AnyRule, *, alone: bool) -> bool:
    """Return whether a rule is looked at: one programme by the clock that stands alone, and a limit of the site's power."""
    if isinstance(rule, TimeProgramme):
        return alone and all(one.on.clock is not None and one.off.clock is not None for one in rule.times)
    return isinstance(rule, Limit) and _is_of_site(rule)


def _is_of_site(rule: Limit) -> bool:
    """Return whether a rule opens a contact while the whole site draws more than a limit."""
    is_power = rule.quantity == "site power" and rule.phase is Phase.TOTAL
    return is_power and rule.acts == "above" and rule.contact == "opens"


def _to_log(rule: AnyRule) -> str:
    return _BY_ITSELF if isinstance(rule, TimeProgramme | RepeatCycle) else _LOG[rule.quantity]


def _rules(load: SealedLoad) -> tuple[AnyRule, ...]:
    return Control.model_validate({"rules": load.rules}, context=KEPT).rules


def _shedding(seal: Seal) -> Shedding | None:
    return None if seal.shedding is None else Shedding.model_validate(seal.shedding, context=KEPT)
