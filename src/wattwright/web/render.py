"""Pages from papers and failures: templates filled, no arithmetic."""

from dataclasses import replace
from functools import lru_cache
from pathlib import Path
from typing import Any

from wattwright.charts.picture import Picture
from wattwright.charts.table import Table
from wattwright.handover.align import paper_data
from wattwright.handover.context import LANGUAGE
from wattwright.handover.page import Drawn, Take, environment
from wattwright.handover.paper import Paper, Section, TableBlock
from wattwright.web.desk import Sheet, StageState
from wattwright.web.failing import Failing
from wattwright.web.links import Links
from wattwright.web.words import words

_TEMPLATES = Path(__file__).parent / "templates"


@lru_cache(maxsize=1)
def _environment() -> Any:
    return environment(_TEMPLATES)


def sheet_page(sheet: Sheet, stages: tuple[StageState, ...], links: Links) -> str:
    """A page of the job."""
    pictures = {one.id: _picture(sheet, one, links) for one in sheet.paper.pictures()}
    return _render("sheet.html", stages, links, sheet.name, **paper_data(sheet.paper), pictures=pictures, back="")


def figures_page(sheet: Sheet, picture: Picture, table: Table, stages: tuple[StageState, ...], links: Links) -> str:
    """The figures behind a picture, as a page of their own."""
    section = Section(picture.title, words("figures.lead"), (TableBlock(table, wide=True),))
    block = replace(sheet.paper.title_block, sheet=table.caption)
    paper = Paper(block, (section,), language=sheet.paper.language, decimal_mark=sheet.paper.decimal_mark)
    back = f"{links.sheet(sheet.name)}#{picture.id}"
    return _render("sheet.html", stages, links, sheet.name, **paper_data(paper), pictures={}, back=back)


def failing_page(failing: Failing, stages: tuple[StageState, ...], links: Links) -> str:
    """The page that says what is wrong."""
    return _render("failing.html", stages, links, "", failing=failing, language=LANGUAGE)


def _render(template: str, stages: tuple[StageState, ...], links: Links, current: str, **data: Any) -> str:
    names = {one.sheet: one.title for one in stages}
    frame = {"links": links, "stages": stages, "current": current, "current_title": names.get(current, ""), "say": words}
    return str(_environment().get_template(template).render(**frame, **data))


def _picture(sheet: Sheet, picture: Picture, links: Links) -> Drawn:
    name, id_ = sheet.name, picture.id
    return replace(
        sheet.drawings[id_],
        live=links.drawing(name, id_),
        live_narrow=links.drawing(name, id_, "narrow") if picture.narrow is not None else "",
        links=(
            Take(links.figures(name, id_), words("take.table")),
            Take(links.figures_file(name, id_), words("take.csv"), f"{id_}.csv"),
            Take(links.picture_file(name, id_), words("take.svg"), f"{id_}.svg"),
        ),
    )
