"""Running a scenario: the loop in stretches, with its events kept whole however many there are."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from wattwright.control.compiled import fresh
from wattwright.control.kernels import Standing
from wattwright.core.progress import SILENT, Progress
from wattwright.loads.columns import S_ENERGY_J, S_RUN_S, S_STARTS, S_STORED_J, S_UNMET
from wattwright.loads.compiled import stack
from wattwright.simulate.arrays import Course, Site, State, Work, Written
from wattwright.simulate.columns import CLOCK, EVENT, ROWS, T_NEXT_S
from wattwright.simulate.drivers import CONDUCTORS, Drivers
from wattwright.simulate.scenario import Scenario

Floats = NDArray[np.float64]
STRETCH = 20_000
"""Steps between two reports of progress."""


@dataclass(frozen=True, slots=True, eq=False)
class Run:
    """What came of a scenario: n steps, m loads.

    Means over each step: ``site_w``, ``grid_w`` (n,) (import positive), ``loads_w`` (m, n); at its end: ``values`` (m, n),
    ``charge_share`` (n,). The highest within it: ``peak_w``, ``peak_va`` (n,) and ``phase_a`` (n, 3) of what the supply carries,
    the starts of motors included in the last two; what switches within a piece counts with its full power, so several that do in
    one long piece make an upper bound. ``supplied`` (n,): share of the step with supply. ``events`` (e, EVENT) by
    simulate.columns; ``loads`` (m, STATES), ``contacts`` (m, ACTUATOR_STATE)
    and ``supply`` (STANDING,) as they stand at the end.
    """

    site_w: Floats
    grid_w: Floats
    loads_w: Floats
    values: Floats
    charge_share: Floats
    peak_w: Floats
    peak_va: Floats
    phase_a: Floats
    supplied: Floats
    events: Floats
    loads: Floats
    contacts: Floats
    supply: Floats

    @property
    def energy_j(self) -> Floats:
        """Return the electric energy of each load, (m,)."""
        return self.loads[:, S_ENERGY_J]

    @property
    def starts(self) -> Floats:
        """Return how often each load began to run, (m,)."""
        return self.loads[:, S_STARTS]

    @property
    def run_s(self) -> Floats:
        """Return how long each load ran, (m,)."""
        return self.loads[:, S_RUN_S]

    @property
    def unmet(self) -> Floats:
        """Return the service each load did not give, (m,), in the unit of its kind."""
        return self.loads[:, S_UNMET]

    @property
    def stored_j(self) -> Floats:
        """Return what each store holds beyond the start, (m,)."""
        return self.loads[:, S_STORED_J]

    @property
    def peak_a(self) -> Floats:
        """Return the current of the busiest conductor, (n,)."""
        return np.asarray(np.fmax.reduce(self.phase_a, axis=1))


def simulate(scenario: Scenario, progress: Progress = SILENT, *, stretch: int = STRETCH) -> Run:
    """Run a scenario from its start to its end; raises Cancelled when ``progress`` says so.

    ``stretch`` is the number of steps after which it reports; what comes out does not depend on it.
    """
    site, course, state = scenario.site(), course_of(scenario.drivers), begin(scenario)
    n, m = len(scenario.drivers), len(scenario.loads)
    written, work, events = blank(n, m), work_for(m, len(scenario.supply.connection.phases)), [np.zeros((0, EVENT))]
    for first in range(0, n, stretch):
        last = min(first + stretch, n)
        progress.at("simulation", first, n)
        events.append(stretch_of(scenario, site, course, state, work, written, first, last))
    kept = {name: getattr(written, name) for name in Written._fields if name != "events"}
    # The loop writes step by step, so that memory is written in one go; a reader asks load by load.
    kept["loads_w"], kept["values"] = written.loads_w.T, written.values.T
    return Run(
        **kept, events=np.concatenate(events), loads=state.loads, contacts=state.standing.contacts, supply=state.x
    )  # fmt: skip


def begin(scenario: Scenario) -> State:
    """Return how everything stands at the start."""
    stacked = stack([one.load for one in scenario.loads])
    clock = np.zeros(CLOCK)
    clock[T_NEXT_S] = np.nan
    phase_a = np.array([0.0 if k < len(scenario.supply.connection.phases) else np.nan for k in range(CONDUCTORS)])
    parts = (
        stacked.states, *fresh(scenario.control.rules), scenario.supply.compiled().x, phase_a, clock,
        np.full(len(stacked.ids), -1.0),
    )  # fmt: skip
    every = np.concatenate([one.ravel() for one in parts])
    ends = np.cumsum([one.size for one in parts])
    views = [every[end - one.size : end].reshape(one.shape) for one, end in zip(parts, ends, strict=True)]
    loads, rules, contacts, shed, x, phase_a, clock, last_w = views
    return State(loads, Standing(rules, contacts, shed), x, phase_a, clock, last_w, every)


def stretch_of(
    scenario: Scenario, site: Site, course: Course, state: State, work: Work, written: Written, first: int, last: int
) -> Floats:
    """Run some steps and return their events; where there was too little room for them, once more with enough."""
    from wattwright.simulate.loop_kernels import run_steps

    before, kept, room = state.every.copy(), state.every.copy(), 2 * (last - first) + 64
    while True:
        events = np.empty((room, EVENT))
        count = run_steps(
            site, course, scenario.control.rules, state, kept, work, written._replace(events=events), first, last,
            float(scenario.step_s), float(scenario.fine_s), scenario.nothing_turns,
        )  # fmt: skip
        if count <= room:
            return events[:count]
        room = count
        state.every[:] = before


def course_of(drivers: Drivers) -> Course:
    """Return drivers as the loop takes them."""
    return Course(*(np.ascontiguousarray(getattr(drivers, name)) for name in Course._fields))


def blank(n: int, m: int) -> Written:
    """Return room for what is written; the loop makes each step's own ready."""
    rows, table = {name: np.empty(n) for name in ("site_w", "grid_w", "charge_share", "peak_w", "peak_va", "supplied")}, (n, m)
    return Written(
        **rows, loads_w=np.empty(table), values=np.empty(table), phase_a=np.empty((n, CONDUCTORS)), events=np.empty((0, EVENT))
    )


def work_for(m: int, conductors: int) -> Work:
    """Return the loop's own room for m loads."""
    from wattwright.control.columns import SIGNALS

    rows, signals = (ROWS, CONDUCTORS), SIGNALS + m
    net_a = np.zeros(rows)
    net_a[:, conductors:] = np.nan
    return Work(
        watts=np.zeros(rows), vars_=np.zeros(rows), net_a=net_a, net_w=np.zeros(ROWS), surge_va=np.zeros(CONDUCTORS),
        signals=np.zeros(signals), least=np.zeros(signals), most=np.zeros(signals), used_w=np.zeros(m), apart=np.zeros(m),
        runs=np.zeros(m, np.bool_), closed=np.zeros(m, np.bool_), counts=np.zeros((m, 2)),
    )  # fmt: skip
