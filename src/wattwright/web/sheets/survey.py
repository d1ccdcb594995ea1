"""The page of the survey: which loads were found, and what the readings say of them together."""

from wattwright.core.errors import InputError
from wattwright.handover.evidence import survey
from wattwright.handover.paper import Section, Text
from wattwright.web.open_job import OpenJob
from wattwright.web.sheets.common import Made, context_of, nothing_yet, paper
from wattwright.web.words import words


def sheet(job: OpenJob) -> Made:
    """The page, and no figures."""
    return paper(job, "survey", [_section(job)])


def _section(job: OpenJob) -> Section:
    if not job.spec.loads:
        return nothing_yet("survey")
    try:
        section = survey(context_of(job))
    except InputError:
        section = None
    names = ", ".join(one.name for one in job.spec.loads)
    return section or Section(words("survey.title"), words("survey.alone", count=len(job.spec.loads)), (Text(names),))
