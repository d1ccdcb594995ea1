"""Long work on a job: its plan sought and kept, its quote made and kept. Whoever asks decides about processes and journal."""

from collections.abc import Callable
from dataclasses import replace

from wattwright.control.rules import Control
from wattwright.core.errors import JobError
from wattwright.core.findings import gravest_first
from wattwright.core.labour import Labour
from wattwright.core.progress import Progress
from wattwright.job.assessment import Assessment
from wattwright.job.plan_spec import Objective
from wattwright.job.planned import kept_plan
from wattwright.job.planning import PlanCase, plan_case
from wattwright.job.quoting import Days, QuoteCase, quote_case
from wattwright.job.shed import shed_of
from wattwright.job.simulation import Question
from wattwright.plan.options import Asking, Planned, plan_for
from wattwright.plan.search import Effort
from wattwright.plan.shed.results import ShedCheck
from wattwright.supply.sizing.answer import Quote

LabourFor = Callable[[str], Labour]
"""Gives who does the work, told the mark of what it is made from: a journal is kept under it."""


def seek_plan(
    assessment: Assessment, question: Question, days: Days, objective: Objective | None, effort: Effort, labour_for: LabourFor,
    progress: Progress,
) -> tuple[PlanCase, Planned, ShedCheck]:  # fmt: skip
    """Seek a plan over some days and keep it beside the job; raises what ``plan_case`` and its search do."""
    asked = plan_case(question, *days, objective, progress)
    spec = assessment.job.spec
    asking = Asking(spec.plan.controllers, effort, spec.seed, asked.mark)
    made = plan_for(asked.case, asked.gear, asking, labour_for(asked.mark), progress)
    shed = shed_of(asked, made.best.tried.plan.control(asked.case.today), spec)
    assessment.keep_plan(kept_plan(asked, made, shed))
    return asked, made, shed


def seek_quote(
    assessment: Assessment,
    question: Question,
    outage_s: float | None,
    effort: Effort,
    labour_for: LabourFor,
    progress: Progress,
    days: Days | None = None,
) -> tuple[QuoteCase, Quote]:
    """Size inverter, battery and PV with today's switching and with the plan, and keep the quote beside the job.

    ``days`` are those it rests on, else the longest stretch without a gap. The plan is the one kept, or one sought
    now. Raises what ``quote_case`` and ``seek_plan`` do.
    """
    control = _planned(assessment, question, days or question.whole_days(), effort, labour_for, progress)
    case = quote_case(question, control, assessment.peaks(), outage_s, progress, days)
    made = case.answer(progress, labour_for(""))
    made = replace(made, findings=gravest_first((*made.findings, *case.findings)))
    assessment.keep_quote(made)
    return case, made


def _planned(
    assessment: Assessment, question: Question, days: Days, effort: Effort, labour_for: LabourFor, progress: Progress
) -> Control | None:
    """Return the rules of the plan kept beside the job, or of one sought now; None where nothing may be switched."""
    kept = assessment.plan()
    if kept is not None:
        return kept.best.control
    objective: Objective | None = None if assessment.has_tariff else "peak"
    try:
        asked, made, _ = seek_plan(assessment, question, days, objective, effort, labour_for, progress)
    except JobError as error:
        if error.faults[0].code not in ("job.nothing-to-switch", "job.nothing-to-simulate"):
            raise
        return None
    return made.best.tried.plan.control(asked.case.today)
