"""The page of the equipment: what switches each load, what was open, and how it is wired."""

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


def wirings(job: OpenJob) -> dict[str, bytes]:
    """The drawings of the equipment as SVG by name; none where there is none yet or something keeps it from being chosen."""
    from wattwright.handover.drawings.of_job import job_drawings, usual_size

    try:
        equipped = job.equipped() if job.spec.files else None
        drawn = {} if equipped is None else job_drawings(equipped, job.spec, usual_size(job.spec))
    except InputError:
        return {}
    return {name: content for name, content in drawn.items() if name.endswith(".svg")}


def title_of(name: str) -> str:
    """What a drawing shows, by the name of its file."""
    stem = name.removesuffix(".svg").replace("-", " ")
    return words("gear.drawing", name=stem[:1].upper() + stem[1:])
