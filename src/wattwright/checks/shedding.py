"""Shedding in time against closed forms, hand arithmetic, and events gone through one by one."""

from functools import partial
from typing import Literal

import numpy as np

from wattwright.checks.registry import Confidence, register
from wattwright.control.rules import Control
from wattwright.core.fields import Held
from wattwright.plan.shed.check import shed_check
from wattwright.plan.shed.draws import EVENTS, drawn
from wattwright.plan.shed.overload import Overload, Stage
from wattwright.plan.shed.results import ShedCheck
from wattwright.plan.shed.returns import on_ratio
from wattwright.plan.shed.site import Limit, ShedLoad, ShedSite
from wattwright.plan.shed.times import spread_by
from wattwright.plan.shed.way import Way, response
from wattwright.plan.shed.withstand import Stepwise, Thermal, breaker
from wattwright.simulate.supply import Battery, Connection, Inverter, Supply

_FLOAT = "floating point"
_SEED = 6
_CURVE = ((1.25, 60.0), (1.5, 10.0), (2.0, 0.5))


def _way(
    interval_s: float, *, means: bool = False, report_s: float = 0.0, delay_s: float = 0.0, next_s: float = 1.0,
    lost: float = 0.0, spread_s: float = 0.0,
) -> Way:  # fmt: skip
    return Way(
        interval_s=interval_s, report_s=report_s, delay_s=delay_s, next_s=next_s, means=means, report_spread_s=spread_s,
        report_loss_share=lost, link_spread_s=spread_s, command_loss_share=lost, repeat_s=interval_s, contactor_s=0.05,
    )  # fmt: skip


def _event(seen_share: float = 0.0, loads: int = 1) -> Overload:
    """Return an overload of 1.5 times the rating, of which ``loads`` alike take off 0.6 in all."""
    limit = Limit("inverter", 1000.0, "VA", 1000.0, Stepwise(_CURVE))
    stages = tuple(Stage(f"load {k}", k, np.array([600.0 / loads]), np.zeros(1), 1.0) for k in range(loads))
    nothing, after = np.zeros(1), np.array([1500.0])
    return Overload(limit, ("new",), (), nothing, nothing, after, nothing, seen_share, 1.5, 0.0, 1.5, stages)


def _tripped(one: Way, event: Overload) -> float:
    return drawn(one, event, _SEED).trip_share


# Of 10 s the link takes 1 s and relay and contactor 0.05 s: 8.95 s are left for the meter and the delay.
for _name, _one, _of, _share, _how in (
    ("latest-value", _way(20.0), _event(), 1.0 - 8.95 / 20.0, "1 - 8.95 / 20"),
    ("on-delay", _way(20.0, delay_s=2.0), _event(), 1.0 - 6.95 / 20.0, "1 - (8.95 - 2) / 20"),
    ("mean", _way(20.0, means=True), _event(0.25), 1.0 - 3.95 / 20.0, "the mean tells 0.25 x 20 s later: 1 - 3.95 / 20"),
    (
        "lost-telegrams", _way(4.0, delay_s=1.0, lost=0.2), _event(), 1.0 - 0.64 - 2 * 0.2 * 0.64 * 3.95 / 4.0,
        "none lost: in time; one of report and command: 3.95 / 4 of them; two: 8 s too late",
    ),
    (
        "two-loads", _way(20.0, next_s=4.0), _event(0.0, 2), 1.0 - (10.0 * (1.0 - 4.0 / 60.0) - 1.05) / 20.0,
        "after the first 1.2 times wears 4 / 60 in 4 s: 1 - (10 (1 - 4 / 60) - 1.05) / 20",
    ),
):  # fmt: skip
    register(
        f"shed.trips-{_name}",
        f"share of {EVENTS:,} events, drawn one by one, that trip an inverter which bears 1.5 times for 10 s ({_name})",
        unit="1",
        source=f"by hand: {_how}",
        confidence=Confidence.CLOSED_FORM,
        published=_share,
        tolerance=4.0 * (0.25 / EVENTS) ** 0.5,
        why="four standard errors of the drawing at most",
        ours=partial(_tripped, _one, _of),
    )


