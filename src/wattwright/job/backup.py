"""A job's backup story: typical days of each season in its record, under today's rules and under the plan sought last."""

import datetime as dt
from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from wattwright.control.rules import Control
from wattwright.core.calendar import SEASONS, days_between
from wattwright.core.clock import DAY_S, SiteClock
from wattwright.core.errors import InputError, JobError, Place
from wattwright.core.findings import Finding, gravest_first
from wattwright.core.fingerprint import code_version
from wattwright.core.progress import SILENT, Progress
from wattwright.core.series import Series
from wattwright.generation.array import Array
from wattwright.job import kinds
from wattwright.job.assessment import Assessment
from wattwright.job.days import STEP_S
from wattwright.job.equipping import ruled_by
from wattwright.job.file import Job
from wattwright.job.quoting import quoted_roofs
from wattwright.job.simulated_site import supply_of
from wattwright.job.simulation import Question
from wattwright.job.spec import PvSpec, SiteSpec
from wattwright.simulate.scenario import Scenario
from wattwright.supply.backup.results import BackupStory, ProbeDay, UnderRules
from wattwright.supply.backup.spec import OutageRate
from wattwright.supply.backup.story import backup_story, carries, followed_s
from wattwright.supply.sizing.answer import Quote

PERCENTILES = (10.0, 30.0, 50.0, 70.0, 90.0)
"""Of each season the days are tried whose energy is nearest to these percentiles, from quiet to busy."""
_ROOMS = ("wattwright.supply",)
_WARM_DAYS = 1


