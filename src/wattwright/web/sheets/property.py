"""The page of the property: what the job says of place and supply, and the result so far."""

from wattwright.core.show import Show
from wattwright.handover.paper import KeyFigures, Section
from wattwright.job.spec import JobSpec
from wattwright.web.open_job import OpenJob
from wattwright.web.sheets.common import Made, paper
from wattwright.web.words import words


def sheet(job: OpenJob) -> Made:
    """The page, and no figures."""
    figures = job.key_figures_ready()
    blocks = (KeyFigures(figures),) if figures else ()
    lead = f"{_place(job.spec)} {_supply(job.spec, job.assessment.show)}"
    return paper(job, "property", [Section(words("property.title"), lead, blocks)])


def _place(spec: JobSpec) -> str:
    where = spec.place or words("property.no-place")
    return words("property.place", place=where[:1].upper() + where[1:], zone=spec.site.zone)


def _supply(spec: JobSpec, show: Show) -> str:
    supply = spec.supply
    if supply is None:
        return words("property.supply.none")
    told = {"system": supply.system, "voltage": supply.voltage_v}
    if supply.main_protection_a is None:
        return words("property.supply.open", show, **told)
    return words("property.supply", show, **told, protection=supply.main_protection_a, power=supply.protection_w)
