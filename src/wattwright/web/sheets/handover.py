"""The page of the handover: which papers there are, and how each stands."""

from wattwright.charts.table import Cell
from wattwright.core.errors import InputError
from wattwright.handover.paper import Section, TableBlock
from wattwright.handover.papers import OF_EACH, OF_GEAR, standing
from wattwright.handover.wide import figure, number_column, table, text_column
from wattwright.job.equipping import can_equip
from wattwright.web.open_job import OpenJob
from wattwright.web.sheets.common import Made, nothing_yet, paper
from wattwright.web.words import words


def sheet(job: OpenJob) -> Made:
    """The page, and no figures."""
    return paper(job, "handover", [_section(job)])


def papers_of(job: OpenJob) -> dict[str, str]:
    """How each paper of the job stands: "built", "out of date" or "not built"; none where there are no readings yet."""
    if not job.spec.files:
        return {}
    names = (*OF_EACH, *(OF_GEAR if can_equip(job.assessment) else ()))
    try:
        return standing(job.assessment, job.papers, names)
    except InputError:
        return dict.fromkeys(names, "not built")


def _section(job: OpenJob) -> Section:
    stands = papers_of(job)
    if not stands:
        return nothing_yet("handover", "file")
    show = job.assessment.show
    rows: list[tuple[Cell, ...]] = []
    for name, state in stands.items():
        path = job.papers / name
        size = figure(show, path.stat().st_size / 1000, 0) if path.is_file() else ""
        rows.append((name, words(f"paper.{name}"), words(f"paper.state.{state.replace(' ', '-')}"), size))
    columns = [text_column("File"), text_column("What it is"), text_column("State"), number_column("Size", "kB")]
    if not any(size for *_, size in rows):  # nothing is built yet: on a telephone an empty column pushes the others out
        columns, rows = columns[:-1], [row[:-1] for row in rows]
    built = sum(state == "built" for state in stands.values())
    lead = words("handover.lead", show, count=len(stands), built=built)
    return Section(words("handover.title"), lead, (TableBlock(table(columns, rows, words("handover.table")), wide=True),))
