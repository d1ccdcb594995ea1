"""The pages of the desk put together: what each template is given."""

from dataclasses import dataclass, replace
from datetime import UTC, datetime
from zoneinfo import available_timezones

from wattwright.charts.picture import Picture
from wattwright.charts.table import Table
from wattwright.core.errors import Fault, InputError
from wattwright.core.show import THIN
from wattwright.handover.align import paper_data
from wattwright.handover.context import LANGUAGE
from wattwright.handover.page import Drawn, Take
from wattwright.handover.paper import KeyFigure, Paper, Section, TableBlock
from wattwright.handover.papers import SURVEY
from wattwright.handover.phone import PHONE
from wattwright.store.jobs import Listed, Revision
from wattwright.store.runs import Run, RunState
from wattwright.web.cures import cures_for
from wattwright.web.desk import Desk
from wattwright.web.errand import BUILD, FREEZE, PLAN, PROVE, QUOTE
from wattwright.web.failing import Failing
from wattwright.web.forms import Field, Form
from wattwright.web.held import PAST, HeldJob
from wattwright.web.links import PREVIEWS, Links, made_for
from wattwright.web.page_forms import READINGS, forms_of, removal
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
from wattwright.web.render import rendered
from wattwright.web.sheets.gear import WiringDrawing
from wattwright.web.stages import stages_at_first, unknown_stages
from wattwright.web.titles import title
from wattwright.web.whole import Whole, bare_paper
from wattwright.web.words import words

_RUNS_ON = {"plan": (PLAN,), "supply": (QUOTE,), "handover": (BUILD,), "proof": (FREEZE, PROVE)}
_SHOWN_PAPERS = {"report.pdf": "report", "report.html": "report", "sheets.pdf": "sheets", SURVEY: "visit"}


@dataclass(frozen=True, slots=True)
class Tried:
    """A change that was not saved: its form with what was typed, why, and the faults that belong to no field."""

    form: Form | None = None
    note: str = ""
    faults: tuple[Fault, ...] = ()


_NOTHING_TRIED = Tried()
_MOST_SHOWN = 200
"""Texts of pages kept for a job: as many as a large survey has loads, and not one for every address that can be written."""


