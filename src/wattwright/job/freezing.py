"""A job's promise frozen beside its job file at handover."""

import datetime as dt
import hashlib
from collections.abc import Sequence
from importlib.metadata import version
from pathlib import Path
from typing import Any

from wattwright.control.rules import Control
from wattwright.core.clock import DAY_S, SiteClock
from wattwright.core.errors import FileError, JobError, Place
from wattwright.core.files import write_bytes, write_text
from wattwright.core.findings import Finding
from wattwright.core.series import Series
from wattwright.core.show import Show
from wattwright.job.assessment import Assessment
from wattwright.job.boundary import (
    WARM_ENOUGH,
    Boundary,
    boundary_of,
    covered,
    grains_of,
    identity,
    print_of,
    seal_path,
    uses,
    whole_days,
)
from wattwright.job.file import Job
from wattwright.job.outdoors import in_file, outdoors
from wattwright.job.planned import KeptPlan
from wattwright.job.provable import expected
from wattwright.job.proved_money import sealed_tariff
from wattwright.job.spec import JobSpec
from wattwright.proof import kinds
from wattwright.proof.choose import Baseline, Refused, baseline
from wattwright.proof.measurement import MeasurementSpec
from wattwright.proof.models.record import Grain, UseRecord, between, first_and_last
from wattwright.proof.numbers import numbers_of
from wattwright.proof.seal import FROZEN, SHOWN, Promise, Seal, SealedFile, SealedLoad, SealedModel, SealedPlan, read_seal

_DAY = dt.timedelta(days=1)


def freeze(assessment: Assessment, *, anew: bool = False) -> tuple[Seal, tuple[Finding, ...]]:
    """Freeze a job's proof into a file beside its job file, and return it with what to know of it.

    What was frozen before stays beside it as a copy with its date and fingerprint. Raises FileError where something lies there
    already and ``anew`` is not given; JobError where there is no baseline that could carry a claim; else what reading the job's
    files raises.
    """
    path = seal_path(assessment.job)
    if path.exists() and not anew:
        raise FileError.one(
            "proof.frozen-already", Place(str(path)), found="a frozen part", wanted="a job whose proof is not frozen yet",
            next_step="A promise is frozen once. Say --anew if both sides agreed on another one; the old one is kept beside it.",
        )  # fmt: skip
    seal, findings = sealed(assessment)
    if path.exists() and (old := path.read_bytes()) != seal.text().encode():
        name, shown = name_of_copy(old)
        write_bytes(path.with_name(name), old)
        findings = (*findings, kinds.FROZEN_ANEW.at("measurement", file=name, print=shown))
    write_text(path, seal.text())
    return seal, findings


def name_of_copy(old: bytes) -> tuple[str, str]:
    """Return the name of a copy of what was frozen before, and its fingerprint; that of its bytes where it cannot be read."""
    try:
        seal = read_seal(old.decode("utf-8", errors="replace"), FROZEN)
        name, shown = f"{seal.issued}-{seal.shown}", seal.shown
    except JobError:
        shown = hashlib.sha256(old).hexdigest()[:SHOWN]
        name = f"changed-{shown}"
    return FROZEN.replace(".", f"-{name}."), shown


