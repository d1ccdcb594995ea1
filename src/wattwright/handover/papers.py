"""The papers of a job written into a folder, each made again only when what it is made from has changed."""

import hashlib
import json
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from wattwright.core.files import read_bytes, source_of, write_bytes, write_text
from wattwright.core.fingerprint import code_version, fingerprint
from wattwright.core.progress import SILENT, Progress
from wattwright.handover.gear_tables import workbook_tables
from wattwright.handover.page import page
from wattwright.handover.pdf import Format, pdf
from wattwright.handover.report import report
from wattwright.handover.sheets import sheets
from wattwright.handover.visit import visit
from wattwright.handover.workbook import workbook
from wattwright.job.assessment import Assessment
from wattwright.job.equipping import Equipped, can_equip, gear_of
from wattwright.job.spec import JobSpec

PDF, PAGE, WORKBOOK, SURVEY = "report.pdf", "report.html", "workbook.xlsx", "survey.pdf"
OF_EACH = (PDF, PAGE, WORKBOOK, SURVEY)
"""Papers of every job."""
SHEETS, DRAWINGS, TERMINALS, CABLES = "sheets.pdf", "drawings.pdf", "terminals.csv", "cables.csv"
OF_GEAR = (SHEETS, DRAWINGS, TERMINALS, CABLES)
MANIFEST = ".papers.json"
_ROOMS = tuple(
    f"wattwright.{room}"
    for room in (
        "core", "record", "tariff", "loads", "control", "generation", "catalogue", "demand", "simulate", "plan", "gear",
        "supply", "proof", "job", "charts", "handover",
    )
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Papers:
    """Where the papers lie, those of ``gear`` only where the job has any; and the names of those that were made now.

    The others were still right.
    """

    pdf: Path
    page: Path
    workbook: Path
    survey: Path
    made: tuple[str, ...]
    gear: tuple[Path, ...] = ()


def write_papers(assessment: Assessment, into: Path, progress: Progress = SILENT) -> Papers:
    """Write report (PDF and one HTML file), workbook and survey sheet of a job into a folder and return where they are.

    Where the job has a supply and a load that may be switched, sheets, drawings and schedules too. A paper that lies there
    unchanged, made from the same results by the same code, is left as it is; one about equipment that the job no longer has is
    taken away unless somebody changed it. Each is put in place whole. Raises FileError, RecordError, TariffError, JobError,
    InputError.
    """
    print_ = _fingerprint(assessment)
    known = _manifest(into / MANIFEST)
    has_gear = can_equip(assessment)
    wanted = (*OF_EACH, *(OF_GEAR if has_gear else ()))
    stale = [name for name in wanted if not _is_right(into / name, known.get(name), print_)]
    gone = [] if has_gear else [name for name in OF_GEAR if name in known]
    if stale:
        equipped = gear_of(assessment, progress=progress) if has_gear else None
        makers, contents = _Makers(assessment, equipped, progress), dict[str, bytes]()
        for index, name in enumerate(stale):
            progress.at(f"making {name}", index, len(stale))
            contents[name] = makers.make(name)
        # All are made before the first is put in place, so that a failure leaves the old papers together.
        for name, content in contents.items():
            write_bytes(into / name, content)
            known[name] = {"made_from": print_, "sha256": hashlib.sha256(content).hexdigest()}
    for name in gone:
        _take_away(into / name, known.pop(name))
    if stale or gone:
        write_text(into / MANIFEST, json.dumps(known, indent=1, sort_keys=True) + "\n")
    of_gear = tuple(into / name for name in OF_GEAR) if has_gear else ()
    pdf_, page_, workbook_, survey = (into / name for name in OF_EACH)
    return Papers(pdf_, page_, workbook_, survey, tuple(stale), of_gear)


def standing(assessment: Assessment, into: Path, names: Sequence[str]) -> dict[str, str]:
    """Return how each paper in a folder stands, without making any: "built", "out of date" or "not built".

    Raises FileError, RecordError, TariffError, JobError.
    """
    print_, known = _fingerprint(assessment), _manifest(into / MANIFEST)
    old = {name: "out of date" if (into / name).is_file() else "not built" for name in names}
    return {name: "built" if _is_right(into / name, known.get(name), print_) else old[name] for name in names}


def sheet_of(spec: JobSpec) -> Format:
    """Return the format of a job's papers."""
    return "us-letter" if spec.papers.paper == "Letter" else "a4"


def write_survey(assessment: Assessment, into: Path) -> Path:
    """Write logging plan and survey sheet alone, which need no readings, and return where. Raises FileError, InputError."""
    return write_bytes(into / SURVEY, pdf(visit(assessment), sheet_of(assessment.job.spec)))


class _Makers:
    """Makes each paper from what is worked out once."""

    def __init__(self, assessment: Assessment, equipped: Equipped | None, progress: Progress) -> None:
        self.spec, self.show, self.equipped = assessment.job.spec, assessment.show, equipped
        self.assessment, self.progress = assessment, progress
        self.report = report(assessment, equipped)
        self.sheet = sheet_of(self.spec)
        self._drawn: Mapping[str, bytes] | None = None

    def make(self, name: str) -> bytes:
        """Return a paper by its name."""
        makers: dict[str, Callable[[], bytes]] = {
            PDF: lambda: pdf(self.report, self.sheet), PAGE: lambda: page(self.report).encode(), WORKBOOK: self._workbook,
            SURVEY: lambda: pdf(visit(self.assessment), self.sheet),
        }  # fmt: skip
        return makers[name]() if name in makers else self._of_gear(name)

    def _workbook(self) -> bytes:
        beside = () if self.equipped is None else workbook_tables(self.equipped, self.spec, self.show)
        return workbook(self.report, self.assessment.record(), self.progress, beside)

    def _of_gear(self, name: str) -> bytes:
        from wattwright.handover.drawings.of_job import job_drawings, usual_size

        assert self.equipped is not None  # papers of gear are asked for only where there is some
        if name == SHEETS:
            return pdf(sheets(self.equipped, self.spec, self.show), self.sheet)
        if self._drawn is None:
            self._drawn = job_drawings(self.equipped, self.spec, usual_size(self.spec))
        return self._drawn[name]


def _fingerprint(assessment: Assessment) -> str:
    graph, job = assessment.graph, assessment.job
    stages = {name: graph.fingerprint_of(name) for name in graph.names()}
    beside = [source_of(path, read_bytes(path)) for path in map(job.inside, _beside(assessment))]
    frozen = (assessment.frozen_text(), assessment.proof_print(), assessment.proof_lost_its_seal())
    kept = (assessment.plan_print(), assessment.quote_print(), *frozen, assessment.proof_is_of_others())
    return fingerprint(stages, job.spec, kept, beside, code_version(_ROOMS))


def _beside(assessment: Assessment) -> list[str]:
    """Return the files beside the job that its equipment is made from, none where it has no equipment.

    Weather only counts switchings: where its file is gone, they are left open and the papers are made all the same.
    """
    spec, weather = assessment.job.spec, assessment.job.spec.weather.file
    if not can_equip(assessment):
        return []
    there = [weather] if weather and assessment.job.inside(weather).is_file() else []
    return [*spec.gear.catalogue, *([spec.plan.gear] if spec.plan.gear else []), *there]


def _manifest(path: Path) -> dict[str, dict[str, str]]:
    try:
        given = json.loads(path.read_text(encoding="utf-8"))
    except (OSError, ValueError):
        return {}
    return given if isinstance(given, dict) else {}


def _is_right(path: Path, entry: object, print_: str) -> bool:
    """Return whether the paper at ``path`` was made from these inputs and has not been touched since."""
    return isinstance(entry, dict) and entry.get("made_from") == print_ and _is_ours(path, entry)


def _is_ours(path: Path, entry: object) -> bool:
    return isinstance(entry, dict) and path.is_file() and entry.get("sha256") == _sha256(path)


def _take_away(path: Path, entry: object) -> None:
    if _is_ours(path, entry):
        path.unlink()


def _sha256(path: Path) -> str:
    return hashlib.sha256(path.read_bytes()).hexdigest()
