"""What happened in a simulation, as rows a person can read: who switched what, when and why, and what each load did."""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from wattwright.control.columns import C_CLOSED
from wattwright.control.compiled import fresh
from wattwright.job.days import STEP_S
from wattwright.job.simulation import Simulated
from wattwright.loads.columns import S_RUN
from wattwright.loads.sensed import Sensed, sensed
from wattwright.simulate.columns import BEGINS, CAUSE_OWN, CAUSES, CLOSES, OPENS, STOPS, WHAT
from wattwright.simulate.results import LoadOutcome

Spans = tuple[tuple[float, float], ...]


@dataclass(frozen=True, slots=True)
class Happening:
    """One switching: UTC seconds, id of the load (empty for the supply), what, why; ``own`` where the load did it itself."""

    at_s: float
    load: str
    what: str
    why: str
    own: bool


@dataclass(frozen=True, slots=True, eq=False)
class Did:
    """What one load did: its outcome, how often its contact moved, and when it was fed and ran (s, s).

    ``values`` (n,) is what its sensor showed at the end of each step.
    """

    id: str
    name: str
    kind: int
    outcome: LoadOutcome
    switchings: int
    sensed: Sensed
    values: NDArray[np.float64]
    fed: Spans
    runs: Spans


@dataclass(frozen=True, slots=True)
class Highest:
    """The highest mean of a step of the site: its power, and when (UTC seconds)."""

    power_w: float
    at_s: int


def happenings(given: Simulated) -> tuple[Happening, ...]:
    """Return every switching in order: contacts with what decided them, loads that began or ceased by themselves, the supply."""
    by_load = (WHAT[BEGINS], WHAT[STOPS])
    return tuple(
        Happening(one.time_s, one.load, one.what, one.cause, one.cause == CAUSES[CAUSE_OWN])
        for one in given.outcome.switchings
        # What a contact did to its load the contact tells.
        if one.what not in by_load or one.cause == CAUSES[CAUSE_OWN]
    )


def apparent(given: Simulated) -> Iterator[tuple[str, float, str, float | None]]:
    """Yield the highest apparent power with and without the grid: its name, VA, what carries it, and what that is rated, VA."""
    run, supply = given.run, given.scenario.supply
    there = given.scenario.drivers.grid & (not supply.stands_alone)
    if there.any():
        rating_a, conductors = supply.connection.rating_a, len(supply.connection.phases)
        rated_va = None if rating_a is None else rating_a * supply.connection.voltage_v * conductors
        yield "apparent power", float(run.peak_va[there].max()), "connection", rated_va
    if there.all():
        return
    without_va = float(run.peak_va[~there].max())
    if supply.generator is not None:
        yield "without the grid", without_va, "generator", supply.generator.apparent_va
    if supply.inverter is not None and supply.inverter.role != "beside the grid":
        yield "without the grid", without_va, "inverter", supply.inverter.rating_va


def did(given: Simulated) -> tuple[Did, ...]:
    """Return what each simulated load did, in the order of the survey."""
    return tuple(_did(given, k) for k in range(len(given.scenario.loads)))


def _did(given: Simulated, k: int) -> Did:
    run, load = given.run, given.scenario.loads[k].load
    mine = run.events[run.events[:, 1] == k]
    closed = bool(fresh(given.scenario.control.rules).contacts[k, C_CLOSED] > 0.0)
    end_s = float(len(run.site_w) * STEP_S)
    return Did(
        id=load.id, name=given.names.get(load.id, load.id), kind=load.kind, outcome=given.outcome.loads[k],
        switchings=int(np.isin(mine[:, 2], (OPENS, CLOSES)).sum()), sensed=sensed(load),
        values=run.values[k], fed=_spans(mine, CLOSES, OPENS, closed, end_s),
        runs=_spans(mine, BEGINS, STOPS, bool(load.state[S_RUN] > 0.0), end_s),
    )  # fmt: skip


def _spans(events: NDArray[np.float64], begins: int, ends: int, on: bool, end_s: float) -> Spans:
    """Return the stretches between beginnings and ends, the first from the start where it was on then."""
    found, since = [], 0.0 if on else -1.0
    for at, _, what, _ in events:
        if int(what) == begins and since < 0.0:
            since = float(at)
        elif int(what) == ends and since >= 0.0:
            found.append((since, float(at)))
            since = -1.0
    return tuple(one for one in (*found, *([(since, end_s)] if since >= 0.0 else [])) if one[1] > one[0])


def highest(given: Simulated) -> Highest:
    """Return the highest step of the site."""
    place = int(np.argmax(given.run.site_w))
    at_s = given.scenario.span.start_s + STEP_S * place
    return Highest(float(given.run.site_w[place]), at_s)
