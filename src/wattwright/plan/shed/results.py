"""What the check of shedding found, as plain data."""

from dataclasses import dataclass
from math import expm1
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from wattwright.core.findings import Finding
from wattwright.plan.shed.spec import AcceptedControl

Floats = NDArray[np.float64]
Setting = Literal["on-delay", "next after", "report every", "shed order", "pick up"]
Status = Literal["not needed", "in time", "change a setting", "cannot protect", "nothing sheds"]
Reason = Literal["", "late", "never", "start", "unseen", "too little", "beyond"]


@dataclass(frozen=True, slots=True)
class Change:
    """A setting to be changed: what it is now, and the value up to which it holds; ``loads`` is a new shed order.

    ``beside`` are the settings that must be at their quickest for it: an on-delay of nought, for example.
    """

    setting: Setting
    now: float
    upto: float
    loads: tuple[str, ...] = ()
    beside: tuple[Setting, ...] = ()


@dataclass(frozen=True, slots=True)
class Verdict:
    """Whether an order comes in time, and what must change: each of ``changes`` is enough by itself.

    ``hardware`` is what other hardware would have to do, and ``instead`` a way round: a lower pick-up value, which keeps free
    what a newcomer takes. ``quickest_s`` and ``slowest_s`` are how long the order takes with every setting at its quickest.
    """

    status: Status
    reason: Reason
    changes: tuple[Change, ...]
    hardware: tuple[Change, ...]
    instead: tuple[Change, ...]
    quickest_s: float
    slowest_s: float


@dataclass(frozen=True, slots=True)
class Event:
    """The worst event of a case: what comes on top of what runs; power of all conductors, W, and current in each, A.

    ``ratio`` is what is then taken of the limit's rating, ``holds_s`` how long that is borne; ``start_ratio`` lasts ``lasts_s``
    and is borne for ``start_holds_s``. ``sheds`` are the loads that must go, in turn.
    """

    comes: tuple[str, ...]
    running: tuple[str, ...]
    before_w: float
    after_w: float
    before_a: tuple[float, ...]
    after_a: tuple[float, ...]
    ratio: float
    holds_s: float
    start_ratio: float
    start_holds_s: float
    lasts_s: float
    sheds: tuple[str, ...]

    @property
    def highest_ratio(self) -> float:
        """Return the ratio that trips it: that of the start where the start by itself is too much, else what then flows."""
        return self.start_ratio if self.start_holds_s <= self.lasts_s else self.ratio


@dataclass(frozen=True, slots=True)
class Case:
    """What becomes of the supply in one case: the share of events that trip, worked out and drawn, with the error of the drawing.

    ``failed`` where something does not do what it should. ``detail`` names the load whose contact is welded. ``trips_a_year``
    is the least, middle and most, None where it is not known how often events happen.
    """

    name: str
    failed: bool
    trip_share: float
    drawn_share: float | None
    error_share: float | None
    detail: str
    trips_a_year: tuple[float, float, float] | None
    event: Event

    @property
    def year_share(self) -> tuple[float, float, float] | None:
        """Return the chance of at least one trip in a year, where events come independently: 1 - exp(-trips a year)."""
        if self.trips_a_year is None:
            return None
        least, middle, most = (-expm1(-trips) for trips in self.trips_a_year)
        return least, middle, most


@dataclass(frozen=True, slots=True)
class ResponseTime:
    """How long an order takes in the worst event, s: from the event until the last contact that must open is open.

    ``least_s``, ``median_s`` and ``most_s`` (99.9 %) are inf where it never comes. The parts: the meter (measuring, and what of
    a mean lies before the event), the report, the delay, earlier loads of the order, and link, relay and contactor; each at its
    most without a lost telegram.
    """

    least_s: float
    median_s: float
    most_s: float
    meter_s: float
    report_s: float
    delay_s: float
    order_s: float
    link_s: float


@dataclass(frozen=True, slots=True)
class LimitCheck:
    """One limit of the supply: its rating as on the plate, A of each conductor or VA of all, and everything found about it.

    ``everything_w``, ``everything_a`` and ``everything_ratio`` are what all loads and the rest at its highest take together: what
    the supply must bear where nothing is controlled.
    """

    name: str
    rating: float
    unit: str
    conductors: tuple[str, ...]
    everything_w: float
    everything_a: tuple[float, ...]
    everything_ratio: float
    response: ResponseTime | None
    cases: tuple[Case, ...]
    verdict: Verdict

    @property
    def relies(self) -> bool:
        """Return whether it is kept within its rating by control alone."""
        return self.everything_ratio > 1.0


@dataclass(frozen=True, slots=True)
class Coming:
    """Loads that come back together or in turn: what they take at their most, and the stagger that would keep it within a limit.

    ``when`` says after what; ``power_w`` of all conductors and ``current_a`` of each at the highest moment, starts left out;
    ``ratio`` to the rating of ``limit``, ``start_ratio`` the same with starts. ``stagger_s`` is the present one, ``enough_s`` the
    least that keeps ``ratio`` within 1: None where none does.
    """

    when: str
    limit: str
    loads: tuple[str, ...]
    power_w: float
    current_a: tuple[float, ...]
    ratio: float
    start_ratio: float
    stagger_s: float
    enough_s: float | None


@dataclass(frozen=True, slots=True)
class ShedCheck:
    """Whether shedding comes in time for every limit of the supply, what becomes of each where it fails, and what comes back.

    ``quantity``, ``pick_up`` and ``unit`` are what the order looks at; None where nothing is shed. ``accepted`` is the control
    system that somebody accepted, if any: only with one may a rating rely on control at all.
    """

    quantity: str | None
    pick_up: float | None
    unit: str
    tolerated_share: float
    limits: tuple[LimitCheck, ...]
    comings: tuple[Coming, ...]
    accepted: AcceptedControl | None
    findings: tuple[Finding, ...]

    @property
    def may_rely(self) -> bool:
        """Return whether a rating may rely on control: it was accepted, and no limit trips under a working order."""
        return self.accepted is not None and all(one.verdict.status in ("not needed", "in time") for one in self.limits)
