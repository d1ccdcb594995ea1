"""What a person should know of a run, as findings."""

from collections.abc import Iterator, Sequence

from wattwright.core.errors import OwnFault
from wattwright.core.findings import Finding, gravest_first
from wattwright.loads.columns import P_RATING_W, P_START_RATIO, P_START_S
from wattwright.simulate import kinds
from wattwright.simulate.columns import (
    CAUSE_CONNECTION,
    CAUSE_INVERTER,
    CAUSE_WEAK,
    CAUSES,
    TRIPS,
    V_ALONE,
    V_CONDUCTORS,
    V_INVERTER_VA,
    V_LIMIT_A,
    WHAT,
    X_DARK_S,
    X_GENERATOR_J,
    X_GENERATOR_OVER_S,
    X_INVERTER_OVER_S,
    X_TRIPS,
    X_UNSERVED_J,
)  # fmt: skip
from wattwright.simulate.results import Conductor, LoadOutcome, Switching
from wattwright.simulate.run import Run
from wattwright.simulate.scenario import Scenario
from wattwright.simulate.supply import Supply
from wattwright.simulate.supply_kernels import withstood_s

MOST_STARTS_H = 6.0
"""Starts of a compressor or motor in an hour: common practice, no source."""
_MOST_SHED_H = 6
_LEAST_COMFORT = 0.01
_LEAST_ABOVE_S = 5.0
"""What is shorter is a motor's start, which has a finding of its own where it is not borne."""
_KWH_J = 3.6e6


def findings(
    scenario: Scenario, run: Run, loads: Sequence[LoadOutcome], conductors: Sequence[Conductor], told: Sequence[Switching]
) -> tuple[Finding, ...]:  # fmt: skip
    """Return what a person should know of a run, the gravest first."""
    found = [*_as_entered(scenario.supply), *_supply(scenario, run, conductors, told)]
    for i, load in enumerate(loads):
        found.extend(_load(scenario, i, load))
        found.extend(_start(scenario, i, load.id))
    return gravest_first(tuple(found))


def _supply(scenario: Scenario, run: Run, conductors: Sequence[Conductor], told: Sequence[Switching]) -> Iterator[Finding]:
    x, trips = run.supply, [one for one in told if one.what == WHAT[TRIPS]]
    if x[X_TRIPS] > 0.0:
        first = trips[0]
        time_s, by = _closing(scenario, first.cause)
        yield kinds.TRIPPED.at(
            "supply", count=int(x[X_TRIPS]), first=int(first.time_s), cause=first.cause, closed=by, time=time_s
        )  # fmt: skip
    if x[X_GENERATOR_J] > 0.0 and scenario.supply.inverter is not None:
        yield kinds.BESIDE_GENERATOR.at("generator")
    if x[X_GENERATOR_OVER_S] > 0.0 and scenario.supply.generator is not None:
        rating = scenario.supply.generator.apparent_va
        yield kinds.GENERATOR_OVERLOADED.at("generator", rating=rating, time=float(x[X_GENERATOR_OVER_S]))
    for one in conductors:
        if one.rating_a is not None and (one.above_s >= _LEAST_ABOVE_S or (trips and one.above_s > 0.0)):
            yield kinds.OVERLOADED.at(
                one.name, conductor=one.name, highest=one.highest_a, rating=one.rating_a, time=one.above_s
            )  # fmt: skip
    if x[X_INVERTER_OVER_S] > 0.0 and scenario.supply.inverter is not None:
        rating = scenario.supply.inverter.rating_va
        yield kinds.INVERTER_OVERLOADED.at("inverter", rating=rating, time=float(x[X_INVERTER_OVER_S]))
    if x[X_DARK_S] > 0.0:
        yield kinds.DARK.at("supply", time=float(x[X_DARK_S]), unserved=float(x[X_UNSERVED_J]) / _KWH_J)


