"""The job as the desk holds it: worked out once, and anew as soon as one of its files has changed."""

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from threading import RLock

from wattwright.charts.picture import Picture
from wattwright.charts.table import Table
from wattwright.core.errors import InputError
from wattwright.core.findings import Finding, Severity
from wattwright.handover.opening import notes_beside
from wattwright.handover.page import Drawn, drawn
from wattwright.handover.paper import Paper
from wattwright.handover.report import readings_of
from wattwright.job.assessment import Assessment
from wattwright.job.graph import State
from wattwright.web import demand, meter_files
from wattwright.web.links import SHEETS
from wattwright.web.words import words


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


@dataclass(frozen=True, slots=True)
class StageState:
    """A stage of the job as the contents line names it: title, name of its page if it has one, and its state in words."""

    title: str
    sheet: str
    state: str


_Seen = tuple[tuple[str, int, int], ...]


class Desk:
    """One job, opened by `open_job` (which may raise InputError); safe to be asked from several threads."""

    def __init__(self, open_job: Callable[[], Assessment]) -> None:
        self._open = open_job
        self._lock = RLock()
        self._held: Assessment | None = None
        self._seen: _Seen = ()
        self._sheets: dict[str, Sheet] = {}

    def assessment(self) -> Assessment:
        """The job as its files stand now. Raises FileError, JobError."""
        with self._lock:
            if self._held is None or self._seen != _stamps(self._held):
                self._held, self._sheets = None, {}
                held = self._open()
                self._held, self._seen = held, _stamps(held)
            return self._held

    def sheet(self, name: str) -> Sheet:
        """A page of the job by its name in SHEETS. Raises FileError, JobError, RecordError."""
        with self._lock:
            assessment = self.assessment()
            if name not in self._sheets:
                make = {"meter-files": meter_files.sheet, "demand": demand.sheet}[name]
                paper, figures = make(assessment)
                self._sheets[name] = Sheet(name, paper, figures, {one.id: drawn(one) for one in paper.pictures()})
            return self._sheets[name]

    def stages(self) -> tuple[StageState, ...]:
        """The stages of the job and how each stands, without working anything out; none where the job cannot be read."""
        with self._lock:
            try:
                assessment = self.assessment()
            except InputError:
                return ()
            stands = {
                "meter-files": _of_files(assessment, tried="meter-files" in self._sheets),
                "demand": _of_demand(assessment),
                "costs": _of_costs(assessment),
            }
        return tuple(StageState(words(f"stage.{name}"), name if name in SHEETS else "", state) for name, state in stands.items())


def _stamps(assessment: Assessment) -> _Seen:
    """What tells that a file of the job has changed: when each was written and how long it is."""
    job = assessment.job
    named = [job.path, *(job.inside(one.path) for one in job.spec.files), *(job.inside(one) for one in job.spec.tariff.files)]
    return tuple(stamp for path in named for stamp in _stamp(path))


def _stamp(path: Path) -> _Seen:
    inside = sorted(path.iterdir()) if path.is_dir() else []
    found = []
    for one in (path, *inside):
        try:
            known = one.stat()
        except OSError:
            found.append((str(one), -1, -1))
        else:
            found.append((str(one), known.st_mtime_ns, known.st_size))
    return tuple(found)


def _state(
    assessment: Assessment, names: tuple[str, ...], findings: Callable[[], tuple[Finding, ...]], *, tried: bool = False
) -> str:
    """The state of some stages together in words: not made, out of date, unreadable, or how much is to be looked at.

    Where all were ``tried``, those that are not ready could not be read.
    """
    try:
        states = [assessment.graph.state(name) for name in names]
        failed = sum(state is not State.READY for state in states) if tried else 0
        if 0 < failed < len(states):
            return words("state.some-unreadable", count=failed)
        if State.MISSING in states:
            return words("state.missing")
        if State.STALE in states:
            return words("state.stale")
        told = findings()
    except InputError:
        return words("state.unreadable")
    count = len([one for one in told if one.severity is not Severity.NOTE])
    return words("state.look", count=count) if count else words("state.complete")


def _of_files(assessment: Assessment, *, tried: bool) -> str:
    files = [one.id for one in assessment.job.spec.files]
    if not files:
        return words("state.needs-file")
    names = tuple(f"record-{id_}" for id_ in files)
    return _state(assessment, names, lambda: tuple(one for id_ in files for one in assessment.record(id_).findings), tried=tried)


def _of_demand(assessment: Assessment) -> str:
    if "demand" not in assessment.graph.names():
        return words("state.needs-file")
    return _state(assessment, ("demand",), lambda: tuple(notes_beside(readings_of(assessment))))


def _of_costs(assessment: Assessment) -> str:
    if not assessment.job.spec.tariff.files:
        return words("state.needs-tariff")
    if not assessment.has_tariff:
        return words("state.needs-file")
    return _state(assessment, ("costs",), lambda: assessment.costs().tariffs[0].bill.findings)
