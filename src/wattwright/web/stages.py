"""The contents line of a job: its stages, each with its state in words, told without working anything out."""

from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace

from wattwright.core.errors import InputError
from wattwright.core.findings import Finding, Severity
from wattwright.handover.opening import notes_beside
from wattwright.handover.report import readings_of
from wattwright.job.assessment import Assessment
from wattwright.job.gearing import may_switch
from wattwright.job.graph import State
from wattwright.job.unsealing import what_is_broken
from wattwright.web.held import HeldJob
from wattwright.web.links import SHEETS
from wattwright.web.open_job import OpenJob
from wattwright.web.sheets.handover import papers_of
from wattwright.web.words import words


@dataclass(frozen=True, slots=True)
class StageState:
    """A stage of the job as the contents line names it: title, name of its page, and its state in words."""

    title: str
    sheet: str
    state: str


def stages_of(job: OpenJob) -> tuple[StageState, ...]:
    """The stages of a job and how each stands."""
    stands: dict[str, Callable[[OpenJob], str]] = {
        "property": _of_property, "meter-files": _of_files, "demand": _of_demand, "survey": _of_survey, "tariff": _of_tariff,
        "plan": _of_plan, "gear": _of_gear, "supply": _of_supply, "handover": _of_papers, "proof": _of_proof,
    }  # fmt: skip
    return tuple(StageState(words(f"stage.{name}"), name, _safe(stands[name], job)) for name in SHEETS)


def unknown_stages() -> tuple[StageState, ...]:
    """The stages of a job of which nothing was worked out yet."""
    return tuple(StageState(words(f"stage.{name}"), name, words("state.unknown")) for name in SHEETS)


def stages_at_first(job: HeldJob) -> tuple[StageState, ...]:
    """The stages of a job of which nothing was worked out yet: what the job file alone tells of each; the rest is not known."""
    known = {"property": _of_property(job), "survey": _of_survey(job), "gear": _of_gear(job)}
    if not job.spec.tariff.files:
        known["tariff"] = words("state.needs-tariff")
    if not job.spec.files:
        known |= dict.fromkeys(("meter-files", "demand", "plan", "supply", "handover", "proof"), words("state.needs-file"))
    return tuple(replace(one, state=known.get(one.sheet, one.state)) for one in unknown_stages())


def _safe(stand: Callable[[OpenJob], str], job: OpenJob) -> str:
    try:
        return stand(job)
    except InputError:
        return words("state.unreadable")


def _state(
    assessment: Assessment, names: tuple[str, ...], findings: Callable[[], tuple[Finding, ...]], *, tried: bool = False
) -> str:
    """The state of some stages together in words: not made, out of date, unreadable, or how much is to be looked at.

    Where all were ``tried``, those that are not ready could not be read.
    """
    states = [assessment.graph.state(name) for name in names]
    failed = sum(state is not State.READY for state in states) if tried else 0
    if 0 < failed < len(states):
        return words("state.some-unreadable", count=failed)
    if failed:
        return words("state.unreadable")
    if State.MISSING in states:
        return words("state.missing")
    if State.STALE in states:
        return words("state.stale")
    return to_look_at(findings())


def to_look_at(findings: Iterable[Finding]) -> str:
    """How much is to be looked at in words, what stops first, or that it is complete."""
    graver = [one.severity for one in findings if one.severity is not Severity.NOTE]
    if not graver:
        return words("state.complete")
    stops, others = graver.count(Severity.STOP), graver.count(Severity.LOOK)
    parts = [words(key, count=count) for key, count in (("state.stop", stops), ("state.look", others)) if count]
    return ", ".join(parts)


def _of_property(job: HeldJob) -> str:
    if job.spec.supply is None:
        return words("state.needs-supply")
    return words("state.complete" if job.spec.supply.main_protection_a is not None else "state.needs-fuse")


def _of_files(job: OpenJob) -> str:
    files = [one.id for one in job.spec.files]
    if not files:
        return words("state.needs-file")
    names = tuple(f"record-{id_}" for id_ in files)
    assessment = job.assessment
    tried = job.was_tried("meter-files") or bool(job.unread())
    return _state(assessment, names, lambda: tuple(one for id_ in files for one in assessment.record(id_).findings), tried=tried)


def _of_demand(job: OpenJob) -> str:
    if "demand" not in job.assessment.graph.names():
        return words("state.needs-file")
    tried = bool(job.unread())
    return _state(job.assessment, ("demand",), lambda: tuple(notes_beside(readings_of(job.assessment))), tried=tried)


def _of_survey(job: HeldJob) -> str:
    count = len(job.spec.loads)
    return words("state.loads", count=count) if count else words("state.needs-loads")


def _of_tariff(job: OpenJob) -> str:
    if not job.spec.tariff.files:
        return words("state.needs-tariff")
    if not job.assessment.has_tariff:
        return words("state.needs-file")
    return _state(job.assessment, ("costs",), lambda: job.assessment.costs().tariffs[0].bill.findings)


def _of_plan(job: OpenJob) -> str:
    if not job.spec.files:
        return words("state.needs-file")
    if job.assessment.plan_print():
        return words("state.complete")
    if job.assessment.plan_is_stale():
        return words("state.stale")
    return words("state.not-sought" if may_switch(job.job, job.spec.control) else "state.needs-switchable")


def _of_gear(job: HeldJob) -> str:
    if job.spec.supply is None:
        return words("state.needs-supply")
    count = len(may_switch(job.job, job.spec.control))
    return words("state.switched", count=count) if count else words("state.needs-switchable")


def _of_supply(job: OpenJob) -> str:
    if not job.spec.files:
        return words("state.needs-file")
    if job.assessment.quote_print():
        return words("state.complete")
    return words("state.stale" if job.assessment.quote_is_stale() else "state.not-asked")


def _of_proof(job: OpenJob) -> str:
    if not job.spec.files:
        return words("state.needs-file")
    text = job.assessment.frozen_text()
    if text is None:
        return words("state.not-frozen")
    if what_is_broken(job.assessment, text):
        return words("state.unreadable")
    proof = job.assessment.proof()
    if proof is None:
        return words("state.frozen")
    return to_look_at(proof.findings)


def _of_papers(job: OpenJob) -> str:
    stands = papers_of(job)
    if not stands:
        return words("state.needs-file")
    built = sum(state == "built" for state in stands.values())
    if built == len(stands):
        return words("state.built")
    return words("state.stale" if built or "out of date" in stands.values() else "state.not-built")