def sealed(assessment: Assessment) -> tuple[Seal, tuple[Finding, ...]]:
    """Return what freezing would write, and what to know of it; raises as ``freeze`` does, and writes nothing."""
    job, asked = assessment.job, assessment.job.spec.measurement
    spec, clock = job.spec, job.clock
    bound = boundary_of(assessment, asked.boundary)
    power = _stretch(bound.power, asked, clock, job)
    warm, weather = _warmth(job, asked, bound)
    grains = grains_of(power, clock, for_money=bound.is_whole and assessment.has_tariff)
    if not grains:
        raise _too_long(job, bound, power)
    found = list(whole_days(power, clock, "of the baseline", "baseline"))
    if (share := covered(spec, power, warm, grains[0])) < WARM_ENOUGH:
        found += _not_warm(asked, warm, share)
        warm, weather = None, None
    made, told_of = _fitted(job, uses(spec, power, warm, grains), assessment.show)
    found += told_of
    files = [SealedFile(role="readings", path=bound.file.path, **identity(job.inside(bound.file.path)))]
    files += [SealedFile(role="weather", path=asked.weather, **identity(weather))] if weather is not None else []
    plan = assessment.plan()
    promise = None if plan is None or len(plan.options) < 2 else _promise(plan)
    found += [] if promise is not None else [kinds.NO_PROMISE.at("plan")]
    told = _plan(job, asked, bound, power, warm is not None, grains[0])
    found += expected(made[0], promise, told, clock, spec.seed)
    found += [kinds.PLAN_PROPOSED.at("measurement", fields=", ".join(told.proposed))] if told.proposed else []
    seal = Seal(
        job=spec.name, zone=spec.site.zone, country=spec.site.country, subdivision=spec.site.subdivision, seed=spec.seed,
        issued=spec.papers.date, made_by=version("wattwright"), start_s=power.start_s, end_s=power.end_s, step_s=power.step_s,
        readings=print_of(power), files=tuple(files), models=tuple(map(_model, made)), promise=promise,
        tariff=sealed_tariff(job), loads=() if promise is None else _loads(spec, plan),
        shedding=None if promise is None else _shedding(plan), plan=told,
    )  # fmt: skip
    return seal, tuple(found)


def _fitted(job: Job, records: Sequence[UseRecord], show: Show) -> tuple[list[Baseline], list[Finding]]:
    """Return the baselines of the records, that of the first at least, with their findings; raises JobError where it has none."""
    models, found = list[Baseline](), list[Finding]()
    for record in records:
        made = baseline(record)
        if isinstance(made, Baseline):
            found += () if models else made.findings
            models.append(made)
        elif not models:
            raise _no_baseline(job, made, show)
        else:
            found.append(kinds.NO_MONEY.at("baseline"))
    return models, found


def _stretch(power: Series, asked: MeasurementSpec, clock: SiteClock, job: Job) -> Series:
    """Return the readings of the baseline; raises JobError where there are none in it."""
    first, last = first_and_last(power, clock)
    begins = max(first, asked.begins or first)
    # What was read after the measures is no baseline, whatever the record holds.
    until = min(day for day in (last + _DAY, asked.until, asked.after) if day is not None)
    cut = between(power, *(int(clock.midnights_s(day, 1)[0]) for day in (begins, max(begins, until))))
    if len(cut) * cut.step_s < DAY_S:
        raise JobError.one(
            "proof.no-readings", job.place("measurement"), found="no day of the record in the baseline",
            wanted=f"days from {first} to {last}", next_step="Correct from and until.",
        )  # fmt: skip
    return cut


def _too_long(job: Job, bound: Boundary, power: Series) -> JobError:
    return JobError.one(
        "proof.long-baseline", job.place("measurement"), found=f"readings of {power.step_s / DAY_S:g} days in {bound.file.path}",
        wanted="readings of a day at most, since a baseline is made of days or hours",
        next_step="Export the interval readings of the meter, by the hour if money is to be proved. Nothing was frozen.",
    )  # fmt: skip


def _warmth(job: Job, asked: MeasurementSpec, bound: Boundary) -> tuple[Series | None, Path | None]:
    """Return the temperature beside the baseline and the file it stands in; raises JobError where that file holds none."""
    path, zone = (job.inside(asked.weather) if asked.weather else None), job.spec.site.zone
    beside = outdoors(bound.record, None, zone) if path is None else in_file(path, zone)
    if beside is None and path is not None:
        raise JobError.one(
            "proof.no-temperature", job.place("measurement", "weather"), found=f"no outdoor temperature in {asked.weather}",
            wanted="measured weather with a temperature, since a baseline follows nothing else of it",
            next_step="Name a file that has one, or leave weather out, and the record's own is taken. Nothing was frozen.",
        )  # fmt: skip
    return (None if beside is None else beside.temperature), path


