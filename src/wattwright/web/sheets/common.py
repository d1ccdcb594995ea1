"""What the pages of a job share: title block, context, and the section of a page that has nothing to show yet."""

from collections.abc import Callable
from dataclasses import replace

from wattwright.charts.table import Table
from wattwright.core.errors import InputError
from wattwright.handover.context import LANGUAGE, Context
from wattwright.handover.paper import Block, Paper, PictureBlock, Section, Steps, TitleBlock
from wattwright.handover.report import readings_of
from wattwright.web.held import HeldJob
from wattwright.web.links import SHEETS
from wattwright.web.open_job import OpenJob
from wattwright.web.words import words

Made = tuple[Paper, dict[str, Table]]
"""A page as a paper, and the figures of its pictures by their ids."""


def sheet_name(name: str) -> str:
    """What the title block calls a page: its title, its number and how many there are."""
    if name not in SHEETS:
        return words(f"preview.{name}")
    return words("sheet.of", title=words(f"stage.{name}"), number=SHEETS.index(name) + 1, count=len(SHEETS))


def title_block(job: HeldJob, name: str, basis: str = "") -> TitleBlock:
    """The title block of a page."""
    spec = job.spec
    rests = basis or words("files.basis", count=len(spec.files))
    return TitleBlock(
        spec.name, spec.place, sheet_name(name), spec.papers.date.isoformat(), spec.papers.revision, rests, spec.invented
    )


def paper(job: OpenJob, name: str, sections: list[Section]) -> Made:
    """A page of sections; figures are those that stand in each picture's own table."""
    figures = {}
    made = []
    for section in sections:
        blocks: list[Block] = []
        for block in section.blocks:
            if isinstance(block, PictureBlock):
                picture = block.picture
                beside = next((one.table for one in section.blocks if hasattr(one, "table")), None)
                table = picture.table or beside
                if table is not None:
                    figures[picture.id] = table
                blocks.append(PictureBlock(replace(picture, table=None)))
            else:
                blocks.append(block)
        made.append(replace(section, blocks=tuple(blocks)))
    show = job.assessment.show
    mark = show.fixed(0.5, 1).strip("0123456789")
    return Paper(title_block(job, name), tuple(made), language=LANGUAGE, decimal_mark=mark), figures


def context_of(job: OpenJob, *, costs: bool = False) -> Context:
    """The results that sections are made of: readings, plan and quote, and costs where wanted and known. Raises InputError."""
    assessment = job.assessment
    made = replace(readings_of(assessment), plan=assessment.plan(), quote=assessment.quote())
    return replace(made, costs=assessment.costs()) if costs and assessment.has_tariff else made


def or_why(context: Context, title: str, make: Callable[[], Section | None]) -> Section | None:
    """A part of a page, or why it cannot be made, such as a weather file that is not there: the rest stands all the same."""
    try:
        return make()
    except InputError as error:
        return Section(context.words(title), words("part.none", why=error.faults[0].sentence()))


def nothing_yet(name: str, step: str = "step") -> Section:
    """The section of a page that has nothing to show: what it is for, and the first useful step."""
    return Section(words(f"{name}.none.title"), words(f"{name}.none.lead"), (Steps((words(f"{name}.none.{step}"),)),))
