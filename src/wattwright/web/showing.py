"""The pages of the desk put together: what each template is given."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import UTC, datetime
from types import MappingProxyType
from zoneinfo import available_timezones

from wattwright.charts.picture import Picture
from wattwright.charts.table import Table
from wattwright.core.errors import Fault, InputError
from wattwright.core.show import THIN
from wattwright.handover.align import paper_data
from wattwright.handover.context import LANGUAGE
from wattwright.handover.page import Drawn, Take
from wattwright.handover.paper import KeyFigure, Paper, Section, TableBlock
from wattwright.store.jobs import Listed
from wattwright.store.runs import Run, RunState
from wattwright.web.cures import cures_for
from wattwright.web.desk import Desk
from wattwright.web.errand import BUILD, FREEZE, PLAN, PROVE, QUOTE
from wattwright.web.failing import Failing
from wattwright.web.forms import Field, Form
from wattwright.web.links import Links
from wattwright.web.next_steps import missing_on, next_step
from wattwright.web.open_job import Maker, OpenJob, Sheet
from wattwright.web.page_forms import READINGS, forms_of
from wattwright.web.pages import (
    Change,
    DrawingView,
    FailingPage,
    Frame,
    JobLine,
    PaperPage,
    Revised,
    RunView,
    SheetPage,
    StartPage,
    Taken,
    TextPage,
)
from wattwright.web.sheets import demand, gear, handover, meter_files, plan, proof, property, supply, survey, tariff
from wattwright.web.stages import stages_of
from wattwright.web.words import words

MAKERS: Mapping[str, Maker] = MappingProxyType(
    {
        "property": property.sheet, "meter-files": meter_files.sheet, "demand": demand.sheet, "survey": survey.sheet,
        "tariff": tariff.sheet, "plan": plan.sheet, "gear": gear.sheet, "supply": supply.sheet, "handover": handover.sheet,
        "proof": proof.sheet,
    }
)  # fmt: skip
_RUNS_ON = {"plan": (PLAN,), "supply": (QUOTE,), "handover": (BUILD,), "proof": (FREEZE, PROVE)}
_SHOWN_PAPERS = {"report.pdf": "report", "report.html": "report", "sheets.pdf": "sheets"}


@dataclass(frozen=True, slots=True)
class Tried:
    """A change that was not saved: its form with what was typed, why, and the faults that belong to no field."""

    form: Form | None = None
    note: str = ""
    faults: tuple[Fault, ...] = ()


_NOTHING_TRIED = Tried()


@dataclass(frozen=True, slots=True)
class Showing:
    """Puts pages together for one desk."""

    desk: Desk
    links: Links

    def sheet(self, job: OpenJob, name: str, tried: Tried = _NOTHING_TRIED, looked_at: str = "") -> SheetPage:
        """A page of a job. Raises InputError where the job cannot be told at all."""
        faults = tried.faults
        try:
            made = job.sheet(name, MAKERS[name])
        except InputError as error:
            # What keeps the page from being made is told on it, above the forms that may cure it.
            made, faults = _unmade(job, name), (*faults, *error.faults)
        with job.lock:
            forms = forms_of(job, name, self.links, looked_at)
            missing, ahead = missing_on(job, name, self.links), next_step(job, name, self.links)
            from_, changes = self._changes(job)
            papers = handover.papers_of(job) if name == "handover" else {}
        if tried.form is not None:
            forms = tuple(tried.form if one.id == tried.form.id else one for one in forms)
        taken = tuple(self._taken(job, one, state) for one, state in papers.items() if state != "not built")
        return SheetPage(
            frame=self.frame(job, name), revised=_revised(self.desk, job), paper=paper_data(made.paper),
            pictures={one.id: self._picture(job, made, one) for one in made.paper.pictures()}, note=tried.note, faults=faults,
            changes=changes, changed_from=from_, missing=missing, next=ahead, cures=cures_for(job.id, self.links), forms=forms,
            run=self._run(job, name), taken=taken, all_taken=self.links.papers(job.id) if taken else "",
            drawings=self._drawings(job) if name == "gear" else (),
        )  # fmt: skip

    def frame(self, job: OpenJob | None = None, current: str = "", title: str = "") -> Frame:
        """What stands around a page."""
        if job is None:
            return Frame(self.links, LANGUAGE, self.desk.token)
        named = title or (words(f"stage.{current}") if current else "")
        return Frame(self.links, LANGUAGE, self.desk.token, job.id, stages_of(job), current, named)

    def figures(self, job: OpenJob, sheet: Sheet, picture: Picture, table: Table) -> PaperPage:
        """The figures behind a picture, as a page of their own."""
        section = Section(picture.title, words("figures.lead"), (TableBlock(table, wide=True),))
        block = replace(sheet.paper.title_block, sheet=table.caption)
        paper = Paper(block, (section,), language=sheet.paper.language, decimal_mark=sheet.paper.decimal_mark)
        back = f"{self.links.sheet(job.id, sheet.name)}#{picture.id}"
        return PaperPage(self.frame(job, sheet.name), paper_data(paper), {}, back, words(f"stage.{sheet.name}"))

    def preview(self, job: OpenJob, paper: Paper, drawings: Mapping[str, Drawn]) -> PaperPage:
        """A paper as a page."""
        back = self.links.sheet(job.id, "handover")
        return PaperPage(self.frame(job, "handover"), paper_data(paper), drawings, back, words("stage.handover"))

    def start(self, jobs: tuple[Listed, ...], tried: Tried = _NOTHING_TRIED) -> StartPage:
        """The list of jobs."""
        forms = start_forms(self.links)
        if tried.form is not None:
            forms = tuple(tried.form if one.id == tried.form.id else one for one in forms)
        note = " ".join((tried.note, *(fault.sentence() for fault in tried.faults))).strip()
        lines = tuple(self._line(one) for one in jobs)
        return StartPage(self.frame(), lines, forms, note, tuple(sorted(available_timezones())))

    def text(self, job: OpenJob, text: str = "", tried: Tried = _NOTHING_TRIED) -> TextPage:
        """The job file as text: as it is, or as it was typed."""
        shown, action = text or job.revision.text, self.links.act(job.id, "text")
        frame = self.frame(job, "", words("text.title"))
        return TextPage(frame, _revised(self.desk, job), words("text.title"), action, shown, tried.note, tried.faults)

    def failing(self, what: Failing, job: OpenJob | None = None) -> FailingPage:
        """The page of a failure, with the contents line of the job where there is one."""
        return FailingPage(self.frame(job), what)

    def _line(self, one: Listed) -> JobLine:
        import tomllib

        try:
            data = tomllib.loads(one.head.text)
        except tomllib.TOMLDecodeError:
            data = {}
        when = f"{datetime.fromtimestamp(one.head.made_s, UTC).astimezone():%Y-%m-%d %H:%M}"
        name, place = str(data.get("name", one.id)), str(data.get("place", ""))
        return JobLine(name, place, self.links.job(one.id), one.head.cause, when)

    def _changes(self, job: OpenJob) -> tuple[int, tuple[Change, ...]]:
        """What the last change did to the key figures, where both are known."""
        from_, before = self.desk.before(job.id, job.revision.number)
        return (from_, differing(before, job.key_figures())) if before else (0, ())

    def _picture(self, job: OpenJob, sheet: Sheet, picture: Picture) -> Drawn:
        name, id_, links = sheet.name, picture.id, self.links
        takes = [
            Take(links.picture_file(job.id, name, id_), words("take.svg"), f"{id_}.svg"),
            Take(links.picture_file(job.id, name, id_, "png"), words("take.png"), f"{id_}.png"),
        ]
        if id_ in sheet.figures:
            takes[:0] = [
                Take(links.figures(job.id, name, id_), words("take.table")),
                Take(links.figures_file(job.id, name, id_), words("take.csv"), f"{id_}.csv"),
            ]
        return replace(
            sheet.drawings[id_], live=links.drawing(job.id, name, id_),
            live_narrow=links.drawing(job.id, name, id_, "narrow") if picture.narrow is not None else "", links=tuple(takes),
        )  # fmt: skip

    def _run(self, job: OpenJob, sheet: str) -> RunView | None:
        runs = [self.desk.store.last_run(job.id, kind) for kind in _RUNS_ON.get(sheet, ())]
        last = max((one for one in runs if one is not None), key=lambda one: one.nth, default=None)
        return None if last is None else run_view(last)

    def _taken(self, job: OpenJob, name: str, state: str) -> Taken:
        shown = self.links.preview(job.id, _SHOWN_PAPERS[name]) if name in _SHOWN_PAPERS else ""
        title = words(f"paper.{name}") + ("" if state == "built" else words("paper.stale"))
        return Taken(name, title, shown, self.links.paper(job.id, name))

    def _drawings(self, job: OpenJob) -> tuple[DrawingView, ...]:
        return tuple(DrawingView(gear.title_of(name), self.links.wiring(job.id, name)) for name in gear.wirings(job))


def start_forms(links: Links) -> tuple[Form, ...]:
    """The forms that add a job."""
    zone = Field("zone", words("field.zone"), words("field.zone.help"), "text", wanted=True)
    name = Field("name", words("field.name"), words("field.name.help"), "text", usual=words("field.name.usual"))
    return (
        Form(
            "new", words("start.new"), links.new, (zone, name), words("do.new"), words("start.new.note"),
            files=words("files.choose"), many=True, accept=READINGS,
        ),
        Form(
            "import", words("start.import"), links.take_in, (), words("do.import"), words("start.import.note"), closed=True,
            files=words("start.choose"), accept=".zip",
        ),
        Form("demo", words("start.demo"), links.demo, (), words("do.demo"), words("start.demo.note"), closed=True),
    )  # fmt: skip


def run_view(run: Run) -> RunView:
    """Long work as a page shows it."""
    if run.state in (RunState.RUNNING, RunState.STOPPING) and run.total:
        key = "run.running" if run.state is RunState.RUNNING else "run.stopping"
        told = words(key, doing=run.doing, done=int(run.done), total=int(run.total))
    else:
        told = words(f"run.{run.state}.bare" if run.is_open else f"run.{run.state}", told=run.told)
    return RunView(run.id, run.is_open, told, run.done, run.total, run.state is RunState.FAILED)


def differing(before: tuple[KeyFigure, ...], after: tuple[KeyFigure, ...]) -> tuple[Change, ...]:
    """The key figures that are not what they were; a dash stands for one that is not there."""
    old, new = ({one.label: f"{one.value}{THIN}{one.unit}" for one in figures} for figures in (before, after))
    labels = dict.fromkeys((*old, *new))
    return tuple(Change(one, old.get(one, "–"), new.get(one, "–")) for one in labels if old.get(one) != new.get(one))


def _unmade(job: OpenJob, name: str) -> Sheet:
    """The page whose paper cannot be made: its title block, and that it cannot."""
    from wattwright.web.sheets.common import title_block

    section = Section(words("unmade.title"), words("unmade.lead"))
    return Sheet(name, Paper(title_block(job, name), (section,), language=LANGUAGE), {}, {})


def _revised(desk: Desk, job: OpenJob) -> Revised:
    one = job.revision
    redo = desk.store.revision(one.job, one.child).cause if one.child is not None else ""
    return Revised(one.number, one.cause, one.cause if one.parent is not None else "", redo)
