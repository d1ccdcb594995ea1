"""What separates a plan from the bound, in money: heat kept ready, PV given away, dearer hours, higher peaks, the grid."""

from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from wattwright.core.labour import Labour, Work
from wattwright.core.progress import Progress
from wattwright.plan.bound.bound import Bound, bound
from wattwright.plan.bound.money import weights_of
from wattwright.plan.families.plan import Plan
from wattwright.plan.families.times import DAY_MIN, Times
from wattwright.plan.score import Figures, Scorer, breaches
from wattwright.plan.trial import tried_by
from wattwright.simulate.run import Run
from wattwright.tariff.compiled import CompiledTariff, Cost, cost
from wattwright.tariff.kernels import DEMAND, EXPORT

Floats = NDArray[np.float64]
_FINER_MIN = 5


@dataclass(frozen=True, slots=True)
class Gap:
    """The parts of what a plan costs more than the bound, in money.

    ``comfort`` is what the bound would cost more without the allowance in comfort; it is no part of the sum. ``demand`` is what
    higher peaks cost, ``energy`` what energy used more costs at the bound's mean price: heat and cold that are kept ready, since
    nobody knows what will be drawn. ``own`` is what it costs, at that price, that more of the PV is given away and that battery
    and inverter take more, less what is earned by it; nought without PV and battery. ``hours`` is all else: energy in dearer
    hours, since rules hold every day of a kind alike; below nought where what is used more is used at less than the mean price.
    ``grid`` is about what times to 5 min instead of 15 would save of it.
    """

    comfort: float
    demand: float
    energy: float
    own: float
    hours: float
    grid: float

    @property
    def whole(self) -> float:
        """Return what the plan costs more than the bound."""
        return self.demand + self.energy + self.own + self.hours


def gap(scorer: Scorer, today: Figures, plan: Plan, run: Run, best: Bound, labour: Labour, progress: Progress) -> Gap | None:
    """Return what separates a plan, with its ``run``, from the bound; None where it is not money alone that counts."""
    case = scorer.case
    on_steps = case.compiled_tariff(best.step_s)
    if scorer.tariff is None or on_steps is None or case.unit != scorer.tariff.currency:
        return None
    figures = scorer.figures(run)
    stricter = replace(case, most_unmet=np.minimum(case.most_unmet, np.array(today.unmet)))
    demand = _demand(scorer.tariff, run.grid_w) - _demand(on_steps, best.import_w)
    bill = cost(on_steps, best.import_w, best.export_w)
    used_kwh = _used_kwh(scorer, run.grid_w, case.scenario.step_s, scorer.worth(run))
    least_kwh = _used_kwh(scorer, best.import_w, best.step_s, bill.total - best.value)
    energy, own = (used_kwh - least_kwh) * _mean_price(scorer.tariff, on_steps, best), 0.0
    if case.drivers.pv_w.any() or case.scenario.supply.battery is not None:
        more_kwh = sum(figures.energy_kwh) - float(best.loads_w.sum()) * best.step_s / 3.6e6
        of_loads = more_kwh * _mean_price(scorer.tariff, on_steps, best)
        earned = _earned(scorer.tariff, cost(scorer.tariff, run.grid_w)) - _earned(on_steps, bill)
        energy, own = of_loads, energy - of_loads - earned
    whole = figures.cost - best.value
    return Gap(
        comfort=bound(stricter, best.step_s).value - best.value, demand=demand, energy=energy, own=own,
        hours=whole - demand - energy - own, grid=_grid(scorer, today, plan, figures, labour, progress),
    )  # fmt: skip


def _mean_price(tariff: CompiledTariff, on_steps: CompiledTariff, best: Bound) -> float:
    """Return what the bound pays for a kWh on the whole; where it imports nothing, the tariff's mean."""
    imported_kwh = float(best.import_w.sum()) * best.step_s / 3.6e6
    if imported_kwh <= 0.0:
        return float(tariff.import_price.mean())
    paid = cost(on_steps, best.import_w).total - _demand(on_steps, best.import_w) - _fixed(on_steps)
    return paid / imported_kwh


def _earned(tariff: CompiledTariff, made: Cost) -> float:
    """Return what export earns, levies included."""
    return -float(np.sum((weights_of(tariff.arrays) * made.by_line)[tariff.arrays.kind == EXPORT]))


def _used_kwh(scorer: Scorer, import_w: Floats, step_s: float, worth: float) -> float:
    """Return the energy imported less what stores hold more of it at the end."""
    stored_kwh = worth / scorer.end_price if scorer.end_price > 0.0 else 0.0
    return float(np.maximum(import_w, 0.0).sum()) * step_s / 3.6e6 - stored_kwh


def _demand(tariff: CompiledTariff, import_w: Floats) -> float:
    """Return what the charges on demand come to, their levies included."""
    lines, arrays = cost(tariff, import_w).by_line, tariff.arrays
    charged = arrays.kind == DEMAND
    return float(np.sum((weights_of(arrays) * lines)[charged]))


def _fixed(tariff: CompiledTariff) -> float:
    """Return what is to be paid whatever is used: the bill of nothing at all."""
    nothing = np.zeros(len(tariff.arrays.part))
    return cost(tariff, nothing).total - _demand(tariff, nothing)


def _grid(scorer: Scorer, today: Figures, plan: Plan, figures: Figures, labour: Labour, progress: Progress) -> float:
    """Return about what finer times would save: the better of 5 min earlier and later, for each end of each line by itself."""
    moves = list(_moves(plan))
    if not moves:
        return 0.0
    work = Work("times to 5 min", tried_by, scorer, Figures)
    found = labour.map(work, tuple(one for _, one in moves), progress)
    saved: dict[int, float] = {}
    for (place, _), one in zip(moves, found, strict=True):
        if not breaches(scorer.case, today, one):
            saved[place] = max(saved.get(place, 0.0), figures.value - one.value)
    return sum(saved.values())


def _moves(plan: Plan) -> Iterator[tuple[int, Plan]]:
    """Yield the plan with one end of one line 5 min earlier or later, and a number for that end."""
    place = 0
    for gene in plan.genes:
        if not isinstance(gene, Times) or gene.gear.time_step_s > 60.0 * _FINER_MIN:
            continue
        for at, line in enumerate(gene.lines):
            for end in ("on", "off"):
                for by in (-_FINER_MIN, _FINER_MIN):
                    moved = replace(line, **{end: (getattr(line, end) + by) % DAY_MIN})
                    yield place, plan.put(replace(gene, lines=(*gene.lines[:at], moved, *gene.lines[at + 1 :])))
                place += 1
