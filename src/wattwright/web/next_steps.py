"""What is missing on each page of a job, and the next useful step; each with the place where it is done."""

from collections.abc import Iterator
from dataclasses import dataclass, replace

from wattwright.core.errors import Fault, InputError
from wattwright.job.gearing import may_switch
from wattwright.job.questions import of_record
from wattwright.web.links import Links
from wattwright.web.open_job import OpenJob
from wattwright.web.words import words


@dataclass(frozen=True, slots=True)
class Step:
    """Something to do: in words, and the address of the place where it is done."""

    text: str
    address: str


def missing_on(job: OpenJob, sheet: str, links: Links) -> tuple[Step, ...]:
    """What a page still lacks, in the order of its use."""
    if sheet == "meter-files":
        return tuple(_open_questions(job, links))
    unread = (_unread(job, index, faults[0], links) for index, faults in job.unread())
    asks = {"property": _property, "survey": _survey, "plan": _plan, "gear": _gear, "supply": _supply}
    found = asks[sheet](job) if sheet in asks else iter(())
    return (*unread, *(Step(words(f"missing.{key}"), links.sheet(job.id, page, field)) for key, page, field in found))


def _unread(job: OpenJob, index: int, fault: Fault, links: Links) -> Step:
    """Why a meter file cannot be read, and where is said how it is; at once the order of its dates, where that does not fit."""
    order = job.spec.files[index].layout.date_order
    if fault.code == "record.stamp" and order:
        why = replace(fault, next_step="").sentence()
        field = f"files.{index}.layout.date_order"
        return Step(words("missing.reading.order", order=order, why=why), links.sheet(job.id, "meter-files", field))
    return Step(words("missing.reading", why=fault.sentence()), links.sheet(job.id, "meter-files", f"file-{index}"))


def _open_questions(job: OpenJob, links: Links) -> Iterator[Step]:
    """Files of which something was settled without proof; what each answer would come to is tried on request."""
    for file in job.spec.files:
        try:
            asked = of_record(job.assessment.record(file.id))
        except InputError:
            continue  # what cannot be read asks its questions on the page itself
        if any(one.choices for one in asked):
            yield Step(words("missing.questions", name=file.path), links.looked(job.id, file.id))


def next_step(job: OpenJob, sheet: str, links: Links) -> Step:
    """The next useful step, seen from a page: the first stage on the way to the papers that lacks something."""
    for key, page, field, lacks in _way(job):
        if lacks:
            return Step(words(f"next.{key}"), links.sheet(job.id, page, field))
    return Step(words("next.papers"), links.sheet(job.id, "handover", "build"))


def _way(job: OpenJob) -> Iterator[tuple[str, str, str, bool]]:
    spec = job.spec
    yield "file", "meter-files", "upload", not spec.files
    unread = job.unread()
    yield "reading", "meter-files", f"file-{unread[0][0] if unread else 0}", bool(unread)
    yield "supply", "property", "supply.system", spec.supply is None
    yield "tariff", "tariff", "simple", not spec.tariff.files
    yield "loads", "survey", "new-load", not spec.loads
    switchable = bool(may_switch(job.job, spec.control))
    yield "plan", "plan", "seek", switchable and bool(spec.files) and not job.assessment.plan_print()


def _property(job: OpenJob) -> Iterator[tuple[str, str, str]]:
    spec = job.spec
    if not spec.place:
        yield "place", "property", "place"
    if not spec.site.country:
        yield "country", "property", "site.country"
    if spec.supply is None:
        yield "supply", "property", "supply.system"
    elif spec.supply.main_protection_a is None:
        yield "fuse", "property", "supply.main_protection"


def _survey(job: OpenJob) -> Iterator[tuple[str, str, str]]:
    if job.spec.loads and not may_switch(job.job, job.spec.control):
        yield "switchable", "survey", "load-0"


def _plan(job: OpenJob) -> Iterator[tuple[str, str, str]]:
    if not job.spec.tariff.files:
        yield "tariff", "tariff", "simple"
    wanted = may_switch(job.job, job.spec.control)
    if not wanted:
        yield "switchable", "survey", "new-load"
    lacking = [i for i, one in enumerate(job.spec.loads) if one in wanted and not one.can_be_simulated]
    if lacking:
        yield "model", "survey", f"load-{lacking[0]}"


def _gear(job: OpenJob) -> Iterator[tuple[str, str, str]]:
    if job.spec.supply is None:
        yield "supply", "property", "supply.system"
    if not job.spec.gear.earthing:
        yield "earthing", "gear", "gear.earthing"


def _supply(job: OpenJob) -> Iterator[tuple[str, str, str]]:
    if job.spec.quote.prices is None:
        yield "prices", "supply", "quote.prices.pv_kw"
