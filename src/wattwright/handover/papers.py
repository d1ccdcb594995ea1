"""The papers of a job written into a folder, each made again only when what it is made from has changed."""

import hashlib
import json
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from wattwright.core.files import write_bytes, write_text
from wattwright.core.fingerprint import code_version, fingerprint
from wattwright.core.progress import SILENT, Progress
from wattwright.handover.page import page
from wattwright.handover.paper import Paper
from wattwright.handover.pdf import Format, pdf
from wattwright.handover.report import report
from wattwright.handover.workbook import workbook
from wattwright.job.assessment import Assessment

PDF, PAGE, WORKBOOK = "report.pdf", "report.html", "workbook.xlsx"
MANIFEST = ".papers.json"
_ROOMS = tuple(f"wattwright.{room}" for room in ("core", "record", "tariff", "demand", "plan", "job", "charts", "handover"))


@dataclass(frozen=True, slots=True)
class Papers:
    """Where the papers lie, and the names of those that were made now; the others were still right."""

    pdf: Path
    page: Path
    workbook: Path
    made: tuple[str, ...]


def write_papers(assessment: Assessment, into: Path, progress: Progress = SILENT) -> Papers:
    """Write report (PDF and one HTML file) and workbook of a job into a folder and return where they are.

    A paper that lies there unchanged, made from the same results by the same code, is left as it is. Each is put in place
    whole. Raises FileError, RecordError, TariffError, JobError.
    """
    print_ = _fingerprint(assessment)
    known = _manifest(into / MANIFEST)
    stale = [name for name in (PDF, PAGE, WORKBOOK) if not _is_right(into / name, known.get(name), print_)]
    if stale:
        composed = report(assessment)
        contents: dict[str, bytes] = {}
        for index, name in enumerate(stale):
            progress.at(f"making {name}", index, len(stale))
            contents[name] = _makers(assessment, progress)[name](composed)
        # All are made before the first is put in place, so that a failure leaves the old papers together.
        for name, content in contents.items():
            write_bytes(into / name, content)
            known[name] = {"made_from": print_, "sha256": hashlib.sha256(content).hexdigest()}
        write_text(into / MANIFEST, json.dumps(known, indent=1, sort_keys=True) + "\n")
    return Papers(into / PDF, into / PAGE, into / WORKBOOK, tuple(stale))


def _makers(assessment: Assessment, progress: Progress) -> dict[str, Callable[[Paper], bytes]]:
    sheet: Format = "us-letter" if assessment.job.spec.papers.paper == "Letter" else "a4"
    return {
        PDF: lambda paper: pdf(paper, sheet),
        PAGE: lambda paper: page(paper).encode(),
        WORKBOOK: lambda paper: workbook(paper, assessment.record(), progress),
    }


def _fingerprint(assessment: Assessment) -> str:
    graph = assessment.graph
    stages = {name: graph.fingerprint_of(name) for name in graph.names()}
    return fingerprint(stages, assessment.job.spec, assessment.plan_print(), code_version(_ROOMS))


def _manifest(path: Path) -> dict[str, dict[str, str]]:
    try:
        given = json.loads(path.read_text(encoding="utf-8"))
    except (OSError, ValueError):
        return {}
    return given if isinstance(given, dict) else {}


def _is_right(path: Path, entry: object, print_: str) -> bool:
    """Return whether the paper at ``path`` was made from these inputs and has not been touched since."""
    if not isinstance(entry, dict) or entry.get("made_from") != print_ or not path.is_file():
        return False
    return entry.get("sha256") == _sha256(path)


def _sha256(path: Path) -> str:
    return hashlib.sha256(path.read_bytes()).hexdigest()
