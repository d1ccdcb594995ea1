"""The page of the supply: what inverter, battery and PV to quote, with today's switching and with the plan."""

from wattwright.handover.quoted import quoted
from wattwright.web.open_job import OpenJob
from wattwright.web.sheets.common import Made, context_of, nothing_yet, paper


def sheet(job: OpenJob) -> Made:
    """The page, and the figures of its pictures. Raises InputError where the readings cannot be worked out."""
    if not job.spec.files:
        return paper(job, "supply", [nothing_yet("supply", "file")])
    return paper(job, "supply", [quoted(context_of(job)) or nothing_yet("supply")])
