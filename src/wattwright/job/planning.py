"""A job as the case a plan is sought for: its record under today's rules, its tariff, and what may be switched."""

import datetime as dt
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from wattwright.catalogue.load import generic_gear, load_gear
from wattwright.catalogue.schema import Gear
from wattwright.core.clock import DAY_S
from wattwright.core.errors import JobError, Place, quoted
from wattwright.core.findings import Finding
from wattwright.core.fingerprint import fingerprint
from wattwright.core.progress import SILENT, Progress
from wattwright.job import kinds
from wattwright.job.plan_spec import Objective, PlanSpec
from wattwright.job.simulation import Question, Simulated
from wattwright.loads.columns import AIR, CHARGER, COLD_STORE, GREENHOUSE, PLAIN, PUMP, ROOM, SOIL, TANK
from wattwright.plan.case import OBJECTIVES, Case, Weights

Floats = NDArray[np.float64]
USUAL_LACK = {TANK: 0.3, ROOM: 0.5, COLD_STORE: 0.1, AIR: 5.0, SOIL: 0.02, PUMP: 0.1, CHARGER: 0.05, GREENHOUSE: 0.5}
"""What a load may fail to give in a day beside what it fails to give today, in the unit a person knows: litres, K h, % h, mm, m3,
kWh. So little that nobody notices: common practice, no source."""
_OF_RECORD = {one.code for one in (kinds.EXPORT_CUT, kinds.REST_SHORT, kinds.REST_MOVED, kinds.COARSE)}
"""Findings about the record and today's rules that decide how far any plan from them may be believed."""
_HOURS = (ROOM, COLD_STORE, AIR, GREENHOUSE)
_KWH_J = 3.6e6


@dataclass(frozen=True, slots=True, eq=False)
class PlanCase:
    """A job's case, what may be set on which gear, today's simulation, and what is to be said of all this."""

    case: Case
    gear: tuple[Gear, ...]
    simulated: Simulated
    mark: str
    findings: tuple[Finding, ...]


def plan_case(
    question: Question, begins: dt.date, ends: dt.date, objective: Objective | None, progress: Progress = SILENT
) -> PlanCase:
    """Return the case of a job over local days, both included, for ``objective``, the job's own if None.

    Raises JobError where nothing can be switched, or the objective needs what the job has not; else what simulating raises.
    """
    job, asked = question.job, question.job.spec.plan
    made = question.simulate(begins, ends, None, progress)
    scenario, ids = made.scenario, [one.load.id for one in made.scenario.loads]
    today = question.site().simulated(job.spec.control)
    switchable = np.array([_may(question, one, today.actuator(one).never) for one in ids], np.bool_)
    if not switchable.any():
        raise JobError.one(
            "job.nothing-to-switch", Place(str(job.path), field="loads"), found="no simulated load that something may switch",
            wanted="at least one with controllable = true, a way to interrupt it, and a model",
            next_step='Write controllable = true and interrupt = "mains" or "control circuit" at a load with a [loads.model].',
        )  # fmt: skip
    tariff = question.paid()
    weights = _weights(asked, objective)
    _require_means(question, weights, tariff is not None)
    days = _days(scenario.span.start_s, scenario.span.end_s, question)
    case = Case(
        scenario,
        today,
        made.names,
        tariff,
        switchable,
        _most_unmet(asked, ids, made, question),
        days,
        _least(made, days),
        weights,
        job.spec.supply.agreed_most_w if job.spec.supply is not None else None,
    )
    gear = load_gear(job.inside(asked.gear)) if asked.gear else generic_gear()
    # What files beside the job hold too: prices, weather, and what sub-meters read, which lies in the rest of the site.
    drivers = scenario.drivers
    held = (tariff, drivers.rest_w, drivers.weather, drivers.pv_w)
    mark = fingerprint(job.spec, question.mark, begins, ends, weights, held, [one.model_dump() for one in gear])
    unmodelled = [one.name for one in job.spec.loads if one.controllable and one.id not in ids]
    told = [kinds.NOT_PLANNED.at(unmodelled[0], loads=", ".join(unmodelled))] if unmodelled else []
    return PlanCase(case, gear, made, mark, (*told, *(one for one in made.findings if one.code in _OF_RECORD)))


def _may(question: Question, id_: str, never: bool) -> bool:
    spec = next(one for one in question.job.spec.loads if one.id == id_)
    return spec.controllable and not never


def _weights(asked: PlanSpec, objective: Objective | None) -> Weights:
    if objective is None and asked.weights is not None:
        told = asked.weights
        return Weights(told.cost, told.peak, told.own_use, told.autonomy)
    return OBJECTIVES[objective or asked.objective]


def _require_means(question: Question, weights: Weights, has_tariff: bool) -> None:
    """Raise JobError where an objective has nothing to work on."""
    spec, place = question.job.spec, str(question.job.path)
    lacks = [
        (weights.cost > 0.0 and not has_tariff, "tariff", "a tariff for the least cost", 'Write files = ["tariff.toml"] there.'),
        (weights.pv > 0.0 and not spec.pv, "pv", "a PV array for the most PV used", "Add a [[pv]] table."),
        (
            weights.unserved > 0.0 and not spec.outages and not spec.stands_alone, "outages", "outages to be carried through",
            "Add [[outages]].",
        ),
    ]  # fmt: skip
    for lacking, field, wanted, step in lacks:
        if lacking:
            raise JobError.one("job.plan-means", Place(place, field=field), found="none", wanted=wanted, next_step=step)


def _days(start_s: int, end_s: int, question: Question) -> NDArray[np.int64]:
    """Return the steps at which local days begin, and the end."""
    clock = question.job.clock
    first, last = clock.day_of(start_s), clock.day_of(end_s - 1)
    midnights = np.asarray(clock.midnights_s(first, (last - first).days + 1), np.int64)
    return np.unique((np.clip(midnights, start_s, end_s) - start_s) // 60)


def _most_unmet(asked: PlanSpec, ids: list[str], made: Simulated, question: Question) -> Floats:
    unknown = [one.load for one in asked.comfort if one.load not in ids]
    if unknown:
        raise JobError.one(
            "job.plan-comfort", Place(str(question.job.path), field="plan.comfort"), found=quoted(unknown[0]),
            wanted="the id of a load that is simulated", next_step=f"Those are {', '.join(ids)}.",
        )  # fmt: skip
    told = {one.load: one.a_day for one in asked.comfort}
    days = (made.scenario.span.end_s - made.scenario.span.start_s) / DAY_S
    found = []
    for i, one in enumerate(made.scenario.loads):
        a_day = told.get(one.load.id, USUAL_LACK.get(one.load.kind, 0.0))
        unit = 3600.0 if one.load.kind in _HOURS else 1.0
        found.append(float(made.run.unmet[i]) + a_day * days * unit)
    return np.array(found)


def _least(made: Simulated, days: NDArray[np.int64]) -> Floats:
    """Return the energy that loads without a store must be given in each day: that of today, rounding aside."""
    step_s, found = made.scenario.step_s, []
    for i, one in enumerate(made.scenario.loads):
        energy = np.add.reduceat(made.run.loads_w[i], days[:-1]) * step_s / _KWH_J
        found.append(energy * (1.0 - 1e-9) if one.load.kind == PLAIN else np.zeros(len(energy)))
    return np.array(found).reshape(len(found), len(days) - 1)
