"""What is held to account: a job's main meter or a sub-meter, its readings before and after, and the stretches they make."""

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from wattwright.core.calendar import public_holidays
from wattwright.core.clock import DAY_S, SiteClock
from wattwright.core.errors import JobError
from wattwright.core.findings import Finding
from wattwright.core.fingerprint import fingerprint
from wattwright.core.series import Series
from wattwright.job.assessment import Assessment
from wattwright.job.file import Job
from wattwright.job.spec import FileSpec, JobSpec
from wattwright.proof import kinds
from wattwright.proof.models.record import Grain, UseRecord, beside_midnight_s, tells, use_record
from wattwright.proof.seal import FROZEN
from wattwright.record.readers.door import source_at
from wattwright.record.record import Record

WARM_ENOUGH = 0.9
"""A temperature that is known of a smaller share of the stretches is not used; common practice, no source."""


@dataclass(frozen=True, slots=True, eq=False)
class Boundary:
    """What is held to account: the main meter, or a sub-meter taken for one, and the power that it read."""

    assessment: Assessment
    file: FileSpec
    name: str
    is_whole: bool

    @property
    def power(self) -> Series:
        """Return what was read and not filled in."""
        return self.assessment.power().series.read_only()

    @property
    def record(self) -> Record:
        """Return the meter's record."""
        return self.assessment.record()


def seal_path(job: Job) -> Path:
    """Return where the frozen part lies. Raises JobError where that is a link that leads out of a confined job."""
    return job.inside(FROZEN)


def boundary_of(assessment: Assessment, meter: str = "", after: Path | None = None) -> Boundary:
    """Return the boundary of a job, the main meter if ``meter`` is empty, with its readings or those of the time ``after``.

    A file that stands under [[files]] is read as it says there, another one as the boundary's own. Raises JobError where the
    meter has no file.
    """
    job, spec = assessment.job, assessment.job.spec
    main = assessment.main_file
    id_ = meter or main.meter
    file = main if id_ == main.meter else next((one for one in spec.files if one.meter == id_), None)
    if file is None:
        raise JobError.one(
            "proof.no-boundary", job.place("measurement", "boundary"), found=f'no file of the meter "{id_}"',
            wanted="a meter that has readings", next_step="Name a meter of the job, and give its file a [[files]] table.",
        )  # fmt: skip
    name = next(one.name or one.id for one in spec.meters if one.id == id_)
    is_whole = file.meter == main.meter
    if is_whole and after is None:
        return Boundary(assessment, file, name, is_whole)
    if after is not None:
        listed = next((one for one in spec.files if job.inside(one.path).resolve() == after.resolve()), file)
        file = listed.model_copy(update={"path": str(after.resolve()), "meter": id_})
    alone = spec.model_copy(
        update={
            "meters": tuple(one.model_copy(update={"behind": ""}) for one in spec.meters if one.id == id_),
            "files": (file.model_copy(update={"finer": False}),), "loads": (), "pv": (), "bills": (),
        }
    )  # fmt: skip
    job = Job(alone, job.folder, job.path, job.zone_given, job.confined)
    return Boundary(Assessment(job, keep=False, progress=assessment.progress), file, name, is_whole)


def holidays(spec: JobSpec, series: Series) -> frozenset[dt.date]:
    """Return the public holidays of the years of a series."""
    clock = SiteClock(spec.site.zone)
    first, last = clock.day_of(series.start_s).year, clock.day_of(series.end_s).year
    return public_holidays(spec.site.country, spec.site.subdivision or None, first, last)


def uses(spec: JobSpec, power: Series, warm: Series | None, grains: Sequence[Grain]) -> tuple[UseRecord, ...]:
    """Return a power by such stretches, with the temperature where it is given."""
    clock, off = SiteClock(spec.site.zone), holidays(spec, power)
    return tuple(use_record(power, clock, grain, warm, off) for grain in grains)


def covered(spec: JobSpec, power: Series, warm: Series | None, grain: Grain) -> float:
    """Return of which share of the stretches that were read a temperature is known."""
    if warm is None:
        return 0.0
    (told,), (all_,) = uses(spec, power, warm, (grain,)), uses(spec, power, None, (grain,))
    return len(told) / max(len(all_), 1)


def grains_of(power: Series, clock: SiteClock, *, for_money: bool) -> tuple[Grain, ...]:
    """Return the stretches that readings allow, none where they are too long.

    Days or months for energy, and hours for money where they are asked for.
    """
    hours = (Grain.HOUR,) if for_money and tells(power, Grain.HOUR, clock) else ()
    main = next((one for one in (Grain.DAY, Grain.MONTH) if tells(power, one, clock)), None)
    return () if main is None else (main, *hours)


def whole_days(power: Series, clock: SiteClock, of: str, place: str) -> tuple[Finding, ...]:
    """Return what readings of whole days leave open, nothing where they are shorter."""
    if power.step_s < DAY_S:
        return ()
    return (kinds.WHOLE_DAYS.at(place, of=of, beside=beside_midnight_s(power, clock)),)


def identity(path: Path) -> dict[str, object]:
    """Return size and SHA-256 of a file or folder of files; raises FileError."""
    made = source_at(path)
    return {"size_bytes": made.size_bytes, "sha256": made.sha256}


def print_of(power: Series) -> str:
    """Return a fingerprint of readings."""
    return fingerprint(power.start_s, power.step_s, power.values)
