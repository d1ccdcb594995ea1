"""Outages that begin at many instants of one course: the course is run once, and each outage goes on from where it stands.

So all loads, relays and rules stand at each beginning as they really would, and a day costs one course and not one for each hour.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from wattwright.control.columns import C_SHED
from wattwright.core.errors import OwnFault
from wattwright.core.progress import SILENT, Progress
from wattwright.loads.columns import S_ENERGY_J, S_UNMET
from wattwright.simulate.arrays import Course, Site, State, Work, Written
from wattwright.simulate.columns import V_BATTERY_J, X_BATTERY_J, X_DARK_S, X_UNSERVED_J
from wattwright.simulate.run import begin, blank, course_of, stretch_of, work_for
from wattwright.simulate.scenario import Scenario

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True, eq=False)
class Outage:
    """An outage of n steps as the engine runs it, m loads.

    ``first`` is the step of the course at which it begins. Means over each step: ``site_w``, ``grid_w`` (n,), ``loads_w`` (m, n);
    at its end ``charge_share`` (n,); ``supplied`` (n,) the share of the step with supply. ``events`` (e, EVENT) as in Run, their
    time from the beginning of the outage. ``shed`` (m,) tells which loads were shed already when it began. ``energy_j`` and
    ``unmet`` (m,) are those of the outage alone, ``dark_s`` and ``unserved_j`` as well.
    """

    first: int
    site_w: Floats
    grid_w: Floats
    loads_w: Floats
    charge_share: Floats
    supplied: Floats
    events: Floats
    shed: NDArray[np.bool_]
    energy_j: Floats
    unmet: Floats
    dark_s: float
    unserved_j: float


def outages(
    scenario: Scenario, begins: Sequence[int], steps: int, charge_share: float, progress: Progress = SILENT
) -> tuple[Outage, ...]:  # fmt: skip
    """Return an outage of ``steps`` steps from each step of ``begins``, the battery then holding ``charge_share``.

    ``begins`` rise, and each outage lies within the scenario. Raises OwnFault where it does not, Cancelled when told to stop.
    """
    n, m = len(scenario.drivers), len(scenario.loads)
    if list(begins) != sorted(set(begins)) or any(not 0 <= first <= n - steps for first in begins):
        raise OwnFault(f"outages of {steps} steps do not lie within {n} steps in rising order")
    site, state = scenario.site(), begin(scenario)
    course, gone = course_of(scenario.drivers), course_of(replace(scenario.drivers, grid=np.zeros(n, np.bool_)))
    written, work = blank(n, m), work_for(m, len(scenario.supply.connection.phases))
    made, at = list[Outage](), 0
    for count, first in enumerate(begins):
        progress.at("outages", count, len(begins))
        stretch_of(scenario, site, course, state, work, written, at, first)
        at, stood = first, state.every.copy()
        state.x[X_BATTERY_J] = charge_share * site.v[V_BATTERY_J]
        made.append(_outage(scenario, site, gone, state, work, written, first, steps))
        state.every[:] = stood
    return tuple(made)


def _outage(
    scenario: Scenario, site: Site, gone: Course, state: State, work: Work, written: Written, first: int, steps: int
) -> Outage:  # fmt: skip
    energy_j, unmet = state.loads[:, S_ENERGY_J].copy(), state.loads[:, S_UNMET].copy()
    shed = state.standing.contacts[:, C_SHED] > 0.0
    dark_s, unserved_j = float(state.x[X_DARK_S]), float(state.x[X_UNSERVED_J])
    last = first + steps
    events = stretch_of(scenario, site, gone, state, work, written, first, last).copy()
    events[:, 0] -= first * scenario.step_s
    return Outage(
        first=first, site_w=written.site_w[first:last].copy(), grid_w=written.grid_w[first:last].copy(),
        loads_w=written.loads_w[first:last].T.copy(), charge_share=written.charge_share[first:last].copy(),
        supplied=written.supplied[first:last].copy(), events=events, shed=shed,
        energy_j=state.loads[:, S_ENERGY_J] - energy_j,
        unmet=state.loads[:, S_UNMET] - unmet, dark_s=float(state.x[X_DARK_S]) - dark_s,
        unserved_j=float(state.x[X_UNSERVED_J]) - unserved_j,
    )  # fmt: skip
