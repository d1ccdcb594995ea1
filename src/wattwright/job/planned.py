"""The plan sought last for a job, as it is kept beside it and told in its papers: results alone, without their site."""

import datetime as dt
from dataclasses import dataclass, replace

from wattwright.control.rules import Control
from wattwright.core.findings import Finding, gravest_first
from wattwright.job.planning import PlanCase
from wattwright.plan.case import Sought
from wattwright.plan.gap import Gap
from wattwright.plan.options import Option, Planned
from wattwright.plan.robust import Band, Changed, HeldOut
from wattwright.plan.settings import Setting, settings
from wattwright.plan.shed.results import ShedCheck
from wattwright.simulate.comfort import comfort


@dataclass(frozen=True, slots=True)
class Lack:
    """What a load fails to give under an option, ``amount`` in ``unit`` of ``what``, and how much of it is ``allowed``."""

    load: str
    amount: float
    allowed: float
    unit: str
    what: str


@dataclass(frozen=True, slots=True)
class KeptOption:
    """One option: ``cost`` of the stretch, None without a tariff; ``value`` and ``saving`` in the unit of what was sought.

    ``controllers`` are names of gear, each with those of the loads it switches; ``control`` is the site's rules under it, and
    ``classes`` says by id of each load it sets which classes of gear hold them. ``energy_kwh`` is what the simulated loads draw.
    The rest is as ``plan.options.Option`` has it.
    """

    name: str
    rules: int
    controllers: tuple[tuple[str, tuple[str, ...]], ...]
    cost: float | None
    value: float
    saving: float
    gap_share: float
    peak_w: float
    carried_ratio: float
    pv_lost_kwh: float
    unserved_kwh: float
    moves_a_day: float
    contact_years: float | None
    settings: tuple[Setting, ...]
    lacks: tuple[Lack, ...]
    held_out: HeldOut | None
    band: Band | None
    changes: tuple[Changed, ...]
    control: Control
    classes: tuple[tuple[str, tuple[str, ...]], ...]
    energy_kwh: float


@dataclass(frozen=True, slots=True)
class KeptPlan:
    """The options over local days, both included, today's first; the bound, what separates the best from it, and what to know."""

    first: dt.date
    last: dt.date
    currency: str
    objective: Sought
    unit: str
    bound: float
    bound_step_s: int
    evaluations: int
    options: tuple[KeptOption, ...]
    gap: Gap | None
    shed: ShedCheck
    findings: tuple[Finding, ...]

    @property
    def best(self) -> KeptOption:
        """Return the best option: today's where nothing is better."""
        return self.options[-1]

    @property
    def most(self) -> float:
        """Return the most that nobody could pass: what today comes to less the bound."""
        return self.options[0].value - self.bound


def kept_plan(asked: PlanCase, made: Planned, shed: ShedCheck) -> KeptPlan:
    """Return what is kept of a plan and of its check of shedding."""
    span = asked.case.scenario.span
    currency = "" if asked.case.tariff is None else asked.case.tariff.currency
    return KeptPlan(
        first=span.clock.day_of(span.start_s), last=span.clock.day_of(span.end_s - 1), currency=currency,
        objective=asked.case.weights.objective, unit=asked.case.unit, bound=made.bound.value,
        bound_step_s=made.bound.step_s, evaluations=made.found.evaluations,
        options=tuple(_option(asked, one) for one in made.options), gap=made.gap,
        # Who accepted a control system stands in a finding; the job file says it in full.
        shed=replace(shed, accepted=None), findings=gravest_first((*shed.findings, *made.findings, *asked.findings)),
    )  # fmt: skip


def _option(asked: PlanCase, one: Option) -> KeptOption:
    case, figures = asked.case, one.tried.figures
    named = tuple((gear.name, tuple(case.names.get(load, load) for load in loads)) for gear, loads in one.controllers)
    return KeptOption(
        name=one.name, rules=len(one.tried.plan), controllers=named, cost=None if case.tariff is None else figures.cost,
        value=figures.value, saving=one.saving, gap_share=one.gap_share, peak_w=figures.peak_w,
        carried_ratio=figures.carried_ratio, pv_lost_kwh=figures.pv_lost_kwh, unserved_kwh=figures.unserved_kwh,
        moves_a_day=one.moves_a_day, contact_years=one.contact_years, settings=settings(case, one), lacks=_lacks(asked, one),
        held_out=one.held_out, band=one.band, changes=one.changes,
        control=one.tried.plan.control(case.today), classes=_classes(one), energy_kwh=float(sum(figures.energy_kwh)),
    )  # fmt: skip


def _classes(one: Option) -> tuple[tuple[str, tuple[str, ...]], ...]:
    """Return by id of each load the classes of gear that hold its rules."""
    found: dict[str, list[str]] = {}
    for gear, loads in one.controllers:
        for load in loads:
            found.setdefault(load, []).append(gear.id)
    return tuple((load, tuple(ids)) for load, ids in found.items())


def _lacks(asked: PlanCase, one: Option) -> tuple[Lack, ...]:
    case, found = asked.case, list[Lack]()
    for i, id_ in enumerate(case.ids):
        kind = case.scenario.loads[i].load.kind
        lacks, most = comfort(kind, one.tried.figures.unmet[i]), comfort(kind, float(case.most_unmet[i]))
        if lacks is not None and most is not None:
            found.append(Lack(case.names.get(id_, id_), lacks.amount, most.amount, lacks.unit, lacks.what))
    return tuple(found)
