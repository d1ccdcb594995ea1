"""A frozen promise opened again: all that it rests on is held against it, and what was changed or lost is told."""

from dataclasses import dataclass
from pathlib import Path

import numpy as np

from wattwright.core.errors import FileError, InputError, JobError, Place, TariffError
from wattwright.core.files import read_bytes
from wattwright.core.findings import Finding
from wattwright.core.series import Series
from wattwright.job.assessment import Assessment
from wattwright.job.boundary import Boundary, boundary_of, identity, print_of, seal_path, uses
from wattwright.job.file import Job
from wattwright.job.graph import State
from wattwright.job.outdoors import outdoors
from wattwright.job.spec import JobSpec
from wattwright.proof import kinds
from wattwright.proof.choose import MODELS, Baseline, Score, unseen
from wattwright.proof.fitness import fitness
from wattwright.proof.models.calendar import Mean
from wattwright.proof.models.record import Grain, UseRecord
from wattwright.proof.numbers import fitted_of
from wattwright.proof.seal import FROZEN, Seal, SealedFile, SealedModel, SealedTariff, read_seal
from wattwright.tariff.load import parse_tariff

_SAME = 1e-9
"""Figures worked out again may differ by so small a share, which other machines' arithmetic may make."""
_SAME_UNSEEN = 1e-3
"""How far off it is on weeks left out takes new fits, whose bends may end on the next place of their grid on another machine."""
_WHOLE = "whole"
_OTHER_READINGS = "other readings from the same file"
_NO_MODEL = (ArithmeticError, AttributeError, LookupError, TypeError, ValueError)
"""What numbers raise that no model was made of: those of another form, too many of them, or words."""
_NOT_KEPT = Score("mean", float("nan"), float("nan"))
"""Scores of the models that were not chosen are not frozen."""


@dataclass(frozen=True, slots=True, eq=False)
class Opened:
    """A frozen part that is whole: the readings of the baseline, its models, the one for energy first, and the job as it was.

    ``spec`` is the job with the zone and the holidays that were frozen, whatever it says of them today.
    """

    seal: Seal
    power: Series
    baselines: tuple[Baseline, ...]
    findings: tuple[Finding, ...]
    spec: JobSpec

    def of(self, grain: Grain) -> Baseline | None:
        """Return the baseline of such stretches, None where there is none."""
        return next((one for one in self.baselines if one.record.grain is grain), None)


def opened(assessment: Assessment) -> Opened:
    """Return the frozen part of a job with its baselines, once all that it rests on was held against it.

    Raises FileError where it is not there; JobError where it was changed, where a file that it rests on was changed or is gone,
    and where this version makes something else of the same file. The models stand as they were frozen; only how far
    off they are on weeks left out takes new fits.
    """
    job, path = assessment.job, seal_path(assessment.job)
    _hold_there(path)
    seal = read_seal(read_bytes(path).decode("utf-8", errors="replace"), str(path))
    for one in seal.files:
        _hold_file(job, one)
    _hold_tariff(job, seal.tariff)
    bound = boundary_of(assessment, seal.plan.boundary)
    power = _readings(job, bound, seal)
    as_was, made = _baselines(job, bound, power, seal)
    return Opened(seal, power, made, _changed_plan(assessment, seal), as_was)


def _readings(job: Job, bound: Boundary, seal: Seal) -> Series:
    """Return the readings of the baseline; raises JobError where they, or what the boundary is, are not what was frozen."""
    if bound.is_whole is not (seal.plan.option == "C"):
        raise _another(job, f'the option "{seal.plan.option}" of the protocol, which is not that of this boundary')
    power = bound.power.part(seal.start_s, seal.end_s)
    if print_of(power) != seal.readings:
        raise _another(job, _OTHER_READINGS)
    return power


def _baselines(job: Job, bound: Boundary, power: Series, seal: Seal) -> tuple[JobSpec, tuple[Baseline, ...]]:
    """Return the job as it was, and the frozen models on their records; raises JobError where one does not come out as frozen."""
    weather = next((job.inside(one.path) for one in seal.files if one.role == "weather"), None)
    beside = outdoors(bound.record, weather, seal.zone) if "outdoor temperature" in seal.plan.variables else None
    warm = None if beside is None else beside.temperature
    site = job.spec.site.model_copy(update={"zone": seal.zone, "country": seal.country, "subdivision": seal.subdivision})
    as_was = job.spec.model_copy(update={"site": site})
    records = uses(as_was, power, warm, tuple(one.grain for one in seal.models))
    return as_was, tuple(_baseline(job, one, record) for one, record in zip(seal.models, records, strict=True))


def _baseline(job: Job, sealed_: SealedModel, record: UseRecord) -> Baseline:
    """Return a frozen model on its own record; raises JobError where it does not come out as it was frozen."""
    other = _another(job, f'another result from the model "{sealed_.model}" and its frozen numbers')
    try:
        fitted = fitted_of(sealed_.form, sealed_.numbers)
        told = fitted.predict(record)
        fit = fitness(record.energy_kwh, told, fitted.parameters)
        unseen_cv = _unseen_cv(sealed_.model, record)
    except _NO_MODEL as error:
        raise other from error
    was = (sealed_.energy_kwh, sealed_.told_kwh, sealed_.cv_rmse, sealed_.nmbe, sealed_.r2, sealed_.alike)
    now = (float(record.energy_kwh.sum()), float(told.sum()), fit.cv_rmse, fit.nmbe, fit.r2, fit.alike)
    counts = (fit.count, fit.parameters) == (sealed_.count, sealed_.parameters)
    same = np.allclose(was, now, rtol=_SAME, atol=_SAME) and np.isclose(sealed_.unseen_cv_rmse, unseen_cv, rtol=_SAME_UNSEEN)
    if not counts or not same:
        raise other
    return Baseline(sealed_.model, fitted, fit, record.energy_kwh - told, record, (), _NOT_KEPT, ())


