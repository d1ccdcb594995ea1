"""The page of the tariff: what the readings cost, month by month, and other tariffs beside it."""

from wattwright.handover.costs import costs
from wattwright.handover.opening import with_doubt
from wattwright.web.open_job import OpenJob
from wattwright.web.sheets.common import Made, context_of, nothing_yet, paper


def sheet(job: OpenJob) -> Made:
    """The page, and the figures of its pictures. Raises InputError where bill or readings cannot be worked out."""
    if not job.spec.tariff.files:
        return paper(job, "tariff", [nothing_yet("tariff")])
    if not job.assessment.has_tariff:
        return paper(job, "tariff", [nothing_yet("tariff", "file")])
    context = context_of(job, costs=True)
    return paper(job, "tariff", [with_doubt(context, costs(context))])
