"""The year after at the invented property: another year of the place, simulated under the plan, with a fault planted."""

import datetime as dt
import tempfile
from dataclasses import dataclass
from importlib.resources import files
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from wattwright.control.rules import Control
from wattwright.core.files import write_bytes
from wattwright.core.progress import SILENT, Progress
from wattwright.demo.job import TEXTS
from wattwright.demo.meter_files import gzipped, write_files_of
from wattwright.demo.place import DEMO_SEED, YEAR
from wattwright.demo.truth import truth
from wattwright.job.assessment import Assessment
from wattwright.job.file import Job, load_job
from wattwright.job.simulation import Question

AFTER_SEED = DEMO_SEED + 1
"""Another year of the same place: other guests, other weather, other showers."""
LATER_D = 364
"""So many days later the weekdays are the same, and both changes of the clock fall on the same days."""
AFTER_FILE = f"main-meter-{YEAR + 1}.csv.gz"
STUCK_FROM = dt.date(YEAR, 9, 1) - dt.timedelta(days=1)
"""The planted fault: from this day on, which is 30 August of the year after, nothing holds one load off."""
STUCK_LOAD = "water-heater-kitchen"
"""That load, where the plan switches it; else the first that it switches."""
_DAY_S, _MINUTE_S = 86_400, 60


@dataclass(frozen=True, slots=True)
class YearAfter:
    """The file of the year after, and whether it ran under a plan that was kept, or else as before.

    ``stuck`` names the load that nothing holds off from STUCK_FROM on, moved by LATER_D days; empty without a plan.
    """

    path: Path
    is_planned: bool
    stuck: str


def year_after(folder: Path, progress: Progress = SILENT) -> YearAfter:
    """Write a meter file of the year after beside the demo's job, and say whether it ran under the plan kept there.

    The same seed and the same plan give the same bytes. Raises FileError, JobError.
    """
    job = load_job(folder)
    plan = Assessment(job).plan()
    control = None if plan is None or len(plan.options) < 2 else plan.best.control
    with tempfile.TemporaryDirectory(prefix="wattwright-demo-") as name:
        question = _another_year(job, Path(name), progress)
        first, last = question.days()
        progress.at("simulating the year after", 1, 3)
        power_w = power_under(question, control, first, last)
    path = write_bytes(folder / AFTER_FILE, gzipped(after_text(power_w, int(job.clock.midnights_s(first, 1)[0])).encode()))
    names = {one.id: one.name or one.id for one in job.spec.loads}
    stuck = stuck_load(control)
    return YearAfter(path, control is not None, names.get(stuck, stuck))


def stuck_load(control: Control | None) -> str:
    """Return the id of the load in which the fault is planted; empty where no rule switches one."""
    switched = () if control is None else tuple(one.load for one in control.rules)
    return STUCK_LOAD if STUCK_LOAD in switched else next(iter(switched), "")


def _another_year(job: Job, folder: Path, progress: Progress) -> Question:
    """Return another year of the place, read as the demo's job says, ready to be simulated."""
    progress.at("drawing another year of minutes", 0, 3)
    for name in TEXTS:
        write_bytes(folder / name, files("wattwright.demo").joinpath(name).read_bytes())
    write_files_of(truth(AFTER_SEED), folder)
    return Assessment(load_job(folder), keep=False, progress=progress).question()


def power_under(question: Question, control: Control | None, first: dt.date, last: dt.date) -> NDArray[np.float64]:
    """Return the mean power of the site in W of each minute of local days, both included, under rules with the fault in them.

    Without rules the days are simulated as they were, and without a fault.
    """
    if control is None:
        return np.asarray(question.simulate(first, last).run.site_w)
    stuck = control.model_copy(update={"rules": tuple(one for one in control.rules if one.load != stuck_load(control))})
    whole_until = min(STUCK_FROM - dt.timedelta(days=1), last)
    spans = ((first, whole_until, control), (max(STUCK_FROM, first), last, stuck))
    return np.concatenate([question.simulate(*one).run.site_w for one in spans if one[0] <= one[1]])


def after_text(power_w: NDArray[np.float64], start_s: int) -> str:
    """Return the file of the minutes from an instant (UTC seconds) on, as text, each moved by LATER_D days."""
    moved_s = start_s + LATER_D * _DAY_S + _MINUTE_S * np.arange(len(power_w), dtype=np.int64)
    stamps = np.datetime_as_string(moved_s.astype("datetime64[s]"), timezone="UTC")
    rows = [f"{stamp},{kilowatts:.3f}" for stamp, kilowatts in zip(stamps.tolist(), (power_w / 1000).tolist(), strict=True)]
    head = "Invented meter at an invented place: no reading in this file was ever measured\nstart,P mean [kW]\n"
    return head + "\n".join(rows) + "\n"
