"""The page of the equipment: what switches each load, what was open, and how it is wired."""

from dataclasses import dataclass

from wattwright.charts.table import Table
from wattwright.core.errors import InputError
from wattwright.handover.fitted import fitted
from wattwright.web.open_job import OpenJob
from wattwright.web.sheets.common import Made, context_of, nothing_yet, paper
from wattwright.web.words import words


def sheet(job: OpenJob) -> Made:
    """The page, and no figures. Raises InputError where the readings cannot be worked out."""
    if job.spec.supply is None:
        return paper(job, "gear", [nothing_yet("gear", "supply")])
    if not job.spec.files:
        return paper(job, "gear", [nothing_yet("gear", "file")])
    equipped = job.equipped()
    has_loads = equipped is not None and equipped.gear.loads
    return paper(job, "gear", [fitted(context_of(job), equipped) if equipped and has_loads else nothing_yet("gear", "load")])


@dataclass(frozen=True, slots=True)
class WiringDrawing:
    """A drawing of the equipment: title, sheet as SVG, and what it shows as tables, the second of what is joined with what."""

    title: str
    svg: bytes
    tables: tuple[Table, ...]


def wirings(job: OpenJob) -> dict[str, WiringDrawing]:
    """The drawings of the equipment by name; none where there is none yet or something keeps it from being chosen."""
    from wattwright.handover.drawings.of_job import job_drawings, job_drawings_told, usual_size

    size = usual_size(job.spec)
    try:
        equipped = job.equipped() if job.spec.files else None
        if equipped is None:
            return {}
        drawn, told = job_drawings(equipped, job.spec, size), job_drawings_told(equipped, job.spec, size)
    except InputError:
        return {}
    return {
        name.removesuffix(".svg"): WiringDrawing(words("gear.drawing", name=title), drawn[name], tables)
        for name, (title, tables) in told.items()
    }