def _as_entered(supply: Supply) -> Iterator[Finding]:
    """Yield what contradicts itself in a supply before anything is reckoned."""
    inverter, battery = supply.inverter, supply.battery
    carries = inverter is not None and inverter.role == "carries the site in outages"
    if carries and battery is None and supply.generator is None:
        yield kinds.NOTHING_TO_CARRY.at("inverter")
    if (
        battery is not None
        and inverter is not None
        and inverter.role == "carries the site in outages"
        and battery.floor >= battery.reserve
    ):
        yield kinds.FLOOR_ABOVE_RESERVE.at("battery", floor=battery.floor, reserve=battery.reserve)


def _closing(scenario: Scenario, cause: str) -> tuple[float, str]:
    """Return how long after a trip of this cause the supply is closed again, s, and who does it."""
    supply = scenario.supply
    if cause == CAUSES[CAUSE_CONNECTION]:
        return supply.connection.closed_after_s, supply.connection.closed
    carries = supply.inverter is not None and supply.inverter.role != "beside the grid"
    if supply.inverter is not None and (cause == CAUSES[CAUSE_INVERTER] or (cause == CAUSES[CAUSE_WEAK] and carries)):
        return supply.inverter.restart_s, supply.inverter.closed
    if supply.generator is None:
        raise OwnFault(f"nothing on this site trips by {cause}")
    return supply.generator.closed_after_s, supply.generator.closed


def _load(scenario: Scenario, i: int, load: LoadOutcome) -> Iterator[Finding]:
    short = load.comfort
    if short is not None and short.amount >= _LEAST_COMFORT:
        yield kinds.COMFORT.at(load.id, load=load.id, amount=short.amount, unit=short.unit, what=short.what)
    # Plain resistances start without harm; what has a starting current has a motor.
    if load.starts_in_hour > MOST_STARTS_H and scenario.loads[i].load.params[P_START_RATIO] > 1.0:
        yield kinds.SHORT_CYCLING.at(load.id, load=load.id, starts=load.starts_in_hour, most=MOST_STARTS_H)
    if load.shed_in_hour > _MOST_SHED_H:
        yield kinds.SHED_OFTEN.at(load.id, load=load.id, count=load.shed_in_hour)
    if load.cuts > 0:
        yield kinds.MIN_ON_CUT.at(load.id, load=load.id, count=load.cuts)


def _start(scenario: Scenario, i: int, id_: str) -> Iterator[Finding]:
    """Yield where the start of a load alone, with nothing else on, is more than connection or inverter bears."""
    site, volts = scenario.site(), scenario.supply.connection.voltage_v
    lasts_s = float(site.p[i, P_START_S])
    factor = max(float(site.p[i, P_RATING_W]), 1.0) * (1.0 + float(site.tan[i]) ** 2) ** 0.5
    start_va = (float(site.start_va[i]) + factor) * float(site.share[i].max())
    if site.start_va[i] <= 0.0 or lasts_s <= 0.0:
        return
    bears = []
    if site.v[V_LIMIT_A] > 0.0:
        bears.append(("connection", start_va / volts / float(site.v[V_LIMIT_A]), site.curves[0]))
    if site.v[V_INVERTER_VA] > 0.0 and site.v[V_ALONE] > 0.0:
        bears.append(("inverter", start_va * float(site.v[V_CONDUCTORS]) / float(site.v[V_INVERTER_VA]), site.curves[1]))
    for what, ratio, curve in bears:
        holds_s = float(withstood_s(curve, ratio))
        if holds_s < lasts_s:
            yield kinds.START_TOO_HEAVY.at(id_, load=id_, start=ratio, what=what, time=lasts_s, holds=holds_s)
    generator = scenario.supply.generator
    takes_va = float(site.start_va[i]) * float(site.share[i].max()) * float(site.v[V_CONDUCTORS])
    if generator is not None and takes_va > generator.step_va:
        yield kinds.START_DIPS.at(id_, load=id_, start=takes_va, bears=generator.step_va)
