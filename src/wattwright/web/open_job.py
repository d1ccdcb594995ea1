"""One revision of a job where it is worked out: beside the server, each result and each paper made once."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass, field, replace
from pathlib import Path

from wattwright.charts.table import Table
from wattwright.core.errors import Fault, InputError, RecordError
from wattwright.handover.opening import opening
from wattwright.handover.paper import KeyFigure, KeyFigures, Paper
from wattwright.handover.report import readings_of
from wattwright.job.assessment import Assessment
from wattwright.job.equipping import Equipped, can_equip, gear_of
from wattwright.job.file import load_job
from wattwright.job.graph import State
from wattwright.job.look import Look, Told, look_at
from wattwright.job.spec import FileSpec
from wattwright.store.jobs import Revision
from wattwright.web.held import HeldJob

_LASTING = ("meter-files", "demand", "tariff", "plan", "gear", "supply", "proof")
"""Pages that rest on the job and on what long work left alone; the others tell how things stand, and are made each time."""
_PARTS = 60
"""Parts of a meter file that a look at it reads."""


@dataclass(frozen=True, slots=True)
class Sheet:
    """A page of the job: the paper it shows, and the figures of its pictures that can be taken along."""

    name: str
    paper: Paper
    figures: dict[str, Table]


Maker = Callable[["OpenJob"], tuple[Paper, dict[str, Table]]]


@dataclass(eq=False, slots=True)
class OpenJob(HeldJob):
    """A revision with its stages; what could not be read once is not tried again."""

    _refused: dict[str, tuple[Fault, ...]] = field(default_factory=dict)
    _sheets: dict[str, tuple[str, Sheet]] = field(default_factory=dict)
    looks: dict[str, Look | None] = field(default_factory=dict)
    _equipped: dict[str, Equipped | tuple[Fault, ...]] = field(default_factory=dict)

    def sheet(self, name: str, make: Maker) -> Sheet:
        """A page by its name, made once for what is known now. Raises FileError, JobError, RecordError."""
        known = self._known()
        if name not in _LASTING or name not in self._sheets or self._sheets[name][0] != known:
            self._sheets[name] = (known, Sheet(name, *make(self)))
        return self._sheets[name][1]

    def was_tried(self, name: str) -> bool:
        """Whether a page was made already."""
        return name in self._sheets

    def unread(self) -> tuple[tuple[int, tuple[Fault, ...]], ...]:
        """The meter files that cannot be read, by place, and why; none as long as nothing was tried that rests on them."""
        return tuple(self._unread()) if self._refused else ()

    def _unread(self) -> Iterator[tuple[int, tuple[Fault, ...]]]:
        for index, file in enumerate(self.spec.files):
            try:
                self.assessment.record(file.id)
            except InputError as error:
                yield index, error.faults

    def look(self, file: FileSpec) -> Look | None:
        """A look at a meter file with each open answer tried, None where nothing is open or the file is damaged."""
        if file.id not in self.looks:
            told = Told(self.spec.site.zone, file.layout, file.channel, file.meter)
            try:
                self.looks[file.id] = look_at(self.job.inside(file.path), told, _PARTS)
            except RecordError:
                self.looks[file.id] = None
        return self.looks[file.id]

    def equipped(self) -> Equipped | None:
        """The equipment of the job, None where it has no supply or nothing to switch. Raises InputError."""
        if not can_equip(self.assessment):
            return None
        known = self._known()
        if known not in self._equipped:
            try:
                self._equipped = {known: gear_of(self.assessment)}
            except InputError as error:
                self._equipped = {known: error.faults}
        found = self._equipped[known]
        if isinstance(found, Equipped):
            return found
        raise InputError(found)

    def key_figures(self) -> tuple[KeyFigure, ...]:
        """The figures that answer first, and what the plan saves; none where the readings cannot be worked out."""
        try:
            context = readings_of(self.assessment)
            costs = self.assessment.costs() if self.assessment.has_tariff else None
            blocks = opening(replace(context, costs=costs)).blocks
        except InputError:
            return ()
        return next(block.figures for block in blocks if isinstance(block, KeyFigures))

    def key_figures_ready(self) -> tuple[KeyFigure, ...]:
        """The same where they are worked out already, else none: nothing is worked out."""
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

    def _wanted(self, stage: str) -> None:
        """Make a stage, and remember where it cannot be. Raises InputError with the faults for which it cannot."""
        if stage not in self._refused:
            try:
                Assessment(self.job, shelf=self.results).graph.result(stage)
                return
            except InputError as error:
                self._refused[stage] = error.faults
        raise InputError(self._refused[stage])


def open_job(revision: Revision, folder: Path, results: Path) -> OpenJob:
    """Open a revision that is laid out in a folder. Raises FileError, and JobError where the job file cannot be read."""
    return OpenJob(revision, load_job(folder, confined=True), results)
