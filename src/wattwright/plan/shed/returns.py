"""What comes back after an outage, or is released by a programme at one time: the rebound, and the stagger that spreads it.

A load that was without supply runs on for longer than usual, since all stores are cold at the same time. With a usual duty d and
a wait of H, its turn in a staggered return included, it has missed d H and makes that up beside its usual use: it runs on for r
with r = d (H + r), so r = H d / (1 - d).
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from wattwright.control.programmes import DAYS
from wattwright.control.rules import Control, TimeProgramme
from wattwright.plan.shed.results import Coming
from wattwright.plan.shed.site import Limit, ShedLoad, ShedSite

Floats = NDArray[np.float64]
OUTAGE = "an outage"
_DAY_MIN = 1440
_WEEK_MIN = 7 * _DAY_MIN
_INSTANT_S = 1e-9
_FULL = 1.0 + 1e-9


@dataclass(frozen=True, slots=True, eq=False)
class _Back:
    """Loads that come back, n of them: their own delays and places in turn, what they run on for each second, how long they wait.

    ``own_s``, ``turns``, ``on_ratio``, ``waited_s`` (n,): d / (1 - d), inf where it runs all the time or its duty is not known.
    """

    loads: tuple[ShedLoad, ...]
    own_s: Floats
    turns: Floats
    on_ratio: Floats
    waited_s: Floats

    def spans_s(self, stagger_s: float) -> tuple[Floats, Floats]:
        """Return when each begins and ends, s after supply or release."""
        begins = self.own_s + self.turns * stagger_s
        known = np.isfinite(self.on_ratio)
        lasts = np.where(known, np.where(known, self.on_ratio, 0.0) * (self.waited_s + begins), np.inf)
        return begins, begins + lasts

    def edges_s(self) -> set[float]:
        """Return the staggers at which one load ends just as another begins: only there who runs together changes.

        With k = d / (1 - d): own_i + turn_i s + k_i (waited_i + own_i + turn_i s) = own_j + turn_j s.
        """
        found = {0.0}
        for i in np.flatnonzero(np.isfinite(self.on_ratio)):
            k = self.on_ratio[i]
            ends_s, climb = self.own_s[i] * (1.0 + k) + k * self.waited_s[i], self.turns[i] * (1.0 + k)
            for j in np.flatnonzero(self.turns > climb):
                found.add(float(max(0.0, (ends_s - self.own_s[j]) / (self.turns[j] - climb))))
        return found


def on_ratio(duty_share: float) -> float:
    """Return for how much longer a load runs on than it waited: d / (1 - d); inf where it runs all the time."""
    return np.inf if duty_share >= 1.0 else duty_share / (1.0 - duty_share)


def after_outage(site: ShedSite, limits: Sequence[Limit], duty: Mapping[str, float], outage_s: float) -> Iterator[Coming]:
    """Yield for each limit what comes back after an outage, each load in its turn.

    A load whose ``duty`` is not known runs on until all others are back. Loads that need a person do not come by themselves.
    """
    control, turns = site.control, [one.id for one in _in_turn(site)]
    coming = tuple(one for one in _in_turn(site) if control.actuator(one.id).unattended)
    back = _Back(
        coming, np.array([control.actuator(one.id).restart_s for one in coming], np.float64),
        np.array([turns.index(one.id) for one in coming], np.float64), _ratios(coming, duty), np.full(len(coming), outage_s),
    )  # fmt: skip
    for limit in limits:
        yield _coming(OUTAGE, site, limit, back, control.stagger_s)


def releases(site: ShedSite, limits: Sequence[Limit], duty: Mapping[str, float]) -> Iterator[Coming]:
    """Yield for each limit what time programmes release together by the clock, the most at one time of the week.

    Each load has waited since its programme switched it off, and runs on as after an outage of that length. The rest of the site
    is at its highest of that hour of the day and the next: a clock does not release at just any time.
    """
    several = {at: waited for at, waited in released(site).items() if len(waited) > 1}
    for limit in limits:
        found = []
        for minute, waited in sorted(several.items()):
            loads = tuple(one for one in site.loads if one.id in waited)
            waits = np.array([waited[one.id] for one in loads])
            back = _Back(loads, np.zeros(len(loads)), np.arange(float(len(loads))), _ratios(loads, duty), waits)
            then = site.from_minute(minute % _DAY_MIN)
            found.append(_coming(f"{minute % _DAY_MIN // 60:02d}:{minute % 60:02d}", then, limit, back, 0.0))
        if found:
            yield max(found, key=lambda one: one.ratio)


def released(site: ShedSite) -> dict[int, dict[str, float]]:
    """Return which loads are switched on at which minute of the week, and for how long each has been off by then, s."""
    found: dict[int, dict[str, float]] = {}
    known = {one.id for one in site.loads}
    for rule in site.control.rules:
        if not isinstance(rule, TimeProgramme) or rule.load not in known:
            continue
        ons, offs = _edges(rule)
        for on in ons:
            waited_min = min(((on - off) % _WEEK_MIN for off in offs), default=_WEEK_MIN)
            found.setdefault(on, {})[rule.load] = 60.0 * waited_min
    return found


def switched_on(rule: TimeProgramme) -> set[int]:
    """Return the minutes of the week at which lines by the clock switch on."""
    return _edges(rule)[0]


def _edges(rule: TimeProgramme) -> tuple[set[int], set[int]]:
    """Return the minutes of the week at which lines by the clock switch on and off."""
    ons, offs = set(), set()
    for line in rule.times:
        if line.on.clock is not None and line.off.clock is not None:
            on, off = (at.hour * 60 + at.minute for at in (line.on.clock, line.off.clock))
            for day in (DAYS.index(one) for one in line.days):
                ons.add(day * _DAY_MIN + on)
                # What switches off no later than on does so on the next day.
                offs.add((day * _DAY_MIN + off + (_DAY_MIN if off <= on else 0)) % _WEEK_MIN)
    return ons, offs


def _in_turn(site: ShedSite) -> list[ShedLoad]:
    """Return the loads in the order in which they come back: those named, then the others as listed."""
    control: Control = site.control
    named = [one for id_ in control.returns for one in site.loads if one.id == id_]
    return [*named, *(one for one in site.loads if one not in named)]


def _ratios(loads: Sequence[ShedLoad], duty: Mapping[str, float]) -> Floats:
    return np.array([on_ratio(duty[one.id]) if one.id in duty else np.inf for one in loads], np.float64)


def _coming(when: str, site: ShedSite, limit: Limit, back: _Back, stagger_s: float) -> Coming:
    """Return what loads take that come back, each in its turn."""
    watts, reactive = _most(site, limit, back, stagger_s)
    return Coming(
        when=when, limit=limit.name, loads=tuple(one.name for one in back.loads), power_w=float(watts.sum()),
        current_a=tuple(float(one) for one in np.hypot(watts, reactive) / site.supply.connection.voltage_v),
        ratio=float(limit.ratio(np.hypot(watts, reactive))), start_ratio=_with_starts(site, limit, back, stagger_s),
        stagger_s=stagger_s, enough_s=_enough_s(site, limit, back),
    )  # fmt: skip


def _moments(site: ShedSite, back: _Back, stagger_s: float) -> Iterator[tuple[Floats, Floats, Floats]]:
    """Yield active and reactive power, and the starts that fall on it, at each moment at which a load comes.

    Power rises at no other; before the first of them only the rest of the site is there.
    """
    nothing = np.zeros_like(site.rest_w)
    yield (*site.power(()), nothing)
    begins, ends = back.spans_s(stagger_s)
    for at in begins:
        on = (begins <= at + _INSTANT_S) & (at + _INSTANT_S < ends)
        together = on & (np.abs(begins - at) <= _INSTANT_S)
        running = [one for one, is_on in zip(back.loads, on, strict=True) if is_on]
        starts = sum((one.start_va for one, now in zip(back.loads, together, strict=True) if now), nothing)
        yield (*site.power(running), starts)


def _most(site: ShedSite, limit: Limit, back: _Back, stagger_s: float) -> tuple[Floats, Floats]:
    """Return active and reactive power by conductor at the moment that takes most of the rating, starts left out."""
    moments = _moments(site, back, stagger_s)
    watts, reactive, _ = max(moments, key=lambda one: float(limit.ratio(np.hypot(one[0], one[1]))))
    return watts, reactive


def _with_starts(site: ShedSite, limit: Limit, back: _Back, stagger_s: float) -> float:
    """Return the most that is taken of the rating with the starts of the loads that come at one instant."""
    return max(float(limit.ratio(np.hypot(one, other) + starts)) for one, other, starts in _moments(site, back, stagger_s))


def _enough_s(site: ShedSite, limit: Limit, back: _Back) -> float | None:
    """Return the least stagger that keeps within the rating, s; None where none does."""
    edges = sorted(back.edges_s())
    # Where restart delays differ a stagger between two edges may do where neither edge does.
    between = [0.5 * (one + other) for one, other in pairwise(edges)]
    for stagger in sorted({*edges, *between}):
        if float(limit.ratio(np.hypot(*_most(site, limit, back, stagger)))) <= _FULL:
            return stagger
    return None
