"""What happened in a simulation, as rows a person can read: who switched what, when and why, and what each load did."""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from wattwright.control.columns import C_CLOSED
from wattwright.control.compiled import fresh
from wattwright.job.simulation import STEP_S, Simulated
from wattwright.loads.columns import S_RUN
from wattwright.loads.sensed import Lacked, Sensed, lacked, sensed
from wattwright.simulate.columns import BEGINS, CAUSE_OWN, CAUSES, CLOSES, OPENS, STOPS, WHAT

Spans = tuple[tuple[float, float], ...]
_J_KWH = 3.6e6


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
    """What one load did: energy, time it ran, its starts, switchings of its contact, and when it was fed and ran (s, s).

    ``values`` (n,) is what its sensor showed at the end of each step.
    """

    id: str
    name: str
    kind: int
    energy_kwh: float
    run_s: float
    starts: int
    switchings: int
    lacked: Lacked
    sensed: Sensed
    values: NDArray[np.float64]
    fed: Spans
    runs: Spans


@dataclass(frozen=True, slots=True)
class Highest:
    """The highest mean of a step: its power, when (UTC seconds), and the highest current of any conductor at any time."""

    power_w: float
    at_s: int
    current_a: float


def happenings(given: Simulated) -> tuple[Happening, ...]:
    """Return every switching in order: contacts with what decided them, loads that began or ceased by themselves, the supply."""
    return tuple(_happenings(given))


def _happenings(given: Simulated) -> Iterator[Happening]:
    control, start_s = given.scenario.control, given.scenario.span.start_s
    for at, load, what, cause in given.run.events:
        own = int(cause) == CAUSE_OWN
        if int(what) in (BEGINS, STOPS) and not own:
            continue  # its contact tells it
        why = CAUSES[int(cause)] if int(cause) in CAUSES else control.cause(cause)
        yield Happening(start_s + float(at), control.load_ids[int(load)] if load >= 0 else "", WHAT[int(what)], why, own)


def did(given: Simulated) -> tuple[Did, ...]:
    """Return what each simulated load did, in the order of the survey."""
    return tuple(_did(given, k) for k in range(len(given.scenario.loads)))


def _did(given: Simulated, k: int) -> Did:
    run, load = given.run, given.scenario.loads[k].load
    mine = run.events[run.events[:, 1] == k]
    closed = bool(fresh(given.scenario.control.rules).contacts[k, C_CLOSED] > 0.0)
    end_s = float(len(run.site_w) * STEP_S)
    return Did(
        id=load.id, name=given.names.get(load.id, load.id), kind=load.kind,
        energy_kwh=float(run.energy_j[k]) / _J_KWH, run_s=float(run.run_s[k]), starts=round(float(run.starts[k])),
        switchings=int(np.isin(mine[:, 2], (OPENS, CLOSES)).sum()), lacked=lacked(load, float(run.unmet[k])), sensed=sensed(load),
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
    """Return the highest step of the site and the highest current."""
    place = int(np.argmax(given.run.site_w))
    at_s = given.scenario.span.start_s + STEP_S * place
    return Highest(float(given.run.site_w[place]), at_s, float(np.nanmax(given.run.peak_a)))