def _not_warm(asked: MeasurementSpec, warm: Series | None, share: float) -> tuple[Finding, ...]:
    """Return that a temperature is known of too small a ``share`` of the baseline to be used, nothing where there is none."""
    if asked.weather:
        return (kinds.WEATHER_SHORT.at("measurement", file=asked.weather),)
    return () if warm is None else (kinds.WARMTH_SHORT.at("measurement", share=share),)


def _model(made: Baseline) -> SealedModel:
    form, numbers = numbers_of(made.fitted)
    scores = {one.model: one.cv_rmse for one in (*made.scores, made.mean_score)}
    told, fit = made.fitted.predict(made.record), made.fitness
    return SealedModel(
        grain=made.record.grain, model=made.model, form=form, numbers=numbers, count=fit.count, parameters=fit.parameters,
        cv_rmse=fit.cv_rmse, unseen_cv_rmse=scores[made.model], nmbe=fit.nmbe, r2=fit.r2, alike=fit.alike,
        energy_kwh=float(made.record.energy_kwh.sum()), told_kwh=float(told.sum()),
    )  # fmt: skip


def _promise(plan: KeptPlan) -> Promise:
    today, best = plan.options[0], plan.best
    band = best.band
    return Promise(
        objective=plan.objective, unit=plan.unit, days=float((plan.last - plan.first).days + 1), saving=best.saving,
        low=None if band is None else band.low, high=None if band is None else band.high,
        energy_kwh=today.energy_kwh - best.energy_kwh, peak_w=today.peak_w - best.peak_w,
    )  # fmt: skip


def _loads(spec: JobSpec, plan: KeptPlan | None) -> tuple[SealedLoad, ...]:
    control = Control() if plan is None else plan.best.control
    found = []
    for one in spec.loads:
        rules = tuple(rule.model_dump(mode="json") for rule in control.rules if rule.load == one.id)
        if rules:
            found.append(SealedLoad(id=one.id, name=one.name, rating_w=one.rating_w * one.quantity, meter=one.meter, rules=rules))
    return tuple(found)


def _shedding(plan: KeptPlan | None) -> dict[str, Any] | None:
    order = None if plan is None else plan.best.control.shedding
    return None if order is None else order.model_dump(mode="json")


def _plan(
    job: Job, asked: MeasurementSpec, bound: Boundary, power: Series, is_warm: bool, grain: Grain
) -> SealedPlan:  # fmt: skip
    spec, (first, last) = job.spec, first_and_last(power, job.clock)
    until = asked.until or last + _DAY
    proposed = [] if asked.boundary else ["boundary"]
    proposed += [] if asked.after is not None else ["after"]
    proposed += [] if asked.static_factors else ["static_factors"]
    count = len(spec.loads)
    surveyed = f"the loads of the survey ({count}), but for what the plan changes" if count else "the loads there are"
    static = asked.static_factors or (surveyed, "who uses the site, and at which hours", "the supply and the tariff")
    return SealedPlan(
        option="C" if bound.is_whole else "B", boundary=bound.file.meter, boundary_name=bound.name,
        begins=asked.begins or first, until=until, after=asked.after or until, months=asked.months,
        confidence=asked.confidence, grain=grain, variables=("calendar", *(("outdoor temperature",) if is_warm else ())),
        static_factors=static, responsible=asked.responsible, accuracy=asked.accuracy,
        weather=asked.weather, proposed=tuple(proposed),
    )  # fmt: skip


def _no_baseline(job: Job, made: Refused, show: Show) -> JobError:
    why = made.findings[0]
    return JobError.one(
        why.code, Place(str(job.path), field="measurement"), found=why.says(show).rstrip("."),
        wanted="a record that can carry a claim", next_step=why.do(show),
    )  # fmt: skip
