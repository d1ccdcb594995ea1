"""The least that any rules could reach on a case, by a linear programme that knows the future."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from wattwright.control.columns import A_NEVER
from wattwright.loads.columns import P_MOST_W
from wattwright.plan.bound.linear import Linear
from wattwright.plan.bound.loads import add_loads
from wattwright.plan.bound.money import charge
from wattwright.plan.bound.steps import Steps, steps_of
from wattwright.plan.bound.supply import Fed, feed
from wattwright.plan.case import PEAK_S, Case

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True, eq=False)
class Bound:
    """No plan of the case reaches a lower value: the bound, its step, the powers of loads, (m, n), import and export, (n,), W."""

    value: float
    step_s: int
    loads_w: Floats
    import_w: Floats
    export_w: Floats


@dataclass(frozen=True, slots=True, eq=False)
class Assembled:
    """The linear programme of a case: its steps, and the columns of loads and supply in it."""

    steps: Steps
    program: Linear
    loads: list[NDArray[np.int64]]
    fed: Fed


def bound(case: Case, coarsest_s: int | None = None) -> Bound:
    """Return the bound of a case on steps of up to ``coarsest_s``: 15 min where demand or peak counts, else an hour.

    Every relaxation is on the safe side: the supply's limits, starts, delays and the load's own controllers are left out, the
    battery may be charged and emptied at will, and what is stored at the end is worth what it is in a plan's own figures.
    Raises TariffError where the tariff cannot be compiled.
    """
    made = assemble(case, _longest_s(case) if coarsest_s is None else coarsest_s)
    found = made.program.solve()
    loads_w = 1000.0 * np.array([found.columns[one] for one in made.loads]).reshape(len(made.loads), len(made.steps))
    through_w = [1000.0 * found.columns[one] for one in (made.fed.imported, made.fed.exported)]
    return Bound(float(found.value), made.steps.step_s, loads_w, *through_w)


def assemble(case: Case, coarsest_s: int) -> Assembled:
    """Return the linear programme of a case, on steps of up to ``coarsest_s``. Raises TariffError."""
    steps = steps_of(case, coarsest_s)
    program, weights, h = Linear(), case.weights, steps.hours
    price = 0.0 if steps.tariff is None else weights.cost * float(steps.tariff.import_price[-1])
    loads = add_loads(program, steps, price)
    fed = feed(program, steps, loads, case.most_w)
    _apart(program, case, loads)
    if weights.cost and steps.tariff is not None:
        charge(program, steps.tariff.arrays, fed.imported, fed.exported, fed.most, weights.cost)
    _battery_end(program, case, fed, price)
    if weights.peak:
        _peak(program, steps, fed, weights.peak)
    if weights.pv:
        program.price(fed.exported, weights.pv * h)
        program.price(fed.spilled, weights.pv * h)
        lost_kw = (case.drivers.pv_w.sum() / steps.k - steps.pv_w.sum()) / 1000.0
        program.constant += weights.pv * h * float(lost_kw)
    if weights.unserved:
        program.price(fed.unserved, weights.unserved * h)
    return Assembled(steps, program, loads, fed)


def _longest_s(case: Case) -> int:
    """Return the step on which to look for a case's bound: that of the peak where it counts."""
    charged = case.weights.cost > 0.0 and case.tariff is not None and any(one.demand for one in case.tariff.versions)
    return PEAK_S if case.weights.peak > 0.0 or charged else 3600


def _apart(program: Linear, case: Case, loads: list[NDArray[np.int64]]) -> None:
    """Let two loads that are never fed together share the time."""
    rules = case.scenario.control.rules
    most = np.array([one.load.params[P_MOST_W] for one in case.scenario.loads]) / 1000.0
    for one, other, _ in rules.locks:
        if rules.actuator[one, A_NEVER] or rules.actuator[other, A_NEVER] or not (most[one] and most[other]):
            continue
        program.rows([(loads[one], 1.0 / most[one]), (loads[other], 1.0 / most[other])], -np.inf, 1.0)


def _battery_end(program: Linear, case: Case, fed: Fed, price: float) -> None:
    battery = case.scenario.supply.battery
    if battery is not None and fed.battery_end is not None:
        program.price(fed.battery_end, -price / battery.charge_efficiency)
        program.constant += price / battery.charge_efficiency * fed.battery_start_kwh


def _peak(program: Linear, steps: Steps, fed: Fed, weight: float) -> None:
    """Price the highest mean import over the peak's window on the clock, of whole windows only."""
    highest = program.columns(1, 0.0, np.inf, weight)
    length = max(PEAK_S // steps.step_s, 1)
    starts_s = steps.case.scenario.span.start_s + steps.step_s * np.arange(len(steps), dtype=np.int64)
    first = np.flatnonzero(starts_s % (length * steps.step_s) == 0)
    first = first[first + length <= len(steps)]
    terms = [(fed.imported[first + k], 1.0 / length) for k in range(length)]
    program.rows([*terms, (np.repeat(highest, len(first)), -1.0)], -np.inf, 0.0)
