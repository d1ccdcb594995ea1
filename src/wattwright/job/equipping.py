"""By which rules a job is equipped: those of a file, the plan sought last, or its own; and the equipment under them."""

from dataclasses import dataclass
from typing import Literal

from wattwright.control.rules import Control
from wattwright.core.errors import InputError
from wattwright.core.progress import SILENT, Progress
from wattwright.job.assessment import Assessment
from wattwright.job.gearing import SiteGear, has_own_sources, may_switch, site_gear
from wattwright.plan.settings import Setting

By = Literal["file", "plan", "job"]


@dataclass(frozen=True, slots=True)
class Ruled:
    """The rules that a job is equipped for and whose they are.

    Of a plan also the classes of gear it counts on, by id of load, and its settings; both are empty without one.
    """

    control: Control
    by: By
    classes: tuple[tuple[str, tuple[str, ...]], ...] = ()
    settings: tuple[Setting, ...] = ()

    @property
    def says(self) -> str:
        """Return in words whose rules they are."""
        if self.by == "file":
            return "the rules of the file given"
        if self.by == "plan":
            return "the plan sought last"
        return "the job's own rules" if self.control.rules or self.control.shedding else "no rules: the job has none yet"


@dataclass(frozen=True, slots=True)
class Equipped:
    """The equipment of a job and the rules it is for."""

    ruled: Ruled
    gear: SiteGear


def ruled_by(assessment: Assessment, control: Control | None = None) -> Ruled:
    """Return the rules to equip for: those given, else the plan sought last, else the job's own."""
    if control is not None:
        return Ruled(control, "file")
    plan = assessment.plan() if assessment.job.spec.files else None
    if plan is None or len(plan.options) == 1:
        # A plan that found nothing worth switching leaves the job's own rules.
        return Ruled(assessment.job.spec.control, "job")
    return Ruled(plan.best.control, "plan", plan.best.classes, plan.best.settings)


def can_equip(assessment: Assessment) -> bool:
    """Return whether a job has a supply, and a load that may be switched or a source of its own."""
    job = assessment.job
    return job.spec.supply is not None and (bool(may_switch(job, job.spec.control)) or has_own_sources(job))


def gear_of(assessment: Assessment, control: Control | None = None, progress: Progress = SILENT) -> Equipped:
    """Return the equipment of a job under rules given, the plan sought last, or its own.

    How often each load is switched is counted by simulating the record's days where the job can be simulated. Raises what reading
    the record and :func:`wattwright.job.gearing.site_gear` raise.
    """
    job, ruled = assessment.job, ruled_by(assessment, control)
    if not (job.spec.files and job.spec.supply and may_switch(job, job.spec.control)):
        return Equipped(ruled, site_gear(job, ruled.control, {}, None, None))
    highest = assessment.peaks().shortest.whole
    supply = job.spec.supply
    assert supply is not None  # asked for above
    per_a = supply.carries_w(1.0)
    base_w = assessment.demand().summary.base_load_w
    try:
        switchings = assessment.switchings(ruled.control, progress)
    except InputError:
        # A job that cannot be simulated yet is equipped without: how often is then a question to ask.
        switchings = {}
    return Equipped(ruled, site_gear(job, ruled.control, switchings, highest.high_w / per_a, base_w / per_a, dict(ruled.classes)))
