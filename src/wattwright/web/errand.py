"""Long work of a job as a program of its own: a plan, a quote, the papers, a promise or its proof; it says how far it is.

It is started by the desk, writes one JSON object a line, and ends with the desk: its input is a pipe that the desk holds open.
"""

import json
import os
import sys
import threading
import time
from collections.abc import Callable, Mapping
from contextlib import ExitStack
from dataclasses import dataclass
from pathlib import Path
from types import MappingProxyType
from typing import Any

from wattwright.core.errors import InputError, WattwrightError
from wattwright.core.labour import Labour
from wattwright.core.progress import Progress, Reporting
from wattwright.handover.papers import write_papers
from wattwright.job.assessment import Assessment
from wattwright.job.file import load_job
from wattwright.job.proposed import keep_proposed, keep_proved
from wattwright.plan.search import Effort
from wattwright.web.held import PAPERS
from wattwright.work.journal import Journal, Kept
from wattwright.work.processes import Processes, usual_count
from wattwright.work.seeking import LabourFor, seek_plan, seek_quote

PLAN, QUOTE, BUILD, FREEZE, PROVE = "plan", "quote", "papers", "freeze", "proof"
KINDS = (PLAN, QUOTE, BUILD, FREEZE, PROVE)
_OF_PROOF: Mapping[str, Callable[[Assessment], object]] = MappingProxyType({FREEZE: keep_proposed, PROVE: keep_proved})
_TOLD_EVERY_S = 0.3
_TRIED = 600
"""Plans tried where nobody says how many."""


@dataclass(frozen=True, slots=True)
class Errand:
    """What is to be done: its kind, the folder of the job, the shelf of its results, and how many plans may be tried."""

    kind: str
    folder: Path
    shelf: Path
    plans: int = _TRIED


def as_arguments(errand: Errand) -> list[str]:
    """The errand as arguments of this program."""
    return [errand.kind, str(errand.folder), str(errand.shelf), str(errand.plans)]


def do(errand: Errand, progress: Progress) -> None:
    """Do an errand. Raises what it raises."""
    assessment = Assessment(load_job(errand.folder, confined=True), shelf=errand.shelf, progress=progress)
    if errand.kind == BUILD:
        write_papers(assessment, errand.shelf / PAPERS, progress)
        return
    if errand.kind in _OF_PROOF:
        _OF_PROOF[errand.kind](assessment)
        return
    effort = Effort(errand.plans, None)
    with ExitStack() as stack:
        labour_for = _labour_in(stack, errand.shelf)
        question = assessment.question()
        if errand.kind == QUOTE:
            seek_quote(assessment, question, None, effort, labour_for, progress)
            return
        objective: Any = None if assessment.has_tariff else "peak"
        seek_plan(assessment, question, question.days(), objective, effort, labour_for, progress)


def _labour_in(stack: ExitStack, shelf: Path) -> LabourFor:
    """Processes, with a journal around them for whatever has a mark: what was stopped goes on from there."""

    def labour_for(mark: str) -> Labour:
        processes = stack.enter_context(Processes(usual_count()))
        if not mark:
            return processes
        path = shelf / f"journal-{mark[:24]}.jsonl"
        for other in shelf.glob("journal-*.jsonl"):
            if other != path:
                other.unlink(missing_ok=True)
        return Kept(processes, stack.enter_context(_opened(path, mark)))

    return labour_for


def _opened(path: Path, mark: str) -> Journal:
    """The journal; one of other code or damaged gives way to a new one."""
    try:
        return Journal(path, mark)
    except InputError:
        return Journal(path, mark, anew=True)


def _telling(say: Callable[[dict[str, object]], None]) -> Progress:
    last = 0.0

    def show(what: str, done: float, total: float) -> None:
        nonlocal last
        if time.monotonic() - last > _TOLD_EVERY_S:
            last = time.monotonic()
            say({"doing": what, "done": float(done), "total": float(total)})

    return Reporting(show)


def main(arguments: list[str]) -> int:
    """Do the errand of the arguments; return the exit code: 0 fine, 1 where it cannot be done, which is told."""
    threading.Thread(target=_end_with_the_desk, daemon=True).start()
    kind, folder, shelf, plans = arguments
    with os.fdopen(os.dup(sys.stdout.fileno()), "w", encoding="utf-8") as out:
        # What a library may print goes elsewhere: these lines are for the desk.
        os.dup2(sys.stderr.fileno(), sys.stdout.fileno())

        def say(told: dict[str, object]) -> None:
            out.write(json.dumps(told) + "\n")
            out.flush()

        try:
            do(Errand(kind, Path(folder), Path(shelf), int(plans)), _telling(say))
        except WattwrightError as error:
            say({"fault": str(error)})
            return 1
    return 0


def _end_with_the_desk() -> None:
    while os.read(sys.stdin.fileno(), 1024):
        pass
    os._exit(1)


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
