"""The page of the survey: which loads were found, what the readings say of them together, and whether the survey adds up."""

from wattwright.core.errors import InputError
from wattwright.handover.adds_up import adds_up
from wattwright.handover.evidence import survey
from wattwright.handover.paper import Section, Text
from wattwright.job.surveyed import household_allowance_w
from wattwright.web.open_job import OpenJob
from wattwright.web.sheets.common import Made, context_of, nothing_yet, or_why, paper
from wattwright.web.words import words


def sheet(job: OpenJob) -> Made:
    """The page, and no figures."""
    return paper(job, "survey", [_section(job), *_held_against(job)])


def _held_against(job: OpenJob) -> list[Section]:
    """The survey held against the readings, where there are both; what keeps them from being read is told with the files."""
    if not job.spec.loads or job.spec.main_file() is None:
        return []
    try:
        context = context_of(job)
    except InputError:
        return []
    allowed_w = household_allowance_w(job.spec)
    made = or_why(context, "adds.title", lambda: adds_up(context, job.assessment.reconciled(), allowed_w))
    return [made] if made is not None else []


def _section(job: OpenJob) -> Section:
    if not job.spec.loads:
        return nothing_yet("survey")
    try:
        section = survey(context_of(job))
    except InputError:
        section = None
    names = ", ".join(one.name for one in job.spec.loads)
    return section or Section(words("survey.title"), words("survey.alone", count=len(job.spec.loads)), (Text(names),))