@dataclass(frozen=True, slots=True)
class Showing:
    """Puts pages together for one desk."""

    desk: Desk
    links: Links

    def sheet_text(self, job: HeldJob, name: str, looked_at: str = "") -> str:
        """A page of a job as text, set once for as long as nothing that stands on it changes."""
        from_, before = self.desk.before(job.id, job.revision.number)
        file = made_for(name, looked_at)
        made = self.desk.making.page(job, name, file, figures=bool(before))
        latest = job.latest()
        now = (made and made.at_s, latest and latest.at_s, job.revision, from_, self._run(job, name))
        known, text = job.shown.get((name, looked_at), (None, ""))
        if made is None or known != now:
            text = rendered(self.sheet(job, name, looked_at=looked_at))
            job.shown[name, looked_at] = (now if made is not None else None, text)
            while len(job.shown) > _MOST_SHOWN:
                del job.shown[next(iter(job.shown))]
        return text

    def sheet(self, job: HeldJob, name: str, tried: Tried = _NOTHING_TRIED, looked_at: str = "") -> SheetPage:
        """A page of a job, with what is known of it where it is still being made."""
        from_, before = self.desk.before(job.id, job.revision.number)
        file = made_for(name, looked_at)
        made = self.desk.making.page(job, name, file, figures=bool(before))
        making = "" if made is not None else self.links.ready(job.id, name, file)
        shown = made or job.pages.get((name, file)) or _in_making(job, name)
        forms = _with_tried((*shown.questions, *forms_of(job, name, self.links, looked_at)), tried)
        papers = shown.papers.items()
        built = tuple(self._taken(job, one, state) for one, state in papers if state != "not built")
        taken = self._for_the_visit(job) if name == "survey" else built
        # Beside a change that was not saved nothing is said of the one before it.
        compared = before if made is not None and not tried.note else ()
        return SheetPage(
            frame=self.frame(job, name), revised=_revised(self.desk, job.revision), paper=shown.data,
            pictures={one.id: self._picture(job, name, shown, one) for one in shown.paper.pictures()}, note=tried.note,
            faults=(*tried.faults, *shown.faults), changes=differing(compared, made.key_figures) if made and compared else (),
            changed_from=from_ if compared else 0, missing=shown.missing, next=shown.next,
            cures=cures_for(
                job.id,
                self.links,
                tuple(one.id for one in job.spec.files),
                tuple((one.id, one.name) for one in job.spec.loads),
            ),
            forms=forms, run=self._run(job, name), taken=taken,
            all_taken=self.links.papers(job.id) if built else "", drawings=self._drawings(job, shown), making=making,
            stale=bool(making) and bool(shown.mark),
        )  # fmt: skip

    def frame(self, job: HeldJob | None = None, current: str = "", title: str = "") -> Frame:
        """What stands around a page."""
        if job is None:
            return Frame(self.links, LANGUAGE, self.desk.token)
        named = title or (words(f"stage.{current}") if current else "")
        latest = job.latest()
        stages = stages_at_first(job) if latest is None else latest.stages
        return Frame(self.links, LANGUAGE, self.desk.token, job.id, stages, current, named)

    def figures(self, job: HeldJob, sheet: str, whole: Whole, id_: str, table: Table, title: str) -> PaperPage:
        """The figures behind a picture or a stretch of it, as a page of their own under the picture's title."""
        section = Section(title, words("figures.lead"), (TableBlock(table, wide=True),))
        block = replace(whole.paper.title_block, sheet=table.caption)
        paper = Paper(block, (section,), language=whole.paper.language, decimal_mark=whole.paper.decimal_mark)
        back = f"{self.links.sheet(job.id, sheet)}#{id_}"
        return PaperPage(self.frame(job, sheet), paper_data(paper), {}, back, words(f"stage.{sheet}"), "")

    def wiring(self, job: HeldJob, whole: Whole, name: str, one: WiringDrawing) -> PaperPage:
        """What a drawing of the equipment shows, as tables."""
        blocks = tuple(TableBlock(table, wide=True) for table in one.tables)
        section = Section(words("gear.drawing.shown"), words("gear.drawing.lead"), blocks)
        paper = Paper(replace(whole.paper.title_block, sheet=one.title), (section,), language=LANGUAGE)
        takes = tuple(take for take in self._of_drawing(job, name)[1] if take.file)
        back = self.links.sheet(job.id, "gear")
        return PaperPage(self.frame(job, "gear"), paper_data(paper), {}, back, words("stage.gear"), "", takes)

    def preview(self, job: HeldJob, name: str, made: Whole | None) -> PaperPage:
        """A paper as a page, or that it is still being made."""
        shown = made or job.pages.get((name, "")) or _in_making(job, name)
        from_ = "survey" if name == "visit" else "handover"
        back = self.links.sheet(job.id, from_)
        drawings = {one.id: self._picture(job, name, shown, one) for one in shown.paper.pictures()}
        making = "" if made is not None else self.links.ready(job.id, name)
        takes = (
            (Take(self.links.visit(job.id, SURVEY, self.links.made_of(made.revision)), SURVEY, SURVEY),)
            if name == "visit" and made is not None
            else ()
        )
        return PaperPage(self.frame(job, from_), shown.data, drawings, back, words(f"stage.{from_}"), making, takes)

    def start(self, jobs: tuple[Listed, ...], tried: Tried = _NOTHING_TRIED) -> StartPage:
        """The list of jobs."""
        forms = start_forms(self.links)
        if tried.form is not None:
            forms = tuple(tried.form if one.id == tried.form.id else one for one in forms)
        note = " ".join((tried.note, *(fault.sentence() for fault in tried.faults))).strip()
        lines = tuple(self._line(one) for one in jobs)
        return StartPage(self.frame(), lines, forms, note, tuple(sorted(available_timezones())))

    def text(self, job: HeldJob, text: str = "", tried: Tried = _NOTHING_TRIED) -> TextPage:
        """The job file as text: as it is, or as it was typed."""
        shown, action = text or job.revision.text, self.links.act(job.id, "text")
        frame = self.frame(job, "", words("text.title"))
        return TextPage(frame, _revised(self.desk, job.revision), words("text.title"), action, shown, tried.note, tried.faults)

    def failing(self, what: Failing, job: HeldJob | None = None) -> FailingPage:
        """The page of a failure, with the contents line of the job where there is one."""
        return FailingPage(self.frame(job), what)

    def failed(self, what: Failing, id_: str) -> FailingPage:
        """The page of a failure at a job's address, where that is one: with the job's contents line where it changed meanwhile.

        A fault of ours may be one of opening the job; what leads out of it is its text, and taking back what was changed last.
        """
        try:
            if id_ and what.status in (409, 410):
                return self.failing(what, self.desk.job(id_))
            if id_ and what.status == 500:
                frame = Frame(self.links, LANGUAGE, self.desk.token, id_, unknown_stages())
                return FailingPage(frame, what, revised=_revised(self.desk, self.desk.store.head(id_)))
        except InputError:
            pass  # the job cannot be opened, or is none: the failure is told without it
        return self.failing(what)

    def unopened(self, what: Failing, head: Revision) -> FailingPage:
        """The page of a job that cannot be opened, from which it can be removed."""
        return FailingPage(self.frame(), what, removal(head.job, self.links), head.number)

    def _line(self, one: Listed) -> JobLine:
        when = f"{datetime.fromtimestamp(one.head.made_s, UTC).astimezone():%Y-%m-%d %H:%M}"
        name, place = title(one)
        return JobLine(name, place, self.links.job(one.id), one.head.cause, when)

    def _picture(self, job: HeldJob, sheet: str, whole: Whole, picture: Picture) -> Drawn:
        id_, links = picture.id, self.links
        of = links.made_of(whole.revision, whole.looked_at)
        narrow = picture.narrow is not None
        still = {
            form: links.picture_file(job.id, sheet, id_, f"{form}.png", of)
            for form in ("light", "dark", *(("narrow-light", "narrow-dark") if narrow else ()))
        }
        return Drawn(
            "", "", live=links.drawing(job.id, sheet, id_, of=of), alt=picture.alt, still=still,
            reading="" if picture.reading is None else links.reading(job.id, sheet, id_, of),
            zooms=picture.reading is not None and picture.reading.zoom is not None,
            links=self._takes(job, sheet, whole, id_),
            live_narrow=links.drawing(job.id, sheet, id_, "narrow", of) if narrow else "",
        )  # fmt: skip

    def _takes(self, job: HeldJob, sheet: str, whole: Whole, id_: str) -> tuple[Take, ...]:
        if sheet in PREVIEWS or whole.mark == PAST:
            return ()
        links, of = self.links, self.links.made_of(whole.revision, whole.looked_at)
        takes = [
            Take(links.picture_file(job.id, sheet, id_, "svg", of), words("take.svg"), f"{id_}.svg"),
            Take(links.picture_file(job.id, sheet, id_, "png", of), words("take.png"), f"{id_}.png"),
        ]
        if id_ in whole.figures:
            takes[:0] = [
                Take(links.figures(job.id, sheet, id_, of), words("take.table")),
                Take(links.figures_file(job.id, sheet, id_, of), words("take.csv"), f"{id_}.csv"),
            ]
        return tuple(takes)

    def _run(self, job: HeldJob, sheet: str) -> RunView | None:
        runs = [self.desk.store.last_run(job.id, kind) for kind in _RUNS_ON.get(sheet, ())]
        last = max((one for one in runs if one is not None), key=lambda one: one.nth, default=None)
        return None if last is None else run_view(last)

    def _for_the_visit(self, job: HeldJob) -> tuple[Taken, ...]:
        """What is taken along on the visit: the paper is looked at first, and given there."""
        return (
            Taken(SURVEY, words("paper.survey.pdf"), self.links.preview(job.id, "visit"), ""),
            Taken(PHONE, words("paper.survey.html"), "", self.links.visit(job.id, PHONE)),
        )

    def _taken(self, job: HeldJob, name: str, state: str) -> Taken:
        shown = self.links.preview(job.id, _SHOWN_PAPERS[name]) if name in _SHOWN_PAPERS else ""
        title = words(f"paper.{name}") + ("" if state == "built" else words("paper.stale"))
        return Taken(name, title, shown, self.links.paper(job.id, name))

    def _drawings(self, job: HeldJob, whole: Whole) -> tuple[DrawingView, ...]:
        """The drawings of the equipment; none of what is out of date, for they are taken along to be built by."""
        if whole.mark == PAST:
            return ()
        return tuple(DrawingView(one.title, *self._of_drawing(job, name)) for name, one in whole.wirings.items())

    def _of_drawing(self, job: HeldJob, name: str) -> tuple[str, tuple[Take, ...]]:
        """Where a drawing of the equipment is, and what of it can be looked at and taken along."""
        of = self.links.made_of(job.revision.number)
        at, tables, joined, bare = (self.links.wiring(job.id, name, form, of) for form in ("svg", "", "csv", "png"))
        takes = (
            Take(at, words("take.large")), Take(tables, words("take.shown")), Take(joined, words("take.joined"), f"{name}.csv"),
            Take(at, words("take.svg"), f"{name}.svg"), Take(bare, words("take.png"), f"{name}.png"),
        )  # fmt: skip
        return at, takes


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


def _with_tried(forms: tuple[Form, ...], tried: Tried) -> tuple[Form, ...]:
    """The forms, the one that was tried as it was typed; where it stands on another page, before all others."""
    if tried.form is None:
        return forms
    if all(one.id != tried.form.id for one in forms):
        return (tried.form, *forms)
    return tuple(tried.form if one.id == tried.form.id else one for one in forms)


def _in_making(job: HeldJob, name: str) -> Whole:
    """What is shown of a page that was never made: its title block, and that it is being worked out."""
    paper = bare_paper(job, name, words("making.title"), words("making.lead"))
    return Whole(paper, paper_data(paper), (), 0.0)


def _revised(desk: Desk, one: Revision) -> Revised:
    redo = desk.store.revision(one.job, one.child).cause if one.child is not None else ""
    return Revised(one.number, one.cause, one.cause if one.parent is not None else "", redo)