_LOSSY = _way(5.0, means=True, report_s=1.0, delay_s=2.0, lost=0.1, spread_s=1.5)


def _by(time_s: float) -> float:
    return float(response(_LOSSY, _event(0.3)).by(time_s))


def _by_drawn(share: float) -> float:
    seen = drawn(_LOSSY, _event(0.3), _SEED)
    return _by({0.5: seen.median_s, 0.999: seen.most_s}[share])


for _share in (0.5, 0.999):
    register(
        f"shed.response-{1000 * _share:.0f}",
        f"share of orders that have come by the time at which {100 * _share:g} % of {EVENTS:,} drawn ones had: mean over 5 s, "
        "report 1 to 2.5 s, delay 2 s, link 1 to 2.5 s, a tenth of all telegrams lost",
        unit="1",
        source="events gone through one by one, every report looked at",
        confidence=Confidence.CLOSED_FORM,
        published=_share,
        tolerance=4.0 * (_share * (1.0 - _share) / EVENTS) ** 0.5,
        why="four standard errors of the drawing",
        ours=partial(_by_drawn, _share),
    )


def _spread_by(widths_s: tuple[float, ...], at_s: float) -> float:
    return float(spread_by(np.array(at_s), widths_s))


for _widths, _at, _area, _how in (
    ((1.0, 1.0, 1.0), 1.0, 1.0 / 6.0, "1 / 3!"),
    ((1.0, 1.0, 1.0, 1.0), 1.0, 1.0 / 24.0, "1 / 4!"),
    ((1.0, 3.0), 1.0, 1.0 / 6.0, "half of 1 s at a density of 1 / 3"),
):
    register(
        f"shed.spreads-{len(_widths)}-{max(_widths):g}",
        f"share of sums of even spreads over {' s, '.join(f'{one:g}' for one in _widths)} s that are no more than {_at:g} s",
        unit="1",
        source=f"volume of the corner of a box: {_how}",
        confidence=Confidence.CLOSED_FORM,
        published=_area,
        tolerance=1e-12,
        why=_FLOAT,
        ours=partial(_spread_by, _widths, _at),
    )


def _load(id_: str, watts: float) -> ShedLoad:
    return ShedLoad(id_, id_, np.array([watts]), np.zeros(1), np.zeros(1))


def _minute_meter() -> ShedCheck:
    """Check 5 kVA, 10 s at 1.5 times, against a meter that tells once a minute the mean since its last report."""
    supply = Supply(
        connection=Connection(),
        inverter=Inverter(rating_va=Held(5000.0), role="stand-alone", withstands=((1.5, 10.0),)),
        battery=Battery(capacity_wh=Held(10_000.0), charge_w=Held(9000.0), discharge_w=Held(9000.0)),
    )
    shed = {"pick_up": "5 kW", "restore": "3 kW", "order": ["boiler"], "measured_every": "60 s", "reported_after": "1 s"}
    control = Control.model_validate({"shedding": shed})
    return shed_check(ShedSite((_load("boiler", 3000.0),), np.array([4500.0]), np.zeros(1), control, supply))


def _of_minute_meter(name: str) -> float:
    verdict = _minute_meter().limits[0].verdict
    return verdict.quickest_s if name == "quickest" else verdict.slowest_s


register(
    "shed.minute-meter",
    "whether a meter that reports once a minute can protect an inverter that bears 1.5 times for 10 s",
    unit="",
    source="by hand: the quickest order takes 11.05 s",
    confidence=Confidence.CLOSED_FORM,
    published="cannot protect",
    ours=lambda: _minute_meter().limits[0].verdict.status,
)
for _name, _published, _how in (
    (
        "quickest",
        60.0 / 6.0 + 1.05,
        "a sixth of the rise lies below 5 kW: 60 / 6 s, 1 s for the report, 0.05 s for the contactor",
    ),
    ("slowest", 60.0 / 6.0 + 1.05 + 0.999 * 60.0, "the same and 99.9 % of a minute"),
):
    register(
        f"shed.minute-meter-{_name}",
        f"the same: the {_name} an order can be",
        unit="s",
        source=f"by hand: {_how}",
        confidence=Confidence.CLOSED_FORM,
        published=_published,
        tolerance=1e-6,
        why=_FLOAT,
        ours=partial(_of_minute_meter, _name),
    )


