"""Outages and island running against closed forms, Poisson's law by scipy, and the trip bands of breakers."""

import datetime as dt
from functools import lru_cache, partial

import numpy as np

from wattwright.checks.registry import Confidence, register
from wattwright.control.compiled import compile_control
from wattwright.control.programmes import Span
from wattwright.control.rules import Control
from wattwright.core.clock import SiteClock
from wattwright.core.fields import Held
from wattwright.gear.circuit.design import design
from wattwright.gear.circuit.spec import CircuitSpec
from wattwright.simulate.drivers import steady
from wattwright.simulate.scenario import Scenario
from wattwright.simulate.supply import Battery, Connection, Generator, Inverter, Supply
from wattwright.supply.backup.lost import lost
from wattwright.supply.backup.probe import Probed
from wattwright.supply.backup.results import ProbeDay, Told, UnderRules
from wattwright.supply.backup.spec import OutageRate
from wattwright.supply.backup.story import backup_story
from wattwright.supply.island.judge import island
from wattwright.supply.island.results import IslandCircuit, IslandSite
from wattwright.supply.island.spec import IslandSpec

_STEP_S = 600.0
_DAY_S = 86400
_SECOND = "the engine's finest step, a second, of some hours"
_FLOAT = "floating point"


@lru_cache(maxsize=16)
def _told(rest_w: float, carried: bool, durations: tuple[str, ...], reserve: float = 0.5, generator: bool = False) -> Told:
    """Return the story of a steady rest on 10 kWh, 95 % either way, that stops at 10 %; ten outages a year."""
    shares = {"reserve": Held(reserve), "floor": Held(0.1), "back": Held(0.2), "start": Held(reserve)}
    battery = Battery(capacity_wh=Held(10_000.0), charge_w=Held(5000.0), discharge_w=Held(8000.0), **shares)
    inverter = Inverter(rating_va=Held(8000.0), role="carries the site in outages" if carried else "beside the grid")
    made = Generator(rating_w=Held(6000.0)) if generator else None
    supply = Supply(connection=Connection(), inverter=inverter, battery=None if generator else battery, generator=made)
    steps = 3 * _DAY_S // int(_STEP_S)
    span = Span(-_DAY_S, 2 * _DAY_S, SiteClock("UTC"))
    scenario = Scenario(
        span, _STEP_S, (), compile_control(Control(), (), span), supply, steady(steps, 0, rest_w=rest_w)
    )  # fmt: skip
    day = ProbeDay("winter", dt.date(1970, 1, 1), scenario, _DAY_S // int(_STEP_S))
    rate = OutageRate.model_validate({"a_year": 10.0, "durations": list(durations)})
    return backup_story((UnderRules("today", Control(), (day,)),), rate, {}, 1).told[0]


def _lasts_h(rest_w: float) -> float:
    return _told(rest_w, True, ("2 h",)).hours[12].middle_s / 3600.0


def _lost_h(carried: bool, durations: tuple[str, ...]) -> float:
    made = _told(1000.0, carried, durations).lost
    assert made is not None
    return made.mean_h


def _generator_lost_h() -> float:
    made = _told(1000.0, False, ("2 h",), generator=True).lost
    assert made is not None
    return made.mean_h


def _needed() -> float:
    return _told(1000.0, True, ("6 h",)).reserve.needed_share or 0.0


def _quantile_h(name: str) -> float:
    dark_s = 3600.0 * np.arange(25.0)
    nothing = np.zeros(0)
    made = [Probed("winter", hour, 0.0, "", False, dark_s, nothing, nothing, nothing, 0.0) for hour in range(24)]
    rate = OutageRate.model_validate({"a_year": 20.0, "durations": ["2 h"], "years": 50_000})
    return float(getattr(lost(made, 3600.0, rate, 7, "check"), name))


def _poisson_h(share: float) -> float:
    from scipy.stats import poisson

    return 2.0 * float(poisson.ppf(share, 20.0))


def _trips_a(curve: str, rated: str, what: str) -> float | str:
    """Return what a breaker needs on 8 kVA at 230 V that give twice their rating, or what ends a short circuit there."""
    spec = CircuitSpec.model_validate(
        {"appliance": {"power": "1 kW", "voltage": "230 V"}, "length": "10 m", "method": "C", "rated": rated, "curve": curve}
    )
    supply = Supply(
        connection=Connection(), inverter=Inverter(rating_va=Held(8000.0), role="carries the site in outages"),
        battery=Battery(capacity_wh=Held(10_000.0), charge_w=Held(5000.0), discharge_w=Held(8000.0)),
    )  # fmt: skip
    told = {"inverter": {"fault_ratio": 2.0, "fault_lasts": "0.2 s", "off_after": "0.2 s"}}
    site = IslandSite(supply, "iec", False, None, (IslandCircuit("a", "a", design(spec)),))
    short = next(one for one in island(IslandSpec.model_validate(told), site).faults if one.kind == "short")
    return short.ends if what == "ends" else short.tripping_a if what == "trips" else (short.given_a or 0.0)


def _warmed(feeds: dict[str, object]) -> str:
    """Return what ends a short circuit on 1.5 mm2 behind D 16 A where 8 kVA give five times their rating for 3.5 s."""
    appliance = {"power": "500 W", "voltage": "230 V"}
    spec = CircuitSpec.model_validate({"appliance": appliance, "length": "5 m", "method": "C", "rated": "16 A", "curve": "D"})
    supply = Supply(
        connection=Connection(system="three-phase"),
        inverter=Inverter(rating_va=Held(8000.0), role="carries the site in outages"),
        battery=Battery(capacity_wh=Held(10_000.0), charge_w=Held(5000.0), discharge_w=Held(8000.0)),
    )
    told = {
        "inverter": {"fault_ratio": 5.0, "fault_lasts": "0.05 s", "off_after": "3.5 s"},
        "protection": [{"source": "inverter", "conductors": 2, **feeds}],
    }
    site = IslandSite(supply, "iec", False, None, (IslandCircuit("a", "a", design(spec)),))
    return next(one for one in island(IslandSpec.model_validate(told), site).faults if one.kind == "short").ends


for _watts in (500.0, 1000.0, 2000.0, 4000.0):
    register(
        f"backup.lasts-{_watts:g}",
        f"how long 10 kWh carry {_watts:g} W from 50 % to 10 %, 95 % of it arriving",
        unit="h",
        source="(0.5 - 0.1) E eta / P",
        confidence=Confidence.CLOSED_FORM,
        published=3800.0 / _watts,
        tolerance=0.001,
        why=_SECOND,
        ours=partial(_lasts_h, _watts),
    )
for _id, _what, _carried, _durations, _value in (
    ("none", "1 h or 3 h with nothing that carries", False, ("1 h", "3 h"), 20.0),
    ("none-long", "12 h with nothing that carries", False, ("12 h",), 120.0),
    ("short", "2 h, of which 3.8 h are carried", True, ("2 h",), 0.0),
    ("partly", "2 h or 6 h, of which 3.8 h are carried", True, ("2 h", "6 h"), 11.0),
):
    register(
        f"backup.lost-{_id}",
        f"hours lost in a year of ten outages of {_what}",
        unit="h",
        source="rate x mean of what is left dark",
        confidence=Confidence.CLOSED_FORM,
        published=_value,
        tolerance=0.01,
        why=_SECOND,
        ours=partial(_lost_h, _carried, _durations),
    )
register(
    "backup.lost-generator",
    "hours lost in a year of ten outages with a generator that gives power after 15 s",
    unit="h",
    source="rate x delay",
    confidence=Confidence.CLOSED_FORM,
    published=10 * 15 / 3600,
    tolerance=1e-9,
    why=_FLOAT,
    ours=_generator_lost_h,
)
register(
    "backup.reserve",
    "share of 10 kWh that carries 1 kW for 6 h, 10 % being left, 95 % of it arriving",
    unit="",
    source="0.1 + P t / (eta E)",
    confidence=Confidence.CLOSED_FORM,
    published=0.1 + 6.0 / 0.95 / 10.0,
    tolerance=1e-3,
    why=_SECOND,
    ours=_needed,
)
for _name, _share in (("year_low_h", 0.05), ("year_high_h", 0.95)):
    register(
        f"backup.years-{_name.split('_')[1]}",
        f"hours lost in a year of 20 outages of 2 h, {100 * _share:g} % of 50 000 years drawn",
        unit="h",
        source="quantile of Poisson's law, scipy.stats.poisson",
        confidence=Confidence.REFERENCE_LIBRARY,
        published=partial(_poisson_h, _share),
        tolerance=1e-9,
        why=_FLOAT,
        ours=partial(_quantile_h, _name),
    )
for _curve, _times in (("B", 5), ("C", 10), ("D", 20)):
    register(
        f"island.trips-{_curve.lower()}",
        f"current that surely trips {_curve} 16 A at once while an inverter feeds",
        unit="A",
        source=f"IEC 60898-1: upper end of curve {_curve}, {_times} times the rating",
        confidence=Confidence.PUBLISHED,
        published=16.0 * _times,
        ours=partial(_trips_a, _curve, "16 A", "trips"),
    )
register(
    "island.gives",
    "current of 8 kVA at 230 V, twice its rating, into a short circuit",
    unit="A",
    source="2 S / U",
    confidence=Confidence.CLOSED_FORM,
    published=2.0 * 8000.0 / 230.0,
    tolerance=1e-9,
    why=_FLOAT,
    ours=partial(_trips_a, "B", "16 A", "gives"),
)
for _curve, _rated, _ends in (
    ("B", "10 A", "breaker"),
    ("B", "16 A", "source"),
    ("C", "6 A", "breaker"),
    ("C", "10 A", "source"),
):
    register(
        f"island.ends-{_curve.lower()}-{_rated.removesuffix(' A')}",
        f"what ends a short circuit behind {_curve} {_rated} where 69.6 A flow for 0.2 s and the inverter then shuts off",
        unit="",
        source="IEC 60898-1: B trips at once at 5 times, C at 10 times its rating",
        confidence=Confidence.PUBLISHED,
        published=_ends,
        ours=partial(_trips_a, _curve, _rated, "ends"),
    )
for _id, _feeds, _flows, _ended in (
    ("lines", {"between": "lines"}, "S / (sqrt(3) U) = 100.4 A, 35 300 A2s", "nothing"),
    ("neutral", {"between": "line and neutral"}, "S / (2 U) = 87.0 A, 26 500 A2s", "source"),
    ("either", {}, "of 87.0 or 100.4 A the higher, since it burns the cable", "not known"),
):
    register(
        f"island.warms-{_id}",
        f"what ends a short circuit on 1.5 mm2 after 3.5 s, two conductors of three fed: {_flows}",
        unit="",
        source="IEC 60364-4-43, 434.5.2: I2t no more than k2S2 = (115 x 1.5)2 = 29 756 A2s, from memory",
        confidence=Confidence.FROM_MEMORY,
        published=_ended,
        ours=partial(_warmed, dict[str, object](_feeds)),
    )
