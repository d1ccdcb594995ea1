"""A page of a job with all that has to be worked out for it, made beside the server and sent to it."""

import json
import time
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from pathlib import Path
from types import MappingProxyType
from typing import Any

from wattwright.charts.picture import Picture
from wattwright.charts.render import live_drawing
from wattwright.charts.table import Table
from wattwright.core.errors import Fault, InputError, Place, StoreError
from wattwright.handover.align import paper_data
from wattwright.handover.context import LANGUAGE
from wattwright.handover.paper import KeyFigure, Paper, Section
from wattwright.handover.papers import sheet_of
from wattwright.handover.pdf import pdf
from wattwright.handover.report import report
from wattwright.handover.sheets import sheets
from wattwright.handover.visit import visit
from wattwright.job.look import Look
from wattwright.store.jobs import Revision
from wattwright.web.forms import Form
from wattwright.web.found_forms import found_forms, found_sheet
from wattwright.web.held import PAST, HeldJob, Mark, mark_of
from wattwright.web.links import FOUND, PREVIEWS, links
from wattwright.web.next_steps import Step, missing_on, next_step
from wattwright.web.open_job import Maker, OpenJob, Sheet
from wattwright.web.page_forms import questions_of
from wattwright.web.sheets import demand, gear, handover, meter_files, plan, proof, property, supply, survey, tariff
from wattwright.web.sheets.common import title_block
from wattwright.web.stages import StageState, stages_of
from wattwright.web.words import words

MAKERS: Mapping[str, Maker] = MappingProxyType(
    {
        "property": property.sheet, "meter-files": meter_files.sheet, "demand": demand.sheet, "survey": survey.sheet,
        "tariff": tariff.sheet, "plan": plan.sheet, "gear": gear.sheet, "supply": supply.sheet, "handover": handover.sheet,
        "proof": proof.sheet,
    }
)  # fmt: skip
_MOST_TRIES = 3
"""A page is made again where long work left something while it was made; so often at most."""


@dataclass(frozen=True, slots=True)
class Wanted:
    """A page that is wanted: the revision, where it is laid out and its results lie, and the page's name.

    Of the meter file with the id `looked_at` each open answer is tried, or the survey shows the loads found; `figures` says
    that the key figures are wanted too, though they have to be worked out.
    """

    revision: Revision
    folder: Path
    results: Path
    name: str
    looked_at: str = ""
    figures: bool = False


@dataclass(frozen=True, slots=True)
class Whole:
    """A page of a job as it was made at an instant, `at_s`, when `mark` lay on the shelf.

    `paper` is its paper and `data` the same in plain data; `figures` the tables behind its pictures by id, `drawings` what the
    page's script draws, by name and form. `stages`, `missing` and `next` say how the job stands, `papers` how each of its papers
    does, `key_figures` what answers first. `questions` are forms for what a meter file leaves open, from `looks` at them.
    `wirings` are drawings of the equipment by name; `faults` is what keeps the paper from being made, `pdf` the paper for the
    visit as a file. `revision` is the number of what it was made of, `looked_at` the meter file whose answers were tried,
    `unread` how many meter files were known by then that cannot be read.
    """

    paper: Paper
    data: Mapping[str, Any]
    mark: Mark
    at_s: float
    figures: Mapping[str, Table] = field(default_factory=dict)
    drawings: Mapping[str, bytes] = field(default_factory=dict)
    stages: tuple[StageState, ...] = ()
    missing: tuple[Step, ...] = ()
    next: Step | None = None
    papers: Mapping[str, str] = field(default_factory=dict)
    key_figures: tuple[KeyFigure, ...] = ()
    questions: tuple[Form, ...] = ()
    looks: Mapping[str, Look | None] = field(default_factory=dict)
    wirings: Mapping[str, gear.WiringDrawing] = field(default_factory=dict)
    faults: tuple[Fault, ...] = ()
    pdf: bytes = b""
    revision: int = 0
    looked_at: str = ""
    unread: int = 0

    def picture(self, id_: str) -> Picture | None:
        """The picture of that id, or None."""
        return next((one for one in self.paper.pictures() if one.id == id_), None)


