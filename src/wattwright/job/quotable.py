"""Whether a job can be quoted for what it asks: what it lacks is refused with a next step before anything is simulated."""

from collections.abc import Iterator

from wattwright.core.clock import DAY_S
from wattwright.core.errors import Fault, JobError, Place
from wattwright.job.file import Job
from wattwright.supply.sizing.spec import Purpose


def require_quotable(job: Job, days: int, purpose: Purpose, outage_s: float | None) -> None:
    """Raise JobError with all that keeps a job from being quoted over so many days for its purpose and longest outage."""
    faults = list(_faults(job, days, purpose, outage_s))
    if faults:
        raise JobError(faults)


def _faults(job: Job, days: int, purpose: Purpose, outage_s: float | None) -> Iterator[Fault]:
    spec = job.spec

    def fault(code: str, field: str, found: str, wanted: str, next_step: str) -> Fault:
        return Fault(code, Place(str(job.path), field=field), found, wanted, next_step, {})

    if outage_s is not None and days * DAY_S < outage_s + DAY_S:
        yield fault(
            "job.record-too-short", "files", f"a record of {days} days", "one that is a day longer than the outage",
            "Ask for a shorter outage, or give a longer record.",
        )  # fmt: skip
    if spec.quote.keeps and not (spec.battery or spec.inverter or spec.pv):
        yield fault(
            "job.nothing-kept", "quote.keeps", "true, and nothing that stays",
            "a [battery], an [inverter] or [[pv]] that is there", "Write what stays into the job, or take keeps out.",
        )  # fmt: skip
    if purpose != "stand-alone":
        return
    if not (spec.quote.pv or spec.pv or spec.generator):
        yield fault(
            "job.no-source", "quote.pv", "a site without a grid, and nothing that fills a battery",
            "a place for modules, or a generator",
            "Add [[quote.pv]] with tilt, heading and the most modules there is room for, or a [generator].",
        )  # fmt: skip
    if any(one.meter for one in spec.pv):
        yield fault(
            "job.quote-beside-own", "pv", "PV that is there and measured, on a site that is to have no grid",
            "PV that is to be quoted: what is measured gives beside the grid only",
            "Take its meter out of [[pv]] and let it be simulated.",
        )  # fmt: skip
