"""The page of the plan: what to switch and what that is worth, and the day of the highest reading, simulated."""

from wattwright.core.errors import InputError
from wattwright.handover.paper import Block, PictureBlock, Section
from wattwright.handover.planned import planned
from wattwright.handover.simulated import simulated_picture
from wattwright.job.gearing import may_switch
from wattwright.web.open_job import OpenJob
from wattwright.web.sheets.common import Made, context_of, nothing_yet, paper
from wattwright.web.words import words


def sheet(job: OpenJob) -> Made:
    """The page, and the figures of its pictures. Raises InputError where the readings cannot be worked out."""
    if not job.spec.files:
        return paper(job, "plan", [nothing_yet("plan", "file")])
    section = planned(context_of(job))
    if section is None:
        step = "step" if may_switch(job.job, job.spec.control) else "load"
        section = nothing_yet("plan", step)
    return paper(job, "plan", [section, *_day(job)])


def _day(job: OpenJob) -> list[Section]:
    """The day of the highest reading as it is switched today, where the job can be simulated; else what keeps it from being."""
    if not any(one.can_be_simulated for one in job.spec.loads):
        return []
    title = words("plan.day.title")
    try:
        question = job.assessment.question()
        day = question.busiest()
        made = question.simulate(day, day)
        picture = simulated_picture(made, job.spec, job.spec.control, job.assessment.show)
    except InputError as error:
        return [Section(title, words("plan.day.none", why=error.faults[0].sentence()))]
    blocks: tuple[Block, ...] = (PictureBlock(picture),)
    return [Section(title, words("plan.day", job.assessment.show, day=job.assessment.show.day(day)), blocks)]