def make_whole(job: OpenJob, wanted: Wanted) -> Whole:
    """Make a page; what keeps its paper from being made is told on it. Raises FileError for what cannot be written."""
    for _ in range(_MOST_TRIES):
        before = mark_of(job.results)
        made = _made(job, wanted)
        if before == made.mark:
            break
    return made


def past_page(page: Whole) -> Whole:
    """A page of an earlier revision: what it shows, and nothing that can be answered or taken along as if it were right."""
    return replace(page, mark=PAST, questions=(), looks={}, papers={}, key_figures=(), faults=())


def unmade(job: HeldJob, name: str, faults: tuple[Fault, ...]) -> Whole:
    """The page whose paper cannot be made: its title block, and that it cannot."""
    paper = _unmade_paper(job, name)
    return Whole(paper, paper_data(paper), mark_of(job.results), time.monotonic(), faults=faults, revision=job.revision.number)


def bare_paper(job: HeldJob, name: str, title: str, lead: str) -> Paper:
    """A page that has only its title block, and why there is no more on it."""
    return Paper(title_block(job, name), (Section(title, lead),), language=LANGUAGE)


def _unmade_paper(job: HeldJob, name: str) -> Paper:
    return bare_paper(job, name, words("unmade.title"), words("unmade.lead"))


def _made(job: OpenJob, wanted: Wanted) -> Whole:
    name, own = wanted.name, links()
    sheet, faults = _sheet(job, wanted)
    is_page = name not in PREVIEWS
    if is_page and name != "meter-files" and job.unread():
        faults = faults[:1]  # the meter files' own page tells them all, and how the file is read
    questions = questions_of(job, own, wanted.looked_at) if name == "meter-files" else ()
    if wanted.looked_at == FOUND and not faults:
        questions = tuple(found_forms(job, own))
    return Whole(
        sheet.paper, paper_data(sheet.paper), figures=sheet.figures, drawings=_drawings(sheet.paper), faults=faults,
        wirings=gear.wirings(job) if name == "gear" else {}, questions=questions,
        looks=dict(job.looks),
        key_figures=job.key_figures() if wanted.figures else job.key_figures_ready(),
        missing=missing_on(job, name, own) if is_page else (), next=next_step(job, name, own) if is_page else None,
        papers=handover.papers_of(job) if name == "handover" else {},
        pdf=pdf(sheet.paper, sheet_of(job.spec)) if name == "visit" and not faults else b"",
        # Last: how the stages stand, and what lies there now, is known when all else was made.
        stages=stages_of(job), mark=mark_of(job.results), at_s=time.monotonic(), revision=wanted.revision.number,
        looked_at=wanted.looked_at, unread=len(job.unread()),
    )  # fmt: skip


def _sheet(job: OpenJob, wanted: Wanted) -> tuple[Sheet, tuple[Fault, ...]]:
    """A page of the job or the preview of a paper, and what kept it from being made."""
    name = wanted.name
    try:
        if wanted.looked_at == FOUND:
            return job.sheet(FOUND, found_sheet), ()
        return job.sheet(name, _previewed(name) if name in PREVIEWS else MAKERS[name]), ()
    except InputError as error:
        # What keeps the page from being made is told on it, above the forms that may cure it.
        return Sheet(name, _unmade_paper(job, name), {}), error.faults


def _previewed(name: str) -> Maker:
    def make(job: OpenJob) -> tuple[Paper, dict[str, Table]]:
        if name == "visit":
            return visit(job.assessment), {}
        equipped = job.equipped() if job.spec.files else None
        if name == "report":
            return report(job.assessment, equipped), {}
        if equipped is None:
            step = "Say what the supply is, and add a load that may be switched."
            raise StoreError.one(
                "store.not-there", Place(field=name), found="nothing to mount", wanted="a load to switch", next_step=step
            )
        return sheets(equipped, job.spec, job.assessment.show), {}

    return make


def _drawings(paper: Paper) -> dict[str, bytes]:
    made: dict[str, bytes] = {}
    for one in paper.pictures():
        for form, spec in (("wide", one.spec), ("narrow", one.narrow)):
            if spec is not None:
                made[f"{one.id}.{form}"] = json.dumps(live_drawing(spec), separators=(",", ":")).encode()
    return made
