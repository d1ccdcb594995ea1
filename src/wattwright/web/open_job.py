"""One revision of a job as the desk holds it: worked out once, each page made once."""

from collections.abc import Callable
from dataclasses import dataclass, field, replace
from pathlib import Path
from threading import RLock

from wattwright.charts.picture import Picture
from wattwright.charts.table import Table
from wattwright.core.errors import Fault, InputError
from wattwright.handover.opening import opening
from wattwright.handover.page import Drawn, drawn
from wattwright.handover.paper import KeyFigure, KeyFigures, Paper
from wattwright.handover.report import readings_of
from wattwright.job.assessment import Assessment
from wattwright.job.equipping import Equipped, can_equip, gear_of
from wattwright.job.file import Job, load_job
from wattwright.job.graph import State
from wattwright.job.look import Look, Told
from wattwright.job.spec import FileSpec, JobSpec
from wattwright.store.jobs import Revision
from wattwright.store.store import Store
from wattwright.web.bench import GEAR, Bench

PAPERS = "papers"
_LASTING = ("meter-files", "demand", "tariff", "plan", "gear", "supply", "proof")
"""Pages that rest on the job and on what long work left alone; the others tell how things stand, and are made each time."""


@dataclass(frozen=True, slots=True)
class Sheet:
    """A page of the job: the paper it shows, and for each picture its drawings and the figures that can be taken along."""

    name: str
    paper: Paper
    figures: dict[str, Table]
    drawings: dict[str, Drawn]

    def picture(self, id_: str) -> Picture | None:
        """The picture of that id, or None."""
        return next((one for one in self.paper.pictures() if one.id == id_), None)


Maker = Callable[["OpenJob"], tuple[Paper, dict[str, Table]]]


@dataclass(eq=False, slots=True)
class OpenJob:
    """A revision laid out on disk. Safe to be asked from several threads: its lock is taken by whoever works anything out."""

    revision: Revision
    job: Job
    results: Path
    bench: Bench
    lock: RLock = field(default_factory=RLock)
    assessment: Assessment = field(init=False)
    _refused: dict[str, tuple[Fault, ...]] = field(default_factory=dict)
    _sheets: dict[str, tuple[str, Sheet]] = field(default_factory=dict)
    _looks: dict[str, Look | None] = field(default_factory=dict)

    def __post_init__(self) -> None:
        """Wire the stages, each to be made on the bench."""
        self.assessment = Assessment(self.job, shelf=self.results, elsewhere=self._on_the_bench)

    @property
    def id(self) -> str:
        """The job's id in the store."""
        return self.revision.job

    @property
    def spec(self) -> JobSpec:
        """What the job says."""
        return self.job.spec

    @property
    def papers(self) -> Path:
        """The folder of the papers built last."""
        return self.results / PAPERS

    def sheet(self, name: str, make: Maker) -> Sheet:
        """A page by its name, made once for what is known now. Raises FileError, JobError, RecordError."""
        with self.lock:
            known = self._known()
            if name not in _LASTING or name not in self._sheets or self._sheets[name][0] != known:
                paper, figures = make(self)
                self._sheets[name] = (known, Sheet(name, paper, figures, {one.id: drawn(one) for one in paper.pictures()}))
            return self._sheets[name][1]

    def was_tried(self, name: str) -> bool:
        """Whether a page was made already."""
        return name in self._sheets

    def look(self, file: FileSpec) -> Look | None:
        """A look at a meter file with each open answer tried, None where nothing is open or the file is damaged."""
        with self.lock:
            if file.id not in self._looks:
                told = Told(self.spec.site.zone, file.layout, file.channel, file.meter)
                self._looks[file.id] = self.bench.look(self.job.inside(file.path), told)
            return self._looks[file.id]

    def equipped(self) -> Equipped | None:
        """The equipment of the job, None where it has no supply or nothing to switch. Raises InputError."""
        with self.lock:
            if not can_equip(self.assessment):
                return None
            self._on_the_bench(GEAR)
            return gear_of(self.assessment)

    def key_figures(self) -> tuple[KeyFigure, ...]:
        """The figures that answer first, and what the plan saves; none where the readings cannot be worked out."""
        with self.lock:
            try:
                context = readings_of(self.assessment)
                costs = self.assessment.costs() if self.assessment.has_tariff else None
                blocks = opening(replace(context, costs=costs)).blocks
            except InputError:
                return ()
            return next(block.figures for block in blocks if isinstance(block, KeyFigures))

    def key_figures_ready(self) -> tuple[KeyFigure, ...]:
        """The same where they are worked out already, else none: nothing is worked out."""
        with self.lock:
            wanted = [one for one in ("demand", "costs") if one in self.assessment.graph.names()]
            try:
                ready = all(self.assessment.graph.state(one) is State.READY for one in wanted)
            except InputError:
                return ()
        return self.key_figures() if wanted and ready else ()

    def _known(self) -> str:
        """A mark of what long work has left for the job, which pages tell beside the job itself."""
        if not self.spec.files:
            return ""
        made = self.assessment
        return f"{made.plan_print()}{made.quote_print()}{made.proposal_print()}{made.proof_print()}"

    def _on_the_bench(self, stage: str) -> None:
        """Have a stage made on the bench. Raises InputError with the faults for which it cannot be."""
        key = f"{stage} {self._known()}" if stage == GEAR else stage
        if key not in self._refused:
            self._refused[key] = self.bench.make(self.job.folder, self.results, stage)
        if self._refused[key]:
            raise InputError(self._refused[key])


def open_job(store: Store, revision: Revision, bench: Bench) -> OpenJob:
    """Open a revision. Raises FileError, and JobError where the job file cannot be read."""
    return OpenJob(revision, load_job(store.laid_out(revision)), store.results(revision.job), bench)
