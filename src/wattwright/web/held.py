"""One revision of a job as the server holds it: what it says, and the pages that were made of it. It reads no meter file."""

from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING

from wattwright.core.errors import OwnFault
from wattwright.job.assessment import Assessment
from wattwright.job.cache import FOLDER
from wattwright.job.edit import Edit
from wattwright.job.file import Job
from wattwright.job.spec import JobSpec
from wattwright.store.jobs import Revision

if TYPE_CHECKING:
    from wattwright.web.whole import Whole

PAPERS = "papers"
Mark = tuple[tuple[str, int, int], ...]
"""What lies on a job's shelf and among its papers: name, time of writing and size of each file."""
PAST: Mark = (("", 0, 0),)
"""The mark of a page that was made of an earlier revision: nothing that lies on a shelf has it."""


@dataclass(eq=False, slots=True)
class HeldJob:
    """A revision laid out on disk, and its results.

    `pages` are the pages made so far, by name and the meter file looked at; `broken` what kept one from being made and is a
    fault of ours, to be told once; `shown` the text of those that nothing has changed since.
    `assessment` gives what is kept of the job's results. `is_past` says that another revision holds by now.
    """

    revision: Revision
    job: Job
    results: Path
    pages: "dict[tuple[str, str], Whole]" = field(default_factory=dict)
    broken: dict[tuple[str, str], Exception] = field(default_factory=dict)
    shown: dict[tuple[str, str], tuple[object, str]] = field(default_factory=dict)
    is_past: bool = False
    assessment: Assessment = field(init=False)
    _edit: Edit | None = None

    def __post_init__(self) -> None:
        """Wire the stages: the server may look at what is kept of them, and makes none."""
        self.assessment = Assessment(self.job, shelf=self.results, elsewhere=self._wanted)

    def _wanted(self, stage: str) -> None:
        raise OwnFault(f"the server of the desk works nothing out, and was to make the stage {stage}")

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

    @property
    def text(self) -> Edit:
        """The job file's entries, to be read only: parsing it anew for each form would take longer than the page."""
        if self._edit is None:
            self._edit = Edit(self.revision.text)
        return self._edit

    def latest(self) -> "Whole | None":
        """The page of this revision made last, whichever it is: it knows best how the stages stand."""
        own = (one for one in self.pages.values() if one.mark != PAST)
        return max(own, key=lambda one: one.at_s, default=None)


def mark_of(results: Path) -> Mark:
    """What lies in the folder of results: pages made before it changed are made anew."""
    found: list[tuple[str, int, int]] = []
    for folder in (results / FOLDER, results / PAPERS):
        try:
            for one in folder.iterdir():
                about = one.stat()
                found.append((one.name, about.st_mtime_ns, about.st_size))
        except OSError:
            continue  # not there yet, or a file gone meanwhile
    return tuple(sorted(found))