def _unseen_cv(name: str, record: UseRecord) -> float:
    """Return by what share of the mean the model of that name is off on weeks left out; raises LookupError for no such one."""
    model = {one.name: one for one in (*MODELS, Mean())}[name]
    off = record.energy_kwh - unseen(model, record)
    return float(np.sqrt((off**2).mean()) / record.energy_kwh.mean())


def _hold_tariff(job: Job, kept: SealedTariff | None) -> None:
    """Raise JobError where the frozen prices cannot be read as a tariff."""
    try:
        if kept is not None:
            parse_tariff(kept.text, kept.path).tariff(kept.id)
    except TariffError as error:
        raise _another(job, "prices that cannot be read as a tariff") from error


def what_is_broken(assessment: Assessment, text: str) -> str:
    """Return in a sentence what was changed or lost of what is frozen and of what it rests on; empty where all is whole.

    Its files are held against it, and its readings and models where those are at hand, since another layout or repair of the same
    file makes others of it, and numbers can be given a fingerprint that fits.
    """
    try:
        _hold_there(seal_path(assessment.job))
        seal = read_seal(text, FROZEN)
        for one in seal.files:
            _hold_file(assessment.job, one)
        _hold_tariff(assessment.job, seal.tariff)
        told = assessment.held_seal(lambda: _held_now(assessment, seal))
        if told not in ("", _WHOLE):
            raise _another(assessment.job, told)
    except InputError as error:
        return error.faults[0].sentence()
    return ""


def _held_now(assessment: Assessment, seal: Seal) -> str:
    """Return what readings and models are held against what was frozen; empty where readings are not worked out yet."""
    bound = boundary_of(assessment, seal.plan.boundary)
    if bound.is_whole and assessment.graph.state("power") is not State.READY:
        return ""
    try:
        _baselines(assessment.job, bound, _readings(assessment.job, bound, seal), seal)
    except JobError as error:
        return error.faults[0].found
    return _WHOLE


def _hold_there(path: Path) -> None:
    """Raise FileError where no frozen part lies."""
    if not path.exists():
        raise FileError.one(
            "proof.not-frozen", Place(str(path)), found="no such file", wanted="a promise that was frozen before the measures",
            next_step="Freeze it with wattwright proof JOB --freeze, or put the file back. Nothing was worked out.",
        )  # fmt: skip


def _hold_file(job: Job, one: SealedFile) -> None:
    path = job.inside(one.path)
    if not path.exists():
        raise FileError.one(
            "proof.lost-file", Place(str(path)), found="no such file", wanted=f"the {one.role} that the baseline was made from",
            next_step=f"Put it back; its SHA-256 begins with {one.sha256[:16]}. Nothing was worked out.",
        )  # fmt: skip
    if identity(path)["sha256"] != one.sha256:
        raise JobError.one(
            "proof.changed-file", Place(str(path)), found="a file that was changed since the baseline was made from it",
            wanted=f"the {one.role} whose SHA-256 begins with {one.sha256[:16]}",
            next_step="Put the file back as it was. Nothing was worked out.",
        )  # fmt: skip


def _another(job: Job, found: str) -> JobError:
    return JobError.one(
        "proof.other-result", Place(str(seal_path(job))), found=found, wanted="what was frozen",
        next_step="The code, or how the file is to be read, is not what it was. Prove it with the version named in the frozen "
        "part, or agree with the client on freezing anew. Nothing was worked out.",
    )  # fmt: skip


def _changed_plan(assessment: Assessment, seal: Seal) -> tuple[Finding, ...]:
    """Return which entries of the job file say something else today than what was frozen."""
    spec, asked, frozen = assessment.job.spec, assessment.job.spec.measurement, seal.plan
    pairs = [
        ("zone", spec.site.zone, seal.zone), ("country", spec.site.country, seal.country),
        ("subdivision", spec.site.subdivision, seal.subdivision),
        ("boundary", asked.boundary or frozen.boundary, frozen.boundary), ("from", asked.begins or frozen.begins, frozen.begins),
        ("until", asked.until or frozen.until, frozen.until), ("after", asked.after or frozen.after, frozen.after),
        ("months", asked.months, frozen.months), ("confidence", asked.confidence, frozen.confidence),
        ("responsible", asked.responsible, frozen.responsible), ("accuracy", asked.accuracy, frozen.accuracy),
        ("weather", asked.weather, frozen.weather),
        ("static_factors", asked.static_factors or frozen.static_factors, frozen.static_factors),
    ]  # fmt: skip
    others = [name for name, now, was in pairs if now != was]
    return (kinds.PLAN_CHANGED.at("measurement", fields=", ".join(others)),) if others else ()