def _needed_s() -> float:
    (meter,) = _minute_meter().limits[0].verdict.hardware
    return meter.upto


register(
    "shed.minute-meter-needed",
    "the same: how often a meter would have to report",
    unit="s",
    source="by hand: (10 - 1.05) / (1 + 1 / 6) = 7.671 s, set in tenths; one event in a thousand may trip",
    confidence=Confidence.CLOSED_FORM,
    published=7.6,
    tolerance=1e-9,
    why=_FLOAT,
    ours=_needed_s,
)


def _borne_s(ratio: float) -> float:
    return float(breaker("C", 32.0).time_s(ratio))


def _untripped(letter: Literal["B", "C", "D"]) -> float:
    return breaker(letter, 16.0).points[-1][0]


for _ratio, _bears_s, _confidence in ((1.13, 3600.0, Confidence.PUBLISHED), (2.55, 1.0, Confidence.FROM_MEMORY)):
    register(
        f"shed.breaker-{_ratio:g}",
        f"how long a breaker of 32 A must bear {_ratio:g} times its rating",
        unit="s",
        source="IEC 60898-1",
        confidence=_confidence,
        published=_bears_s,
        ours=partial(_borne_s, _ratio),
    )
_AT_ONCE: tuple[tuple[Literal["B", "C", "D"], float], ...] = (("B", 3.0), ("C", 5.0), ("D", 10.0))
for _letter, _at_once in _AT_ONCE:
    register(
        f"shed.breaker-{_letter}",
        f"up to how many times its rating a breaker of type {_letter} must not trip at once",
        unit="1",
        source="IEC 60898-1",
        confidence=Confidence.PUBLISHED,
        published=_at_once,
        ours=partial(_untripped, _letter),
    )
register(
    "shed.i2t",
    "how long 40 A are borne at an I2t of 4000 A2s",
    unit="s",
    source="by hand: 4000 / 40^2",
    confidence=Confidence.CLOSED_FORM,
    published=2.5,
    tolerance=1e-12,
    why=_FLOAT,
    ours=lambda: float(Thermal(20.0, 4000.0).time_s(2.0)),
)
register(
    "shed.makes-up",
    "how long a load that runs a quarter of the time runs on after 2 h without supply",
    unit="min",
    source="by hand: a quarter of 2 h 40 min is 40 min",
    confidence=Confidence.CLOSED_FORM,
    published=40.0,
    tolerance=1e-9,
    why=_FLOAT,
    ours=lambda: 120.0 * on_ratio(0.25),
)


def _stagger_min() -> float:
    supply = Supply(connection=Connection(rating_a=Held(20.0)))
    loads = tuple(_load(id_, 2000.0) for id_ in "abc")
    site = ShedSite(loads, np.array([600.0]), np.zeros(1), Control(), supply)
    (one,) = shed_check(site, duty=dict.fromkeys("abc", 1.0 / 3.0), outage_s=3600.0).comings
    return np.nan if one.enough_s is None else one.enough_s / 60.0


register(
    "shed.stagger",
    "least stagger of three loads of 2 kW, a third of the time on, after 1 h without 20 A at 230 V, beside 0.6 kW",
    unit="min",
    source="by hand: two may run together; the first has made up its hour after 30 min, as the third comes after two staggers",
    confidence=Confidence.CLOSED_FORM,
    published=15.0,
    tolerance=1e-6,
    why=_FLOAT,
    ours=_stagger_min,
)