def typical_days(series: Series, site: SiteSpec, after_s: float) -> tuple[tuple[str, dt.date], ...]:
    """Return season and date of typical days: of each season those whose energy is nearest to PERCENTILES of it.

    Only days whose readings are whole from the day before until ``after_s`` past their end, and whose clock does not change.
    """
    clock = SiteClock(site.zone)
    days = days_between(clock, series.start_s, series.end_s, latitude_deg=site.latitude_deg)
    lengths_s = np.diff(days.starts_s)
    whole = np.isfinite(series.values)
    energy, fits = np.full(len(lengths_s), np.nan), np.zeros(len(lengths_s), np.bool_)
    for k in range(len(lengths_s)):
        begins_s, ends_s = int(days.starts_s[k]), int(days.starts_s[k + 1])
        from_s, to_s = begins_s - _WARM_DAYS * DAY_S, ends_s + int(after_s)
        if lengths_s[k] != DAY_S or from_s < series.start_s or to_s > series.end_s:
            continue
        at, end = (from_s - series.start_s) // series.step_s, -(-(to_s - series.start_s) // series.step_s)
        fits[k] = bool(whole[at:end].all())
        mine = slice((begins_s - series.start_s) // series.step_s, (ends_s - series.start_s) // series.step_s)
        energy[k] = series.values[mine].mean() if fits[k] else np.nan
    found = list[tuple[str, dt.date]]()
    for number, season in enumerate(SEASONS):
        mine_k = np.flatnonzero(fits & (days.season[: len(fits)] == number))
        found += [(season.value, days.date(k)) for k in _spread(mine_k, energy)]
    return tuple(found)


def _spread(places: NDArray[np.int64], energy: NDArray[np.float64]) -> list[int]:
    """Return the places whose energy is nearest to the percentiles, each once, in the order of time."""
    left, found = [int(k) for k in places], set[int]()
    wanted = np.percentile(energy[places], PERCENTILES) if left else ()
    for target in wanted:
        rest = [k for k in left if k not in found]
        if rest:
            found.add(min(rest, key=lambda k: (abs(energy[k] - target), k)))
    return sorted(found)


def job_backup(
    assessment: Assessment, rate: OutageRate | None = None, quote: Quote | None = None, progress: Progress = SILENT
) -> BackupStory:  # fmt: skip
    """Return the story of a job under today's rules and, where there is one, the plan sought last.

    ``rate`` is in place of the job's own, a ``quote`` in place of what feeds the job and of the plan. Raises
    FileError, RecordError, JobError where the job cannot be simulated or its record holds no whole days.
    """
    spec = assessment.job.spec
    asked = spec.outage_rate if rate is None else rate
    quoted_s = None if quote is None else quote.outage_s
    length_s, question = followed_s(asked, quoted_s), assessment.question()
    if quote is not None:
        question = question.of(as_quoted(assessment.job, quote))
    days = typical_days(assessment.power().series, spec.site, length_s)
    if not days:
        raise JobError.one(
            "job.backup-days", Place(str(assessment.job.path), field="files"), found="no day with whole readings around it",
            wanted=f"a day whose readings are whole from the day before until {length_s / 3600.0:g} h after it",
            next_step='Write gaps = "estimate" under [repair], or wait for a longer record.',
        )  # fmt: skip
    ruled = ruled_by(assessment)
    controls = {"today": spec.control, **({"plan": ruled.control} if ruled.by == "plan" else {})}
    if quote is not None and quote.plan is not None:
        controls["plan"] = quote.control
    made: dict[str, list[ProbeDay]] = {name: [] for name in controls}
    for count, (season, day) in enumerate(days):
        progress.at("typical days", count, len(days))
        for name, one in zip(controls, _scenarios(question, day, length_s, list(controls.values()), progress), strict=True):
            made[name].append(ProbeDay(season, day, one, _midnight(one, day)))
    rulings = [UnderRules(name, controls[name], tuple(made[name])) for name in controls]
    names = {one.id: one.name for one in spec.loads}
    story = backup_story(rulings, asked, names, spec.seed, progress, quoted_s=quoted_s)
    beside = (kinds.BACKUP_BESIDE.at("pv"),) if any(one.meter for one in spec.pv) else ()
    return replace(story, findings=gravest_first((*story.findings, *beside)))


def as_quoted(job: Job, quote: Quote) -> Job:
    """Return a job with the battery, inverter and PV that are quoted in place of its own, PV on the roofs it is quoted for."""
    roofs = quoted_roofs(job)
    pv = tuple(_filled(roofs[one.roof], one.pv_w) for one in quote.laid)
    fed = {"battery": quote.supply.battery, "inverter": quote.supply.inverter, "pv": pv}
    return replace(job, spec=job.spec.model_copy(update=fed))


def _filled(roof: Array, peak_w: float) -> PvSpec:
    """Return so much PV on a roof, its inverter smaller with it."""
    limit = None if roof.limit_w is None else roof.limit_w * peak_w / roof.peak_w
    told = {name: getattr(roof, name) for name in Array.model_fields}
    return PvSpec.model_construct(**{**told, "peak_w": peak_w, "limit_w": limit, "meter": ""})


def _scenarios(
    question: Question, day: dt.date, length_s: float, controls: Sequence[Control], progress: Progress
) -> tuple[Scenario, ...]:  # fmt: skip
    after = dt.timedelta(days=-(-int(length_s) // DAY_S))
    return question.under(day - dt.timedelta(days=_WARM_DAYS), day + after, controls, progress, may_be_bare=True)


def _midnight(one: Scenario, day: dt.date) -> int:
    return int(one.span.clock.midnights_s(day, 1)[0] - one.span.start_s) // STEP_S


def kept_backup(assessment: Assessment, progress: Progress = SILENT) -> BackupStory | Finding | None:
    """Return the story of a job for its papers, kept beside it; None where nothing carries it, or why it cannot be told.

    Raises FileError, RecordError.
    """
    spec = assessment.job.spec
    if spec.supply is None or not spec.files:
        return None
    # What is there tells its own story; else what is quoted does.
    quote = None if carries(supply_of(spec, spec.supply)) else assessment.quote()
    if quote is None and not carries(supply_of(spec, spec.supply)):
        return None
    if quote is not None and not carries(quote.supply):
        return None
    more = (spec.outage_rate, code_version(_ROOMS), assessment.quote_print())
    try:
        return assessment.kept("backup", more, BackupStory, lambda: job_backup(assessment, quote=quote, progress=progress))
    except InputError as error:
        fault = error.faults[0]
        found, step = fault.found or "nothing of it", (fault.next_step or "Mend the job").rstrip(".")
        return kinds.BACKUP_UNTOLD.at(fault.place.field or "outages", found=found, wanted=fault.wanted, step=step)
